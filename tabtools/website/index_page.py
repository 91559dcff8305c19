"""The index of all solos: a table that sorts and filters without asking a server, and the search for figures.

Every row carries its facts as `data-` attributes; the controls stay hidden until the script has taken them over.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from markupsafe import Markup

from tabtools.engraving.metrics import with_accidentals
from tabtools.model.solo import Header
from tabtools.website.facet_pages import directory, plain
from tabtools.website.facets import Facets
from tabtools.website.figure_index import NAME
from tabtools.website.links import Links
from tabtools.website.markup import html
from tabtools.website.solo_page.page import key_text, tempo_text
from tabtools.wording import several

COLUMNS = (
    ("title", "Solo"),
    ("key", "Key"),
    ("meter", "Meter"),
    ("tempo", "Tempo"),
    ("tuning", "Tuning"),
    ("rate", "Notes a second"),
    ("reach", "Reach, mm"),
    ("bend", "Bend, semitones"),
)
"""Names of the facts that rows can be sorted by, and the heads of their columns."""

MOST_ON_A_PAGE = 200
"""Of more solos, the list is turned page by page, by `assets/index/filters.js`."""

NUMBERS = (
    ("tempo", "Tempo", "counts a minute"),
    ("rate", "Notes a second", "in the fullest second"),
    ("reach", "Reach", "millimetres"),
    ("bend", "Bend", "semitones"),
)


def solos_index(solos: Sequence[Facets], links: Links) -> Markup:
    """The body of the index, by title."""
    if not solos:
        return Markup("<h1>Solos</h1><p>There are no solos yet.</p>")
    ordered = sorted(solos, key=lambda one: (one.title.casefold(), one.slug))
    rows = Markup().join(_row(one, links.solo(one.slug)) for one in ordered)
    heads = Markup().join(
        html('<th scope="col" data-sort="{name}"><button type="button">{said}</button></th>', name=name, said=said)
        for name, said in COLUMNS
    )
    count = several(len(solos), "solo")
    return html(
        "<h1>Solos</h1><p>{count}, transcribed by ear, with the degree of every note.</p>"
        '{filters}<p class="tt-found" role="status"></p>'
        '<div class="tt-index" role="region" aria-label="Solos" tabindex="0" data-search-exclude>'
        '<table class="tt-solos{paged}"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>'
        '<nav class="tt-pages" aria-label="Pages of the list" hidden></nav>'
        '{search}<h2 id="gathered">By technique, device and chord</h2>{directory}',
        count=count,
        filters=_filters(ordered),
        paged=" tt-paged" if len(solos) > MOST_ON_A_PAGE else "",
        heads=heads,
        rows=rows,
        search=_search(),
        directory=directory(solos, links),
    )


def _row(one: Facets, href: str) -> Markup:
    header = one.header
    title = html('<a href="{href}">{title}</a>', href=href, title=one.title)
    draft = Markup(" <span>(draft)</span>") if header.draft else ""
    player = html("<br><small>{player}</small>", player=header.player) if header.player else ""
    summary = html("<br><small>{summary}</small>", summary=header.summary) if header.summary else ""
    tags = html("<br><small>Tags: {tags}</small>", tags=", ".join(header.tags)) if header.tags else ""
    cells = (
        key_text(one.header),
        str(header.meter),
        tempo_text(one.header).removesuffix(" a minute").removesuffix(" quarters"),
        _tuned(one.header),
        f"{one.rate:g}" if one.rate else "",
        f"{one.reach:.0f}" if one.reach else "",
        f"{one.bend:g}" if one.bend else "",
    )
    facts = {
        "title": one.title,
        "key": key_text(one.header),
        "meter": str(header.meter),
        "tempo": f"{float(header.tempo):g}",
        "tuning": _tuned(one.header),
        "rate": f"{one.rate:g}",
        "reach": f"{one.reach:.0f}",
        "bend": f"{one.bend:g}",
        "technique": " ".join(one.techniques),
        "device": " ".join(one.devices),
        "chord": " ".join(one.chords),
    }
    data = Markup(" ").join(html('data-{name}="{value}"', name=name, value=value) for name, value in facts.items())
    return (
        html(
            '<tr {data}><th scope="row">{title}{draft}{player}{summary}{tags}</th>',
            data=data,
            title=title,
            draft=draft,
            player=player,
            summary=summary,
            tags=tags,
        )
        + Markup().join(
            html('<td data-name="{name}">{cell}</td>', name=name, cell=cell)
            for (_, name), cell in zip(COLUMNS[1:], cells, strict=True)
        )
        + Markup("</tr>")
    )


def _tuned(header: Header) -> str:
    """The tuning in few words: its name, or else its open strings from the lowest, without their octaves."""
    tuning = header.instrument.tuning
    return tuning.name or with_accidentals(" ".join(name.rstrip("-0123456789") for name in tuning.names))


def _filters(solos: Sequence[Facets]) -> Markup:
    choices = (
        ("key", "Key", ((text, text) for one in solos if (text := key_text(one.header)))),
        ("meter", "Meter", ((text, text) for one in solos if (text := str(one.header.meter)))),
        ("tuning", "Tuning", ((text, text) for one in solos if (text := _tuned(one.header)))),
        ("technique", "Technique", ((name, plain(name)) for one in solos for name in one.techniques)),
        ("device", "Device", ((name, plain(name)) for one in solos for name in one.devices)),
        ("chord", "Chord type", ((name, with_accidentals(name)) for one in solos for name in one.chords)),
    )
    selects = Markup().join(_select(name, said, "any", entries) for name, said, entries in choices)
    sorter = _select("sort", "Sorted by", "Solo", COLUMNS[1:], "tt-sorter")
    numbers = Markup().join(
        html(
            "<fieldset><legend>{said}, <small>{unit}</small></legend><label>from "
            '<input type="number" min="0" step="any" '
            'name="{name}-from"></label> <label>to '
            '<input type="number" min="0" step="any" name="{name}-to"></label>'
            "</fieldset>",
            said=said,
            unit=unit,
            name=name,
        )
        for name, said, unit in NUMBERS
    )
    return html(
        '<form class="tt-filters" aria-label="Which solos are listed" hidden>'
        '<label>Words <input type="search" name="words"></label>'
        "{selects}{sorter}"
        '<button type="reset">Show all</button>'
        "<details><summary>Tempo and what it asks of the hands</summary>"
        '<div class="tt-numbers">{numbers}</div></details></form>',
        selects=selects,
        sorter=sorter,
        numbers=numbers,
    )


def _select(name: str, said: str, otherwise: str, entries: Iterable[tuple[str, str]], kind: str = "") -> Markup:
    """A choice between these values with their texts, sorted, or else none of them."""
    found = sorted(dict(entries).items(), key=lambda entry: entry[1].casefold())
    options = Markup().join(
        html('<option value="{value}">{text}</option>', value=value, text=text) for value, text in found
    )
    return html(
        '<label{kind}>{said} <select name="{name}"><option value="">{otherwise}</option>{options}</select></label>',
        kind=html(' class="{kind}"', kind=kind) if kind else "",
        said=said,
        name=name,
        otherwise=otherwise,
        options=options,
    )


def _search() -> Markup:
    return html(
        '<h2 id="figures">Find a figure</h2><form class="tt-figure-search" data-index="{name}" hidden>'
        '<label>Look for <select name="kind"><option value="degrees">degrees over the chord</option>'
        '<option value="steps">intervals in semitones</option></select></label>'
        '<label>Figure <input type="text" name="figure" autocomplete="off" spellcheck="false" '
        'aria-describedby="figure-help"></label><button type="submit">Find</button>'
        '<p id="figure-help">Degrees like <kbd>b3 5 b7</kbd>, or semitones up and down like '
        "<kbd>3 -1 4</kbd>.</p>"
        '</form><p class="tt-figure-said" role="status"></p><ul class="tt-figures-found"></ul>',
        name=NAME,
    )
