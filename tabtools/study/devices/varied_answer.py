"""A phrase that answers the one before it: it begins as that did, and ends otherwise.

Found: two phrases one after another that begin with the same three strokes or more, at the same pitches and in the same
rhythm, half of the shorter phrase at least, and then go on with other pitches.

`data`: `as_in` (the address of what was played before), `count` (strokes they share), `ends` (the degree over the chord
on which it ends, in either style, None without chord and key), `ended` (the degree on which that one did).

Example: A C D E, rest, A C D C over Am is "answer: begins as in 1.1-1.2, three notes, and ends on b3 where that ended
on 5".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import in_words
from tabtools.study.music import Music
from tabtools.study.phrases import Phrase

KIND = "varied answer"
FEWEST = 3


def find(music: Music) -> Iterator[Device]:
    """Each answer, in order."""
    for call, answer in pairwise(music.phrases):
        shared = _shared(music, call, answer)
        lengths = [phrase.last - phrase.first + 1 for phrase in (call, answer)]
        if FEWEST <= shared < min(lengths) and 2 * shared >= min(lengths):
            yield _device(music, call, answer, shared)


def _shared(music: Music, call: Phrase, answer: Phrase) -> int:
    """How many strokes both begin with, at the same pitches and in the same rhythm."""
    strokes = music.melody.strokes
    shared = 0
    for here, there in zip(_places(answer), _places(call), strict=False):
        one, other = strokes[here], strokes[there]
        is_in_time = one.onset - strokes[answer.first].onset == other.onset - strokes[call.first].onset
        if one.pitches != other.pitches or not is_in_time or one.doubt or other.doubt:
            break
        if shared and (one.is_apart or other.is_apart):
            break
        shared += 1
    return shared


def _places(phrase: Phrase) -> Sequence[int]:
    return range(phrase.first, phrase.last + 1)


def _device(music: Music, call: Phrase, answer: Phrase, shared: int) -> Device:
    ends, ended = (_degree(music, phrase.last) for phrase in (answer, call))
    earlier = str(call.range)
    said = f"answer: begins as in {earlier}, {in_words(shared)} notes, and ends "
    said += "on the same note by another way" if ends == ended else f"on {ends} where that ended on {ended}"
    has_degrees = bool(music.melody.backing(answer.last).degrees)
    data = {
        "as_in": earlier,
        "count": shared,
        "ends": ends if has_degrees else None,
        "ended": ended if has_degrees else None,
    }
    return music.device(KIND, answer.first, answer.last, said, data, main=False)


def _degree(music: Music, place: int) -> str:
    backing = music.melody.backing(place)
    return (backing.told or backing.names)[music.melody.strokes[place].top % 12]
