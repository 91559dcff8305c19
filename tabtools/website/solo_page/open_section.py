"""What is still open in a solo, for its readers: in words, with links into the tab."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from tabtools.engraving.metrics import with_accidentals
from tabtools.reports.open_rows import OpenRow, open_rows
from tabtools.reports.open_words import how_much, what_is_open_to_readers, when
from tabtools.study.open_things import OpenKind, OpenThing
from tabtools.website.links import Links, place_words, runs
from tabtools.website.markup import html

OPEN = "open"
"""The id of the section."""
MOST_SHOWN = 12
"""Things; more are opened by those who want to see them."""


def for_readers(things: Sequence[OpenThing]) -> Sequence[OpenThing]:
    """What readers can know better: all but frets that follow from a string, which are only not written yet."""
    return [thing for thing in things if thing.kind is not OpenKind.FRET]


def open_html(things: Sequence[OpenThing], links: Links) -> Markup:
    """The section; nothing where nothing is open."""
    if not things:
        return Markup()
    rows = sorted(open_rows(things, what_is_open_to_readers), key=_urgency)
    first, more = rows[:MOST_SHOWN], rows[MOST_SHOWN:]
    folded = html("<details><summary>{count} more</summary>{list}</details>", count=len(more), list=_list(more, links))
    return html(
        '<section class="tt-open" aria-labelledby="{id}"><h2 id="{id}">What is still open</h2>'
        "<p>{intro}</p>{list}{more}</section>",
        id=OPEN,
        intro=_intro(things),
        list=_list(first, links),
        more=folded if more else "",
    )


def open_fact(things: Sequence[OpenThing]) -> Markup:
    """How much is open, among the facts of a solo: `1 gap, 3 pitches, 2 uncertain chords`."""
    if not things:
        return Markup("nothing")
    return html('<a href="#{id}">{count}</a>', id=OPEN, count=how_much(things))


def _intro(things: Sequence[OpenThing]) -> str:
    times = (
        " Times in the recording are reckoned from the bars that have theirs written." if any(map(when, things)) else ""
    )
    return f"Not known or not certain yet: {how_much(things)}. If you know better, say so.{times}"


def _urgency(row: OpenRow) -> int:
    """Gaps and pitches first, places last."""
    return {OpenKind.PITCH: 0, OpenKind.PLACE: 2}.get(row.thing.kind, 1)


def _list(rows: Sequence[OpenRow], links: Links) -> Markup:
    return html("<ul>{rows}</ul>", rows=Markup().join(_row(row, links) for row in rows))


def _row(row: OpenRow, links: Links) -> Markup:
    at = f" (at {when(row.thing)})" if when(row.thing) else ""
    notes = html(' data-notes="{notes}"', notes=runs(timed.index for timed in row.notes)) if row.notes else ""
    return html(
        "<li{notes}>{place}{at}: {said}.</li>",
        notes=notes,
        place=links.place_called(row.thing.address, place_words(row.place)),
        at=at,
        said=with_accidentals(row.said),
    )
