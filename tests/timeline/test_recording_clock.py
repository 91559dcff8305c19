"""Where in the recording a moment is, by the marks of the bars."""

from __future__ import annotations

import pytest

from tabtools.notation.build import read_solo
from tabtools.source import from_text
from tabtools.timeline import timeline_of
from tabtools.timeline.recording import RecordingClock


def clock(*marks: str) -> RecordingClock:
    """Of bars of two seconds each, with these marks."""
    bars = "\n".join(f"bar {number}  {mark}\n1-4  3:7\n" for number, mark in enumerate(marks, 1))
    return RecordingClock(timeline_of(read_solo(from_text(f"title: A\nmeter: 4/4\ntempo: 120\n\n{bars}")).solo))


@pytest.mark.parametrize(
    ("marks", "seconds", "recorded"),
    [
        (("", ""), 1, None),
        (("at 0:10", "", "at 0:18", ""), 0, 10),
        (("at 0:10", "", "at 0:18", ""), 1, 12),
        (("at 0:10", "", "at 0:18", ""), 4, 18),
        (("at 0:10", "", "at 0:18", ""), 5.5, 19.5),
        (("", "at 0:10"), 0.5, 8.5),
        (("at 0:10", "at 0:12", "at 0:18"), 3, 15),
        (("", "", "at 0:03"), 0.5, 0),
        (("at 0:10", "at 0:09", "at 0:16"), 2, 13),
        (("at 0:10", "at 0:10", "at 0:16"), 2, 13),
    ],
)
def test_a_moment_in_the_recording(marks: tuple[str, ...], seconds: float, recorded: float | None) -> None:
    assert clock(*marks).at(seconds) == (None if recorded is None else pytest.approx(recorded))


def test_bars_that_repeat_others_have_no_marks_and_are_counted_through() -> None:
    text = "title: A\nmeter: 4/4\ntempo: 120\n\nbar 1  at 0:10\n1-4  3:7\n\nbars 2-3 like 1\n"
    assert RecordingClock(timeline_of(read_solo(from_text(text)).solo)).at(4.0) == pytest.approx(14)
