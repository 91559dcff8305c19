"""Where a phrase lands: after many notes one that stays, and says which chord it is.

Found: phrases of four notes or more in one line whose last is held for one and a half pulses or longer, longer than
any other of them, and is the third or seventh of a chord with a seventh or a sixth, or a ninth, eleventh or
thirteenth that colours it; or is whatever tone, after eight notes or more none of which is higher, and stays for two
counts: the goal of the phrase. Where a bend arrives is told as that. Of phrases that land on the same tone of the same
chord the first is told.

`data`: `name`, `degree` (over the chord, in either style, None without chord and key), `over` (the symbol), `highest`
(whether it is the goal on top).

Example: a run that ends on F#, held, over D13 is "lands on F#, 3 of D13, and stays".
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from tabtools.study.devices.device import Device
from tabtools.study.melody import Struck, stretch_of
from tabtools.study.music import Music
from tabtools.study.phrases import Phrase, pulse_of

KIND = "landing"
FEWEST, MANY = 4, 8
PULSES = 1.5
GUIDES = frozenset((3, 4, 10, 11))
"""Semitones of thirds and sevenths above a root."""


def find(music: Music) -> Iterator[Device]:
    """Each landing, in order."""
    seen = set()
    for phrase in music.phrases:
        place = phrase.last
        if place in music.goals or not _lands(music, phrase):
            continue
        is_highest = _is_highest(music, phrase)
        if is_highest or _tells_the_chord(music, place):
            where = music.melody.backing(place), music.melody.strokes[place].top % 12
            if where not in seen:
                seen.add(where)
                yield _device(music, place, is_highest)


def _lands(music: Music, phrase: Phrase) -> bool:
    """Whether it is a line of some notes, the last of which is held."""
    places = range(phrase.first, phrase.last + 1)
    strokes = music.melody.strokes[phrase.first : phrase.last + 1]
    if len(places) < FEWEST or any(music.melody.single[place] is None for place in places):
        return False
    if any(struck.doubt or struck.is_apart for struck in strokes):
        return False
    held = _lasts(strokes[-1])
    others = max(after.onset - here.onset for here, after in pairwise(strokes))
    return held >= PULSES * pulse_of(strokes[-1]) and held > others


def _is_highest(music: Music, phrase: Phrase) -> bool:
    """Whether a phrase of many notes ends as high as any of them, for two counts or longer."""
    *before, goal = music.melody.strokes[phrase.first : phrase.last + 1]
    return len(before) >= MANY and goal.top >= max(struck.top for struck in before) and _lasts(goal) >= 2 * goal.beat


def _lasts(struck: Struck) -> int:
    return struck.release - struck.onset


def _tells_the_chord(music: Music, place: int) -> bool:
    backing, tone = music.melody.backing(place), music.melody.strokes[place].top % 12
    if backing.root is None or not backing.has_seventh:
        return False
    is_guide = backing.tones[tone] == "chord tone" and (tone - backing.root) % 12 in GUIDES
    return is_guide or backing.tones[tone] == "extension" or backing.is_available(tone)


def _device(music: Music, place: int, is_highest: bool) -> Device:
    struck, backing = music.melody.strokes[place], music.melody.backing(place)
    tone, note = struck.top % 12, struck.notes[0]
    is_colour = backing.tones[tone] not in ("chord tone", "")
    said = f"lands on {backing.said(tone, is_extension=is_colour)}, and stays"
    said += ", the goal on top of the phrase" if is_highest else ""
    degree = (backing.extended if is_colour else backing.told)[tone] if backing.degrees else None
    data = {"name": backing.names[tone], "degree": degree, "over": backing.symbol, "highest": is_highest}
    where = stretch_of(music.melody.timeline.notes, note, note)
    return Device(KIND, where, (note,), said, data, main=False)
