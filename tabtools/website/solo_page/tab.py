"""The drawn bars as HTML: sections, systems that flow, each bar with its reading."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cache, partial
from math import floor

from markupsafe import Markup

from tabtools.engraving import GLYPHS, BarDrawing, NoteText, SectionDrawing, draw_solo
from tabtools.engraving.bar_splitting import WIDEST
from tabtools.engraving.metrics import STRING_GAP
from tabtools.harmony.degrees import DegreeStyle
from tabtools.study import Labels, Study, study_of
from tabtools.timeline import Timeline
from tabtools.website.bar_html import bar_html
from tabtools.website.markup import html, trusted
from tabtools.website.scripts import ASSETS
from tabtools.website.solo_page.neck_maps import SHAPE_OF
from tabtools.website.solo_page.note_records import note_name, over_chord, over_key, tone_legend
from tabtools.website.solo_page.tab_in_words import BarReading, bar_in_words, note_in_words
from tabtools.website.used_glyphs import used_glyphs

LATE_BARS = "late_bars.js"
"""Stands in the tab itself, so that no bar is drawn before it is read."""
FIRST_THERE = 2
"""Systems that do not wait for the scripts."""
BREAK = Markup('<div class="tt-break"></div>')
PAPER = 718.0
"""The width in pixels of what is printed on A4, 190 millimetres; Letter has 5 millimetres more."""
SMALLEST_PRINT, LARGEST_PRINT = 0.822, 0.9
"""From 8 to 8.8 points for the figures on the strings, 6.8 to 7.4 for the degrees."""


def tab_html(
    timeline: Timeline, style: DegreeStyle = "plain", study: Study | None = None, shows_staff: bool = False
) -> tuple[Markup, dict[str, str]]:
    """The tab of a solo, and the ids in it by address (`5`, `5.2`, `5.2.3`); `study` where it is at hand.

    `shows_staff` says whether the staff over the tab is shown before a reader chooses.
    """
    study = study or study_of(timeline, style)
    labels = study.labels
    texts = [
        NoteText(
            over_chord(known),
            note_in_words(note, known),
            SHAPE_OF[role.tone],
            (over_chord(other), over_key(known), note_name(known)),
        )
        for note, known, other, role in zip(timeline.notes, labels, study.other_labels, study.roles, strict=True)
    ]
    drawing = draw_solo(timeline, texts, has_staff=True)
    readings = iter(_readings(timeline, labels))
    bar = partial(bar_html, shows_staff=shows_staff)
    sections = Markup().join(
        _section(section, readings, bar, 0 if place else FIRST_THERE) for place, section in enumerate(drawing.sections)
    )
    region = html(
        '<div class="tt-tab{shown}" role="region" aria-label="Tab" tabindex="0" data-search-exclude '
        'style="--print:{print_size:g};--print-staff:{staff_size:g};--head:{head:g};--squeeze:{squeeze:g};--strings:{strings}">'
        "{late}{glyphs}{sections}</div>",
        shown=" tt-staves" if shows_staff else "",
        print_size=_print_size(drawing.sections),
        staff_size=_print_size(drawing.sections, drawing.head),
        head=drawing.head,
        squeeze=_squeeze(drawing.sections, drawing.head),
        strings=(timeline.solo.header.instrument.strings - 1) * STRING_GAP,
        late=late_bars(),
        glyphs=used_glyphs(sections + tone_legend(labels), GLYPHS + drawing.shapes),
        sections=sections,
    )
    return region, drawing.anchors


@cache
def late_bars() -> Markup:
    """What has the bars below the first ones wait."""
    return html("<script>{script}</script>", script=trusted((ASSETS / LATE_BARS).read_text("utf-8")))


def _print_size(sections: Iterable[SectionDrawing], head: float = 0.0) -> float:
    """How much smaller the tab is on paper than on a screen: four of its bars fit across where they can, else two.

    `head` is what stands left of every system.
    """
    sizes = [LARGEST_PRINT]
    for section in sections:
        pairs = [pair for phrase in section.phrases for pair in _pairs(phrase)]
        fitting = [floor(1000 * PAPER / (_widest(one) + 4 + head)) / 1000 for one in (section.phrases, pairs)]
        sizes.append(next((size for size in fitting if size >= SMALLEST_PRINT), SMALLEST_PRINT))
    return min(sizes)


def _squeeze(sections: Iterable[SectionDrawing], head: float) -> float:
    """How much smaller a tab with its staff is on the narrowest page, where `head` stands left of every piece."""
    widest = max((piece.width for one in sections for bar in one.bars for piece in bar.pieces), default=0.0)
    return min(1.0, floor(100 * WIDEST / max(1.0, widest + head)) / 100)


def _widest(systems: Iterable[Sequence[BarDrawing]]) -> float:
    return max(sum(bar.width for bar in system) for system in systems) + 4


def _section(
    section: SectionDrawing,
    readings: Iterable[BarReading],
    bar_of: Callable[[BarDrawing, BarReading], Markup],
    there: int,
) -> Markup:
    """A section; so many of its systems are `there` at once."""
    name = " ".join(filter(None, (section.label, section.name)))
    label = html('<span class="tt-letter">{label}</span> ', label=section.label) if section.label else ""
    heading = html("<h3 data-search-exclude>{label}{name}</h3>", label=label, name=section.name) if name else ""
    balanced = section.phrases[-2:] if [len(phrase) for phrase in section.phrases[-2:]] in ([2, 3], [3, 3]) else ()
    four, two = _widest(section.phrases), _widest(pair for phrase in section.phrases for pair in _pairs(phrase))
    systems = []
    for place, phrase in enumerate(section.phrases):
        pairs = [
            Markup().join(bar_of(bar, reading) for bar, reading in zip(pair, readings, strict=False))
            for pair in _pairs(phrase)
        ]
        missing = 0 if phrase in balanced else -(len(phrase) - (phrase[0].number == 0)) % 4
        rest = html('<div class="tt-rest tt-rest-{missing}"></div>', missing=missing) if missing else ""
        systems.append(
            html(
                '<div class="tt-bars{there}" style="--rise:{rise:g};--over:{over:g};--under:{under:g};--tall:{tall:g};'
                '--more:{more:g}{own}">{pairs}{rest}</div>',
                there=" tt-there" if place < there else "",
                tall=max(bar.height for bar in phrase),
                more=phrase[0].more,
                own=f";--four:{round(_widest([phrase]))}" if phrase in balanced else "",
                rise=phrase[0].rise,
                over=phrase[0].over,
                under=phrase[0].under,
                pairs=BREAK.join(pairs),
                rest=rest,
            )
        )
    return html(
        '<section class="tt-section" style="--two:{two};--four:{four}">{heading}{systems}</section>',
        two=round(two),
        four=round(four),
        heading=heading,
        systems=Markup().join(systems),
    )


def _pairs(phrase: Sequence[BarDrawing]) -> tuple[Sequence[BarDrawing], ...]:
    half = len(phrase) - 2 if len(phrase) > 2 else len(phrase)
    return tuple(filter(None, (phrase[:half], phrase[half:])))


def _readings(timeline: Timeline, labels: tuple[Labels, ...]) -> list[BarReading]:
    """Each bar in words."""
    bars: list[BarReading] = []
    cursor = 0
    for bar in timeline.bars:
        end = cursor
        while end < len(timeline.notes) and timeline.notes[end].begins.bar == bar.onset:
            end += 1
        bars.append(bar_in_words(bar, zip(timeline.notes[cursor:end], labels[cursor:end], strict=True)))
        cursor = end
    return bars
