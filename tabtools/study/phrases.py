"""Where a phrase ends (common practice, made exact).

A phrase goes on until

- a rest: nothing is heard for a pulse or longer, or for half a pulse where the next stroke is late (`rest`);
- a long note: it lasts one and a half pulses or more, and the next stroke is late (`long note`);
- a section: the next stroke belongs to a new part (`section`);
- a stretch that is not heard: it lasts a bar or longer (`not heard`);
- free time: a bar out of time begins or ends (`free time`);
- the end of the solo (`end`).

Where a count is doubtful, silence and length count as far as they are certain, whatever stands when within it. What is
not known yet, a note or a short stretch, is heard all the same and is no silence.

A stroke is late when it comes at least twice as long after the one before as that one came after its own predecessor
in the phrase. The pulse is the count where a count is a quarter note or longer, three counts in 6/8, 9/8 and 12/8,
otherwise two.

Example, in 4/4: after `1  3:7 3:9` and `2-4  2:8 - -` the phrase ends on 2:8, which lasts three counts where the notes
before took half a count. After `1  3:7 3:9 2:8 .` and `2  2:8 3:9` it does not: a quarter of a count is a breath.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from functools import lru_cache
from itertools import groupby
from typing import NamedTuple

from tabtools.model.rhythm import Meter
from tabtools.model.solo import AddressRange, Bar, Like, Section, Solo, first_number
from tabtools.study.melody import Melody, Struck


class Phrase(NamedTuple):
    """Strokes `first` to `last` of a melody, both inclusive."""

    first: int
    last: int
    range: AddressRange


class KnownStretch(NamedTuple):
    """Strokes `first` to `last` of a phrase, between which all is known; the phrase ends with `phrase_last`."""

    first: int
    last: int
    phrase_last: int


def phrases_of(melody: Melody) -> tuple[Phrase, ...]:
    """The phrases of a solo, in order; every pitched stroke is in one of them."""
    opening = opening_bars(melody.timeline.solo)
    strokes = melody.strokes
    found = []
    first = release = pulse = 0
    bar = None
    for index, struck in enumerate(strokes):
        if struck.bar is not bar:
            bar, pulse = struck.bar, pulse_of(struck)
        release = max(release, struck.heard)
        following = strokes[index + 1] if index + 1 < len(strokes) else None
        before = strokes[index - 1] if index > first else None
        if _is_last(before, struck, following, release, pulse, opening):
            found.append(Phrase(first, index, melody.stretch(first, index)))
            first = index + 1
    return tuple(found)


def phrases_at(melody: Melody, borders: Sequence[int]) -> tuple[Phrase, ...]:
    """The phrases of a voice of which it is known when they begin, in ticks; every stroke is in one of them."""
    numbers = groupby(range(len(melody.strokes)), key=lambda place: bisect_right(borders, melody.strokes[place].onset))
    own = [tuple(places) for _, places in numbers]
    return tuple(Phrase(one[0], one[-1], melody.stretch(one[0], one[-1])) for one in own)


def _is_last(
    before: Struck | None, struck: Struck, following: Struck | None, release: int, pulse: int, opening: set[int]
) -> bool:
    """Whether a phrase ends here: with the solo, a section, free time, what is not heard, a rest, a long note."""
    if following is None:
        return True
    is_other_part = following.bar.number in opening or following.bar.written.free or struck.bar.written.free
    if following.bar is not struck.bar and is_other_part:
        return True
    if struck.unheard >= struck.beat * struck.bar.meter.counts:
        return True
    begins = following.doubt[0] if following.doubt else following.onset
    silence = begins - (max(release, struck.doubt[1]) if struck.doubt else release)
    if silence >= pulse:
        return True
    if before is None or before.doubt or struck.doubt:
        return False
    is_late = begins - struck.onset >= 2 * (struck.onset - before.onset)
    lasts = min(struck.release, begins) - struck.onset
    return is_late and (2 * silence >= pulse or 2 * lasts >= 3 * pulse)


def pulse_of(struck: Struck) -> int:
    """The ticks from one tap of the foot to the next."""
    return struck.beat * _counts_in_pulse(struck.bar.meter)


@lru_cache(maxsize=256)
def _counts_in_pulse(meter: Meter) -> int:
    if meter.beat >= 1:
        return 1
    return 3 if meter.counts % 3 == 0 else 2


def opening_bars(solo: Solo) -> set[int]:
    """The numbers of the bars that begin a section."""
    opening = set()
    is_opening = False
    for item in solo.items:
        if isinstance(item, Section):
            is_opening = True
        elif isinstance(item, Bar | Like):
            if is_opening:
                opening.add(first_number(item))
            is_opening = False
    return opening
