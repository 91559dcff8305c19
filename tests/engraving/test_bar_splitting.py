"""Where a wide bar may be broken, and that nothing is lost or torn apart there."""

from __future__ import annotations

import re
from dataclasses import replace
from unittest import mock

import pytest
from drawn import SOLOS, drawing, texts
from generated import solos
from hypothesis import given, settings
from thoroughness import share

from tabtools.engraving import BarDrawing, PieceDrawing, SoloDrawing, bar_splitting

RUN = "3:12 3:14 2:12 2:13 2:15 1:12 1:14 1:15 2:15 2:13 3:14 3:12"
CALM = "\n".join(f"{count}  {RUN}" for count in range(1, 5))


def bar_of(text: str, meter: str = "4/4") -> BarDrawing:
    return drawing(text, meter).sections[0].bars[0]


def starts(text: str, meter: str = "4/4") -> list[float]:
    """The counts, less one, at which the pieces of the first bar begin, in a meter of so many counts."""
    counts = int(meter.partition("/")[0])
    return [round(piece.since * counts, 3) for piece in bar_of(text, meter).pieces]


def test_a_narrow_bar_is_one_piece() -> None:
    assert starts("bar 1  Am\n1-4  3:5 3:7 2:5 2:8\n") == [0]


def test_a_wide_bar_is_broken_at_counts_into_few_pieces_that_fit() -> None:
    assert starts(f"bar 1  Am\n{CALM}\n") == [0, 1, 2, 3]
    assert starts("bar 1  Am\n" + "\n".join(f"{count}  3:12 3:14 2:12 2:13 2:15 1:12" for count in range(1, 5))) == [
        0,
        2,
    ]
    assert all(piece.width <= bar_splitting.WIDEST for piece in bar_of(f"bar 1  Am\n{CALM}\n").pieces)


@pytest.mark.parametrize(
    ("line", "found"),
    [
        (f"2  {RUN}", [0, 1, 2, 3]),
        (f"2  3:14 /16 {RUN}", [0, 1, 2, 3]),
        (f"2  /16 {RUN}", [0, 2, 3]),
        (f"2  b14 r12 {RUN}", [0, 2, 3]),
        (f"2  p10 {RUN}", [0, 1, 2, 3]),
        (f"2  - {RUN}", [0, 1, 2, 3]),
        (f"2-3  ({RUN}) {RUN} {RUN}", [0, 1, 3]),
    ],
    ids=["notes", "a slide within", "a slide across", "a bend across", "a slur across", "a tie across", "a tuplet"],
)
def test_a_cut_opens_nothing_but_ties_and_slurs(line: str, found: list[int]) -> None:
    first = f"bar 1  Am\n1  {RUN}\n{line}\n"
    rest = "".join(f"{count}  {RUN}\n" for count in ((4,) if line[1] == "-" else (3, 4)))
    assert starts(first + rest) == found


def test_a_wave_is_not_cut() -> None:
    shaken = CALM.replace("3:12\n2  3:12", "3:12~\n2  -", 1)
    assert starts(f"bar 1  Am\n{shaken}\n") == [0, 2, 3]


def test_a_chord_name_is_not_left_behind() -> None:
    name = "F#m7b5(b9,#11,b13)/C#"
    assert 1 not in starts(f"bar 1  {name}@1\n1  3:5\n" + "".join(f"{count}  {RUN}\n" for count in (2, 3, 4)))


def test_staff_and_ties_go_on_where_a_bar_is_broken() -> None:
    first, second, *_ = bar_of(f"bar 1  Am\n1  {RUN}\n2  - {RUN}\n3  {RUN}\n4  {RUN}\n").pieces
    assert len(re.findall('class="string"', second.staff)) == 6
    assert "barline" in first.staff
    assert "barline" not in second.staff
    assert first.staff.count('preserveAspectRatio="none"') == second.staff.count('preserveAspectRatio="none"') == 1


def test_only_the_first_piece_has_the_number_and_only_the_last_closes() -> None:
    drawn = bar_of(f"bar 7  Am\n{CALM}\n").pieces
    assert [texts(piece.staff, "number") for piece in drawn] == [["7"], ["(7)"], ["(7)"], ["(7)"]]
    assert [len(texts(piece.staff, "again")) for piece in drawn] == [0, 1, 1, 1]
    assert ["thick" in piece.staff for piece in drawn] == [False, False, False, True]
    assert [texts(piece.staff, "count") for piece in drawn] == [["1"], ["2"], ["3"], ["4"]]


def test_a_free_bar_is_broken_between_its_notes() -> None:
    assert len(bar_of(f"bar 1  Am  free 9s\n1-4  {RUN}\n").pieces) == 2


def test_a_beat_too_wide_stays_whole() -> None:
    assert starts("bar 1  Am\n1-4  3:12*2 " + "3:14 2:12 2:13 2:15 " * 7 + "\n") == [0]


def uncut(text: str) -> SoloDrawing:
    with mock.patch.object(bar_splitting, "WIDEST", 1e9):
        return drawing(text)


TEXTS = ("fret", "degree", "count", "tuplet", "chord", "step", "other", "letter", "number", "open", "finger")
WORDS = ("word", "time", "held", "meter", "tempo", "ornament")
"""What stands over and under the staff, drawn kind by kind in each piece."""
SIGNS = (
    'class="beam"', 'class="stem"', 'class="tt-line', 'class="tremolo"', "#tt-arrow", "#tt-rest", "#tt-flag", "#tt-up",
    "#tt-down", "#tt-accent", "#tt-stacc", "#tt-head",
)  # fmt: skip


def ink(drawn: SoloDrawing) -> dict[str, list[list[str]]]:
    """What each bar says, kind by kind, and how many beams, bends, slides and other signs it has."""
    found: dict[str, list[list[str]]] = {}
    for bar in (bar for section in drawn.sections for bar in section.bars):
        whole = "".join(piece.staff + piece.chords for piece in bar.pieces)
        whole = re.sub(r'<text class="[^"]* again"[^>]*>[^<]*</text>', "", whole)
        svg = f"<svg>{whole}</svg>"
        for kind in TEXTS:
            found.setdefault(kind, []).append(texts(svg, kind))
        for kind in WORDS:
            found.setdefault(kind, []).append(sorted(texts(svg, kind)))
        for sign in SIGNS:
            found.setdefault(sign, []).append([sign] * whole.count(sign))
    return found


@pytest.mark.parametrize("path", SOLOS, ids=lambda path: path.stem)
def test_the_demo_solos_lose_nothing(path) -> None:
    text = path.read_text(encoding="utf-8")
    assert ink(drawing(text)) == ink(uncut(text))


@settings(max_examples=share(30))
@given(solos())
def test_generated_solos_lose_nothing(text: str) -> None:
    assert ink(drawing(text)) == ink(uncut(text))


ONE_OF_EACH = {
    "a stem": '<line class="stem"[^>]*/>',
    "a beam": '<line class="beam"[^>]*/>',
    "a figure": '<text class="fret"[^>]*>[^<]*</text>',
    "a degree": '<text class="degree"[^>]*>[^<]*</text>',
    "a count": '<text class="count"[^>]*>[^<]*</text>',
    "the number over a beam": '<text class="tuplet"[^>]*>[^<]*</text>',
}


@pytest.mark.parametrize("lost", ONE_OF_EACH)
def test_the_measure_sees_one_sign_lost_in_any_piece(lost: str) -> None:
    whole = drawing(f"bar 1  Am\n{CALM}\n")
    bar = whole.sections[0].bars[0]
    assert len(bar.pieces) == 4
    for place, piece in enumerate(bar.pieces):
        staff, count = re.subn(ONE_OF_EACH[lost], "", piece.staff, count=1)
        assert count == 1
        left = (*bar.pieces[:place], replace(piece, staff=staff), *bar.pieces[place + 1 :])
        assert ink(with_pieces(whole, left)) != ink(whole)


def test_the_measure_sees_a_piece_lost_and_pieces_changed_about() -> None:
    whole = drawing(f"bar 1  Am\n{CALM}\n")
    pieces = whole.sections[0].bars[0].pieces
    for place in range(len(pieces)):
        assert ink(with_pieces(whole, (*pieces[:place], *pieces[place + 1 :]))) != ink(whole)
    assert ink(with_pieces(whole, pieces[::-1])) != ink(whole)
    assert ink(with_pieces(whole, pieces)) == ink(whole)


def with_pieces(drawn: SoloDrawing, pieces: tuple[PieceDrawing, ...]) -> SoloDrawing:
    """The drawing of one bar with other pieces."""
    section = drawn.sections[0]
    return replace(drawn, sections=(replace(section, phrases=((replace(section.bars[0], pieces=pieces),),)),))
