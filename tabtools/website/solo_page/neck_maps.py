"""Neck maps: where the notes of a passage lie, each place with its degree.

Shapes tell tones apart: a disc is a chord tone, a ring an extension or a scale note, a diamond a chromatic note. The
string of the highest pitch lies on top, as in tab. The same is said in words. A bend counts with the fret it starts
at, a slide with both its frets.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from tabtools.engraving.metrics import with_accidentals
from tabtools.model.pitch import nearest_semitone
from tabtools.model.solo import Passage
from tabtools.study import Study
from tabtools.timeline import TimedNote
from tabtools.website.links import Links, loop_link, place_words
from tabtools.website.markup import html
from tabtools.wording import several

WIDEST_FRET, NARROWEST_FRET, MAP_WIDTH = 34, 23, 300
"""Frets are drawn narrower where there are many, so that a phone need not shrink the figures."""
STRING_GAP, LEFT, TOP, RIGHT = 24, 26, 14, 8
FEWEST_FRETS = 4
MOST_MAPS = 40
DOTTED = frozenset((3, 5, 7, 9, 12, 15, 17, 19, 21, 24, 27, 29, 31, 33, 36))
"""Frets that are marked on most necks (common practice)."""

SHAPES = {"chord": "chord tone", "scale": "extension or scale note", "chromatic": "chromatic note"}
SHAPE_OF = {
    "chord tone": "chord",
    "extension": "scale",
    "scale note": "scale",
    "chromatic": "chromatic",
    "": "scale",
}


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on the neck with the degree and the shape heard there most, and how many notes lie there."""

    string: int
    fret: int
    degree: str
    shape: str
    notes: int


def neck_maps(study: Study, passages: Sequence[tuple[Passage, range]], links: Links) -> Markup:
    """A map for each passage; one of the whole solo where it names none."""
    count = len(study.timeline.notes)
    if not count:
        return Markup()
    figures = Markup().join(
        html(
            "<figure><figcaption>{name}, {place} {loop}</figcaption>{map}</figure>",
            name=name,
            place=links.place(passage.range),
            loop=loop_link(passage.range),
            map=_map(study, notes, f"{name}, {place_words(passage.range)}"),
        )
        for passage, notes in passages[:MOST_MAPS]
        for name in (passage.name or "Passage",)
    ) or html(
        "<figure><figcaption>The whole solo</figcaption>{map}</figure>", map=_map(study, range(count), "The whole solo")
    )
    return html(
        '<section class="tt-necks" aria-labelledby="neck"><h2 id="neck">On the neck</h2>'
        '<label class="tt-mirror"><input type="checkbox" name="mirrored"> Left-handed</label>'
        '{shape_legend}<div class="tt-neck-maps">{figures}</div></section>',
        shape_legend=shape_legend(),
        figures=figures,
    )


def spots_of(study: Study, notes: Iterable[int]) -> tuple[Spot, ...]:
    """The places that these notes are played at, by string and fret."""
    found: dict[tuple[int, int], Counter[tuple[str, str]]] = {}
    for index in notes:
        backing = study.melody.backings[index]
        degrees = backing.degrees if study.style == "plain" else backing.extended
        for string, fret, midi in _places(study.timeline.notes[index]):
            pitch_class = nearest_semitone(midi) % 12
            degree = degrees[pitch_class] if degrees else ""
            tone = backing.tones[pitch_class] if backing.tones else ""
            found.setdefault((string, fret), Counter())[degree, SHAPE_OF[tone]] += 1
    spots = []
    for (string, fret), heard in sorted(found.items()):
        (degree, shape), _ = min(heard.items(), key=lambda entry: (-entry[1], entry[0]))
        spots.append(Spot(string, fret, degree, shape, heard.total()))
    return tuple(spots)


def _places(note: TimedNote) -> Iterator[tuple[int, int, float]]:
    """(string, fret, MIDI number) of where a note begins and, where it slides within its slot, where it ends."""
    if note.midi is None or note.attack is None or note.fret is None or not note.string or note.note.only_moves_pitch:
        return
    yield note.string, int(note.fret), note.attack
    slides = any(motion.sign in "/\\hpt" and motion.fret is not None for motion in note.motions)
    if slides and note.held is not None and note.held != note.fret:
        yield note.string, int(note.held), note.midi


def shape_legend() -> Markup:
    """What the shapes say."""
    entries = Markup().join(
        html(
            '<li><svg width="20" height="20" viewBox="-10 -10 20 20" aria-hidden="true">{shape_svg}</svg> {said}</li>',
            shape_svg=shape_svg(shape, 0, 0, 8),
            said=said,
        )
        for shape, said in SHAPES.items()
    )
    return html('<ul class="tt-legend">{entries}</ul>', entries=entries)


def shape_svg(shape: str, x: float, y: float, size: float) -> Markup:
    """A shape around a place, `size` from its middle to its edge."""
    if shape == "chromatic":
        d = size * 1.2
        return html(
            '<path class="tt-shape chromatic" d="M{x:g} {y:g}l{d:g} {value:g}l{d:g} {d:g}l{value:g} {d:g}z"/>',
            x=x - d,
            y=y,
            d=d,
            value=-d,
        )
    return html(
        '<circle class="tt-shape {shape}" cx="{x:g}" cy="{y:g}" r="{size:g}"/>', shape=shape, x=x, y=y, size=size
    )


def _map(study: Study, notes: Sequence[int], name: str) -> Markup:
    spots = spots_of(study, notes)
    left_out = html("<p>{said}</p>", said=said) if (said := left_out_in_words(study, notes)) else Markup()
    if not spots:
        return left_out or Markup("<p>No note has a place on the neck here.</p>")
    instrument = study.timeline.solo.header.instrument
    strings = instrument.strings
    fretted = [spot.fret for spot in spots if spot.fret]
    first = min(fretted, default=1)
    last = max([*fretted, first + FEWEST_FRETS - 1])
    fret_width = max(NARROWEST_FRET, min(WIDEST_FRET, MAP_WIDTH // (last - first + 1)))
    left = LEFT + (fret_width if any(spot.fret == 0 for spot in spots) else 0)
    foot = TOP + STRING_GAP * (strings - 1)
    width, height = left + fret_width * (last - first + 1) + RIGHT, foot + 34
    names = [with_accidentals(one.rstrip("-0123456789")) for one in reversed(instrument.tuning.names)]
    parts = []
    for place, one in enumerate(names):
        y = TOP + STRING_GAP * place
        parts.append(
            html('<path class="tt-neck-string" d="M{left} {y}H{width}"/>', left=left, y=y, width=width - RIGHT)
        )
        parts.append(html('<text x="8" y="{y}">{one}</text>', y=y + 4, one=one))
    for fret in range(first - 1, last + 1):
        x = left + fret_width * (fret - first + 1)
        parts.append(
            html(
                '<path class="{value}" d="M{x} {top}V{foot}"/>',
                value="tt-fret" if fret else "tt-nut",
                x=x,
                top=TOP,
                foot=foot,
            )
        )
        if fret >= first:
            kind = "tt-fret-number marked" if fret in DOTTED else "tt-fret-number"
            parts.append(
                html(
                    '<text class="{kind}" x="{x}" y="{foot}">{fret}</text>',
                    kind=kind,
                    x=x - fret_width // 2,
                    foot=foot + 26,
                    fret=fret,
                )
            )
    for spot in spots:
        x = left + fret_width * (spot.fret - first) + fret_width // 2 if spot.fret else LEFT + fret_width // 2
        y = TOP + STRING_GAP * (min(spot.string, strings) - 1)
        text = with_accidentals(spot.degree)
        parts.append(
            html(
                '<g class="tt-spot">{shape_svg}<text class="on-{shape}" x="{x}" y="{y}">{text}</text></g>',
                shape_svg=shape_svg(spot.shape, x, y, 10),
                shape=spot.shape,
                x=x,
                y=y + 4,
                text=text,
            )
        )
    said = f"{name}: {with_accidentals(spots_in_words(spots))}"
    return html(
        '<svg class="tt-neck" viewBox="0 0 {width} {height}" width="{width}" height="{height}" '
        'role="img" '
        'aria-label="{said}">{parts}</svg>{left_out}',
        left_out=left_out,
        width=width,
        height=height,
        said=said,
        parts=Markup().join(parts),
    )


def left_out_in_words(study: Study, notes: Iterable[int]) -> str:
    """How many of these notes no map can show, because nobody knows yet where they are played; empty where none."""
    found = sum(study.timeline.notes[index].is_unplaced for index in notes)
    return f"Left out: {several(found, 'note')} whose place is not known yet." if found else ""


def spots_in_words(spots: Sequence[Spot]) -> str:
    """`string 1: fret 5 the 1 (chord tone), fret 8 the b3 (chromatic note); string 2: open …`."""
    strings: dict[int, list[str]] = {}
    for spot in spots:
        place = f"fret {spot.fret}" if spot.fret else "open"
        said = f"{place} the {spot.degree}" if spot.degree else place
        strings.setdefault(spot.string, []).append(f"{said} ({SHAPES[spot.shape]})")
    return "; ".join(f"string {string}: {', '.join(said)}" for string, said in strings.items()) + "."
