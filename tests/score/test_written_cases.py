"""Case by case: a bar is written as it should be, in the records, in the finished MusicXML and in the drawing."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from case_files import Case, cases_in
from drawn import drawing, printed, texts
from exported import timeline
from forms import as_drawn, in_drawing, in_musicxml, in_score, tuplet_figures

from tabtools.exchange import musicxml
from tabtools.score import measures_of

FOLDER = Path(__file__).parent / "cases"
CASES = cases_in(FOLDER / "values.txt", "..")
OPEN = cases_in(FOLDER / "open.txt", "..")
FREE = "a bar out of time"


def whole(case: Case) -> str:
    header = "title: A\n" if re.match(r"[a-z]+:", case.text) else "title: A\nmeter: 4/4\n\n"
    return header + case.text


@pytest.mark.parametrize("case", CASES + OPEN, ids=str)
def test_the_score(case: Case) -> None:
    assert [in_score(measure) for measure in measures_of(timeline(whole(case)))] == case.said[".."]


@pytest.mark.parametrize("case", CASES + OPEN, ids=str)
def test_the_document(case: Case) -> None:
    root = ElementTree.fromstring(musicxml(timeline(whole(case))))
    assert [in_musicxml(measure) for measure in root.iter("measure")] == case.said[".."]


@pytest.mark.parametrize("case", [case for case in CASES + OPEN if case.name != FREE], ids=str)
def test_the_drawing(case: Case) -> None:
    forms = case.said[".."]
    drawn = [bar for section in drawing(whole(case)).sections for bar in section.bars]
    assert [in_drawing(bar) for bar in drawn] == [as_drawn(form) for form in forms]
    assert [sorted(texts(printed(bar).staff, "tuplet")) for bar in drawn] == [tuplet_figures(form) for form in forms]
