"""An ostinato: the bass plays one figure again and again, and the melody above it changes.

Found, in a solo of two voices: three notes of the bass or more, two of them different, three times or more one after
another in the same rhythm, while what stands above them is not the same each time. A figure that is no more than tones
of one triad on the counts is an alternating bass.

`data`: `size` (notes), `times`, `notes` (names), `over` (symbols).

Example: A E G E in the bass of each of three bars is "ostinato in the bass: A E G E, three times".
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import often
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import Music
from tabtools.study.periods import Repeat, in_time

KIND = "ostinato"
FEWEST, FEWEST_TIMES = 3, 3


def find(lower: Music) -> Iterator[Proposal]:
    """Each ostinato, in order."""
    for cell in lower.cells:
        if cell.size >= FEWEST and cell.times >= FEWEST_TIMES and _keeps_on(lower, cell):
            again = cell.end + 1 - cell.start - cell.size
            bits = costs.NAMING[KIND] + costs.FIRST_TIME * cell.size + costs.AGAIN * again
            yield Proposal(KIND, cell.start, cell.end, bits, costs.FIRST_TIME, partial(_device, lower, cell))


def _keeps_on(lower: Music, cell: Repeat) -> bool:
    """Whether it keeps its rhythm, and is more than tones of a triad on the counts."""
    melody = lower.melody
    strokes = melody.strokes[cell.start : cell.end + 1]
    if not in_time(strokes, cell.size).keeps_rhythm:
        return False
    figure = range(cell.start, cell.start + cell.size)
    return not all(
        melody.strokes[at].is_on_beat
        and melody.backing(at).degrees[melody.strokes[at].top % 12][-1:] in ("1", "3", "5")
        for at in figure
        if melody.backing(at).degrees
    )


def _device(lower: Music, cell: Repeat) -> Device:
    melody = lower.melody
    places = range(cell.start, cell.start + cell.size)
    names = [melody.backing(at).names[melody.strokes[at].top % 12] for at in places]
    data = {
        "voice": "bass",
        "size": cell.size,
        "times": cell.times,
        "notes": names,
        "over": [backing.symbol for backing in lower.backings(cell.start, cell.end)],
    }
    said = f"ostinato in the bass: {' '.join(names)}, {often(cell.times)}"
    return lower.device(KIND, cell.start, cell.end, said, data)
