"""Nothing printed may lie over anything else or beyond its bar, however far a bar is stretched or broken."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from drawn import SOLOS, boxes, collisions, drawing, joined
from generated import solos
from hypothesis import example, given, settings
from thoroughness import share

from tabtools.engraving import PieceDrawing, SoloDrawing

STRETCHES = (1.0, 1.4, 2.2)
BEYOND = 1.0
"""By how many pixels an estimate of a text may reach over the edge of its piece."""


def overlaps(drawn: SoloDrawing) -> Iterator[str]:
    """Texts over each other: in each piece by itself, and in whole sections on one endless line."""
    for section in drawn.sections:
        pieces = [piece for bar in section.bars for piece in bar.pieces]
        whole = sum(piece.width for piece in pieces)
        for stretch in STRETCHES:
            line = joined([(piece.width, piece.staff) for piece in pieces])
            for one, other in collisions(line, whole * stretch):
                yield f"{section.name} at {stretch}: {one} over {other}"
            for piece in pieces:
                if piece.chords:
                    for one, other in collisions(piece.chords, piece.width * stretch):
                        yield f"{section.name} at {stretch}: {one} over {other}"


def beyond(piece: PieceDrawing) -> Iterator[str]:
    """Texts that leave their piece."""
    for svg in filter(None, (piece.staff, piece.chords)):
        for box in boxes(svg, piece.width):
            if box.left < -BEYOND or box.right > piece.width + BEYOND:
                yield f"{box} in {piece.width}"


def faults(text: str) -> list[str]:
    drawn = drawing(text)
    pieces = [piece for section in drawn.sections for bar in section.bars for piece in bar.pieces]
    return [*overlaps(drawn), *(fault for piece in pieces for fault in beyond(piece))]


@pytest.mark.parametrize("path", SOLOS, ids=lambda path: path.stem)
def test_no_text_of_the_demo_solos_overlaps_or_leaves_its_bar(path: Path) -> None:
    assert faults(path.read_text(encoding="utf-8")) == []


CROWDED = """meter: 5/4

bar 1
1    3:5
2    3:5
3    3:5
4    ??
5    (- 6:8 h13 /4:7<19>?[rake]+3:<12>?3:7[pinch]+5:11/[up] 2:2b4) /3:13h15p13[ring]+5:15b17?5:16[accent] . 3:19[trem]
"""
"""A stretch that cannot be made out, and a rest and a note right behind it."""


@settings(max_examples=share(150))
@example(CROWDED)
@given(solos())
def test_no_text_of_generated_solos_overlaps_or_leaves_its_bar(text: str) -> None:
    assert faults(text) == []


def test_a_release_that_rises_has_room_for_its_label() -> None:
    lines = "1  1:0\n2  - =A2r=A4+?+=A2?=A2\n3  h1\n4  - 1:1+2:1\n"
    assert faults(f"title: A\nmeter: 12/8 in 4\n\nbar 1\n{lines}") == []


def test_the_measure_sees_an_overlap() -> None:
    svg = '<svg><text class="fret" x="10%" y="10">12</text><text class="fret" x="10%" dx="9" y="12">7</text></svg>'
    assert len(collisions(svg, 100)) == 1


def test_the_measure_sees_what_leaves_its_piece() -> None:
    svg = '<svg><text class="fret" x="98%" y="10">12</text></svg>'
    assert len(list(beyond(PieceDrawing(0.0, 100.0, "", svg)))) == 1
