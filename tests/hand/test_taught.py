"""Passages fingered as a teacher would finger them: how many fingers agree."""

from __future__ import annotations

import re
from pathlib import Path

from case_files import Case, cases_in
from played import fingers, line

CASES = cases_in(Path(__file__).parent / "taught.txt", "..")
LEAST = 0.95
_PACE = re.compile(r"\((\d+), (\d+)\)$")


def agreeing(case: Case) -> tuple[int, int]:
    """How many fingers are those of the best of the ways that are written, and of how many."""
    pace = _PACE.search(case.name)
    per_beat, tempo = (int(pace[1]), int(pace[2])) if pace else (4, 120)
    found = fingers(line(case.text, per_beat, tempo))
    ways = [way.strip() for way in case.said[".."]]
    assert all(len(way) == len(found) for way in ways), (case.name, found)
    return max(sum(map(str.__eq__, way, found)) for way in ways), len(found)


def test_fingers_are_those_that_are_taught() -> None:
    counts = [agreeing(case) for case in CASES]
    assert sum(agree for agree, _ in counts) >= LEAST * sum(total for _, total in counts)
