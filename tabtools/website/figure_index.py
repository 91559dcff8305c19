"""The index that figures are searched in by the browser: scripts, so that they load from a disk as well.

One tells in which blocks of solos two degrees, or two steps, follow each other; of the blocks only those are loaded
that have all that is looked for, until there are enough places to be listed.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from itertools import groupby, pairwise

from tabtools.search.columns import NOTHING, cell_number
from tabtools.search.strokes import DEGREE_CELLS
from tabtools.website.facets import Facets
from tabtools.website.links import Links, runs
from tabtools.website.records import FigureBlocks, FiguresRecord, listed

NAME = "figures.js"
BLOCK = 50
"""Solos in a block; ordinary ones weigh some 60 kB together."""
TAKEN_BY = "tabtoolsFigures"
"""The function that takes over a script's name and what it has; `assets/index/figure_search.js` sets it."""


def figure_index(solos: Sequence[Facets], links: Links) -> dict[str, str]:
    """The scripts by their names, first the one that leads to the blocks; `links` lead from the page that searches."""
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
    blocks = [rows[start : start + BLOCK] for start in range(0, len(rows), BLOCK)]
    degrees, steps = ([[getattr(row, way) for row in block] for block in blocks] for way in ("degrees", "steps"))
    ways = FigureBlocks(len(blocks), _blocks_by_pair(degrees), _blocks_by_pair(steps))
    named = {block_name(place): _script(block_name(place), block) for place, block in enumerate(blocks)}
    return {NAME: _script(NAME, listed(ways)), **named}


def block_name(place: int) -> str:
    """The script of a block, by its place from 0."""
    return f"figures-{place}.js"


def _script(name: str, content: object) -> str:
    return f"{TAKEN_BY}({json.dumps([name, content], ensure_ascii=False, allow_nan=False, separators=(',', ':'))});\n"


def _blocks_by_pair(blocks: Sequence[Sequence[Sequence[int | None]]]) -> dict[str, str]:
    """The places of the blocks, as runs, in which one value follows another, by both (`3 7`)."""
    found: dict[str, list[int]] = {}
    for place, block in enumerate(blocks):
        pairs = {f"{one} {other}" for column in block for one, other in pairwise(column) if None not in (one, other)}
        for pair in sorted(pairs):
            found.setdefault(pair, []).append(place)
    return {pair: runs(places) for pair, places in found.items()}


def _places(addresses: str) -> str:
    lines = (address.rpartition(".")[0] for address in addresses.split(" ") if address)
    return " ".join(f"{line} {sum(1 for _ in group)}" for line, group in groupby(lines))
