"""What the tests of harmony share: roots, case files, and the chord types they name."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path

from tabtools.harmony.chords import chord_type
from tabtools.model.harmony import ChordSymbol, Key
from tabtools.model.pitch import parse_tone
from tabtools.notation.chords import read_chord

CASES = Path(__file__).parent / "cases"
OUTSIDE = Path(__file__).parents[1] / "outside"
ROOTS = tuple(f"{letter}{sign}" for letter in "CDEFGAB" for sign in ("", "#", "b"))


def rows_of(name: str) -> list[tuple[str, ...]]:
    """The lines of a case file, each as its columns: two spaces or more stand between them."""
    lines = (CASES / name).read_text(encoding="utf-8").splitlines()
    return [tuple(re.split(r" {2,}", line)) for line in lines if line and not line.startswith("# ")]


def blocks_of(name: str) -> list[list[str]]:
    """The blocks of a case file between empty lines, without the first, which says what the file is."""
    _, *blocks = (CASES / name).read_text(encoding="utf-8").split("\n\n")
    return [block.rstrip("\n").split("\n") for block in blocks]


def outside_rows(name: str, key: str) -> list[dict]:
    return json.loads((OUTSIDE / name).read_text(encoding="utf-8"))[key]


def chord_of(symbol: str) -> ChordSymbol:
    chord = read_chord(symbol)
    assert chord is not None
    return chord


def key_of(text: str) -> Key:
    tonic, _, mode = text.partition(" ")
    return Key(parse_tone(tonic), mode)


@cache
def chord_types() -> tuple[str, ...]:
    """What stands behind the root of every chord in chords.txt, each once, in its one spelling."""
    chords = (read_chord(row[0]) for row in rows_of("chords.txt"))
    return tuple(dict.fromkeys(chord_type(chord) for chord in chords if chord is not None))
