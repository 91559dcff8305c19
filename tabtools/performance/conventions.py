"""How long what has no written length lasts, and how loud things are: as players do it (common practice), not measured.

Lengths are in seconds, levels are shares of a plucked note's.
"""

from __future__ import annotations

from tabtools.performance.records import Attack

LONGEST_BEND = 0.16
"""A bend or a move of the vibrato bar is under way so long at most."""

LONGEST_SLIDE = 0.12

GRACE = 0.07
"""From one grace note to the next, whether it is hammered, pulled or slid: so short that it leans on its main note."""

SLIDE_IN_FRETS, SLIDE_OUT_FRETS, SLIDE_OUT = 2, 4, 0.15

ROLL, ROLL_SHARE = 0.03, 0.4
"""From string to string of a rolled chord; all of it takes no more than a share of the chord."""

RAKE, RAKED_STRINGS = 0.025, 2
"""From string to string, over so many damped ones, to the count."""

TRILL, TREMOLO, MOST_REPEATS = 0.09, 0.085, 200

SWELL, SWELL_SHARE = 0.6, 0.6

VIBRATO_DELAY = 0.15
VIBRATO_CENTS = {"~": 18, "~~": 45}
"""How far either way."""

STACCATO = 0.5
"""The share of its length that a staccato note sounds."""

DEAD_LENGTH = TICK_LENGTH = 0.05

ACCENT, GHOST = 1.3, 0.5

LEVELS = {Attack.HAMMER: 0.7, Attack.PULL: 0.75, Attack.TAP: 0.8, Attack.SLIDE: 0.6, Attack.DEAD: 0.55}
LEVELS |= {Attack.TICK: 0.35}
"""Of what is not plucked."""
