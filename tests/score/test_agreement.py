"""Page and download are written alike: what a finished MusicXML document and a drawing tell of a bar is its score."""

from __future__ import annotations

from collections.abc import Callable
from xml.etree import ElementTree

import pytest
from drawn import printed, texts
from exported import DEMO, demo, made, made_open
from forms import as_drawn, in_drawing, in_musicxml, in_score, tuplet_figures
from thoroughness import IS_THOROUGH

from tabtools.engraving import NoteText, draw_solo
from tabtools.exchange import musicxml
from tabtools.score import measures_of
from tabtools.timeline import Timeline

MADE = range(500 if IS_THOROUGH else 40)


def check(timeline: Timeline) -> None:
    measures = measures_of(timeline)
    forms = [in_score(measure) for measure in measures]
    root = ElementTree.fromstring(musicxml(timeline))
    assert [in_musicxml(measure) for measure in root.iter("measure")] == forms
    drawing = draw_solo(timeline, [NoteText("")] * len(timeline.notes))
    drawn = [bar for section in drawing.sections for bar in section.bars]
    strings = timeline.solo.header.instrument.strings
    for measure, form, bar in zip(measures, forms, drawn, strict=True):
        if not measure.bar.written.free:
            assert in_drawing(bar, strings) == as_drawn(form), measure.bar.number
            assert sorted(texts(printed(bar).staff, "tuplet")) == tuplet_figures(form), measure.bar.number


@pytest.mark.parametrize("name", DEMO)
def test_demo(name: str) -> None:
    check(demo(name))


@pytest.mark.parametrize("solo", [made, made_open])
@pytest.mark.parametrize("first", MADE[::20])
def test_generated(first: int, solo: Callable[[int], Timeline]) -> None:
    for seed in range(first, first + 20):
        try:
            check(solo(seed))
        except AssertionError as error:
            raise AssertionError(f"seed {seed}: {error}") from error
