"""What choosing places costs beside the fingering of the same solos: `python tests/bench/place.py`.

The aim is three times the fingering. Ratios of processor time within one run, so that other work on the machine does
not count; shapes and moves are worked out anew for each run. Last, of how many generated solos with chords the places
found cost more than with nothing passed over: of none.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

sys.path.append(str(Path(__file__).parents[1] / "placing"))

from every_way import found, least_cost
from hand import seconds as processor_seconds
from solos import solo as made_solo
from solos import with_chords
from unplaced import DEMO, demo_solo, without_places

from tabtools.hand import hand as fingered_by
from tabtools.hand import hand_of
from tabtools.model.solo import Solo
from tabtools.notation.build import read_solo
from tabtools.placing import search
from tabtools.placing.placed import place
from tabtools.source import from_text
from tabtools.timeline import Timeline, timeline_of

RUNS = 3
SHORT_BARS, LONG_BARS = 9, 360
SOLOS = 200


def seconds(work: Callable[[], object]) -> float:
    """Processor time of a piece of work, shapes and moves worked out anew."""
    fingered_by.moves_of.cache_clear()
    search.moves_for_placing.cache_clear()
    return processor_seconds(work)


def without(solo: Solo) -> Timeline:
    return timeline_of(without_places(solo)[0])


def of_bars(seed: int, bars: int) -> Timeline:
    return without(read_solo(from_text(made_solo(seed, bars))).solo)


def main() -> None:
    fingering = placing = 0.0
    for path in DEMO:
        solo = demo_solo(path)
        placed, bare = timeline_of(solo), without(solo)
        one = min(seconds(lambda placed=placed: hand_of(placed)) for _ in range(RUNS))
        other = min(seconds(lambda bare=bare: place(bare)) for _ in range(RUNS))
        fingering, placing = fingering + one, placing + other
        print(f"{path.stem}: {other / one:.1f}")
    print(f"all demo solos, placing / fingering: {placing / fingering:.1f}")
    short = [of_bars(seed, SHORT_BARS) for seed in range(LONG_BARS // SHORT_BARS)]
    long = of_bars(0, LONG_BARS)
    per = [
        seconds(lambda: [place(one) for one in short]) / sum(len(one.notes) for one in short),
        seconds(lambda: place(long)) / len(long.notes),
    ]
    print(f"a note in a solo of {LONG_BARS} bars / in one of {SHORT_BARS}: {per[1] / per[0]:.2f}")
    solos = [timeline_of(read_solo(from_text(with_chords(seed))).solo) for seed in range(SOLOS)]
    dearer = sum(found(one).cost > least_cost(one) for one in solos)
    followed = sum(found(one).is_least for one in solos)
    print(f"of {SOLOS} solos with chords cost more than they must: {dearer}; all is followed of {followed}")


if __name__ == "__main__":
    main()
