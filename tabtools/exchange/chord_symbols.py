"""Chord symbols as MusicXML's `harmony`: a kind of the standard's list, what is added to it, altered, left out.

The kinds and their tones are those of the type `kind-value` of MusicXML 4.0.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple
from xml.etree.ElementTree import Element

from tabtools.exchange.markup import sub
from tabtools.model.harmony import ChordSymbol, Degree, parse_degree
from tabtools.model.pitch import Tone
from tabtools.notation.chords import ChordError, read_chord

_KINDS = {
    "major": "1 3 5",
    "minor": "1 b3 5",
    "dominant": "1 3 5 b7",
    "major-seventh": "1 3 5 7",
    "minor-seventh": "1 b3 5 b7",
    "half-diminished": "1 b3 b5 b7",
    "diminished": "1 b3 b5",
    "diminished-seventh": "1 b3 b5 bb7",
    "augmented": "1 3 #5",
    "augmented-seventh": "1 3 #5 b7",
    "major-minor": "1 b3 5 7",
    "major-sixth": "1 3 5 6",
    "minor-sixth": "1 b3 5 6",
    "dominant-ninth": "1 3 5 b7 9",
    "major-ninth": "1 3 5 7 9",
    "minor-ninth": "1 b3 5 b7 9",
    "dominant-11th": "1 3 5 b7 9 11",
    "major-11th": "1 3 5 7 9 11",
    "minor-11th": "1 b3 5 b7 9 11",
    "dominant-13th": "1 3 5 b7 9 11 13",
    "major-13th": "1 3 5 7 9 11 13",
    "minor-13th": "1 b3 5 b7 9 11 13",
    "suspended-second": "1 2 5",
    "suspended-fourth": "1 4 5",
    "power": "1 5",
}
KINDS = {name: tuple(map(parse_degree, degrees.split())) for name, degrees in _KINDS.items()}
_CHARACTER = frozenset((3, 7))
"""A chord of another third is another kind of chord, one of another seventh too; sevenths are added last of all:
programs differ in which seventh an added one is."""


class KindChange(NamedTuple):
    """What a symbol does to its kind: `add`, `alter` or `subtract` a degree, `alter` semitones as the standard counts.

    Added degrees are measured against a dominant chord, altered ones against the kind's own.
    """

    verb: str
    number: int
    alter: int


def add_harmony(measure: Element, symbol: str | None, offset: int, doubtful: bool = False) -> None:
    """A chord symbol `offset` divisions after the next note begins; None is no chord.

    A symbol that cannot be read stands as it is written, as a chord of no known kind; one in doubt has a `?` behind it.
    """
    harmony = sub(measure, "harmony")
    try:
        chord = None if symbol is None else read_chord(symbol)
    except ChordError:
        _add_root(harmony, Tone("C"), hidden=True)
        kind = sub(harmony, "kind", "other", {"text": symbol or ""})
    else:
        if chord is None:
            _add_root(harmony, Tone("C"), hidden=True)
            kind = sub(harmony, "kind", "none", {"text": "N.C."})
        else:
            kind = _add_chord(harmony, chord)
    if offset:
        sub(harmony, "offset", offset)
    if doubtful:
        kind.set("text", kind.get("text", "") + "?")
        sub(harmony, "footnote", "not sure of this chord")
        sub(harmony, "level", "?", {"parentheses": "yes"})


def _add_chord(harmony: Element, chord: ChordSymbol) -> Element:
    """What a readable symbol stands for. Returns its `kind`."""
    name, changes = kind_of(chord.degrees)
    _add_root(harmony, chord.root)
    text = chord.text[_letters(chord.root) :]
    if chord.bass:
        text = text[: -len("/") - _letters(chord.bass)]
    kind = sub(harmony, "kind", name, {"text": text} if text else None)
    if chord.bass:
        element = sub(harmony, "bass")
        sub(element, "bass-step", chord.bass.letter)
        if chord.bass.alteration:
            sub(element, "bass-alter", chord.bass.alteration)
    for change in changes:
        degree = sub(harmony, "degree", attributes={"print-object": "no"})
        sub(degree, "degree-value", change.number)
        sub(degree, "degree-alter", change.alter)
        sub(degree, "degree-type", change.verb)
    return kind


def _letters(tone: Tone) -> int:
    """How many letters a tone takes, whichever sign stands for sharp and flat."""
    return 1 + abs(tone.alteration)


def _add_root(harmony: Element, root: Tone, hidden: bool = False) -> None:
    element = sub(harmony, "root")
    sub(element, "root-step", root.letter, {"text": ""} if hidden else None)
    if root.alteration:
        sub(element, "root-alter", root.alteration)


@lru_cache(maxsize=1024)
def kind_of(degrees: tuple[Degree, ...]) -> tuple[str, tuple[KindChange, ...]]:
    """The kind that needs the least said about it for these degrees, and what is to be said."""
    found = {name: tuple(_changes(kind, degrees)) for name, kind in KINDS.items()}
    name = min(found, key=lambda name: _weight(found[name]))
    return name, found[name]


def _weight(changes: tuple[KindChange, ...]) -> int:
    weight = 0
    for verb, number, _ in changes:
        if verb == "subtract":
            weight += 2
        else:
            weight += 4 if number in _CHARACTER else 1
    return weight


def _changes(kind: tuple[Degree, ...], degrees: tuple[Degree, ...]) -> Iterator[KindChange]:
    left = [degree for degree in degrees if degree not in kind]
    for own in kind:
        if own in degrees:
            continue
        instead = next((degree for degree in left if degree.number == own.number), None)
        if instead is None:
            yield KindChange("subtract", own.number, 0)
        else:
            left.remove(instead)
            yield KindChange("alter", own.number, instead.alteration - own.alteration)
    for degree in sorted(left):
        yield KindChange("add", degree.number, degree.alteration + (degree.number == 7))
