"""Nothing printed may lie over anything else, however far a bar is stretched."""

from __future__ import annotations

from pathlib import Path

import pytest
from drawn import SOLOS, bars, collisions, drawing
from generated import solos
from hypothesis import given, settings

STRETCHES = (1.0, 1.4, 2.2)


def overlaps(text: str) -> list[str]:
    found = []
    for bar in bars(drawing(text)):
        for svg in filter(None, (bar.staff, bar.chords)):
            for stretch in STRETCHES:
                for one, other in collisions(svg, bar.width * stretch):
                    found.append(f"bar {bar.number} at {stretch}: {one} over {other}")
    return found


@pytest.mark.parametrize("path", SOLOS, ids=lambda path: path.stem)
def test_no_text_of_the_demo_solos_overlaps(path: Path) -> None:
    assert overlaps(path.read_text(encoding="utf-8")) == []


@settings(max_examples=150)
@given(solos())
def test_no_text_of_generated_solos_overlaps(text: str) -> None:
    assert overlaps(text) == []


def test_the_measure_sees_an_overlap() -> None:
    svg = '<svg><text class="fret" x="10%" y="10">12</text><text class="fret" x="10%" dx="9" y="12">7</text></svg>'
    assert len(collisions(svg, 100)) == 1
