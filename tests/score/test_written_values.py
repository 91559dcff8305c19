"""Whatever is played, what is written lasts as long; what music21, written by others, calls it."""

from __future__ import annotations

from fractions import Fraction

import pytest
from drawn import timeline
from exported import MADE, made_open
from generated import solos
from hypothesis import given
from music21.duration import Duration
from strategies import full_solos
from strategies import solos as drafts

from tabtools.model.solo import Solo
from tabtools.score import Measure, WrittenEvent, measures_of
from tabtools.score.records import BACKWARD, BEGIN, CONTINUE, END, FORWARD
from tabtools.score.values import halvings_of, longest_value, name_of
from tabtools.timeline import Timeline, timeline_of


def shrunk(event: WrittenEvent) -> Fraction:
    """How long a value lasts within its tuplets."""
    length = event.written
    for tuplet in event.tuplets:
        length *= Fraction(tuplet.normal, tuplet.actual)
    return length


def check(timed: Timeline) -> None:
    measures = measures_of(timed)
    struck = [index for measure in measures for event in measure.events for index in event.struck]
    assert sorted(struck) == list(range(len(timed.notes)))
    for measure in measures:
        onset = Fraction(0)
        for event in measure.events:
            assert event.onset == onset
            assert event.fills_bar or event.doubtful or shrunk(event) == event.length
            onset = event.end
        assert onset == measure.length
        for stretch in measure.doubtful:
            own = measure.events[stretch.first : stretch.last + 1]
            assert measure.is_silent or (own[0].onset, own[-1].end) == (stretch.onset, stretch.end)
            assert measure.is_silent or all(event.doubtful for event in own)
        check_beams(measure)
    check_ties([event for measure in measures for event in measure.events])


def check_ties(events: list[WrittenEvent]) -> None:
    """Ties out of an event are ties into the next, and what is tied or struck is everything."""
    open_ties = 0
    for event in events:
        assert sum(one.tied_in for one in event.notes) == open_ties
        assert all(one.struck or one.tied_in for one in event.notes)
        open_ties = sum(one.tied_out for one in event.notes)
    assert open_ties == 0


def check_beams(measure: Measure) -> None:
    """Every beam begins, goes on without a gap and ends; a stub stands under a longer beam."""
    before: tuple[str, ...] = ()
    for event in measure.events:
        assert not event.beams or (event.has_value and len(event.beams) == event.halvings - 2)
        assert not event.beams or event.beams[0] in (BEGIN, CONTINUE, END)
        leading = {level for level, beam in enumerate(before) if beam in (BEGIN, CONTINUE)}
        assert {level for level, beam in enumerate(event.beams) if beam in (CONTINUE, END)} == leading
        assert set(event.beams) <= {BEGIN, CONTINUE, END, FORWARD, BACKWARD}
        before = event.beams
    assert not {BEGIN, CONTINUE} & set(before)


@given(solos())
def test_what_is_written_lasts_as_long_as_what_is_played(text: str) -> None:
    check(timeline(text))


@pytest.mark.parametrize("first", MADE[::25])
def test_solos_with_open_things(first: int) -> None:
    for seed in range(first, first + 25):
        check(made_open(seed))


@given(full_solos())
def test_full_bars(solo: Solo) -> None:
    check(timeline_of(solo))


@given(drafts(with_comments=False))
def test_drafts_that_make_no_sense(solo: Solo) -> None:
    check(timeline_of(solo))


@pytest.mark.parametrize("slots", range(1, 17))
def test_slots_on_a_beat_against_music21(slots: int) -> None:
    theirs = Duration(Fraction(1, slots))
    (measure,) = measures_of(timeline(f"bar 1\n1 {' '.join(['3:7'] * slots)}\n2-4 .\n"))
    notes = [event for event in measure.events if event.notes]
    assert {event.name for event in notes} == {theirs.type}
    ratios = {(one.numberNotesNormal, one.numberNotesActual) for one in theirs.tuplets}
    assert {Fraction(one.normal, one.actual) for one in notes[0].tuplets} == {Fraction(*ratio) for ratio in ratios}


@pytest.mark.parametrize("slots", [1, 2, 3, 4, 6, 8])
def test_slots_on_a_dotted_beat_against_music21(slots: int) -> None:
    theirs = Duration(Fraction(3, 2 * slots))
    (measure,) = measures_of(timeline(f"bar 1\n1 {' '.join(['3:7'] * slots)}\n2-4 .\n", "12/8 in 4"))
    notes = [event for event in measure.events if event.notes]
    assert {(event.name, event.dots, event.tuplets) for event in notes} == {(theirs.type, theirs.dots, ())}


@pytest.mark.parametrize("length", [Fraction(number, 64) for number in range(1, 260)])
def test_values_have_the_names_music21_gives_them(length: Fraction) -> None:
    value = longest_value(length)
    assert name_of(value) == Duration(value).type
    assert value <= length < value * 2
    plain = Fraction(4) / Fraction(2) ** halvings_of(value)
    assert value in (plain, plain * 3 / 2)
