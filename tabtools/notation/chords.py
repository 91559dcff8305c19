"""Chord symbols: the spellings guitarists write, read to a root, the degrees they ask for, and a bass.

What the words mean (common practice; where practice differs the choice is said here):

- A bare root is a major triad; `m`, `mi`, `min` or `-` right behind the root lowers the third. `-` there never
  means flat: `A-7` is Am7. Behind a figure, `-5` `-9` `+5` `+9` `+11` lower and raise.
- `7` is the minor seventh; `maj7`, `M7`, `Δ7` and `Δ` alone the major seventh; `maj` and `M` alone the triad.
- `9` is 7 and 9; `11` is 7, 9 and 11, the third included (a chord without it is written `9sus4`); `13` is
  7, 9 and 13, never the 11. `6/9` and `69` are 6 and 9 without a seventh.
- `5` is root and fifth. `sus`, `sus4` and `sus2` put a fourth or second in the place of the third.
- `dim`, `°`, `o` are the triad 1 b3 b5; with `7` the diminished seventh bb7. `ø`, `ø7` and `m7b5` are the
  half-diminished seventh chord. `aug` and `+` raise the fifth.
- `b5 #5 b9 #9 #11 b13` change the tone the chord would have there, or add it; `#4` is `#11`, `b6` is `b13`.
- `add9` and the like add one tone and nothing below it; `add2` is `add9`, `add4` is `add11`. A thirteenth
  without a seventh below it is a sixth, and a sixth above a seventh a thirteenth.
- `alt` asks for 1 3 b7 and offers b9 #9 b5 b13 (the same tones as #11 and #5).
- `no3`, `omit5` leave a tone out. `NC` and `N.C.` say that no chord sounds.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

from tabtools.model.harmony import ChordSymbol, Degree
from tabtools.model.pitch import Tone
from tabtools.notation.chord_faults import ChordFault, explain_chord
from tabtools.notation.read import Grammar, Misread, Token

__all__ = ["ChordFault", "read_chord"]

_PLAIN_SIGNS = str.maketrans("♭♯-+", "b#b#")
_TRIANGLES = frozenset("Δ∆△")
_NUMBER_OF = {2: 9, 4: 11, 6: 13}
_CHANGEABLE = frozenset(
    (Degree(5, -1), Degree(5, 1), Degree(9, -1), Degree(9, 1), Degree(11, 1), Degree(13, -1)),
)
_ALT_OFFERS = (Degree(9, -1), Degree(9, 1), Degree(5, -1), Degree(13, -1))
_SAME_AS = {Degree(11, -1): "the third", Degree(13, 1): "the minor seventh"}


@lru_cache(maxsize=4096)
def read_chord(symbol: str) -> ChordSymbol | None:
    """Read a chord symbol; `NC` and `N.C.` are None. Raises `ChordFault`."""
    if (fault := explain_chord(symbol, None)) is not None:
        raise fault
    try:
        return _grammar().read(symbol, "symbol")
    except Misread as misread:
        raise explain_chord(symbol, misread) from None


@dataclass(slots=True)
class _Reading:
    """A chord while its symbol is read: the tone on each step, then what is changed, added and left out."""

    steps: dict[int, Degree] = field(default_factory=lambda: {n: Degree(n) for n in (1, 3, 5)})
    changed: list[Degree] = field(default_factory=list)
    added: list[Degree] = field(default_factory=list)
    offered: tuple[Degree, ...] = ()
    is_suspended: bool = False

    def stack(self, figure: str, seventh: int) -> None:
        """The figure's seventh, lowered by `seventh`, and what it brings above it."""
        self.steps[7] = Degree(7, seventh)
        for number in {"7": (), "9": (9,), "11": (9, 11), "13": (9, 13)}[figure]:
            self.steps[number] = Degree(number)

    def change(self, degree: Degree, token: Token) -> None:
        if degree not in _CHANGEABLE:
            other = _SAME_AS.get(degree)
            what = f": it is {other}" if other else ""
            raise _fault(token, f"{degree} is no tone to change a chord with{what}", "use b5, #5, b9, #9, #11 or b13")
        self._once(degree, token)
        self.changed.append(degree)

    def add(self, degree: Degree, token: Token) -> None:
        if degree.alteration and degree not in _CHANGEABLE:
            raise _fault(token, f"{degree} is no tone to add to a chord", "add 9, 11, 13, b9, #9, #11 or b13")
        self._once(degree, token)
        self.added.append(degree)

    def _once(self, degree: Degree, token: Token) -> None:
        if degree in self.changed or degree in self.added:
            raise _fault(token, f"{degree} stands twice in the chord", "write it once")

    def suspend(self, token: Token) -> None:
        if self.is_suspended:
            raise _fault(token, "the chord is suspended twice", "write sus2, sus4 or sus24 once")
        self.is_suspended = True
        self.steps.pop(3, None)
        figure = token[3:] or "4"
        self.steps |= {number: Degree(number) for number in (2, 4) if str(number) in figure}

    def offer_altered(self, token: Token, plain_seventh: bool) -> None:
        if not plain_seventh or self.changed or self.added:
            raise _fault(token, "alt stands alone with a dominant seventh", "write it like A7alt")
        self.stack("7", -1)
        del self.steps[5]
        self.offered = _ALT_OFFERS

    def leave_out(self, token: Token) -> None:
        number = int("".join(filter(str.isdigit, token)))
        if self.steps.pop(number, None) is None:
            raise _fault(token, f"there is no {_ORDINALS[number]} to leave out", f"drop {token}")

    def degrees(self) -> tuple[Degree, ...]:
        """Low to high, one of each pitch class; what stands lower in the chord keeps its name."""
        replaced = {degree.number for degree in self.changed}
        kept = [degree for number, degree in sorted(self.steps.items()) if number not in replaced]
        sixth = (13, 6) if 7 not in self.steps else (6, 13)
        by_class: dict[int, Degree] = {}
        for degree in sorted(kept + self.changed + self.added, key=lambda degree: degree.number):
            if degree.number == sixth[0]:
                degree = Degree(sixth[1], degree.alteration)
            by_class.setdefault(degree.pitch_class, degree)
        return tuple(sorted(by_class.values(), key=lambda degree: degree.semitones))


_ORDINALS = {3: "third", 5: "fifth", 7: "seventh", 9: "ninth", 11: "eleventh"}


class _Callbacks:
    """One method a rule of chord.lark."""

    def group(self, children: list) -> list[Token]:
        return children

    def symbol(self, children: list) -> ChordSymbol | None:
        root, *rest = children
        if root.type == "NO_CHORD":
            return None
        bass = rest.pop() if rest and isinstance(rest[-1], Token) and rest[-1].type == "ROOT" else None
        reading = _Reading()
        words: dict[str, Token] = {}
        while rest and isinstance(rest[0], Token) and rest[0].type in _BASICS and rest[0].type not in words:
            token = rest.pop(0)
            words[token.type] = token
            if token.type == "FIGURE":
                break
        seventh = _basics(reading, words)
        is_plain = words.keys() <= {"FIGURE"} and words.get("FIGURE", "7") == "7"
        for child in rest:
            for token in child if isinstance(child, list) else (child,):
                if token.type == "MAJOR":
                    seventh = 0
                elif token.type == "FIGURE":
                    _grouped_figure(reading, token, seventh)
                else:
                    _modify(reading, token, is_plain)
        text = str(root) + "".join(_texts(children[1:]))
        return ChordSymbol(text, _tone(root), reading.degrees(), bass and _tone(bass), reading.offered)
