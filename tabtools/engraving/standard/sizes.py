"""Sizes on the standard staff, in CSS pixels. Heights count from its top line downwards."""

from __future__ import annotations

SPACE = 8
STEP = SPACE / 2
FOOT = 4 * SPACE
MIDDLE = FOOT / 2
TOP_STEP = 8
"""Steps count from the bottom line, which has 0; the top line has 8."""

HEAD, WHOLE_HEAD = 4.9, 6.6
"""Half the width of a head."""
STEM_ASIDE = 4.5
STEM = 3.5 * SPACE
BEAM, BEAM_STEP = 4.0, 6.0
LEDGER = 8.0
SIGN_GAP, SIGN_COLUMN = 2.0, 8.0
"""Between a head and its accidental, and from one accidental to the next one left of it."""
DOT_GAP = 4.0
SMALL = 0.68
"""A grace note beside a note of full size."""
GRACE_STEM = 19.0
GRACE_COLUMN = 10.0


def height(step: int) -> float:
    """How far below the top line a step stands."""
    return FOOT - STEP * step
