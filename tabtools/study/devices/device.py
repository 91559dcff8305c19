"""The record of a device: something a teacher would point at."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from tabtools.model.solo import AddressRange


@dataclass(frozen=True, slots=True)
class Device:
    """A stretch of music with a name.

    `kind` is the name of its rule, `notes` are indices into the timeline, rising, `sentence` says in plain words what
    it is, and `data` says the same in strings, numbers, booleans, None, lists and dicts of them; the module of each
    kind says which. `main` is true of what explains its notes, false of what is said beside that: how they are played,
    and what they are to other stretches. `rank` is its place among the devices of its solo, 1 for the one most worth
    telling; 0 before that is known. `uncertain` where something is that it rests on; its sentence says so. `implied`
    where it follows from what another device says, and is told with that.
    """

    kind: str
    range: AddressRange
    notes: tuple[int, ...]
    sentence: str
    data: dict[str, Any] = field(default_factory=dict)
    main: bool = True
    rank: int = 0
    uncertain: bool = False
    implied: bool = False

    def __hash__(self) -> int:
        return hash((self.kind, self.range.first, self.range.last, self.notes))
