"""A drawn bar as HTML: a group with its reading in words and the pieces that a narrow page breaks it into."""

from __future__ import annotations

from html import escape

from tabtools.engraving import BarDrawing, PieceDrawing
from tabtools.engraving.metrics import CHORD_ROW
from tabtools.website.solo_page.tab_in_words import BarReading

NO_CHORDS = f'<svg class="tt-chords" aria-hidden="true" height="{CHORD_ROW}"></svg>'


def bar_html(bar: BarDrawing, reading: BarReading, named: bool = True) -> str:
    """A bar with its pieces. `named` says whether there is a row for chord names."""
    widths = [round(piece.width) for piece in bar.pieces]
    anchor = f' id="{bar.anchor}"' if bar.anchor else ""
    pieces = "".join(
        _piece(piece, width if len(widths) > 1 else 0, named) for piece, width in zip(bar.pieces, widths, strict=True)
    )
    return (
        f'<div class="tt-bar"{anchor} role="group" aria-label="{escape(reading.name)}" style="--w:{sum(widths)}">'
        f'<p class="tt-reading">{escape(reading.counts)}</p>{pieces}</div>'
    )


def _piece(piece: PieceDrawing, width: int, named: bool) -> str:
    since = f' data-since="{piece.since:.6g}"' if piece.since else ""
    own = f' style="--w:{width}"' if width else ""
    chords = (piece.chords or NO_CHORDS) if named else ""
    return f'<div class="tt-piece"{since}{own}>{chords}{piece.staff}</div>'
