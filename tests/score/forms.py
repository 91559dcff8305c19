"""The rhythm of a bar in one line, told by a score's records, by a MusicXML document, and by a drawing.

`q.` is a dotted quarter; `w h q 8 16 32` are values, `r8` is a rest, `R` one that fills the bar. `8-8` share a beam,
`16=16` two, `16#16` three; `8.-16<` ends in a stub that points back, `>16-8.` begins with one that points on. `~8` is
tied: all that sounds there has been sounding; at `+8` some of it has. `3(8-8-8)` is a tuplet. `?` stands under a
doubtful count and has no value, `?8` is unheard for the time of an eighth.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from tabtools.engraving import BarDrawing
from tabtools.engraving.metrics import BEAM, BEAM_STEP, STEM_BOTTOM, STEM_TOP, STRING_GAP, number
from tabtools.score.records import BACKWARD, CONTINUE, END, FORWARD, Measure, WrittenEvent

SHORT = {"whole": "w", "half": "h", "quarter": "q", "eighth": "8"}
VALUES = ("w", "h", "q", "8", "16", "32", "64", "128", "256", "512", "1024")
JOINTS = " -=#"
SILENT_BAR = "R"


class Told(NamedTuple):
    """One value: `joint` is how many beams lead to it from the one before, `ahead` and `back` how many stubs it has."""

    value: str
    dots: int = 0
    is_rest: bool = False
    tie: str = ""
    joint: int = 0
    ahead: int = 0
    back: int = 0
    opens: tuple[str, ...] = ()
    closes: int = 0


def line(values: Iterable[Told]) -> str:
    """Values in one line."""
    text = ""
    for one in values:
        joint = JOINTS[one.joint] if one.joint < len(JOINTS) else f"-{one.joint}-"
        opened = "".join(f"{figure}(" for figure in one.opens)
        own = "r" * one.is_rest + one.tie + one.value + "." * one.dots
        text += f"{joint if text else ''}{opened}{'>' * one.ahead}{own}{'<' * one.back}{')' * one.closes}"
    return text


def short(name: str) -> str:
    return SHORT.get(name, name.removesuffix("th").removesuffix("nd"))


def beams(told: Sequence[str]) -> dict[str, int]:
    """The fields of `Told` that the beams over a value give, the longest beam first."""
    return {
        "joint": sum(one in (CONTINUE, END) for one in told),
        "ahead": told.count(FORWARD),
        "back": told.count(BACKWARD),
    }


# ---- the records


def in_score(measure: Measure) -> str:
    events = measure.events
    return SILENT_BAR if measure.is_silent else line(_told(events, place) for place in range(len(events)))


def _told(events: Sequence[WrittenEvent], place: int) -> Told:
    event = events[place]
    before = events[place - 1].tuplets if place else ()
    after = events[place + 1].tuplets if place + 1 < len(events) else ()
    return Told(
        "?" * event.unheard + ("?" if event.doubtful else short(event.name)),
        0 if event.doubtful else event.dots,
        event.is_rest,
        "~" if event.is_tied else "+" if any(one.sounds_on for one in event.notes) else "",
        **beams(event.beams),
        opens=tuple(tuplet.figure for tuplet in event.tuplets if tuplet not in before),
        closes=sum(tuplet not in after for tuplet in event.tuplets),
    )


# ---- MusicXML


def in_musicxml(measure: Element) -> str:
    chords: list[list[Element]] = []
    for note in measure.iter("note"):
        if note.find("rest[@measure='yes']") is not None:
            return SILENT_BAR
        if note.find("grace") is None:
            if note.find("chord") is None:
                chords.append([])
            chords[-1].append(note)
    return line(map(_chord, chords))


def _chord(notes: Sequence[Element]) -> Told:
    first = notes[0]
    assert len({(note.findtext("type"), len(note.findall("dot"))) for note in notes}) == 1
    ties = [note.find("tie[@type='stop']") is not None for note in notes]
    assert ties == [note.find("notations/tied[@type='stop']") is not None for note in notes]
    levels = first.findall("beam")
    assert [beam.get("number") for beam in levels] == [str(level + 1) for level in range(len(levels))]
    unheard = "?" * (first.findtext("notehead") == "rectangle")
    return Told(
        unheard + short(first.findtext("type", "?")),
        len(first.findall("dot")),
        first.find("rest") is not None,
        "~" if all(ties) else "+" if any(ties) else "",
        **beams([beam.text or "" for beam in levels]),
        opens=tuple(_figure(one) for one in first.iterfind("notations/tuplet[@type='start']")),
        closes=len(first.findall("notations/tuplet[@type='stop']")),
    )


def _figure(tuplet: Element) -> str:
    actual, normal = (tuplet.findtext(f"{tag}/tuplet-number") for tag in ("tuplet-actual", "tuplet-normal"))
    return f"{actual}" if tuplet.get("show-number") == "actual" else f"{actual}:{normal}"


# ---- a drawing


def in_drawing(bar: BarDrawing, strings: int = 6) -> str:
    """What is drawn under the staff of a bar and within it, all but tuplets. Whole notes have no stem."""
    found = [_Drawn(ElementTree.fromstring(piece.staff), (strings - 1) * STRING_GAP) for piece in bar.pieces]
    return SILENT_BAR if any(one.is_silent for one in found) else line(told for one in found for told in one.values())


def as_drawn(form: str) -> str:
    """A form without what a drawing does not show: values without stems, ties of single notes of a chord.

    What is not known has no stem either, and a rest under a doubtful count no value.
    """
    form = re.sub(r"\d+(:\d+)?\(|\)|\+", "", form)
    return " ".join(
        word for word in form.split(" ") if word.lstrip("~").rstrip(".") not in ("w", "breve") and "?" not in word
    )


def tuplet_figures(form: str) -> list[str]:
    """The figures of the tuplets of a form, sorted."""
    return sorted(re.findall(r"(\d+(?::\d+)?)\(", form))


class _Drawn:
    """The ink of one drawing: places along it are percentages."""

    def __init__(self, root: Element, base: float):
        self.base = base
        self.stems: dict[float, float] = {}
        self.flags: dict[float, int] = {}
        self.dots: dict[float, int] = {}
        self.rests: dict[float, tuple[int, int]] = {}
        self.beams: list[tuple[float, float, int]] = []
        self.stubs: list[tuple[float, int, int]] = []
        self.ties: list[tuple[float, float]] = []
        self.is_silent = False
        self._read(root, 0.0)

    def _read(self, element: Element, x: float) -> None:
        for child in element:
            at = _share(child.get("x")) if child.tag == "svg" and child.get("x", "").endswith("%") else x
            kind = child.get("class", "")
            if kind == "stem":
                self.stems[_share(child.get("x1"))] = float(child.get("y1", "0")) - self.base
            elif kind == "beam":
                self._beam(child, at)
            elif kind == "rest" and child.get("href") != "#tt-rest-doubtful":
                value = int(child.get("href", "").removeprefix("#tt-rest"))
                self.is_silent = self.is_silent or bool(child.get("x", "").endswith("%"))
                dots = sum(one.tag == "circle" for one in element)
                self.rests[at] = (value, dots)
            elif child.get("href", "").startswith("#tt-flag"):
                self.flags[at] = int(child.get("href", "").removeprefix("#tt-flag"))
            elif child.tag == "circle" and child.get("cy") == number(self.base + STEM_TOP + 6):
                self.dots[at] = self.dots.get(at, 0) + 1
            elif kind == "tie":
                self.ties.append((at, at + _share(child.get("width"))))
            self._read(child, at)

    def _beam(self, beam: Element, at: float) -> None:
        top = self.base + STEM_BOTTOM - BEAM / 2
        level = round((top - float(beam.get("y1", "0"))) / BEAM_STEP)
        if beam.get("x1", "").endswith("%"):
            self.beams.append((_share(beam.get("x1")), _share(beam.get("x2")), level))
        else:
            self.stubs.append((at, level, 1 if float(beam.get("x2", "0")) > 0 else -1))

    def values(self) -> list[Told]:
        told = {x: self._stem(x, y) for x, y in self.stems.items()}
        told |= {x: Told(VALUES[value], dots, is_rest=True) for x, (value, dots) in self.rests.items()}
        return [told[x] for x in sorted(told)]

    def _stem(self, x: float, top: float) -> Told:
        left = [level for first, last, level in self.beams if first < x <= last]
        right = [level for first, last, level in self.beams if first <= x < last]
        ahead = [level for at, level, way in self.stubs if at == x and way > 0]
        back = [level for at, level, way in self.stubs if at == x and way < 0]
        levels = {*left, *right, *ahead, *back}
        assert levels == set(range(len(levels))), "no beam is missing between others"
        assert not (levels and x in self.flags), "a beam or a flag"
        halvings = len(levels) or self.flags.get(x, 0)
        value = "h" if top > STEM_TOP else VALUES[halvings + 2]
        is_tied = any(abs(end - x) < 0.02 for _, end in self.ties)
        return Told(value, self.dots.get(x, 0), tie="~" * is_tied, joint=len(left), ahead=len(ahead), back=len(back))


def _share(text: str | None) -> float:
    assert text is not None and text.endswith("%"), text
    return float(text[:-1])
