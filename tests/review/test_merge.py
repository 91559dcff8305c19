"""Three-way merges: corrections that do not touch merge to what both meant, colliding ones keep both sides whole."""

from __future__ import annotations

import pytest
from made_merges import colliding, disjoint
from made_solos import version
from thoroughness import share

from tabtools.notation.write import canonical
from tabtools.review.merging.text import MergedText, decided, merge_texts

DISJOINT = share(270)
COLLIDING = share(240)


def merged(*texts: str) -> MergedText:
    """Base, ours and theirs merged."""
    return merge_texts(*(text.encode() for text in texts))


def solo(text: str) -> str:
    """The canonical text."""
    return canonical(version(text).solo)


@pytest.mark.parametrize("seed", range(DISJOINT))
def test_disjoint_corrections_merge_to_what_both_meant(seed: int) -> None:
    made = disjoint(seed)
    assert made.decided_for_ours == made.decided_for_theirs
    assert merged(made.base, made.ours, made.theirs) == MergedText(made.decided_for_ours, 0)


@pytest.mark.parametrize("seed", range(COLLIDING))
def test_colliding_corrections_keep_both_sides_whole(seed: int) -> None:
    made = colliding(seed)
    outcome = merged(made.base, made.ours, made.theirs)
    assert outcome.conflicts
    assert solo(decided(outcome.text, "ours")) == made.decided_for_ours
    assert solo(decided(outcome.text, "theirs")) == made.decided_for_theirs
