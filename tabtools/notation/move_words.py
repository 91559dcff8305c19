"""What moves are called in sentences."""

from __future__ import annotations

from tabtools.model.solo import Note


def goal_not_known(note: Note) -> str:
    """How far a slot goes that only moves the pitch and does not say to where: `how far this bend goes`."""
    return _GOALS[note.via]


_GOALS = {
    "b": "how far this bend goes",
    "r": "how far this bend is let down",
    "w": "how far the vibrato bar goes here",
}
