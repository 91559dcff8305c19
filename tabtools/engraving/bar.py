"""A bar, or a piece of one, as two SVGs: its chord names, and its staff with everything above and below it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from markupsafe import Markup

from tabtools.engraving.bends import Pull, draw_bends
from tabtools.engraving.dips import draw_dips
from tabtools.engraving.glyphs import svg, use
from tabtools.engraving.lanes import Skyline, text_at
from tabtools.engraving.marks import (
    MarkSpan,
    draw_hands,
    draw_signs,
    draw_spans,
    draw_swells,
    draw_waves,
    tremolo,
)
from tabtools.engraving.metrics import (
    CHORD_ROW,
    COUNT_ROW,
    DEGREE_ROW,
    STEM_BOTTOM,
    STEM_TOP,
    STRING_GAP,
    TONE_DROP,
    TUPLET_ROW,
    WORD_ROW,
    number,
    shown,
    with_accidentals,
)
from tabtools.engraving.moves import Join, Letter, draw_joins, draw_letters
from tabtools.engraving.open_stretches import Band, draw_doubts, draw_unheard
from tabtools.engraving.scene import DrawnStroke, Scene
from tabtools.engraving.standard.staff import before_courtesy, tab_head
from tabtools.engraving.stems import HangingTie, draw_rhythm, tuplet_rows
from tabtools.engraving.strokes import is_rolled, roll_line
from tabtools.engraving.words import draw_bar_number, draw_words

LEAST_ABOVE = 22
WORD_FOOT = 13
COUNT_WIDTH = 9.0
CLEAR = 9.0
"""Half the height of a name over the strings, with the room above it."""
ARC_TOP = 12.0
"""How far the arc from a grace note to its note rises over their string."""


@dataclass(frozen=True, slots=True)
class Parts:
    """What was traced through the bars and falls into this one."""

    pulls: Sequence[Pull]
    joins: Sequence[Join]
    letters: Sequence[Letter]
    unheard: Sequence[Band]
    ties: Sequence[HangingTie]


@dataclass(frozen=True, slots=True)
class Frame:
    """What a bar shares with its neighbours: rows under the staff, the bar line it closes with.

    `closes` is empty, `section` or `end`; `tuning` are the names of the open strings from string 1, where they are
    shown; `names` is the height of the row with chord names, tempo and the like, 0 where there is none; `has_staff`
    says whether a standard staff can be shown over the tab.
    """

    tuplets: int
    degrees: int
    closes: str = ""
    tuning: tuple[str, ...] = ()
    names: int = 0
    has_staff: bool = False

    @property
    def rise(self) -> float:
        """By how much counts and degrees may rise where a staff shows the rhythm."""
        return STEM_BOTTOM - STEM_TOP + TUPLET_ROW * self.tuplets

    @property
    def counts_y(self) -> float:
        return STEM_BOTTOM + 4 + TUPLET_ROW * self.tuplets + COUNT_ROW - 2

    @property
    def degrees_y(self) -> float:
        return self.counts_y + DEGREE_ROW + 1

    @property
    def below(self) -> float:
        """The room under the line of the lowest string."""
        return ceil(self.degrees_y + DEGREE_ROW * (self.degrees - 1) + 8)


def frame_rows(scenes: Sequence[Scene]) -> tuple[int, int]:
    """How many rows of tuplet figures and of degrees these bars need."""
    tuplets = max((tuplet_rows(scene) for scene in scenes), default=0)
    degrees = max((len(struck.labels) for scene in scenes for struck in scene.struck), default=1)
    return tuplets, degrees


def draw_names(scene: Scene, frame: Frame) -> Markup:
    """The row over the tab: tempo and the like, and below them the chord names, each over where it holds from."""
    if not frame.names:
        return Markup()
    y = frame.names - 6
    names = "".join(
        text_at(scene.cells[column], y, shown(with_accidentals(symbol)), "chord", -5) for column, symbol in scene.chords
    )
    drawn = draw_words(scene, WORD_FOOT) + names
    return svg(f'<svg class="tt-chords" aria-hidden="true" height="{frame.names}">{drawn}</svg>')


def names_height(has_chords: bool, has_words: bool) -> int:
    """How high the row over the tab is where bars beside each other have chord names, and tempo or the like."""
    return CHORD_ROW * has_chords + WORD_ROW * has_words


@dataclass(frozen=True, slots=True)
class Sketch:
    """A piece drawn so far: what lies under the figures, what stands above the staff, and how high that reaches."""

    under: str
    over: str
    skyline: Skyline
    ties: Sequence[HangingTie]


def sketch(pieces: Sequence[Scene], parts: Sequence[Parts]) -> list[Sketch]:
    """Everything of a bar, piece by piece, that does not depend on its neighbours."""
    boxes: list[tuple[float, float, float]] = []
    firm: list[tuple[Skyline, str, str]] = []
    left = 0.0
    for scene, own in zip(pieces, parts, strict=True):
        skyline = Skyline(boxes, left)
        _stand_names(scene, skyline)
        unheard = draw_unheard(scene, own.unheard)
        joins = draw_joins(scene, own.joins, skyline)
        curves, steps = draw_bends(scene, own.pulls, skyline)
        firm.append((skyline, unheard + joins + curves, steps))
        left += scene.width
    drawn = []
    skylines = [skyline for skyline, _, _ in firm]
    near = [
        draw_letters(scene, own.letters, skyline) + draw_signs(scene, skyline)
        for scene, own, skyline in zip(pieces, parts, skylines, strict=True)
    ]
    hands = draw_hands(pieces, skylines)
    numbers = [draw_bar_number(scene, skyline) for scene, skyline in zip(pieces, skylines, strict=True)]
    waves = [draw_waves(scene, skyline) for scene, skyline in zip(pieces, skylines, strict=True)]
    dips = draw_dips(pieces, skylines)
    swells = draw_swells(pieces, skylines)
    for own, (skyline, under, steps), *over in zip(parts, firm, near, hands, numbers, waves, dips, swells, strict=True):
        drawn.append(Sketch(under, steps + "".join(over), skyline, own.ties))
    return drawn


def _stand_names(scene: Scene, skyline: Skyline) -> None:
    """Keep the room of the names over the strings."""
    for held in scene.held:
        if held.y < 0:
            skyline.block(scene.xs[0] - held.half, scene.xs[0] + held.half, -held.y + CLEAR)
    for struck in scene.struck:
        x = scene.xs[struck.column]
        for figure in struck.figures:
            if figure.y < 0 and figure.text:
                skyline.block(x - figure.left - 2, x + figure.right + 2, -figure.y + CLEAR)
            if figure.entry:
                skyline.block(x - figure.entry, x, -figure.y + ARC_TOP)


def draw_staff(
    scene: Scene, spans: Sequence[MarkSpan], drawn: Sketch, frame: Frame, anchors: dict[str, str]
) -> tuple[Markup, float]:
    """The staff of a piece, its first line at the top edge; what stands above overflows into a margin. And how high it
    is with that, in pixels.

    So all staves of a system are as high and lie on the same pixels, however a page is scaled. `anchors` gives the id
    of each address that has one; ids used are taken from it.
    """
    base = (scene.strings - 1) * STRING_GAP
    above = draw_spans(scene, spans, drawn.skyline)
    top = max(ceil(drawn.skyline.top) + 3, LEAST_ABOVE)
    rhythm = f'<g class="rhythm">{_meters(scene, base)}{draw_rhythm(scene, drawn.ties)}{draw_doubts(scene)}</g>'
    head = tab_head(scene) if frame.has_staff else ""
    beneath = head + _lines(scene, base, frame) + drawn.under + rhythm + _held(scene)
    around = drawn.over + above + _counts(scene, base + frame.counts_y)
    staff = svg(
        f'<svg class="tt-staff" role="none" height="{number(base + frame.below)}" style="margin-top:{number(top)}px">'
        f"{_unread(beneath)}{_strokes(scene, base + frame.degrees_y, anchors)}{_unread(around)}</svg>"
    )
    return staff, top + base + frame.below


def _unread(drawn: str) -> str:
    """What a screen reader passes over: the bar's reading and its notes say it."""
    return f'<g aria-hidden="true">{drawn}</g>'


def _held(scene: Scene) -> str:
    return "".join(f'<svg x="{scene.cells[0]}">{one.svg}</svg>' for one in scene.held)


def _lines(scene: Scene, base: float, frame: Frame) -> str:
    left = scene.at(scene.staff)
    start = f' x1="{left}"' if scene.staff else ""
    strings = "".join(
        f'<line class="string"{start} x2="100%" y1="{y}" y2="{y}"/>'
        for y in range(0, scene.strings * STRING_GAP, STRING_GAP)
    )
    foot = number(base)
    if scene.staff:
        strings += f'<line class="barline opening" x1="{left}" x2="{left}" y2="{foot}"/>'
    closing = ""
    if scene.closes:
        closing = f'<line class="barline" x1="100%" x2="100%" y2="{foot}"/>'
    if frame.closes:
        kind = "thick" if frame.closes == "end" else "barline"
        moved = "-1.5" if frame.closes == "end" else "-4"
        closing += f'<line class="{kind}" x1="100%" x2="100%" y2="{foot}" transform="translate({moved})"/>'
        if frame.closes == "end":
            closing += f'<line class="barline" x1="100%" x2="100%" y2="{foot}" transform="translate(-6)"/>'
    strings += before_courtesy(scene, closing)
    names = "".join(
        text_at(left, place * STRING_GAP + 3.2, shown(with_accidentals(name)), "open", -5)
        for place, name in enumerate(frame.tuning)
    )
    return strings + names


def _meters(scene: Scene, base: float) -> str:
    """The meter that a bar begins with, and behind its bar line the one that the next system begins with."""
    return "".join(
        text_at(at, base / 2 - 3, str(meter.numerator), "meter", aside)
        + text_at(at, base / 2 + 19, str(meter.denominator), "meter", aside)
        for meter, at, aside in scene.meters
    )


def _strokes(scene: Scene, degrees_y: float, anchors: dict[str, str]) -> str:
    parts: list[str] = []
    line = ""
    for struck in scene.struck:
        bar, count, stroke = struck.notes[0].address
        own = f"{bar}.{count}"
        if own != line:
            parts.append(("</g>" if line else "") + f"<g{_id(anchors, own)}>")
            line = own
        parts.append(_stroke(scene, struck, degrees_y, _id(anchors, f"{own}.{stroke}")))
    return "".join(parts) + ("</g>" if line else "")


def _id(anchors: dict[str, str], address: str) -> str:
    """The id of an address, handed out once."""
    anchor = anchors.pop(address, "")
    return f' id="{anchor}"' if anchor else ""


def _stroke(scene: Scene, struck: DrawnStroke, degrees_y: float, anchor: str) -> str:
    rows = _rows(struck)
    notes = []
    for row, figure, said in zip(rows, struck.figures, struck.said, strict=True):
        numbered = f' data-row="{row}"' if row else ""
        notes.append(f'<g class="note"{numbered}><title>{shown(said)}</title>{figure.svg}</g>')
    labels = "".join(
        f'<text class="degree" aria-hidden="true" y="{number(degrees_y + DEGREE_ROW * row)}">{shown(label)}</text>'
        + (use(f"tone-{tone}", y=degrees_y + DEGREE_ROW * row + TONE_DROP) if tone else "")
        for row, label, tone in zip(rows, struck.labels, struck.tones, strict=True)
        if label
    )
    roll = ""
    if len(struck.figures) > 1 and is_rolled(struck.notes):
        ys = [figure.y for figure in struck.figures]
        roll = roll_line(min(ys), max(ys), 3 - max(figure.left for figure in struck.figures))
    trem = tremolo(struck, (scene.strings - 1) * STRING_GAP + STEM_TOP + 2)
    inner = f"{roll}{''.join(notes)}{trem}{labels}"
    return f'<svg x="{scene.cells[struck.column]}"><g{anchor} class="stroke">{inner}</g></svg>'


def _rows(struck: DrawnStroke) -> list[int]:
    """In which row under the staff the label of each note stands: as the strings lie, the first string on top.

    A note that has no pitch, and so no label, takes the last row.
    """
    order = sorted(
        range(len(struck.figures)), key=lambda part: (struck.notes[part].note.unknown, struck.figures[part].y)
    )
    return [order.index(part) for part in range(len(order))]


def _counts(scene: Scene, y: float) -> str:
    bar = scene.bar
    if scene.is_free or not scene.columns or scene.is_silent:
        return ""
    parts: list[str] = []
    free_from = scene.staff
    beat = float(bar.meter.beat)
    for count in range(bar.first_count, bar.first_count + ceil(bar.length / bar.meter.beat)):
        moment = (count - bar.first_count) * beat
        if moment >= scene.ends:
            break
        if moment < scene.begins or any(begins < moment < ends for begins, ends in scene.doubtful):
            continue
        x = scene.x_of(moment)
        half = COUNT_WIDTH / 2 * len(str(count)) * 0.7
        if x - half >= free_from:
            parts.append(text_at(scene.at(x), y, str(count), "count"))
            free_from = x + half
    return "".join(parts)
