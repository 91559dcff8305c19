"""Which chord some tones are: tables of triads, seventh and ninth chords, and the name that fits the sounding chord."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache

from tabtools.model.harmony import Degree, tone_above
from tabtools.study.backing import Backing

TRIADS = {"": (0, 4, 7), "m": (0, 3, 7), "dim": (0, 3, 6), "aug": (0, 4, 8)}
SEVENTHS = {
    "maj7": (0, 4, 7, 11),
    "7": (0, 4, 7, 10),
    "m7": (0, 3, 7, 10),
    "m(maj7)": (0, 3, 7, 11),
    "m7b5": (0, 3, 6, 10),
    "dim7": (0, 3, 6, 9),
    "maj7#5": (0, 4, 8, 11),
}
NINTHS = {"maj9": (0, 4, 7, 11, 2), "9": (0, 4, 7, 10, 2), "m9": (0, 3, 7, 10, 2)}
SLIPPED = frozenset(("", "m", "7", "m7", "maj7"))
RARE = frozenset(("m(maj7)", "maj7#5", "aug"))
FROM_THE_THIRD = "7#9 from its third"
"""What third, fifth, seventh and sharp ninth of a dominant are called; over other chords they are nothing."""


def mask_of(tones: tuple[int, ...], root: int) -> int:
    return sum(1 << (root + tone) % 12 for tone in tones)


def _tables(types: Mapping[str, tuple[int, ...]]) -> tuple[dict[int, list[tuple[int, str]]], frozenset[int]]:
    """Each set of tones (a bit for a pitch class) to its roots and types; and every part of such a set."""
    named: dict[int, list[tuple[int, str]]] = {}
    for root in range(12):
        for name, tones in types.items():
            named.setdefault(mask_of(tones, root), []).append((root, name))
    parts = set()
    for mask in named:
        part = mask
        while part:
            parts.add(part)
            part = (part - 1) & mask
    return named, frozenset(parts)


NAMED_TRIADS, PARTS_OF_TRIADS = _tables(TRIADS)
NAMED_SEVENTHS, PARTS_OF_SEVENTHS = _tables(SEVENTHS | {FROM_THE_THIRD: (0, 3, 6, 11)})
NAMED_NINTHS, PARTS_OF_NINTHS = _tables(NINTHS)
NAMED = NAMED_TRIADS | NAMED_SEVENTHS


ALTERED = frozenset((1, 3, 6, 8))
"""The altered tones of a dominant (b9 #9 b5 b13), in semitones above its root."""


def is_dominant(backing: Backing) -> bool:
    root = backing.root
    return root is not None and {(root + 4) % 12, (root + 10) % 12} <= backing.core


def is_tritone_away(root: int, backing: Backing) -> bool:
    return is_dominant(backing) and backing.root is not None and root == (backing.root + 6) % 12


def substitute_root(backing: Backing) -> str:
    """The root a tritone away, by its flat name: Db over G7."""
    return str(tone_above(backing.chord.root, Degree(5, -1))) if backing.chord else ""


@lru_cache(maxsize=8192)
def chord_name(mask: int, lowest: int, backing: Backing) -> tuple[int, str]:
    """The root and what stands behind it; `lowest` is the pitch class of the lowest tone."""
    root = backing.root
    if root is None:
        return _rooted(mask, None, lowest)
    if mask in NAMED_NINTHS and has_ninth_on(mask, backing):
        return root, dict(NAMED_NINTHS[mask])[root]
    sixth = mask == mask_of((0, 4, 7, 9), root) or mask == mask_of((0, 3, 7, 9), root)
    third = 3 if (root + 3) % 12 in backing.core else 4
    if sixth and not backing.has_minor_or_major_seventh and mask == mask_of((0, third, 7, 9), root):
        return root, "m6" if third == 3 else "6"
    if is_dominant(backing) and mask == mask_of((0, 3, 7, 10), root):
        return root, "7#9"
    if is_dominant(backing) and mask == mask_of((4, 7, 10, 1), root):
        return (root + 4) % 12, "dim7"
    return _rooted(mask, root, lowest)


@cache
def _rooted(mask: int, *wanted: int | None) -> tuple[int, str]:
    choices = dict(NAMED[mask] if mask in NAMED else NAMED_NINTHS[mask])
    root = next((root for root in wanted if root in choices), None)
    if len(choices) == 1 or root is None:
        root = next(iter(choices))
    return root, choices[root]


def has_ninth_on(tones: int, backing: Backing) -> bool:
    return any(root == backing.root for root, _ in NAMED_NINTHS[tones])


def slipped(tones: int, root: int, shape: str, backing: Backing) -> str:
    """`, a side-slip a semitone above`, where it is a chord of the same kind beside the sounding one, strange to it."""
    if backing.root is None or shape not in SLIPPED or (root - backing.root) % 12 not in (1, 11):
        return ""
    third = 3 if shape.startswith("m") and shape != "maj7" else 4
    is_same = (backing.root + third) % 12 in backing.core
    is_strange = any(tones >> tone & 1 and backing.tones[tone] == "chromatic" for tone in range(12))
    return f", a side-slip a semitone {'above' if root == (backing.root + 1) % 12 else 'below'}" * (
        is_same and is_strange
    )
