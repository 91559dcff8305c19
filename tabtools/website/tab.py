"""The drawn bars as HTML: sections, systems that flow, each bar with its reading."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from tabtools.study.labels import Labels, Style, labels_of
from tabtools.timeline import TimedNote, Timeline
from tabtools.website.drawing import GLYPHS, BarDrawing, NoteText, SectionDrawing, draw_solo
from tabtools.website.reading import bar_in_words, note_in_words

TIGHTEST_STRETCH = 1.7
NOTABLE_CENTS = 25


def tab_html(timeline: Timeline, style: Style = "plain") -> tuple[str, dict[str, str]]:
    """The tab of a solo, and the ids in it by address (`5`, `5.2`, `5.2.3`)."""
    labels = labels_of(timeline, style)
    texts = [
        NoteText(_under(note, known), note_in_words(note, known))
        for note, known in zip(timeline.notes, labels, strict=True)
    ]
    drawing = draw_solo(timeline, texts)
    readings = iter(_readings(timeline, labels))
    sections = "".join(_section(section, readings) for section in drawing.sections)
    region = (
        '<div class="tt-tab" role="region" aria-label="Tab" tabindex="0" data-search-exclude>'
        f"{GLYPHS}{sections}</div>"
    )
    return region, drawing.anchors


def _section(section: SectionDrawing, readings: Iterable[str]) -> str:
    name = " ".join(filter(None, (section.label, section.name)))
    label = f'<span class="tt-letter">{escape(section.label)}</span> ' if section.label else ""
    heading = f"<h3 data-search-exclude>{label}{escape(section.name)}</h3>" if name else ""
    named = any(bar.chords for bar in section.bars)
    bars = "".join(_bar(bar, reading, named) for bar, reading in zip(section.bars, readings, strict=False))
    return f'<section class="tt-section">{heading}<div class="tt-bars">{bars}</div></section>'


def _bar(bar: BarDrawing, reading: str, named: bool) -> str:
    width = round(bar.width)
    anchor = f' id="{bar.anchor}"' if bar.anchor else ""
    chords = (bar.chords or '<svg class="tt-chords" height="21"></svg>') if named else ""
    return (
        f'<div class="tt-bar"{anchor} role="img" aria-label="{escape(reading)}" '
        f'style="--w:{width}">{chords}{bar.staff}</div>'
    )


def _readings(timeline: Timeline, labels: tuple[Labels, ...]) -> list[str]:
    """Each bar in words."""
    bars: list[str] = []
    cursor = 0
    for bar in timeline.bars:
        end = cursor
        while end < len(timeline.notes) and timeline.notes[end].begins.bar == bar.onset:
            end += 1
        bars.append(bar_in_words(bar, zip(timeline.notes[cursor:end], labels[cursor:end], strict=True)))
        cursor = end
    return bars


def _under(note: TimedNote, labels: Labels) -> str:
    """The degree over the chord; over the key, in brackets, where there is no chord."""
    path = [_printed(one) for one in labels.path]
    if not path and labels.key_path:
        path = [f"({_printed(one)})" for one in labels.key_path]
    return "›".join(dict.fromkeys(path))


def _printed(degree: str) -> str:
    """`b3` as `♭3`; cents that the ear notices as an arrow up or down, `b3+50c` as `♭3↑`."""
    name, sign, cents = degree, "", ""
    for mark in "+-":
        if mark in degree:
            name, _, cents = degree.partition(mark)
            sign = "↑" if mark == "+" else "↓"
    notable = cents and int(cents.rstrip("c")) >= NOTABLE_CENTS
    return name.replace("b", "♭").replace("#", "♯") + (sign if notable else "")
