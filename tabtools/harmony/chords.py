"""A chord symbol as tones, and the one spelling by which chords written differently are known to be the same."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from tabtools.model.harmony import ChordSymbol, Degree


@dataclass(frozen=True, slots=True)
class ChordTones:
    """What a chord sounds.

    `degrees` names each semitone above the root (0 to 11) that the symbol asks for or offers. The other fields
    are pitch classes (0 is C): `core` is the chord without what stands above the seventh, `extensions` are its
    ninths, elevenths, thirteenths and the tones `alt` offers, `bass` is the lowest tone.
    """

    chord: ChordSymbol
    degrees: Mapping[int, Degree]
    core: frozenset[int]
    extensions: frozenset[int]
    bass: int

    @property
    def pitch_classes(self) -> frozenset[int]:
        """Everything that may sound, the bass and what `alt` offers included."""
        return self.core | self.extensions | {self.bass}


@lru_cache(maxsize=4096)
def tones_of(chord: ChordSymbol) -> ChordTones:
    """The tones of a chord."""
    root = chord.root.pitch_class
    named = {degree.pitch_class: degree for degree in (*chord.available, *chord.degrees)}
    core = frozenset((root + degree.semitones) % 12 for degree in chord.degrees if degree.number <= 7)
    every = frozenset((root + semitones) % 12 for semitones in named)
    bass = root if chord.bass is None else chord.bass.pitch_class
    return ChordTones(chord, MappingProxyType(named), core, every - core, bass)


@lru_cache(maxsize=4096)
def chord_type(chord: ChordSymbol) -> str:
    """What stands behind the root in the canonical spelling: `m7` for `A-7`, empty for a major triad."""
    if chord.available:
        return "7alt"
    rest = set(chord.degrees) - {Degree(1)}
    if rest == {Degree(5)}:
        return "5"
    fifth = {degree for degree in rest if degree.number == 5}
    seventh = next((degree for degree in rest if degree.number == 7), None)
    bracketed: list[str] = []
    head = _take_triad(rest, seventh)
    figure = _take_figure(rest, seventh)
    if seventh == Degree(7) and head:
        bracketed.append(f"maj{figure}")
    elif seventh == Degree(7):
        head = f"maj{figure}"
    else:
        head += figure
    suspension = "".join(str(degree.number) for degree in sorted(rest) if degree.number in (2, 4))
    has_third = any(degree.number == 3 for degree in chord.degrees)
    bracketed += [str(degree) for degree in sorted(rest) if degree.alteration]
    bare = [f"add{degree}" for degree in sorted(rest) if degree.number > 7 and not degree.alteration]
    bare += ["no3"] if not has_third and not suspension else []
    bare += [] if fifth else ["no5"]
    if suspension:
        head += f"sus{suspension}"
    if bracketed and (len(bracketed) > 1 or suspension or not figure or bracketed[0].startswith("maj")):
        bracketed = [f"({','.join(bracketed)})"]
    return "".join([head, *bracketed, *bare])


def canonical(chord: ChordSymbol | None) -> str:
    """The one spelling of a chord: `Am7` for `A-7` and `Ami7`, `A7(b9,#11)` for `A7#11b9`, `NC` for None.

    It reads back to the same degrees and bass; a bass that is the root is left out.
    """
    if chord is None:
        return "NC"
    bass = f"/{chord.bass}" if chord.bass not in (None, chord.root) else ""
    return f"{chord.root}{chord_type(chord)}{bass}"


def same_chord(one: ChordSymbol | None, other: ChordSymbol | None) -> bool:
    """Whether two symbols write the same chord, however they spell it."""
    return canonical(one) == canonical(other)


def _take_triad(rest: set[Degree], seventh: Degree | None) -> str:
    """The word for third and fifth, taken out of `rest`; an altered fifth without a word stays there."""
    has_sixth = Degree(6) in rest
    if Degree(3, -1) in rest:
        rest.remove(Degree(3, -1))
        if Degree(5, -1) in rest and not has_sixth and seventh != Degree(7, -1):
            rest.remove(Degree(5, -1))
            return "dim"
        return "m"
    if rest >= {Degree(3), Degree(5, 1)} and not has_sixth and seventh is None:
        rest -= {Degree(3), Degree(5, 1)}
        return "aug"
    return ""


def _take_figure(rest: set[Degree], seventh: Degree | None) -> str:
    """The figure for what is stacked without a gap, taken out of `rest`; a ninth may be altered below an 11 or 13."""
    is_altered = any(degree.number == 9 and degree.alteration for degree in rest)
    if seventh is None:
        if Degree(6) not in rest:
            return ""
        figure = "6/9" if Degree(9) in rest and not is_altered else "6"
        rest -= {Degree(6)} if is_altered else {Degree(6), Degree(9)}
        return figure
    rest.remove(seventh)
    has_ninth = is_altered or Degree(9) in rest
    top = next((number for number in (13, 11) if has_ninth and Degree(number) in rest), 9)
    if top == 9 and (is_altered or Degree(9) not in rest):
        return "7"
    rest -= {Degree(top)} if is_altered else {Degree(top), Degree(9)}
    return str(top)
