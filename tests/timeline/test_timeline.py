"""What holds of every timeline: bars and slots follow each other, strings sound one note at a time."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from strategies import full_solos, solos
from thoroughness import share

from tabtools.model.solo import PITCH_MOVES, Bar, Solo
from tabtools.notation.build import read_solo
from tabtools.notation.write import canonical
from tabtools.source import from_text
from tabtools.timeline import Timeline, timeline_of


def played(text: str) -> Timeline:
    reading = read_solo(from_text(text))
    assert reading.problems == ()
    return timeline_of(reading.solo)


@settings(max_examples=share(150))
@given(full_solos())
def test_bars_follow_each_other(solo: Solo) -> None:
    bars = timeline_of(solo).bars
    assert bars[0].onset == 0
    assert bars[0].start == 0
    for bar, following in pairwise(bars):
        assert following.onset == bar.onset + bar.length
        assert following.start == bar.end
    for bar in bars:
        assert bar.end > bar.start
        assert bar.length > 0


@settings(max_examples=share(150))
@given(full_solos())
def test_lines_fill_their_bar(solo: Solo) -> None:
    for bar in timeline_of(solo).bars:
        onset = bar.onset
        for line in bar.lines:
            assert line.onset == onset
            onset += line.length
        assert onset == bar.onset + bar.length


@settings(max_examples=share(150))
@given(full_solos())
def test_notes_come_in_order_and_last_within_the_solo(solo: Solo) -> None:
    timeline = timeline_of(solo)
    end = timeline.bars[-1].onset + timeline.bars[-1].length
    for note, following in pairwise(timeline.notes):
        assert note.onset <= following.onset
        assert note.start <= following.start + 1e-9
    for note in timeline.notes:
        assert note.onset <= note.release <= end
        assert note.start <= note.end <= timeline.seconds + 1e-9
        bar = timeline.bar_numbers[note.address.bar]
        assert bar.onset <= note.onset < bar.onset + bar.length
        assert note.slot > 0


@settings(max_examples=share(150))
@given(full_solos())
def test_a_string_sounds_one_note_at_a_time(solo: Solo) -> None:
    timeline = timeline_of(solo)
    by_string: dict[int, list] = {}
    for note in timeline.notes:
        by_string.setdefault(note.string, []).append(note)
    for notes in by_string.values():
        for note, following in pairwise(notes):
            assert note.release <= following.onset or note.onset == following.onset


@settings(max_examples=share(150))
@given(full_solos())
def test_a_new_note_ends_all_that_do_not_ring(solo: Solo) -> None:
    notes = timeline_of(solo).notes
    for index, note in enumerate(notes):
        assert note.index == index
        rings = any(mark.word == "ring" for mark in note.marks) or note.via in PITCH_MOVES
        following = next(
            (later for later in notes[index + 1 :] if later.onset > note.onset and later.via not in PITCH_MOVES), None
        )
        if following is not None and not rings:
            assert note.release <= following.onset


@settings(max_examples=share(150))
@given(full_solos())
def test_moves_come_from_a_note_of_the_same_string(solo: Solo) -> None:
    notes = timeline_of(solo).notes
    for note in notes:
        if note.origin is not None:
            origin = notes[note.origin]
            assert note.via
            assert origin.string == note.string
            assert origin.release == note.onset or origin.onset == note.onset


@settings(max_examples=share(100))
@given(full_solos())
def test_the_text_of_a_solo_plays_as_the_solo(solo: Solo) -> None:
    reading = read_solo(from_text(canonical(solo)))
    assert timeline_of(reading.solo).notes == timeline_of(solo).notes


@settings(max_examples=share(200))
@given(solos(with_comments=False))
def test_bars_that_do_not_add_up_have_a_timeline_too(solo: Solo) -> None:
    timeline = timeline_of(solo)
    for bar, upcoming in pairwise(timeline.bars):
        assert (upcoming.onset, upcoming.start) == (bar.onset + bar.length, bar.end)
    for bar in timeline.bars:
        ends = [line.begins.offset + line.length for line in bar.lines]
        assert all(end <= line.begins.offset for end, line in zip(ends, bar.lines[1:], strict=False))
        assert all(end <= bar.length for end in ends)
    for note, following in pairwise(timeline.notes):
        assert note.onset <= following.onset
        assert note.start <= following.start + 1e-9
    for note in timeline.notes:
        assert note.release >= note.onset
        assert note.end >= note.start
        assert (note.midi is None) == (note.path == ())
        assert (note.attack is None) == (note.midi is None) or note.note.unknown
        if note.via in PITCH_MOVES and note.origin is not None and note.attack is not None:
            assert len(note.path) > 1 or timeline.notes[note.origin].midi is None


def test_holds_while_nothing_sounds_are_remembered() -> None:
    timeline = played("bar 1\n1    - 3:7\n2    -\n3    . -\n4    -\nbar 2\n1-4  3:5\n")
    assert [str(idle.address) for idle in timeline.idle_holds] == ["1.1", "1.3", "1.4"]


def test_bars_by_their_number_the_first_where_one_stands_twice() -> None:
    timeline = timeline_of(Solo(items=(Bar(1), Bar(2), Bar(1))))
    assert timeline.bar_numbers[1] is timeline.bars[0]
    assert timeline.bar_numbers[2] is timeline.bars[1]


@pytest.mark.parametrize("text", ["", "title: A\n", "section A\n", "bars 2-3 like 1\n"])
def test_a_solo_without_bars_lasts_no_time(text: str) -> None:
    timeline = played(text)
    assert timeline.bars == ()
    assert timeline.notes == ()
    assert timeline.seconds == 0


def test_a_bar_without_lines_lasts_its_meter() -> None:
    assert [bar.length for bar in played("bar 1\nbar 2  free 2s\nbar 3  meter 3/4\n").bars] == [
        Fraction(4),
        Fraction(4),
        Fraction(3),
    ]
