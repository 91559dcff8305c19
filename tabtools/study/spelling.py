"""How a note outside chord and scale is spelled by where it leads: below its goal raised, above it flat."""

from __future__ import annotations

from tabtools.model.pitch import LETTERS, NATURALS, Tone, parse_tone
from tabtools.study.backing import Backing

WHITE_KEYS = frozenset(("E-1", "B-1", "C1", "F1"))
"""Letters a sharp of which (to a goal above), or a flat of which (to one below), is a white key."""


def spelled_towards(backing: Backing, pitch: int, goal: int, goal_backing: Backing) -> str:
    """The name of a pitch: by its chord where it belongs there, otherwise by the note it leads to.

    A semitone below its goal it is that of the letter before (D# to E, C# to D), above it that of the letter after
    (Db to C, Bb to A). Where this would take two accidentals, or one on a white key (E#), the chord's name stands.
    """
    name = backing.names[pitch % 12]
    if backing.tones[pitch % 12] != "chromatic" or abs(goal - pitch) > 2:
        return name
    goal_tone = parse_tone(goal_backing.names[goal % 12])
    step = -1 if pitch < goal else 1
    letter = LETTERS[(LETTERS.index(goal_tone.letter) + step) % 7]
    alteration = (pitch - NATURALS[letter] + 6) % 12 - 6
    is_plain = alteration == 0 or (alteration == -step and f"{letter}{step}" not in WHITE_KEYS)
    return str(Tone(letter, alteration)) if is_plain else name
