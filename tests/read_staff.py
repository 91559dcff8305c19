"""A drawn standard staff read as a musician reads it: heads on their lines, accidentals as they hold, values, ties."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from tabtools.engraving import BarDrawing
from tabtools.model.pitch import LETTERS, NATURALS

SPACE = 8
FOOT = 4 * SPACE
BOTTOM = 7 * 3 + LETTERS.index("E")
"""The bottom line of a treble clef read an octave lower: an E 3."""
ALTERATIONS = {
    "double-flat": -2,
    "flat-and-a-half": -1.5,
    "flat": -1,
    "half-flat": -0.5,
    "natural": 0,
    "half-sharp": 0.5,
    "sharp": 1,
    "sharp-and-a-half": 1.5,
    "double-sharp": 2,
}
VALUES = ("whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th", "512th", "1024th")
SMALL = 0.68
"""The size of grace notes."""
NEAR = 0.03
"""Per cent of the width by which rounding moves a place."""


@dataclass
class ReadHead:
    """A head: how it looks, its step over the bottom line, its own sign, and the MIDI number it is read as."""

    shape: str
    step: int
    sign: str = ""
    midi: float | None = None

    @property
    def line(self) -> tuple[str, int]:
        """The letter and the octave of its line or space."""
        octave, letter = divmod(BOTTOM + self.step, 7)
        return LETTERS[letter], octave


@dataclass
class ReadEvent:
    """Heads over each other, or a rest; `value` is empty where none is claimed."""

    x: float
    heads: list[ReadHead]
    graces: list[list[ReadHead]]
    value: str = ""
    dots: int = 0
    is_rest: bool = False
    ties_in: int = 0
    ties_out: int = 0


@dataclass
class ReadBeam:
    """Where a bar of a beam lies: across in per cent, up and down in pixels."""

    left: float
    right: float
    top: float
    foot: float


@dataclass
class ReadBar:
    """A bar as it is read, and the figures of its tuplets."""

    events: list[ReadEvent] = field(default_factory=list)
    tuplets: list[str] = field(default_factory=list)


def read_bar(bar: BarDrawing) -> ReadBar:
    """Everything but pitches, which need the bars before."""
    found = ReadBar()
    for piece in bar.pieces:
        root = ElementTree.fromstring(piece.standard)
        events = list(_events(root))
        _add_ties(root, events, piece.width)
        found.events += events
        found.tuplets += [element.text or "" for element in root.iter("text") if element.get("class") == "tuplet"]
    return found


def _events(root: Element) -> Iterator[ReadEvent]:
    beams = [
        ReadBeam(
            _share(one.get("x")),
            _share(one.get("x")) + _share(one.get("width")),
            float(one.get("y", "0")),
            float(one.get("y", "0")) + float(one.get("height", "0")),
        )
        for one in root.iter("svg")
        if one.get("viewBox", "").startswith("0 0 1 ")
    ]
    for child in root:
        if _sign_of(child).startswith(("pause", "rest-doubtful")):
            yield _rest(child, [child])
        elif child.tag == "svg" and child.get("x", "").endswith("%") and not child.get("class"):
            inner = list(child)
            if any(_sign_of(one).startswith("pause") for one in inner):
                yield _rest(child, inner)
            elif any(_is_head(one) for one in inner):
                yield _struck(child, beams)


def _rest(place: Element, inner: list[Element]) -> ReadEvent:
    sign = next(_sign_of(one) for one in inner if _sign_of(one))
    value = "" if sign == "rest-doubtful" else VALUES[int(sign.removeprefix("pause"))]
    dots = sum(one.tag == "circle" for one in inner)
    return ReadEvent(_share(place.get("x")), [], [], value, dots, is_rest=True)


def _struck(place: Element, beams: list[ReadBeam]) -> ReadEvent:
    x = _share(place.get("x"))
    columns = [_heads(group, 1 / SMALL) for group in place.iter("g") if group.get("class") == "grace"]
    event = ReadEvent(x, _heads(place), columns, dots=len({*_dots(place)}))
    hollow = {int(_sign_of(one)[-1]) for one in place if re.fullmatch(r"(note|cross|diamond)\d", _sign_of(one))}
    stem = [
        float(one)
        for path in place
        if path.get("class") == "upright"
        for one in re.findall(r"-?[\d.]+", path.get("d", ""))
    ]
    has_stem = bool(stem)
    flags = sum(int(re.sub(r"\D", "", _sign_of(one))) for one in place if re.match("(up)?flag", _sign_of(one)))
    top, foot = (min(stem[1:]) - 2, max(stem[1:]) + 2) if stem else (0.0, 0.0)
    levels = sum(one.left - NEAR <= x <= one.right + NEAR and one.top < foot and top < one.foot for one in beams)
    assert not (flags and levels), "a beam or a flag"
    if has_stem or hollow == {0}:
        halvings = min(hollow, default=2)
        assert flags + levels == 0 or halvings == 2
        event.value = VALUES[halvings + flags + levels]
    return event


def _dots(place: Element) -> Iterator[str]:
    return (one.get("cx", "") for one in place if one.tag == "circle")


def _heads(place: Element, scale: float = 1.0) -> list[ReadHead]:
    """The heads of a column in the order they are drawn, each with its sign."""
    heads = [ReadHead(_shape(one), _step(one, scale)) for one in place if _is_head(one)]
    for one in place:
        if _sign_of(one) in ALTERATIONS:
            bare = next(
                head for head in heads if head.step == _step(one, scale) and not head.sign and head.shape != "cross"
            )
            bare.sign = _sign_of(one)
    return heads


def _shape(head: Element) -> str:
    return "asked" if head.tag == "text" else _sign_of(head)[:-1]


def _step(one: Element, scale: float) -> int:
    y = float(one.get("y", "0")) / scale - (5 if one.tag == "text" else 0)
    step = (FOOT - y) / (SPACE / 2)
    assert abs(step - round(step)) < 0.1, "heads stand on lines and in spaces"
    return round(step)


def _is_head(one: Element) -> bool:
    return bool(re.fullmatch(r"(note|cross|diamond)\d", _sign_of(one))) or one.get("class") == "asked"


def _sign_of(one: Element) -> str:
    return one.get("href", "").removeprefix("#tt-")


def _share(text: str | None) -> float:
    assert text is not None and text.endswith("%"), text
    return float(text[:-1])


def _add_ties(root: Element, events: list[ReadEvent], width: float) -> None:
    """Every tie belongs to the events at its ends; one that crosses an edge of the piece has one only."""
    struck = [event for event in events if event.heads]
    near, before = 100 * 8 / width, 100 * 70 / width
    for tie in root.iter("svg"):
        if tie.get("class") != "tie":
            continue
        left, right = _share(tie.get("x")), _share(tie.get("x")) + _share(tie.get("width"))
        starts = _nearest(tie, [event for event in struck if abs(event.x - left) <= near])
        ends = [event for event in struck if -near <= event.x - right <= (before if event.graces else near)]
        ends = _nearest(tie, ends)
        assert starts or ends, "a tie leads somewhere"
        for event in starts[:1]:
            event.ties_out += 1
        for event in ends[:1]:
            event.ties_in += 1


def _nearest(tie: Element, events: list[ReadEvent]) -> list[ReadEvent]:
    """The events of the first column, those first whose heads are nearest to a tie: two voices may stand there."""
    top = float(tie.get("y", "0"))
    foot = top + float(tie.get("height", "0"))

    def distance(event: ReadEvent) -> float:
        heads = [head for column in (*event.graces, event.heads) for head in column]
        heights = [FOOT - head.step * SPACE / 2 for head in heads]
        return min(min(abs(height - top), abs(height - foot)) for height in heights)

    return sorted((event for event in events if event.x == events[0].x), key=distance)


def read_pitches(bars: list[ReadBar], signed: Mapping[str, int]) -> None:
    """Give every head the pitch that a musician reads: by its sign, the signs before it in its bar, the signature.

    A head that is tied in is what it is tied to.
    """
    sounding: dict[tuple[str, int], list[float]] = {}
    for bar in bars:
        held: dict[tuple[str, int], float] = {}
        for event in bar.events:
            tied = event.ties_in
            for column in (*event.graces, event.heads):
                for head in column:
                    if head.shape in ("asked", "cross"):
                        continue
                    before = sounding.get(head.line, [])
                    if tied and not head.sign and before:
                        head.midi = before.pop(0)
                        tied -= 1
                    else:
                        letter, octave = head.line
                        if head.sign:
                            held[head.line] = ALTERATIONS[head.sign]
                        altered = held.get(head.line, signed.get(letter, 0))
                        head.midi = 12 * (octave + 1) + NATURALS[letter] + altered
            if event.ties_out:
                sounding.update({head.line: [] for head in event.heads})
                for head in event.heads:
                    if head.midi is not None:
                        sounding[head.line].append(head.midi)
