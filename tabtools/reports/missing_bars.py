"""Bars that plain tab cannot show, because the line that should begin them cannot be read."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from tabtools.notation.build import Reading
from tabtools.source import Span, visible
from tabtools.timeline import TimedBar

WIDTH = 80


def what_is_missing(reading: Reading, shown: Sequence[TimedBar]) -> str:
    """`line 18, after bar 4: “bar x” cannot be read, and its bar is not shown`, a line for each; of those after the
    bars that are shown, and before the first where that is."""
    first = next(iter(reading.solo.bars), None)
    numbers = {bar.number for bar in shown}
    rows = []
    for span in reading.lost_bars:
        before = [bar.number for bar in reading.solo.bars if bar.span.start < span.start]
        if (before[-1] if before else first and first.number) in numbers:
            rows.append(_row(reading, span, f", after bar {before[-1]}" if before else ""))
    return "\n".join(rows)


def _row(reading: Reading, span: Span, where: str) -> str:
    text = visible(reading.source.text[span.start : span.end].partition("#")[0].strip())
    line = reading.source.locate(span.start)[0]
    said = f"line {line}{where}: “{textwrap.shorten(text, WIDTH // 2, placeholder=' …')}” cannot be read"
    several = text.startswith("bars")
    said += f", and its {'bars are' if several else 'bar is'} not shown"
    return textwrap.fill(said, WIDTH, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False)
