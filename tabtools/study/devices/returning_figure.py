"""A figure that comes back later in the solo, at the same pitches or others.

Found: six strokes or more whose highest notes go by the same intervals as earlier strokes of the solo, as many as there
are; the first six have at least three different pitches. Of all earlier places the one that agrees farthest is taken,
the first among equals (of more than 16 the first 16 are compared); the next search begins behind the figure. The two
share no stroke, and none goes over a note whose pitch is not known. It is told where that saves enough of what the
phrases cost to explain (`tabtools.study.explaining`): more where the notes are not plain already, where the rhythm is
the same, and where a phrase or a device begins there and here. A figure of up to twelve strokes that comes again at
once in one phrase is none of these: repeated cells and sequences say that better. Rests and the ends of phrases do not
matter, nor does rhythm, which is told. One that is twice or half as fast does not go on over the bar line, where its
last note only happens to be that of the next bar.

`data`: `as_in` (the address of the earlier stretch), `count` (strokes), `semitones` (from there to here, below zero for
lower), `same_rhythm` (None under a doubtful count).

At the same pitch it is told as well where more than half of it lies on other strings.

Example: where bar 3 plays the six notes of bar 1 an octave higher, "six notes as in 1.1, an octave higher, in the same
rhythm".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import INTERVALS, in_words, listed
from tabtools.study.explaining import costs
from tabtools.study.explaining.explained import Explained
from tabtools.study.melody import Struck
from tabtools.study.music import MOST_IN_CELL, Music

KIND = "returning figure"
FEWEST = 6
FEWEST_PITCHES = 3
MOST_PLACES = 16
MOST_NAMED = 10
MOST_BETWEEN = 3
"""Strokes between the parts of a sequence."""
MOST_LATE = 4
"""Strokes that a return may be told late, to begin where something begins."""
APART = 1000
"""From here on every move is like no other: what sounds between is not known."""


def find(music: Music, chosen: Explained) -> Iterator[tuple[Device, float]]:
    """Each return that is worth telling, in order, with the bits it saves."""
    strokes = music.melody.strokes
    tops = [struck.top for struck in strokes]
    moves = [
        APART + place if strokes[place + 1].is_apart else after - before
        for place, (before, after) in enumerate(pairwise(tops))
    ]
    grams = list(zip(*(moves[shift:] for shift in range(FEWEST - 1)), strict=False))
    cells = _cell_of(music)
    phrase_of = [phrase.first for phrase in music.phrases for _ in range(phrase.first, phrase.last + 1)]
    seen: dict[tuple[int, ...], list[int]] = {}
    place = noted = 0
    while place < len(grams):
        for known in range(noted, place - FEWEST + 1):
            places = seen.setdefault(grams[known], [])
            if len(places) < MOST_PLACES:
                places.append(known)
        noted = max(noted, place - FEWEST + 1)
        best, source, passed = 0, 0, 0
        if len(set(tops[place : place + FEWEST])) >= FEWEST_PITCHES:
            for other in seen.get(grams[place], ()):
                length = 0 if cells[other] is not None and cells[other] == cells[place] else _agree(moves, other, place)
                if length > best and _comes_at_once(moves, phrase_of, other, place, length):
                    passed = max(passed, length)
                elif length > best:
                    best, source = length, other
        whole = _phrase_alike(music, chosen, source, place) if best else 0
        if best > whole > 0:
            best = whole
        if best > FEWEST and _ends_with_the_bar(strokes, source, place, best):
            best -= 1
        if best >= FEWEST:
            spare = range(min(MOST_LATE, best - FEWEST) + 1)
            late = max(spare, key=lambda late: _saved(music, chosen, source + late, place + late, best - late))
            saved = _saved(music, chosen, source + late, place + late, best - late)
            if saved >= costs.WORTH_TELLING:
                yield _device(music, source + late, place + late, best - late), saved
        place += best or passed or 1


def _cell_of(music: Music) -> list[int | None]:
    """For each stroke the repeated cell it is in, by the number of the longest one."""
    cells: list[int | None] = [None] * len(music.melody.strokes)
    for number, cell in enumerate(sorted(music.cells, key=lambda cell: cell.end - cell.start)):
        cells[cell.start : cell.end + 1] = [number] * (cell.end - cell.start + 1)
    return cells


def _agree(moves: Sequence[int], source: int, place: int) -> int:
    """How many strokes from two places on go by the same intervals, without sharing one."""
    length = FEWEST
    most = min(place - source, len(moves) + 1 - place)
    while length < most and moves[source + length - 1] == moves[place + length - 1]:
        length += 1
    return length


def _phrase_alike(music: Music, chosen: Explained, source: int, place: int) -> int:
    """How many strokes a phrase has that comes again here in its rhythm, and then goes on otherwise; 0 for none."""
    last = next((last for first, last in chosen.phrases if first == source), source)
    length, strokes = last - source + 1, music.melody.strokes
    if length == 1 or place + length > len(strokes):
        return 0
    is_alike = _rhythm(strokes[source : last + 1]) == _rhythm(strokes[place : place + length])
    return length if is_alike and _goes_on_otherwise(strokes, source, place, length) else 0


def _goes_on_otherwise(strokes: Sequence[Struck], source: int, place: int, length: int) -> bool:
    """Whether what follows comes sooner or later than it did there."""
    here, there = place + length, source + length
    if here >= len(strokes):
        return False
    return strokes[here].onset - strokes[here - 1].onset != strokes[there].onset - strokes[there - 1].onset


def _comes_at_once(moves: Sequence[int], phrase_of: Sequence[int], source: int, place: int, length: int) -> bool:
    """Whether the two are no more than a short figure of one phrase that comes again at once."""
    if length == place - source <= MOST_IN_CELL and phrase_of[source] == phrase_of[place]:
        return True
    end = place + length - 1
    sizes = range(1, min(MOST_IN_CELL + 1, place - source))
    return any(all(moves[at] == moves[at + size] for at in range(source, end - size)) for size in sizes)


def _saved(music: Music, chosen: Explained, source: int, place: int, length: int) -> float:
    """The bits that a return saves of what its strokes cost."""
    strokes = music.melody.strokes
    semitones = strokes[place].top - strokes[source].top
    bits = costs.RETURN + costs.LOOSE_END * ((source not in chosen.begins) + (place not in chosen.begins))
    if semitones:
        bits += costs.ANOTHER_PITCH if semitones % 12 else costs.AN_OCTAVE
    saved = sum(chosen.bits[place : place + length]) - bits
    here, there = _rhythm(strokes[place : place + length]), _rhythm(strokes[source : source + length])
    if here == there:
        saved += costs.SAME_RHYTHM * sum(gap != after for gap, after in pairwise(here))
    if {(source, source + length - 1), (place, place + length - 1)} <= chosen.phrases:
        saved += costs.WHOLE_PHRASE
    return saved


def _device(music: Music, source: int, place: int, length: int) -> Device:
    strokes = music.melody.strokes
    semitones = strokes[place].top - strokes[source].top
    earlier = str(music.melody.stretch(source, source + length - 1))
    played = strokes[source : source + length], strokes[place : place + length]
    is_known = not any(struck.doubt for own in played for struck in own)
    same_rhythm = _rhythm(played[0]) == _rhythm(played[1]) if is_known else None
    if semitones:
        far = INTERVALS.get(abs(semitones), f"{abs(semitones)} semitones")
        where = f"{far} {'higher' if semitones > 0 else 'lower'}"
    else:
        where = "at the same pitch"
    said = f"{in_words(length)} notes as in {earlier}, {where}"
    said += ", a sequence" if semitones % 12 and same_rhythm and _follows(strokes, source, place, length) else ""
    if same_rhythm is not None:
        speed = _speed(*played)
        said += f", {'twice' if speed > 0 else 'half'} as fast" if speed else ""
        said += "" if speed else f", in {'the same' if same_rhythm else 'another'} rhythm"
    if not semitones:
        spans = (place, place + length - 1), (source, source + length - 1)
        said += over_another_chord(music, *spans) + on_other_strings(music, *spans)
    over = _other_chords(music, source, place, length) if music.borders is not None else []
    said += f", now over {listed(over)}" if over else ""
    data = {"as_in": earlier, "count": length, "semitones": semitones, "same_rhythm": same_rhythm}
    return music.device(KIND, place, place + length - 1, said, data, main=False)


def _follows(strokes: Sequence[Struck], source: int, place: int, length: int) -> bool:
    """Whether a stretch comes right behind the earlier one, or at the same place of the bar after it."""
    between = place - source - length
    return between == 0 or (between <= MOST_BETWEEN and strokes[place].in_bar == strokes[source].in_bar)


def _other_chords(music: Music, source: int, place: int, length: int) -> list[str]:
    """The chords under a stretch that stand where the earlier one has others."""
    backing = music.melody.backing
    pairs = [(backing(source + at), backing(place + at)) for at in range(length)]
    return list(dict.fromkeys(here.place for there, here in pairs if here is not there and here.chord and there.chord))


def over_another_chord(music: Music, here: tuple[int, int], there: tuple[int, int]) -> str:
    """`, now 5 4 b3 of D7`, where the strokes here stand over one chord, and those there over another one.

    Only what is no longer than ten strokes is spelled out.
    """
    backings = music.backings(*here)
    if len(backings) > 1 or not backings[0].degrees or here[1] - here[0] >= MOST_NAMED:
        return ""
    if backings == music.backings(*there):
        return ""
    strokes = music.melody.strokes[here[0] : here[1] + 1]
    return f", now {' '.join(backings[0].told[struck.top % 12] for struck in strokes)} of {backings[0].place}"


def on_other_strings(music: Music, here: tuple[int, int], there: tuple[int, int]) -> str:
    """`, on other strings`, where more than half of the strokes at the same pitches have changed theirs."""
    melody = music.melody
    notes = [
        [melody.timeline.notes[struck.notes[0]] for struck in melody.strokes[first : last + 1]]
        for first, last in (here, there)
    ]
    both = list(zip(*notes, strict=True))
    changed = sum(one.string != other.string for one, other in both if one.string and other.string)
    return ", on other strings" if 2 * changed > len(both) else ""


def _speed(there: Sequence[Struck], here: Sequence[Struck]) -> int:
    """1 where a stretch is twice as fast as the earlier one throughout, -1 where half as fast, otherwise 0."""
    gaps = list(zip(_rhythm(there), _rhythm(here), strict=True))
    if all(before == 2 * after for before, after in gaps):
        return 1
    return -1 if all(2 * before == after for before, after in gaps) else 0


def _ends_with_the_bar(strokes: Sequence[Struck], source: int, place: int, length: int) -> bool:
    """Whether only the last of these strokes lies in another bar there, and all before it are twice or half as fast."""
    there, here = strokes[source : source + length], strokes[place : place + length]
    is_over = there[-1].bar is not there[-2].bar and there[0].bar is there[-2].bar
    return is_over and bool(_speed(there[:-1], here[:-1]))


def _rhythm(strokes: Sequence[Struck]) -> list[int]:
    return [after.onset - before.onset for before, after in pairwise(strokes)]
