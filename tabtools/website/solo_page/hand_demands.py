"""What a solo and its passages ask of the hands, as readable text: measured figures, no grade."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from tabtools.hand import CAUTION, Demands, Hand, demands_of
from tabtools.hand.demands import SUSTAINED_SECONDS
from tabtools.model.solo import Passage
from tabtools.reports.hands import roman
from tabtools.website.links import Links, place_words

_RATES = {"picked": "picked", "legato": "slurred", "tapped": "tapped", "all": "in all"}


def demands_html(hand: Hand, passages: Sequence[tuple[Passage, range]], links: Links) -> str:
    """The figures of the whole solo and of each passage (with its notes), and the caution."""
    if not hand.timeline.notes:
        return ""
    whole = f"<h3>The whole solo</h3>{_list(demands_of(hand), links)}"
    parts = "".join(
        f"<details><summary>{escape(passage.name or 'Passage')}, {place_words(passage.range)}</summary>"
        f"{_list(demands_of(hand, notes), links)}</details>"
        for passage, notes in passages
    )
    heading = "<h3>Passages</h3>" if parts else ""
    return (
        '<section class="tt-figures" aria-labelledby="hands"><h2 id="hands">What it asks of the hands</h2>'
        f'{whole}{heading}{parts}<p class="tt-caution">{escape(CAUTION)}</p></section>'
    )


def _list(demands: Demands, links: Links) -> str:
    rows = "".join(f"<div><dt>{name}</dt><dd>{said}</dd></div>" for name, said in _rows(demands, links))
    return f'<dl class="tt-measured">{rows}</dl>' if rows else "<p>Nothing to measure.</p>"


def _rows(demands: Demands, links: Links) -> Iterator[tuple[str, str]]:
    for rate in demands.rates:
        if rate.top:
            sustained = f"{rate.sustained:.1f} a second over {SUSTAINED_SECONDS:g} seconds"
            yield (
                f"Notes {_RATES.get(rate.technique, rate.technique)}",
                f"{rate.top:g} in the fullest second, {sustained}",
            )
    if (reach := demands.reach) is not None:
        fingers, frets = (" and ".join(map(str, pair)) for pair in (reach.fingers, reach.frets))
        yield "Widest reach", f"{reach.mm:.0f} mm, fingers {fingers} at frets {frets}, {links.place(reach.at)}"
    if (shift := demands.shift) is not None:
        way = f"{shift.mm:.0f} mm in {1000 * shift.seconds:.0f} ms"
        yield "Fastest shift", f"fret {shift.frets[0]} to {shift.frets[1]}, {way}, {links.place(shift.at)}"
    if (bend := demands.bend) is not None:
        semitones = f"{bend.semitones:g} semitone{'s' * (bend.semitones != 1)}"
        took = "more than a string bears"
        if bend.travel_mm is not None and bend.force is not None:
            took = f"{bend.travel_mm:.0f} mm aside with {bend.force:.0f} N"
        where = f"string {bend.string} fret {bend.fret:g}"
        yield "Widest bend", f"{semitones} at {where}, {took}, {links.place(bend.at)}"
    if demands.positions:
        yield "Positions", ", ".join(roman(position) for position in demands.positions)
