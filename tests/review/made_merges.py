"""Made-up corrections of one solo by two people, and what a merge of them is to come to."""

from __future__ import annotations

import random
from collections.abc import Callable
from functools import cache
from typing import NamedTuple

from made_beat_edits import BEATS, Edit
from made_collisions import EVERY_COLLISION, STAYING
from made_drafts import Draft
from made_edits import EVERY_EDIT, new_bar, retuning
from made_settling_edits import SETTLING
from made_solos import made_solo, version

from tabtools.model.solo import Solo
from tabtools.notation.write import canonical

WITHOUT_TUNING = tuple(edit for edit in EVERY_EDIT if edit is not retuning)
WITHOUT_NOTES = tuple(edit for edit in WITHOUT_TUNING if edit not in (*BEATS, *SETTLING, new_bar))
"""Corrections that go together with a retuning by the other side."""


class MadeMerge(NamedTuple):
    """Texts: the base, two corrections, and what is left when every conflict is decided for ours, and for theirs."""

    base: str
    ours: str
    theirs: str
    decided_for_ours: str
    decided_for_theirs: str


def disjoint(seed: int) -> MadeMerge:
    """Corrections that have nothing to do with each other."""
    return _made(seed, seed % 4 > 0, lambda draft, side: None)


def colliding(seed: int) -> MadeMerge:
    """The same, and one place that both correct, each its own way."""
    collision = EVERY_COLLISION[seed % len(EVERY_COLLISION)]
    renumber = collision in STAYING and seed % 2 == 0
    return _made(seed, renumber, lambda draft, side: collision(draft, random.Random(f"place {seed}"), side))


def _made(seed: int, renumber: bool, collide: Callable[[Draft, int], None]) -> MadeMerge:
    base = _base(seed % 40)
    ours, theirs = sides = [Draft(base, random.Random(seed)) for _ in range(2)]
    for side, draft in enumerate(sides):
        collide(draft, side)
    _keep_off(ours, theirs)
    _keep_off(theirs, ours)
    merged = [draft.copy() for draft in sides]
    for draft in (ours, *merged):
        _correct(draft, random.Random(f"ours {seed}"), EVERY_EDIT)
    _keep_off(theirs, ours)
    edits = WITHOUT_NOTES if "tuning" in ours.touched else WITHOUT_TUNING
    for draft in (theirs, *merged):
        _correct(draft, random.Random(f"theirs {seed}"), edits)
    return MadeMerge(canonical(base), *(canonical(draft.numbered(renumber)[0]) for draft in (*sides, *merged)))


@cache
def _base(seed: int) -> Solo:
    return version(made_solo(seed)).solo


def _keep_off(draft: Draft, other: Draft) -> None:
    """Leave alone what the other has touched."""
    draft.touched |= other.touched
    draft.settled |= other.settled


def _correct(draft: Draft, rng: random.Random, edits: tuple[Edit, ...]) -> None:
    """Make one to four corrections, as far as the solo has room for them."""
    draft.rng = rng
    for edit in rng.sample(edits, rng.randint(1, 4)):
        edit(draft)
