"""A whole solo drawn: its sections, each with its bars."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice, pairwise
from typing import NamedTuple

from markupsafe import Markup

from tabtools.engraving.bar import (
    Frame,
    Parts,
    Sketch,
    draw_names,
    draw_staff,
    frame_rows,
    names_height,
    sketch,
)
from tabtools.engraving.bar_splitting import pieces_of
from tabtools.engraving.bends import trace_bends
from tabtools.engraving.layout import lay_out
from tabtools.engraving.marks import MarkSpan, span_levels, trace_spans
from tabtools.engraving.moves import trace_moves
from tabtools.engraving.open_stretches import trace_unheard
from tabtools.engraving.scene import NoteText, Scene, scenes_of
from tabtools.engraving.standard.arcs import trace_staff_ties
from tabtools.engraving.standard.draw import StaffSketch, staff_sketch
from tabtools.engraving.standard.slurs import trace_staff_moves
from tabtools.engraving.standard.staff import StaffFrame, frame_of, head_width, shapes_of, staff_svg
from tabtools.engraving.stems import trace_ties
from tabtools.engraving.words import equal_words, plain_words, tempo_words, words_width
from tabtools.model.rhythm import clock_in_tenths
from tabtools.model.solo import Bar, Like, Section
from tabtools.score.tempos import A_TEMPO, is_told_by_another_value
from tabtools.timeline import TimedBar, Timeline

TUNING_ROOM = 17.0
NOTHING = Markup()


@dataclass(frozen=True, slots=True)
class PieceDrawing:
    """A bar, or what lies between two of its counts: its natural width in pixels and its SVGs.

    `since` is where it begins, as a share of the bar's time. `chords`, the row of chord names with tempo and the like
    over them, is empty where no bar beside it has either; `standard` where no standard staff is drawn over the tab.
    `opening` is where its lines begin, as a share of its width: right of the names of the strings, where these stand.
    """

    since: float
    width: float
    chords: Markup
    staff: Markup
    standard: Markup = NOTHING
    opening: float = 0.0


@dataclass(frozen=True, slots=True)
class BarDrawing:
    """A bar: its number, the id of its place on the page, and the pieces that it may be broken into.

    `rise` is by how many pixels what stands under the tab may rise where the rhythm stands on a staff. `over` and
    `under` are so many pixels between the edges of a piece and the outer lines of its two staves: what joins both at
    the left of a system reaches from one to the other. `height` is that of a piece without its standard staff, `more`
    what that adds.
    """

    number: int
    anchor: str
    pieces: tuple[PieceDrawing, ...]
    rise: float = 0.0
    over: float = 0.0
    under: float = 0.0
    height: float = 0.0
    more: float = 0.0

    @property
    def width(self) -> float:
        """Its natural width in pixels."""
        return sum(piece.width for piece in self.pieces)


@dataclass(frozen=True, slots=True)
class SectionDrawing:
    """A named part, or the bars before the first name, four bars at a time; a pickup bar goes with the first four,
    and of the last five two and three stand together.

    The staves of four such bars are equally high, so that they can stand in one system.
    """

    label: str
    name: str
    phrases: tuple[tuple[BarDrawing, ...], ...]

    @property
    def bars(self) -> tuple[BarDrawing, ...]:
        """All its bars."""
        return tuple(bar for phrase in self.phrases for bar in phrase)


@dataclass(frozen=True, slots=True)
class SoloDrawing:
    """All sections, and the ids of every place that can be linked to, by address (`5`, `5.2`, `5.2.3`).

    With staves over the tab, `shapes` are the signs they refer to, and `head` is what their clefs take at the left.
    """

    sections: tuple[SectionDrawing, ...]
    anchors: dict[str, str]
    shapes: Markup = NOTHING
    head: float = 0.0


def draw_solo(timeline: Timeline, texts: Sequence[NoteText], has_staff: bool = False) -> SoloDrawing:
    """Draw every bar, with a standard staff over the tab if asked for. `texts` go with the notes, one each."""
    scenes = scenes_of(timeline, texts, has_staff)
    sections = _sections(timeline)
    _announce(scenes, [stretch[0] for _, stretch in sections if stretch], timeline)
    words = [_words(scenes, place, timeline) for place in range(len(scenes))]
    for scene, head in zip(scenes, words, strict=True):
        scene.words, scene.head = head, words_width(head)
        lay_out(scene)
    anchors = _anchors(scenes)
    unused = dict(anchors)
    tuning = _tuning(timeline)
    bars = _broken(scenes)
    drawn: list[SectionDrawing] = []
    for section, places in sections:
        phrases: list[tuple[BarDrawing, ...]] = []
        has_chords = any(scenes[place].chords for place in places)
        for phrase in _phrases(places, timeline):
            parts_of = [part for place in phrase for part in bars[place]]
            names = names_height(has_chords, any(words[place] for place in phrase))
            rows = Frame(*frame_rows([part.scene for part in parts_of]), names=names, has_staff=has_staff)
            around = frame_of([part.notes for part in parts_of])
            frames = [
                replace(
                    rows,
                    closes="end" if place == len(scenes) - 1 else "section" if place == places[-1] else "",
                    tuning=tuning if place == places[0] else (),
                )
                for place in phrase
            ]
            own = zip((bars[place] for place in phrase), frames, strict=True)
            phrases.append(tuple([_drawn(parts, frame, around, unused) for parts, frame in own]))
        drawn.append(SectionDrawing(section.label if section else "", section.name if section else "", tuple(phrases)))
    if not has_staff:
        return SoloDrawing(tuple(drawn), anchors)
    header = timeline.solo.header
    return SoloDrawing(tuple(drawn), anchors, shapes_of(header), head_width(header))


def systems_of(timeline: Timeline) -> list[range]:
    """The places of the bars that are drawn as one system each, up to five, all in order."""
    systems = [one for _, places in _sections(timeline) for one in _phrases(places, timeline)]
    return [range(one[0], one[-1] + 1) for one in systems]


def _phrases(places: Sequence[int], timeline: Timeline) -> Iterator[Sequence[int]]:
    """Four bars at a time; of five that are left two and three, so that none stands alone."""
    first = 5 if timeline.bars[places[0]].number == 0 else 4
    ends = [*range(first, len(places), 4), len(places)]
    if len(ends) > 1 and ends[-1] - ends[-2] == 1:
        ends[-2] -= 2
    for start, end in pairwise([0, *ends]):
        yield places[start:end]


class _DrawablePiece(NamedTuple):
    """A piece of a bar, ready to be drawn."""

    scene: Scene
    spans: Sequence[MarkSpan]
    sketch: Sketch
    notes: StaffSketch


def _broken(scenes: Sequence[Scene]) -> list[list[_DrawablePiece]]:
    """The bars in their pieces, with what was traced through all of them."""
    bars = [pieces_of(scene) for scene in scenes]
    pieces = [piece for bar in bars for piece in bar]
    joins, letters = trace_moves(pieces)
    traced = (trace_bends(pieces), joins, letters, trace_unheard(pieces), trace_ties(pieces))
    parts = iter(list(map(Parts, *traced)))
    sketches = [drawn for bar in bars for drawn in sketch(bar, list(islice(parts, len(bar))))]
    spans = trace_spans(pieces)
    span_levels(pieces, spans, [drawn.skyline for drawn in sketches])
    notes = map(staff_sketch, pieces, trace_staff_moves(pieces), trace_staff_ties(pieces))
    ready = map(_DrawablePiece, pieces, spans, sketches, notes)
    return [list(islice(ready, len(bar))) for bar in bars]


def _drawn(parts: Sequence[_DrawablePiece], frame: Frame, around: StaffFrame, anchors: dict[str, str]) -> BarDrawing:
    bar = parts[0].scene.bar
    pieces = []
    height = 0.0
    for part in parts:
        scene = part.scene
        own = replace(
            frame,
            closes=frame.closes if scene.closes else "",
            tuning=frame.tuning if scene.opens else (),
        )
        staff, own_height = draw_staff(scene, part.spans, part.sketch, own, anchors)
        height = max(height, frame.names + own_height)
        since = scene.begins / float(bar.length) if scene.begins else 0.0
        standard = staff_svg(scene, part.notes, around, own.closes) if frame.has_staff else NOTHING
        pieces.append(
            PieceDrawing(since, scene.width, draw_names(scene, own), staff, standard, scene.staff / scene.width)
        )
    anchor = anchors.pop(str(bar.number), "")
    over, under = frame.names + around.above, frame.below - frame.rise
    more = around.above + around.below - frame.rise
    return BarDrawing(bar.number, anchor, tuple(pieces), frame.rise, over, under, height, more)


def _sections(timeline: Timeline) -> list[tuple[Section | None, list[int]]]:
    """Each section with the places of its bars among the bars played."""
    sections: list[tuple[Section | None, list[int]]] = [(None, [])]
    bars, place = timeline.bars, 0
    for item in timeline.solo.items:
        if isinstance(item, Section):
            sections.append((item, []))
        while place < len(bars) and isinstance(item, Bar | Like) and _comes_from(bars[place], item):
            sections[-1][1].append(place)
            place += 1
    sections[-1][1].extend(range(place, len(bars)))
    return [entry for entry in sections if entry[1]]


def _comes_from(bar: TimedBar, item: Bar | Like) -> bool:
    return bar.like is item if isinstance(item, Like) else bar.like is None and bar.written is item


def _announce(scenes: Sequence[Scene], opening: Sequence[int], timeline: Timeline) -> None:
    """Mark where the meter is shown and where the names of the open strings stand."""
    for place, scene in enumerate(scenes):
        before = scenes[place - 1] if place else None
        changed = before is None or before.is_free or scene.bar.meter != before.bar.meter
        scene.shows_meter = changed and not scene.is_free
    for place in opening:
        scenes[place].staff = TUNING_ROOM
    for system in systems_of(timeline):
        scenes[system[0]].leads = True
        following = scenes[system[-1] + 1 : system[-1] + 2]
        scenes[system[-1]].courtesy = next((one.bar.meter for one in following if one.shows_meter), None)


def _tuning(timeline: Timeline) -> tuple[str, ...]:
    """The open strings from string 1, without octaves."""
    return tuple(name.rstrip("-0123456789") for name in reversed(timeline.solo.header.instrument.tuning.names))


def _words(scenes: Sequence[Scene], place: int, timeline: Timeline) -> tuple[tuple[str, float], ...]:
    bar = scenes[place].bar
    before = scenes[place - 1].bar if place else None
    words: list[tuple[str, float]] = []
    if before is None or before.tempo != bar.tempo or before.meter.beat != bar.meter.beat:
        words.append(tempo_words(bar.tempo, bar.meter.beat))
        if before is not None and is_told_by_another_value(before, bar):
            words.append(equal_words())
        header = timeline.solo.header
        if before is None and header.feel.is_swung:
            words.append(plain_words(str(header.feel), "word"))
        if before is None and header.instrument.capo:
            words.append(plain_words(f"capo {header.instrument.capo}", "word"))
    elif before.written.free and not bar.written.free:
        words.append(plain_words(A_TEMPO, "word"))
    if bar.written.free:
        words.append(plain_words(f"free, {float(bar.written.free):g} s", "word"))
    if bar.written.damaged:
        words.append(plain_words("incomplete", "word"))
    if bar.at is not None:
        words.append(plain_words(clock_in_tenths(bar.at).removesuffix(".0"), "time"))
    return tuple(words)


def _anchors(scenes: Sequence[Scene]) -> dict[str, str]:
    anchors: dict[str, str] = {}
    for scene in scenes:
        anchors.setdefault(str(scene.bar.number), f"b{scene.bar.number}")
        for struck in scene.struck:
            bar, count, stroke = struck.notes[0].address
            line = f"{bar}.{count}"
            address = f"{line}.{stroke}"
            anchors.setdefault(line, f"b{line}")
            anchors.setdefault(address, f"b{address}")
    return anchors
