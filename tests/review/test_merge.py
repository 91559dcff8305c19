"""Three-way merges: corrections that do not touch merge to what both meant, colliding ones keep both sides whole."""

from __future__ import annotations

import copy
import random

import pytest
from made_collisions import EVERY_COLLISION, STAYING
from made_drafts import Draft
from made_edits import EVERY_EDIT
from made_solos import made_solo, version

from tabtools.model.solo import Solo
from tabtools.notation.write import canonical
from tabtools.review.merging.text import MergedText, decided, merge_texts

DISJOINT = 350
COLLIDING = 250


def merged(base: Solo | str, ours: Solo | str, theirs: Solo | str) -> MergedText:
    texts = (one if isinstance(one, str) else canonical(one) for one in (base, ours, theirs))
    return merge_texts(*(text.encode() for text in texts))


def corrected(draft: Draft, rng: random.Random, count: int) -> None:
    """Make so many corrections, or as many as the solo has room for."""
    draft.rng = rng
    for edit in rng.sample(EVERY_EDIT, count):
        edit(draft)


@pytest.mark.parametrize("seed", range(DISJOINT))
def test_disjoint_corrections_merge_to_what_both_meant(seed: int) -> None:
    rng = random.Random(seed)
    renumber = seed % 4 > 0
    base = version(made_solo(seed % 40)).solo
    ours = Draft(base, rng)
    corrected(ours, random.Random(f"ours {seed}"), rng.randint(1, 4))
    both = copy.deepcopy(ours)
    theirs = Draft(base, rng, touched=set(ours.touched), settled=set(ours.settled))
    count = rng.randint(1, 4)
    for draft in (theirs, both):
        corrected(draft, random.Random(f"theirs {seed}"), count)
    outcome = merged(base, *(draft.numbered(renumber)[0] for draft in (ours, theirs)))
    assert outcome == MergedText(canonical(both.numbered(renumber)[0]), 0)


@pytest.mark.parametrize("seed", range(COLLIDING))
def test_colliding_corrections_keep_both_sides_whole(seed: int) -> None:
    collision = EVERY_COLLISION[seed % len(EVERY_COLLISION)]
    renumber = collision in STAYING and seed % 2 == 0
    base = version(made_solo(100 + seed % 40)).solo
    sides, wanted = [], []
    for side in (0, 1):
        draft = Draft(base, random.Random(seed))
        collision(draft, random.Random(f"place {seed}"), side)
        sides.append(draft)
    touched = sides[0].touched | sides[1].touched
    settled = sides[0].settled | sides[1].settled
    for draft in sides:
        draft.touched, draft.settled = set(touched), set(settled)
        wanted.append(copy.deepcopy(draft))
    for draft in (sides[0], *wanted):
        corrected(draft, random.Random(f"ours {seed}"), 2)
    sides[1].touched |= sides[0].touched
    sides[1].settled |= sides[0].settled
    for draft in (sides[1], *wanted):
        corrected(draft, random.Random(f"theirs {seed}"), 2)
    outcome = merged(base, *(draft.numbered(renumber)[0] for draft in sides))
    assert outcome.conflicts
    for name, draft in zip(("ours", "theirs"), wanted, strict=True):
        assert canonical(version(decided(outcome.text, name)).solo) == canonical(draft.numbered(renumber)[0])
