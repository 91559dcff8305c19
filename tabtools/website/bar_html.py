"""A drawn bar as HTML: a group with its reading in words and the pieces that a narrow page breaks it into."""

from __future__ import annotations

from markupsafe import Markup

from tabtools.engraving import BarDrawing, PieceDrawing
from tabtools.engraving.metrics import percent
from tabtools.website.markup import html
from tabtools.website.solo_page.tab_in_words import BarReading


def bar_html(bar: BarDrawing, reading: BarReading, shows_staff: bool = False) -> Markup:
    """A bar with its pieces. A staff that is not shown at first is text, which a script draws when it is wanted."""
    widths = [round(piece.width) for piece in bar.pieces]
    anchor = html(' id="{anchor}"', anchor=bar.anchor) if bar.anchor else ""
    pieces = Markup().join(
        _piece(piece, width if len(widths) > 1 else 0, shows_staff)
        for piece, width in zip(bar.pieces, widths, strict=True)
    )
    return html(
        '<div class="tt-bar"{anchor} role="group" aria-label="{name}" style="--w:{width}">'
        '<p class="tt-reading">{counts}</p>{pieces}</div>',
        anchor=anchor,
        name=reading.name,
        width=sum(widths),
        counts=reading.counts,
        pieces=pieces,
    )


def _piece(piece: PieceDrawing, width: int, shows_staff: bool) -> Markup:
    since = html(' data-since="{since:.6g}"', since=piece.since) if piece.since else ""
    styles = [f"--w:{width}"] * bool(width) + [f"--at:{percent(piece.opening)}"] * bool(piece.opening)
    own = html(' style="{styles}"', styles=";".join(styles)) if styles else ""
    return html(
        '<div class="tt-piece"{since}{own}>{chords}{standard}{staff}</div>',
        since=since,
        own=own,
        chords=piece.chords,
        standard=piece.standard if shows_staff or not piece.standard else _as_text(piece.standard),
        staff=piece.staff,
    )


def _as_text(svg: Markup) -> Markup:
    """A drawing that a browser keeps as text."""
    return html('<script type="image/svg+xml">{svg}</script>', svg=svg)
