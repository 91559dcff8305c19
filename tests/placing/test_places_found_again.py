"""Places taken away from the demo solos are found again, and no hand has more trouble with them than before.

The places written in the demo solos are what a player chose; another fingering of the same pitches can be as good, so
that all of them are never found. Measured besides: the lowest fret of each note agrees in 44 %, the shortest way
from place to place in 46 %.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest
from unplaced import DEMO, demo_solo, without_places

from tabtools.checks import bend_force, bend_room, reach, shift_time, too_many_fingers
from tabtools.checks.subject import subject_of
from tabtools.model.solo import Solo
from tabtools.notation.write import canonical
from tabtools.placing.placed import place, with_places, written_notes
from tabtools.source import from_text
from tabtools.timeline import TimedNote, timeline_of

FROM_NOTHING, FROM_ONE_A_BAR = 0.86, 0.91


class Found(NamedTuple):
    """A solo placed again: the notes that were looked for, and how many got the place that is written."""

    solo: Solo
    notes: int
    agreeing: int
    unplaced: int


def first_of_each_bar(solo: Solo) -> Callable[[TimedNote], bool]:
    firsts: dict[int, object] = {}
    for timed in written_notes(timeline_of(solo)):
        if timed.note.fret is not None and not timed.note.via:
            firsts.setdefault(timed.address.bar, timed.note.span)
    return lambda timed: firsts.get(timed.address.bar) == timed.note.span


@cache
def found(path: Path, one_a_bar: bool) -> Found:
    solo = demo_solo(path)
    bare, looked_for = without_places(solo, first_of_each_bar(solo)) if one_a_bar else without_places(solo)
    placement = place(timeline_of(bare))
    placed = with_places(bare, placement.placed)
    pairs = [
        (one, other)
        for one, other in zip(timeline_of(solo).notes, timeline_of(placed).notes, strict=True)
        if one.note.span in looked_for
    ]
    agreeing = sum((one.string, one.fret) == (other.string, other.fret) for one, other in pairs)
    assert all((one.attack, one.midi) == (other.attack, other.midi) for one, other in pairs)
    return Found(placed, len(pairs), agreeing, len(placement.unplaced))


@pytest.mark.parametrize(("one_a_bar", "least"), [(False, FROM_NOTHING), (True, FROM_ONE_A_BAR)])
def test_most_places_are_found_again(one_a_bar: bool, least: float) -> None:
    every = [found(path, one_a_bar) for path in DEMO]
    assert sum(one.agreeing for one in every) >= least * sum(one.notes for one in every)
    assert sum(one.unplaced for one in every) == 0


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
@pytest.mark.parametrize("one_a_bar", [False, True])
def test_the_hand_has_no_more_trouble_than_before(path: Path, one_a_bar: bool) -> None:
    assert trouble(found(path, one_a_bar).solo) <= trouble(demo_solo(path))


def trouble(solo: Solo) -> set[tuple[str, str]]:
    """Where the checks of the hands find something."""
    subject = subject_of(from_text(canonical(solo)))
    return {
        (check.NAME, str(finding.address))
        for check in (reach, shift_time, too_many_fingers, bend_force, bend_room)
        for finding in check.check(subject)
    }
