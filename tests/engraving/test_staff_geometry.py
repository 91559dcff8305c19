"""On the standard staff nothing lies over a head or an accidental, and nothing leaves the room of its system."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

import pytest
from drawn import SOLOS, Box, boxes, timeline
from exchange_music import made_solo
from thoroughness import share

from tabtools.engraving import NoteText, PieceDrawing, draw_solo

STRETCHES = (1.0, 1.8)
HALVES = {
    **dict.fromkeys(("note2", "note1", "cross2", "cross1", "cross0", "diamond2", "diamond1", "diamond0"), (4.5, 3.4)),
    "note0": (6.2, 3.4),
    "sharp": (3.5, 9.0),
    "natural": (2.6, 9.0),
    "flat": (2.9, 7.0),
    "half-sharp": (3.0, 9.0),
    "sharp-and-a-half": (4.2, 9.0),
    "half-flat": (2.9, 7.0),
    "flat-and-a-half": (5.8, 7.0),
    "double-sharp": (4.0, 4.0),
    "double-flat": (5.8, 7.0),
}
"""Half the width and height of the ink of a sign."""
BEYOND = 1.5


def ink(piece: PieceDrawing, width: float) -> list[Box]:
    """Heads, accidentals, and the texts of a piece stretched to a width."""
    root = ElementTree.fromstring(piece.standard)
    return [*_signs(root, 0.0, 0.0, 1.0, width), *boxes(piece.standard, width)]


def _signs(element: Element, x: float, y: float, scale: float, width: float) -> Iterator[Box]:
    for child in element:
        kind = child.get("class", "")
        at, inner = x, scale
        if child.tag == "svg" and child.get("x", "").endswith("%"):
            at += float(child.get("x", "0")[:-1]) / 100 * width
        moved = re.match(r"translate\((\S+?)\)", child.get("transform", ""))
        if moved:
            at += float(moved[1])
        if kind == "grace":
            inner = scale * 0.68
        name = child.get("href", "").removeprefix("#tt-")
        if name in HALVES:
            half, high = HALVES[name]
            middle, down = at + inner * float(child.get("x", "0")), y + inner * float(child.get("y", "0"))
            half, high = half * inner, high * inner
            yield Box(name, "sign", middle - half, down - high, middle + half, down + high)
        yield from _signs(child, at, y, inner, width)


def faults(text: str) -> Iterator[str]:
    timed = timeline(text)
    drawn = draw_solo(timed, [NoteText("")] * len(timed.notes), has_staff=True)
    for section in drawn.sections:
        for phrase in section.phrases:
            pieces = [piece for bar in phrase for piece in bar.pieces]
            margins = {re.match(r'<svg [^>]*height="(\d+)" style="margin-top:(\d+)px"', one.standard) for one in pieces}
            rooms = {found.groups() for found in margins if found}
            if len(rooms) != 1:
                yield f"lines at several heights: {rooms}"
            ((below, above),) = rooms
            for piece in pieces:
                for stretch in STRETCHES:
                    yield from _faults(piece, stretch, -float(above), float(below))


def _faults(piece: PieceDrawing, stretch: float, highest: float, lowest: float) -> Iterator[str]:
    width = piece.width * stretch
    found = ink(piece, width)
    for one, other in combinations(found, 2):
        if one.overlaps(other) and "band" not in (one.kind, other.kind):
            yield f"at {stretch}: {one} over {other}"
    for box in found:
        if box.left < -BEYOND or box.right > width + BEYOND:
            yield f"{box} beside {width}"
        if box.top < highest - BEYOND or box.bottom > lowest + BEYOND:
            yield f"{box} beyond {highest} to {lowest}"


@pytest.mark.parametrize("path", SOLOS, ids=lambda path: path.stem)
def test_nothing_collides_on_the_staves_of_the_demo_solos(path: Path) -> None:
    assert list(faults(path.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize("is_open", [False, True])
def test_nothing_collides_on_generated_staves(is_open: bool) -> None:
    found = [(seed, fault) for seed in range(share(120)) for fault in faults(made_solo(seed, is_open=is_open))]
    assert found == []


def test_the_measure_sees_a_sign_over_a_head() -> None:
    drawn = '<svg><svg x="50%"><use href="#tt-note2" y="8"/><use href="#tt-sharp" x="-3" y="10"/></svg></svg>'
    assert len(list(_faults(PieceDrawing(0.0, 100.0, "", "", drawn), 1.0, -20.0, 50.0))) == 1
