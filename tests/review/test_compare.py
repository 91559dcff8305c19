"""Comparison: made-up corrections are reported exactly, and applied to the old version give the new one."""

from __future__ import annotations

import random
from functools import cache

import pytest
from made_beat_edits import Edit
from made_drafts import Draft, Reported
from made_edits import EVERY_EDIT
from made_solos import made_solo, version
from rebuilt import apply
from thoroughness import share

from tabtools.notation.write import canonical
from tabtools.review.change import Comparison, ReadVersion
from tabtools.review.compare import compare

SEEDS = 21
ALONE = share(40)
MIXED = share(360)


@cache
def base(seed: int) -> ReadVersion:
    return version(made_solo(seed))


def reported(comparison: Comparison) -> list[Reported]:
    return sorted(
        Reported(
            tuple(change.kinds),
            "" if change.old is None else str(change.old),
            "" if change.new is None else str(change.new),
            change.name,
        )
        for change in comparison.changes
    )


def check(draft: Draft, before: ReadVersion, renumber: bool) -> None:
    solo, expected = draft.numbered(renumber)
    after = version(canonical(solo))
    comparison = compare(before, after)
    assert reported(comparison) == expected
    assert apply(comparison.changes, before.solo) == after.solo
    assert comparison.is_music == any(set(one.kinds) - {"comment", "layout"} for one in expected)


@pytest.mark.parametrize("edit", EVERY_EDIT, ids=lambda edit: edit.__name__)
def test_each_edit_alone_is_reported_exactly(edit: Edit) -> None:
    tried = 0
    for seed in range(ALONE):
        draft = Draft(base(seed).solo, random.Random(f"{edit.__name__} {seed}"))
        if edit(draft):
            check(draft, base(seed), renumber=seed % 3 > 0)
            tried += 1
    assert tried >= ALONE * 2 // 3


@pytest.mark.parametrize("seed", range(MIXED))
def test_mixed_edits_are_reported_exactly(seed: int) -> None:
    rng = random.Random(seed)
    before = base(seed % SEEDS)
    draft = Draft(before.solo, rng)
    for edit in rng.sample(EVERY_EDIT, rng.randint(2, 6)):
        edit(draft)
    check(draft, before, renumber=rng.random() < 0.7)
