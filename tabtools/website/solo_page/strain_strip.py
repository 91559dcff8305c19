"""The strain of every bar at a glance: a strip, a column a bar, by height and pattern.

The height of a column is the bar's strain, its pattern what comes nearest to its limit; colour adds nothing. The same
is said in words: of the whole, and of the hardest bars, which are links.
"""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from tabtools.hand.strain import HARD, KINDS, BarStrain
from tabtools.model.solo import Address
from tabtools.website.links import Links
from tabtools.website.markup import html
from tabtools.wording import several

HEIGHT = 40
LEAST_WIDTH, MOST_WIDTH = 120, 760
WARNED = 0.8
MOST_NAMED = 5

_PATTERNS = {
    "reach": Markup('<path d="M0 6L6 0M-1 1L1 -1M5 7L7 5"/>'),
    "shift": Markup('<path d="M0 1.5H6M0 4.5H6"/>'),
    "bend": Markup('<path d="M0 6Q3 0 6 6"/>'),
    "picking": Markup('<path d="M1.5 0V6M4.5 0V6"/>'),
    "legato": Markup('<circle cx="1.5" cy="1.5" r=".9"/><circle cx="4.5" cy="4.5" r=".9"/>'),
}


def strain_strip(strains: Sequence[BarStrain], links: Links) -> Markup:
    """The strip with its legend and the hardest bars in words; nothing where nothing is played."""
    if not any(one.what for one in strains):
        return Markup()
    kinds = [kind for kind in KINDS if any(one.what == kind for one in strains)]
    hardest = hardest_bars(strains)
    named = Markup(", ").join(
        html(
            "{link} ({kind}, {percent})",
            link=links.place_called(Address(one.bar), f"bar {one.bar}"),
            kind=one.kind,
            percent=_percent(one.strain),
        )
        for one in hardest
    )
    hard = html("<p>Hardest: {named}.</p>", named=named) if named else ""
    return html(
        '<section class="tt-strain" aria-labelledby="strain"><h3 id="strain">Strain, bar by bar</h3>'
        '<div class="tt-plot">{strip}</div>{legend}{hard}</section>',
        strip=_strip(strains, kinds),
        legend=_legend(kinds),
        hard=hard,
    )


def hardest_bars(strains: Sequence[BarStrain]) -> list[BarStrain]:
    """The bars that strain most, at least half of what a hand does, each number once; the hardest first."""
    ordered = sorted((one for one in strains if one.strain >= HARD), key=lambda one: (-one.strain, one.bar))
    return list({one.bar: one for one in reversed(ordered)}.values())[::-1][:MOST_NAMED]


def strain_in_words(strains: Sequence[BarStrain]) -> str:
    """What the strip shows, for those who do not see it."""
    hard = sum(one.strain >= WARNED for one in strains)
    top = max(strains, key=lambda one: one.strain)
    most = f"the most is {_percent(top.strain)} of what hands can do, in bar {top.bar}: {top.kind}"
    return f"Strain of {several(len(strains), 'bar')}: {hard} above {_percent(WARNED)}; {most}."


def _strip(strains: Sequence[BarStrain], kinds: Sequence[str]) -> Markup:
    width = min(MOST_WIDTH, max(LEAST_WIDTH, 14 * len(strains)))
    step = width / len(strains)
    gap = min(2.0, step / 5)
    columns = []
    for place, one in enumerate(strains):
        if not one.what:
            continue
        height = max(1.5, one.strain * HEIGHT)
        said = f"bar {one.bar}: {_percent(one.strain)}, {one.kind}"
        columns.append(
            html(
                '<rect class="tt-column" fill="url(#tt-strain-{what})" x="{x:.1f}" y="{y:.1f}" '
                'width="{width:.1f}" height="{height:.1f}"><title>{said}</title></rect>',
                what=one.what,
                x=place * step + gap / 2,
                y=HEIGHT - height,
                width=step - gap,
                height=height,
                said=said,
            )
        )
    levels = Markup().join(
        html('<path class="tt-level" d="M0 {height:g}H{width:g}"/>', height=HEIGHT * (1 - share), width=width)
        for share in (WARNED, 1.0)
    )
    patterns = Markup().join(_pattern(kind) for kind in kinds)
    return html(
        '<svg class="tt-strip" viewBox="0 -2 {width:g} {height}" width="{width:g}" height="{height}" '
        'role="img" aria-label="{words}"><defs>{patterns}</defs>{levels}{columns}'
        '<path class="tt-foot" d="M0 {foot}H{width:g}"/></svg>',
        width=width,
        height=HEIGHT + 3,
        words=strain_in_words(strains),
        patterns=patterns,
        levels=levels,
        columns=Markup().join(columns),
        foot=HEIGHT + 0.5,
    )


def _pattern(kind: str) -> Markup:
    return html(
        '<pattern id="tt-strain-{kind}" class="tt-pattern" width="6" height="6" '
        'patternUnits="userSpaceOnUse">'
        "{pattern}</pattern>",
        kind=kind,
        pattern=_PATTERNS[kind],
    )


def _legend(kinds: Sequence[str]) -> Markup:
    entries = Markup().join(
        html(
            '<li><svg width="22" height="14" aria-hidden="true">'
            '<rect class="tt-column" fill="url(#tt-strain-{kind})" x="1" y="1" width="20" '
            'height="12"/></svg> '
            "{kind_2}</li>",
            kind=kind,
            kind_2=KINDS[kind],
        )
        for kind in kinds
    )
    return html(
        '<ul class="tt-legend">{entries}<li>dashed: {percent} and all of what hands can do</li></ul>',
        entries=entries,
        percent=_percent(WARNED),
    )


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
