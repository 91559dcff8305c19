"""What happens within a note: the stations a string goes through lead where the timeline says it arrives."""

from __future__ import annotations

import pytest
from exported import MADE, bar, made, made_open
from hypothesis import given
from strategies import solos

from tabtools.model.solo import Solo
from tabtools.score.stations import BENDS, stations_of
from tabtools.timeline import TimedNote, Timeline, timeline_of


def check(timeline: Timeline) -> None:
    found = stations_of(timeline.notes, timeline.solo.header.instrument)
    for note, stations in zip(timeline.notes, found, strict=True):
        if note.midi is None or is_bent_from_nowhere(note):
            assert [station.pitch for station in stations] == [None]
        else:
            assert stations[-1].arrives == pytest.approx(note.midi)


def is_bent_from_nowhere(note: TimedNote) -> bool:
    """Whether it only bends, from a pitch that is not known: no head stands for that, words tell where it comes to."""
    return note.attack is None and all(step.motion.sign in BENDS for step in note.steps)


@pytest.mark.parametrize("first", MADE[::25])
def test_generated(first: int) -> None:
    for seed in range(first, first + 25):
        check(made(seed))
        check(made_open(seed))


@given(solos(with_comments=False))
def test_drafts_that_make_no_sense(solo: Solo) -> None:
    check(timeline_of(solo))


def test_a_bend_from_a_pitch_that_is_not_known_has_no_head() -> None:
    check(bar("1  3:?b=E4\n2-4  ."))


def test_bends_are_at_the_place_where_they_happen() -> None:
    timeline = bar("1  3:5h7b9r7p5\n2-4  .")
    ((five, seven, last),) = stations_of(timeline.notes, timeline.solo.header.instrument)
    assert [(one.sign, one.semitones) for one in seven.bends] == [("b", 2), ("r", -2)]
    assert (five.pitch, seven.pitch, last.pitch) == (60, 62, 60)
    assert five.bends == last.bends == ()
    assert (five.via, seven.via, last.via) == ("", "h", "p")
