"""The card of all signs that a new repository has: what it shows is the format, and it fits a page."""

from __future__ import annotations

import re

import pytest
from doc_pages import codes, fences, prose

from tabtools.checks.subject import subject_of
from tabtools.notation.claims import read_claim
from tabtools.notation.header import FIELD_NAMES
from tabtools.notation.lines import solo_grammar
from tabtools.notation.marks import MARKS
from tabtools.source import from_text
from tabtools.starter.repository import starter_files

CARD = starter_files()["site_docs/format-card.md"]
HEADER = "title: A\nplayer: B\nrights: CC0-1.0\nmeter: 4/4\n\n"
MOST_LINES = 60
"""So many go on a printed page."""


def rows(heading: str) -> list[tuple[str, str]]:
    """The rows of the table whose first cell is `heading`."""
    (found,) = re.findall(rf"^\| {heading} \|.*\n\|---.*\n((?:\|.*\n)+)", CARD, re.MULTILINE)
    return [(cells[0].strip(), cells[1].strip()) for row in found.splitlines() for cells in [row.strip("|").split("|")]]


def problems(text: str) -> list[str]:
    return [problem.message for problem in subject_of(from_text(HEADER + text)).reading.problems]


def strokes(heading: str) -> list[str]:
    return [code for written, _ in rows(heading) if " line" not in written for code in codes(written)]


@pytest.mark.parametrize("code", strokes("in a beat line") + strokes("not known yet"))
def test_a_sign_of_a_beat_line_is_read(code: str) -> None:
    assert problems(f"bar 1  Am7\n1    3:7b9 {code}\n") == []


def test_counts_and_chords_of_the_card_are_read() -> None:
    at_line = [
        (written, code) for written, _ in rows("in a beat line") + rows("not known yet") for code in codes(written)
    ]
    shown = [(written, code) for written, code in at_line if " line" in written]
    assert [code for _, code in shown] == ["1", "3-4", "1-2?", "Am7?"]
    for written, code in shown:
        assert problems(f"bar 1  {code}\n1-4  3:7\n" if "bar line" in written else f"bar 1  Am\n{code}  3:7\n") == []


def test_other_lines_of_the_card_are_read() -> None:
    kinds = [type(solo_grammar().read(codes(line)[0] + "\n", "line")).__name__ for line, _ in rows("other lines")]
    assert kinds == ["BarLine", "Like", "Section", "Passage", "Remark"]
    for code in codes(rows("other lines")[0][1]):
        assert problems(f"bar 1  {code}\n1-4  3:7\n") == []


def test_the_card_has_all_marks_and_fields() -> None:
    (marks,) = (said for written, said in rows("in a beat line") if "[pm]" in written)
    assert [code.split()[0] for code in codes(marks)] == list(MARKS)
    fields = re.search(r"Above the first bar.*?\.\n\n", CARD, re.DOTALL)
    assert fields
    assert set(codes(fields[0])) - {"key: A minor"} == set(FIELD_NAMES)


def test_the_example_of_the_card_is_read_and_its_claim_is_true() -> None:
    (example,) = fences(CARD, "solo")
    timeline = subject_of(from_text(HEADER + example.text)).timeline
    assert problems(example.text) == []
    (claim,) = (code for code in codes(prose(CARD)) if code.startswith("@1"))
    read = read_claim(claim)
    (note,) = (note for note in timeline.notes if note.address == read.range.first)
    assert (note.midi, note.chord) == (64, "Am7")


def test_the_card_fits_a_page() -> None:
    assert len(CARD.splitlines()) <= MOST_LINES
