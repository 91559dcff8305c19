"""Solos drawn for tests: from text to SVG, and back to the boxes of the text in it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

from tabtools.engraving import BarDrawing, NoteText, SoloDrawing, draw_solo
from tabtools.engraving.metrics import percent, text_width
from tabtools.notation.build import read_solo
from tabtools.source import from_text
from tabtools.study.labels import labels_of
from tabtools.timeline import Timeline, timeline_of

ROOT = Path(__file__).parents[1]
SOLOS = sorted((ROOT / "transcriptions").glob("*.solo"))
STYLESHEET = ROOT / "tabtools" / "website" / "assets" / "tab.css"
HEADER = "title: A\nplayer: B\nrecording: C\nrights: CC0-1.0\nmeter: {meter}\nkey: A minor\n\n"

SLACK = 0.6
"""Boxes may touch, and rounding moves them by a fraction of a pixel."""


class Box(NamedTuple):
    """Where the ink of a text lies, in pixels."""

    text: str
    kind: str
    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Box) -> bool:
        across = min(self.right, other.right) - max(self.left, other.left)
        down = min(self.bottom, other.bottom) - max(self.top, other.top)
        return across > SLACK and down > SLACK


def timeline(text: str, meter: str = "4/4") -> Timeline:
    """The timeline of a solo; a text without a header gets one."""
    whole = text if text.startswith("title:") else HEADER.format(meter=meter) + text
    return timeline_of(read_solo(from_text(whole, "case.solo")).solo)


def drawing(text: str, meter: str = "4/4", has_staff: bool = False) -> SoloDrawing:
    """A solo drawn as the site draws it, with a standard staff if asked for."""
    timed = timeline(text, meter)
    return draw_solo(timed, [NoteText("›".join(labels.path)) for labels in labels_of(timed)], has_staff)


class Printed(NamedTuple):
    """A bar as it stands on a wide page, its pieces side by side."""

    number: int
    anchor: str
    width: float
    chords: str
    staff: str


def bars(drawn: SoloDrawing) -> list[Printed]:
    """All bars of a solo on a wide page."""
    return [printed(bar) for section in drawn.sections for bar in section.bars]


def printed(bar: BarDrawing) -> Printed:
    """A bar with its pieces side by side."""
    chords = joined([(piece.width, piece.chords) for piece in bar.pieces]) if bar.pieces[0].chords else ""
    staff = joined([(piece.width, piece.staff) for piece in bar.pieces])
    return Printed(bar.number, bar.anchor, bar.width, chords, staff)


def joined(drawn: list[tuple[float, str]]) -> str:
    """Drawings of these widths side by side, as one drawing that stretches as they do."""
    whole, left, parts = sum(width for width, _ in drawn), 0.0, []
    for width, svg in drawn:
        parts.append(f'<svg x="{percent(left / whole)}" width="{percent(width / whole)}">{svg}</svg>')
        left += width
    return f"<svg>{''.join(parts)}</svg>" if len(drawn) > 1 else drawn[0][1]


def first_bar(text: str, meter: str = "4/4") -> Printed:
    return bars(drawing(text, meter))[0]


def texts(svg: str, kind: str) -> list[str]:
    """What the texts of one class say, in the order they are drawn."""
    root = ElementTree.fromstring(svg)
    return ["".join(element.itertext()) for element in root.iter("text") if kind in element.get("class", "").split()]


@lru_cache(maxsize=1)
def _styles() -> dict[str, dict[str, str]]:
    """The declarations of the stylesheet for classes within a bar."""
    styles: dict[str, dict[str, str]] = {}
    for selectors, body in re.findall(r"([^{}]+)\{([^{}]*)\}", STYLESHEET.read_text(encoding="utf-8")):
        declared = dict(re.findall(r"([\w-]+):\s*([^;]+);", body))
        for name in re.findall(r"\.tt-bar \.([\w-]+)\s*(?:,|$)", selectors.strip()):
            styles.setdefault(name, {}).update(declared)
    return styles


def _style(classes: str, name: str, default: str) -> str:
    for one in reversed(classes.split()):
        if name in _styles().get(one, {}):
            return _styles()[one][name]
    return default


def boxes(svg: str, width: float) -> list[Box]:
    """The boxes of a drawing stretched to a width: of its texts (in a frame that of the frame), and of `band`s."""
    return list(_boxes(ElementTree.fromstring(svg), 0.0, 0.0, width))


def _boxes(element: ElementTree.Element, x: float, y: float, width: float) -> Iterator[Box]:
    if element.tag == "svg":
        x += _length(element.get("x", "0"), width)
        y += float(element.get("y", "0"))
        width = _length(element.get("width", "100%"), width)
    moved = re.match(r"translate\((\S+?)(?: (\S+))?\)", element.get("transform", ""))
    if moved:
        x, y = x + float(moved[1]), y + float(moved[2] or 0)
    kind = element.get("class", "")
    if kind == "unheard":
        foot = y + float(element.get("height", "0"))
        begins = any(child.get("class") == "edge" and child.get("x1") == "0" for child in element)
        yield Box("begins" if begins else "", "band", x, y, x + width, foot)
    if element.tag == "text" and "named" not in kind.split():
        yield _text_box(element, x, y, width)
    elif kind == "frame":
        left, top = x + float(element.get("x", "0")), y + float(element.get("y", "0"))
        wide, high = float(element.get("width", "0")), float(element.get("height", "0"))
        yield Box("", kind, left, top, left + wide, top + high)
    for child in element:
        yield from _boxes(child, x, y, width)


def _text_box(element: ElementTree.Element, x: float, y: float, width: float) -> Box:
    kind, text = element.get("class", ""), "".join(element.itertext())
    size = float(_style(kind, "font-size", "16px").removesuffix("px"))
    bold = _style(kind, "font-weight", "400") == "700"
    wide = text_width(text, size, bold)
    left = x + _length(element.get("x", "0"), width) + float(element.get("dx", "0"))
    left -= {"start": 0.0, "middle": wide / 2, "end": wide}[_style(kind, "text-anchor", "middle")]
    base = y + float(element.get("y", "0"))
    low = 0.2 * size if re.search(r"[gjpqyQ(),/|]", text) else 0.0
    return Box(text, kind, left, base - 0.73 * size, left + wide, base + low)


def _length(value: str, width: float) -> float:
    return float(value[:-1]) / 100 * width if value.endswith("%") else float(value)


def collisions(svg: str, width: float) -> list[tuple[Box, Box]]:
    """Pairs of texts that lie over each other, and of hatched bands and what stands in them, but for their own sign."""
    found = boxes(svg, width)
    printed = [box for box in found if box.kind != "band"]
    pairs = [(one, other) for one, other in combinations(printed, 2) if one.overlaps(other)]
    for band in (box for box in found if box.kind == "band"):
        inside = [(band, box) for box in printed if band.overlaps(box)]
        pairs += inside[1:] if band.text == "begins" else inside
    return pairs
