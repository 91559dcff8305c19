"""Sequences: a figure that comes again at once on other steps of the scale, or as far away in semitones each time.

Found: in one line, a figure of two to eight notes whose moves come again, so that each statement lies as many steps of
one scale above or below the one before; a figure of two or three notes at least three times, a longer one at
least twice and in the same rhythm. What only goes one way is a run or an arpeggio, not a sequence, and one pitch again
and again is no figure. What is left over at the end belongs to it where it is two notes or more of the figure. Where it
can begin on a beat by leaving out fewer notes than the figure has, and still comes often enough, it begins there.

Steps are those of the pentatonic on the key's tonic that lies in the key; then, for what is left, of the scale that the
line shows (`tabtools.study.scale_names`) or else of the key's scale, where notes outside it interrupt; then semitones,
so that every statement is exact.

`data`: `size`, `times`, `rest` and `against` as in repeated cells, `scale` (None for semitones), `by` (scale steps or
semitones from one statement to the next, below zero for down), `over` (symbols).

Example: C D E D E F E F G over C is "sequence in C major: figure of three notes, three times, each a step higher".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache, partial
from itertools import pairwise
from typing import NamedTuple

from tabtools.harmony.scales import scale_named
from tabtools.model.pitch import parse_tone
from tabtools.study.devices.device import Device
from tabtools.study.devices.repeated_cell import figure_bits
from tabtools.study.devices.wording import INTERVALS, in_words, steps_far
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import Line, Music
from tabtools.study.palette import Named
from tabtools.study.periods import InTime, Repeat, Taken, in_time, repeats, times_text
from tabtools.study.scale_names import named_scale

KIND = "sequence"
MOST_IN_FIGURE = 8
SHORT_FIGURE, LONG_FIGURE = 3, 6
FEWEST_NOTES = 6
PENTATONICS = ("minor pentatonic", "major pentatonic")


class Ruler(NamedTuple):
    """What moves are measured in: the name of a scale, and each pitch class's step in it, None outside."""

    name: str | None
    steps: tuple[int | None, ...]
    size: int

    def places(self, pitches: Sequence[int]) -> list[int | None]:
        """Each pitch as a number of steps from a fixed point."""
        steps, size = self.steps, self.size
        return [None if (step := steps[pitch % 12]) is None else pitch // 12 * size + step for pitch in pitches]


SEMITONES = Ruler(None, tuple(range(12)), 12)


def find(music: Music) -> Iterator[Proposal]:
    """Each sequence, line by line, those in a scale before those in semitones."""
    for line in music.lines:
        if len(line.pitches) < FEWEST_NOTES:
            continue
        taken = Taken(len(line.pitches))
        for ruler in _rulers(music, line):
            yield from _along(music, line, ruler, taken)


def _rulers(music: Music, line: Line) -> Iterator[Ruler]:
    backings = music.backings(line.first, line.first + len(line.pitches) - 1)
    found = named_scale(line.pitches, backings)
    key = backings[0].key
    if key is not None:
        for scale in PENTATONICS:
            if len(key.semitones) > 5 and scale_named(scale).pitch_classes(0) <= set(key.semitones):
                yield _ruler((key.tonic.pitch_class, scale), f"{key.tonic} {scale}")
    if found and found.is_shown:
        tonic, _, scale = found.name.partition(" ")
        yield _ruler((parse_tone(tonic).pitch_class, scale), found.name)
    elif key is not None:
        yield _ruler((key.tonic.pitch_class, key.mode), str(key))
    yield SEMITONES


@lru_cache(maxsize=1024)
def _ruler(named: Named, name: str) -> Ruler:
    tonic, scale = named
    tones = sorted((tonic + step) % 12 for step in scale_named(scale).semitones)
    return Ruler(name, tuple(tones.index(tone) if tone in tones else None for tone in range(12)), len(tones))


def _along(music: Music, line: Line, ruler: Ruler, taken: Taken) -> Iterator[Proposal]:
    places = ruler.places(line.pitches)
    moves: list[object] = [
        object() if before is None or after is None else after - before for before, after in pairwise(places)
    ]
    if not _come_again(moves):
        return
    strokes = music.melody.strokes[line.first : line.first + len(line.pitches)]
    for size in range(1, MOST_IN_FIGURE + 1):
        fewest = 2 * size - 1 if size <= SHORT_FIGURE else size - 1
        for start, equal in repeats(moves, size, fewest):
            end = start + equal + size
            if taken.holds(start, end):
                continue
            is_one_pitch = len(set(line.pitches[start : start + size])) == 1
            is_none = is_one_pitch or _goes_one_way(moves[start : start + size])
            if size == 1 or places[start] == places[start + size] or is_none:
                taken.add(start, end)
                continue
            spare = min(equal - fewest, size - 1)
            start += next((late for late in range(spare + 1) if strokes[start + late].is_on_beat), 0)
            times, rest = divmod(end - start + 1, size)
            repeat = Repeat(start, size, times, rest if rest > 1 else 0)
            time = in_time(strokes[start : repeat.end + 1], size)
            if size > SHORT_FIGURE and not time.keeps_rhythm:
                continue
            if size >= LONG_FIGURE and times == 2 and not repeat.rest:
                continue
            taken.add(start, end)
            by = (places[start + size] or 0) - (places[start] or 0)
            bits = costs.NAMING[KIND] + costs.MOVED * (times - 1) + figure_bits(repeat)
            bits += costs.OWN_SCALE if ruler.name else costs.USUAL_SCALE
            first, last = line.first + repeat.start, line.first + repeat.end
            tell = partial(_device, music, line, ruler, repeat, time, by)
            figure = frozenset(range(first, first + size))
            yield Proposal(KIND, first, last, bits, costs.FIRST_TIME, tell, figure)


def _come_again(moves: Sequence[object]) -> bool:
    """Whether any three moves come again within the length of a figure, as those of every figure do."""
    latest: dict[object, int] = {}
    for place, three in enumerate(zip(moves, moves[1:], moves[2:], strict=False)):
        if place - latest.get(three, -MOST_IN_FIGURE - 1) <= MOST_IN_FIGURE:
            return True
        latest[three] = place
    return False


def _goes_one_way(moves: Sequence[object]) -> bool:
    steps = [move for move in moves if isinstance(move, int)]
    return len(steps) == len(moves) and (all(step > 0 for step in steps) or all(step < 0 for step in steps))


def _device(music: Music, line: Line, ruler: Ruler, repeat: Repeat, time: InTime, by: int) -> Device:
    first, last = line.first + repeat.start, line.first + repeat.end
    side = "higher" if by > 0 else "lower"
    if ruler.name is None and abs(by) == 1:
        said, far = "sequence by side-slips", "a semitone"
    elif ruler.name is None:
        said, far = "sequence", INTERVALS.get(abs(by), f"{abs(by)} semitones")
    elif by % ruler.size == 0:
        said, far = f"sequence in {ruler.name}", INTERVALS.get(abs(by) // ruler.size * 12, f"{abs(by)} steps")
    else:
        said, far = f"sequence in {ruler.name}", steps_far(by, ruler.size)
    data = {
        "size": repeat.size,
        "times": repeat.times,
        "rest": repeat.rest,
        "against": time.against,
        "scale": ruler.name,
        "by": by,
        "over": [backing.symbol for backing in music.backings(first, last)],
    }
    said += f": figure of {in_words(repeat.size)} notes, {times_text(repeat, time)}, each {far} {side}"
    return music.device(KIND, first, last, said, data)
