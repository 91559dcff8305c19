"""The index that figures are searched in by the browser: a small script, so that it loads from a disk as well."""

from __future__ import annotations

import json
from collections.abc import Sequence
from itertools import groupby

from tabtools.search.columns import NOTHING, cell_number
from tabtools.search.strokes import DEGREE_CELLS
from tabtools.website.facets import Facets
from tabtools.website.links import Links
from tabtools.website.records import FiguresRecord

NAME = "figures.js"
TAKEN_BY = "tabtoolsFigures"
"""The function that takes the index over; `assets/index/figure_search.js` sets it before it loads the index."""


def figure_index(solos: Sequence[Facets], links: Links) -> str:
    """The script that hands the index over; `links` lead from the page that searches."""
    rows = [
        FiguresRecord(
            links.solo(one.slug),
            one.title,
            [cell_number(cell) for cell in one.searched.strokes.steps],
            [None if cell == NOTHING else DEGREE_CELLS.index(cell) for cell in one.searched.strokes.degrees],
            _places(one.searched.strokes.addresses),
        )
        for one in solos
    ]
    return f"{TAKEN_BY}({json.dumps(rows, ensure_ascii=False, allow_nan=False, separators=(',', ':'))});\n"


def _places(addresses: str) -> str:
    lines = (address.rpartition(".")[0] for address in addresses.split(" ") if address)
    return " ".join(f"{line} {sum(1 for _ in group)}" for line, group in groupby(lines))
