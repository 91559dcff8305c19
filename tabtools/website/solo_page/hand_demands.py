"""What a solo and its passages ask of the hands, as readable text: measured figures, no grade."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from tabtools.hand import Hand
from tabtools.hand.demands import CAUTION, SUSTAINED_SECONDS, Demands, demands_of
from tabtools.hand.position import roman
from tabtools.model.solo import Passage
from tabtools.website.links import Links, place_words
from tabtools.website.markup import html
from tabtools.wording import several

_RATES = {"picked": "picked", "legato": "slurred", "tapped": "tapped", "all": "in all"}


def demands_html(hand: Hand, passages: Sequence[tuple[Passage, range]], links: Links, strip: Markup) -> Markup:
    """The strip of strain, the figures of the whole solo and of each passage (with its notes), and the caution."""
    if not hand.timeline.notes:
        return Markup()
    demands = demands_of(hand)
    unplaced = demands.left_out
    left_out = f"Without {several(unplaced, 'note')} whose place on the neck is not known yet." if unplaced else ""
    whole = html(
        "<h3>The whole solo</h3>{list}{left_out}",
        list=_list(demands, links),
        left_out=html("<p>{said}</p>", said=left_out) if left_out else "",
    )
    parts = Markup().join(
        html(
            "<details><summary>{value}, {place_words}</summary>{list}</details>",
            value=passage.name or "Passage",
            place_words=place_words(passage.range),
            list=_list(demands_of(hand, notes), links),
        )
        for passage, notes in passages
    )
    heading = Markup("<h3>Passages</h3>") if parts else ""
    return html(
        '<section class="tt-figures" aria-labelledby="hands">'
        '<h2 id="hands">What it asks of the hands</h2>'
        '{strip}{whole}{heading}{parts}<p class="tt-caution">{caution}</p></section>',
        strip=strip,
        whole=whole,
        heading=heading,
        parts=parts,
        caution=CAUTION,
    )


def _list(demands: Demands, links: Links) -> Markup:
    rows = Markup().join(
        html("<div><dt>{name}</dt><dd>{said}</dd></div>", name=name, said=said) for name, said in _rows(demands, links)
    )
    return html('<dl class="tt-measured">{rows}</dl>', rows=rows) if rows else Markup("<p>Nothing to measure.</p>")


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
        yield (
            "Widest reach, held or slurred",
            html(
                "{mm:.0f} mm, fingers {fingers} at frets {frets}, {place}{doubt}",
                mm=reach.mm,
                fingers=fingers,
                frets=frets,
                place=links.place(reach.at),
                doubt=" (uncertain)" * reach.doubtful,
            ),
        )
    if (shift := demands.shift) is not None:
        way = f"{shift.mm:.0f} mm in {1000 * shift.seconds:.0f} ms"
        yield (
            "Most hurried shift",
            html(
                "position {first} to {last}, {way}, {place}{doubt}",
                first=roman(shift.positions[0]),
                last=roman(shift.positions[1]),
                way=way,
                place=links.place(shift.at),
                doubt=" (uncertain)" * shift.doubtful,
            ),
        )
    if (bend := demands.bend) is not None:
        semitones = several(bend.semitones, "semitone")
        took = "more than a string bears"
        if bend.travel_mm is not None and bend.force is not None:
            took = f"{bend.travel_mm:.0f} mm aside with {bend.force:.0f} N"
        where = f"string {bend.string} fret {bend.fret:g}"
        yield (
            "Widest bend",
            html(
                "{semitones} at {where}, {took}, {place}{doubt}",
                semitones=semitones,
                where=where,
                took=took,
                place=links.place(bend.at),
                doubt=" (uncertain)" * bend.doubtful,
            ),
        )
    if demands.positions:
        yield "Positions", ", ".join(roman(position) for position in demands.positions)
