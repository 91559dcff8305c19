"""What is drawn of what is not known yet: names in frames, hatched stretches, brackets."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from case_files import Case, cases_in
from drawn import Printed, bars, boxes, drawing, first_bar, texts

CASES = cases_in(Path(__file__).parent / "cases" / "open.txt", "..")
COUNTED = {
    "stalks": 'class="stalk"',
    "hatched": 'class="hatched"',
    "edges": 'class="edge"',
    "stems": 'class="stem"',
    "beams": 'class="beam"',
    "rests": 'class="rest"',
    "round frames": 'rx="6"',
    "doubtful rests": "#tt-rest-doubtful",
}


def found(bar: Printed, kind: str) -> str:
    """What a line of a case says of a bar."""
    if kind in COUNTED:
        return str(bar.staff.count(COUNTED[kind]))
    if kind == "frames":
        places = ["over" if box.bottom < 0 else "on" for box in boxes(bar.staff, bar.width) if box.kind == "frame"]
        return " ".join(f"{places.count(place)} {place}" for place in ("over", "on") if place in places)
    if kind == "octave":
        return " ".join(re.findall(r'<tspan class="octave"[^>]*>([^<]*)<', bar.staff))
    return " ".join(texts(bar.chords if kind == "chord" else bar.staff, kind))


@pytest.mark.parametrize("case", CASES, ids=str)
def test_what_is_drawn(case: Case) -> None:
    drawn = bars(drawing(case.text))
    for line in case.said[".."]:
        number, kind, value = re.fullmatch(r"(?:(\d+) )?([a-z ]+): (.*)", line).groups()
        assert found(drawn[int(number or 1) - 1], kind) == value, line


def heights(notes: str) -> list[float]:
    """The heights of the frames of one bar, in the order they are drawn."""
    bar = first_bar(f"bar 1\n1-4  {notes}\n")
    return [box.top for box in boxes(bar.staff, bar.width) if box.kind == "frame"]


def test_a_higher_note_stands_higher() -> None:
    rising = heights("=A2 =E3 =A3 =B3 =C4 =E5 =A5")
    assert rising == sorted(set(rising), reverse=True)
    assert heights("=A2 =A2") == [heights("=A2")[0]] * 2


def test_what_has_no_pitch_stands_at_one_height_whatever_sounds_beside_it() -> None:
    alone = heights("?")
    assert heights("=A2 ? =A5")[1:2] == heights("=C6 ?")[1:] == heights("=C2 ?")[1:] == alone


def test_what_has_no_pitch_takes_no_row_from_the_degrees() -> None:
    assert "degree" in first_bar("bar 1  Am\n1-4  ?+=E4\n").staff
    rows = re.findall(r'class="degree" aria-hidden="true" y="([^"]+)"', first_bar("bar 1  Am\n1-4  ?+=E4\n").staff)
    assert rows == re.findall(
        r'class="degree" aria-hidden="true" y="([^"]+)"', first_bar("bar 1  Am\n1-4  =E4\n").staff
    )


def test_names_of_one_stroke_keep_apart_in_the_order_of_their_pitches() -> None:
    low, high, middle = heights("=C4+=D4+=C#4")
    assert high <= middle - 12 <= low - 24


def test_a_slide_goes_from_name_to_name() -> None:
    bar = first_bar("bar 1\n1-4  =D4 /=A4\n")
    lower, higher = (box.top + 6 for box in boxes(bar.staff, bar.width) if box.kind == "frame")
    ends = re.findall(r'<line class="tt-line" [^>]*y1="([^"]+)" y2="([^"]+)"', bar.staff)
    assert [(round(float(start)), round(float(end))) for start, end in ends] == [(round(lower), round(higher))]


def test_a_bend_rises_over_its_name() -> None:
    bar = first_bar("bar 1\n1-4  =D4b=E4 =A5\n")
    step = next(box for box in boxes(bar.staff, bar.width) if box.kind == "step")
    frame = next(box for box in boxes(bar.staff, bar.width) if box.kind == "frame")
    assert step.bottom < frame.top


def test_a_hatching_ends_before_what_follows() -> None:
    bar = first_bar("bar 1\n1-2  ??\n3-4  =F#4?=G4\n")
    left, width = map(float, re.search(r'class="unheard" x="([^"%]+)%"[^>]* width="([^"%]+)%"', bar.staff).groups())
    (first,) = (box for box in boxes(bar.staff, bar.width) if box.kind == "fret gap")
    (following,) = (box for box in boxes(bar.staff, bar.width) if box.kind == "frame")
    assert left / 100 * bar.width < first.left
    assert first.right < (left + width) / 100 * bar.width < following.left


def test_what_is_unheard_from_the_first_count_fills_its_bar() -> None:
    bars_of = bars(drawing("bar 1\n1-4  3:5\n\nbar 2\n1-4  ??\n"))
    (band,) = (box for box in boxes(bars_of[1].staff, bars_of[1].width) if box.kind == "band")
    assert band.left == pytest.approx(bars_of[1].width - band.right, abs=0.1)
    assert band.left < 6
