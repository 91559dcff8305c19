"""Under a doubtful count nothing is said of rhythm: whatever the shares of its slots, study and pace are the same.

Chords that change within a line are left out, as they decide which notes stand over them; so are bars out of time, in
which one line's shares are the others' lengths, and where the hand goes.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from random import Random
from typing import Any

import pytest
from exported import made_open
from thoroughness import share

from tabtools.hand import hand_of
from tabtools.model.solo import Bar, BeatLine, Solo
from tabtools.study import study_of
from tabtools.timeline import timeline_of

SEEDS = range(share(240))
FAILED_ONCE = (90, 97)
OF_THE_HAND = {"positions", "devices"}
"""How the hand goes hangs on the time it has: under such a count its shifts are told as uncertain."""


def with_other_shares(solo: Solo, dice: Random) -> Solo:
    """The solo with shares thrown anew wherever the rhythm is not known."""
    bars = [_bar(item, dice) if isinstance(item, Bar) else item for item in solo.items]
    return replace(solo, items=tuple(bars))


def _bar(bar: Bar, dice: Random) -> Bar:
    return replace(bar, free=None, chords=bar.chords[:1], lines=tuple(_line(line, dice) for line in bar.lines))


def _line(line: BeatLine, dice: Random) -> BeatLine:
    if not line.doubtful:
        return line
    return replace(line, slots=tuple(replace(slot, weight=dice.randint(1, 5)) for slot in line.slots))


def told(solo: Solo) -> dict[str, Any]:
    timeline = timeline_of(solo)
    study, pace = study_of(timeline), hand_of(timeline).pace
    devices = [replace(device, rank=0) for device in study.devices if device.kind != "position shift"]
    return {
        "labels": study.labels,
        "roles": study.roles,
        "phrases": study.phrases,
        "devices": devices,
        "statistics": {name: count for name, count in study.statistics.to_dict().items() if name not in OF_THE_HAND},
        "pace": (pace.picked, pace.legato, pace.tapped, list(pace.crossings())),
    }


@pytest.mark.parametrize("seeds", [range(first, first + 20) for first in SEEDS[::20]] + [FAILED_ONCE], ids=str)
def test_other_shares_change_nothing(seeds: Iterable[int]) -> None:
    for seed in seeds:
        solo = made_open(seed).solo
        one, other = (told(with_other_shares(solo, Random(dice))) for dice in (seed, seed + 1))
        for name, found in one.items():
            assert found == other[name], f"seed {seed}: {name}"


def test_the_shares_do_change_the_sound() -> None:
    solos = [made_open(seed).solo for seed in SEEDS[:20]]
    pairs = [[with_other_shares(solo, Random(dice)) for dice in (1, 2)] for solo in solos]
    assert sum(timeline_of(one).notes != timeline_of(other).notes for one, other in pairs) > 5
