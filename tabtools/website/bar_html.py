"""A drawn bar as HTML: a group with its reading in words and the pieces that a narrow page breaks it into."""

from __future__ import annotations

from markupsafe import Markup

from tabtools.engraving import BarDrawing, PieceDrawing
from tabtools.engraving.metrics import CHORD_ROW
from tabtools.website.markup import html
from tabtools.website.solo_page.tab_in_words import BarReading

NO_CHORDS = html('<svg class="tt-chords" aria-hidden="true" height="{chord_row}"></svg>', chord_row=CHORD_ROW)


def bar_html(bar: BarDrawing, reading: BarReading, named: bool = True) -> Markup:
    """A bar with its pieces. `named` says whether there is a row for chord names."""
    widths = [round(piece.width) for piece in bar.pieces]
    anchor = html(' id="{anchor}"', anchor=bar.anchor) if bar.anchor else ""
    pieces = Markup().join(
        _piece(piece, width if len(widths) > 1 else 0, named) for piece, width in zip(bar.pieces, widths, strict=True)
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


def _piece(piece: PieceDrawing, width: int, named: bool) -> Markup:
    since = html(' data-since="{since:.6g}"', since=piece.since) if piece.since else ""
    own = html(' style="--w:{width}"', width=width) if width else ""
    chords = (piece.chords or NO_CHORDS) if named else ""
    return html(
        '<div class="tt-piece"{since}{own}>{chords}{standard}{staff}</div>',
        since=since,
        own=own,
        chords=chords,
        standard=piece.standard,
        staff=piece.staff,
    )
