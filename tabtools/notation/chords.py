"""Chord symbols: the spellings guitarists write, read to a root, the degrees they ask for, and a bass.

What the words mean (common practice; where practice differs the choice is said here):

- A bare root is a major triad; `m`, `mi`, `min` or `-` right behind the root lowers the third. `-` there never
  means flat: `A-7` is Am7. Behind a figure, `-5` `-9` `+5` `+9` `+11` lower and raise.
- `7` and `dom7` are the minor seventh; `maj7`, `M7`, `7M`, `j7`, `Δ7`, `^7` and the triangle alone the major seventh,
  so are `m(#7)` and `m#7`; `maj` and `M` alone are the triad. `m9(maj7)` is a ninth chord with a major seventh.
- `9` is 7 and 9; `11` is 7, 9 and 11, the third included (a chord without it is written `9sus4`); `13` is
  7, 9 and 13, never the 11. `6/9` and `69` are 6 and 9 without a seventh.
- `5` is root and fifth. `sus`, `sus4` and `sus2` put a fourth or second in the place of the third; `sus7`, `sus9` and
  `sus13` are `7sus4`, `9sus4` and `13sus4`.
- `dim`, `°`, `o`, `O` are the triad 1 b3 b5; with `7` the diminished seventh bb7. `ø`, `ø7` and `m7b5` are the
  half-diminished seventh chord; a letter h is refused, for it names a root elsewhere. `aug` and `+` raise the fifth.
- `b5 #5 b9 #9 #11 b13` change the tone the chord would have there, or add it; `#4` is `#11`, `b6` is `b13`.
- `add9` and the like add one tone and nothing below it; `add2` is `add9`, `add4` is `add11`. A thirteenth
  without a seventh below it is a sixth, and a sixth above a seventh a thirteenth. Behind a figure a slash adds as
  well: `7/13` is `7add13`, `maj7/6` is `maj7add13`.
- `alt` asks for 1 3 b7 and offers b9 #9 b5 b13 (the same tones as #11 and #5).
- `no3`, `omit5` leave a tone out. `NC` and `N.C.` say that no chord sounds.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache

from tabtools.model.harmony import ChordSymbol, Degree
from tabtools.model.pitch import Tone
from tabtools.notation.chord_faults import ChordError, explain_chord
from tabtools.notation.polychords import has_tones_of_both, one_symbol, tones_of_both
from tabtools.notation.read import Children, Grammar, MisreadError, Token
from tabtools.source import is_number

__all__ = ["ChordError", "read_chord"]

_PLAIN_SIGNS = str.maketrans("♭♯-−–+", "b#bbb#")
_TRIANGLES = frozenset("Δ∆△")
_STACKED = {"7": (), "9": (9,), "11": (9, 11), "13": (9, 13)}
_CHANGEABLE = frozenset(
    (Degree(5, -1), Degree(5, 1), Degree(9, -1), Degree(9, 1), Degree(11, 1), Degree(13, -1)),
)
_ALT_OFFERS = (Degree(9, -1), Degree(9, 1), Degree(5, -1), Degree(13, -1))
_SAME_AS = {Degree(11, -1): ": it is the third", Degree(13, 1): ": it is the minor seventh"}
_MOST_SLASHES = 3
_COMPOUND = {2: 9, 4: 11, 6: 13}
_ORDINALS = {3: "third", 5: "fifth", 7: "seventh", 9: "ninth", 11: "eleventh"}


@lru_cache(maxsize=4096)
def read_chord(symbol: str) -> ChordSymbol | None:
    """Read a chord symbol; `NC` and `N.C.` are None. Raises `ChordError`."""
    try:
        words = _grammar().read(symbol, "symbol")
    except MisreadError as misread:
        raise _polychord(symbol) or explain_chord(symbol, misread.offset) from None
    if words is None:
        return None
    reading = _ChordReading()
    reading.lay_out(words.basics)
    for token, is_grouped in words.modifiers:
        reading.modify(token, is_grouped)
    return ChordSymbol(symbol, _tone(words.root), reading.degrees(), words.bass and _tone(words.bass), reading.offered)


def chord_or_none(symbol: str | None) -> ChordSymbol | None:
    """The chord, None where there is none or its symbol cannot be read: the linter says so."""
    try:
        return None if symbol is None else read_chord(symbol)
    except ChordError:
        return None


def closed_up(symbol: str) -> str:
    """A symbol without the spaces that may stand within its brackets: `E7(#9,b13)` for `E7(#9 b13)`."""
    return re.sub(" +", ",", re.sub(r" *([(),/]) *", r"\1", symbol))


def _polychord(symbol: str) -> ChordError | None:
    """What is said of two chords over each other: one symbol with all their tones."""
    head, _, below = symbol.rpartition("/")
    if not head or symbol.count("/") > _MOST_SLASHES:
        return None
    upper, lower = chord_or_none(head), chord_or_none(below)
    if upper is None or lower is None or upper.bass:
        return None
    one = one_symbol(upper, lower)
    read = chord_or_none(one)
    if read and has_tones_of_both(read, upper, lower):
        advice = f"write {one}, which has the tones of both"
    else:
        advice = f"write one chord over {lower.root} for {' '.join(tones_of_both(upper, lower))}"
    message = f"two chords stand over each other, “{head}” and “{below}”"
    return ChordError(0, len(symbol), message, f"{advice}, or {head}/{lower.root} where only the bass is meant")


@dataclass(frozen=True, slots=True)
class _Words:
    """The words of a symbol: qualities and figure by terminal, modifiers and whether they stand in brackets."""

    root: Token
    basics: dict[str, Token]
    modifiers: list[tuple[Token, bool]]
    bass: Token | None


class _ChordCallbacks:
    """One method a rule of chord.lark."""

    def basics(self, children: list[Token]) -> dict[str, Token]:
        return {token.type: token for token in children}

    def group(self, children: list[Token]) -> list[tuple[Token, bool]]:
        return [(token, True) for token in children]

    def bass(self, children: list[Token]) -> Token:
        return children[0]

    def no_chord(self, children: Children) -> None:
        return None

    def symbol(self, children: Children) -> _Words:
        root, basics, *modifiers = children
        bass = modifiers.pop() if modifiers and getattr(modifiers[-1], "type", "") == "ROOT" else None
        flat: list[tuple[Token, bool]] = []
        for child in modifiers:
            flat.extend(child if isinstance(child, list) else [(child, False)])
        return _Words(root, basics, flat, bass)


@dataclass(slots=True)
class _ChordReading:
    """A chord while its symbol is read: the tone on each step, then what is changed, added and offered."""

    steps: dict[int, Degree] = field(default_factory=lambda: {number: Degree(number) for number in (1, 3, 5)})
    changed: list[Degree] = field(default_factory=list)
    added: list[Degree] = field(default_factory=list)
    offered: tuple[Degree, ...] = ()
    is_suspended: bool = False
    is_plain: bool = False
    is_major_next: bool = False
    figure: str | None = None

    def lay_out(self, basics: dict[str, Token]) -> None:
        """Triad and figure, before anything is changed."""
        if "MINOR" in basics or "DIMINISHED" in basics or "HALF_DIMINISHED" in basics:
            self.steps[3] = Degree(3, -1)
        if "DIMINISHED" in basics or "HALF_DIMINISHED" in basics:
            self.steps[5] = Degree(5, -1)
        elif "AUGMENTED" in basics:
            self.steps[5] = Degree(5, 1)
        figure = self.figure = basics.get("FIGURE")
        major = basics.get("MAJOR")
        if behind := basics.get("MAJOR_BEHIND"):
            if major or figure not in _STACKED:
                raise _fault(behind, f"“{behind}” does not belong behind {major or ''}{figure}", "drop it")
            major = behind
        if suspended := basics.get("SUSPENDED_FIGURE"):
            self._stack(suspended[3:], -1)
            self._suspend("4")
        if "SHARP_SEVENTH" in basics:
            self._stack("7", 0)
        self.is_plain = not basics.keys() - {"FIGURE"} and figure in (None, "7")
        seventh = 0 if major else -2 if "DIMINISHED" in basics else -1
        if figure in _STACKED:
            self._stack(figure, seventh)
        elif "HALF_DIMINISHED" in basics or major in _TRIANGLES:
            self._stack("7", seventh)
        elif major and len(basics) > 1 and figure is None:
            raise _fault(major, f"“{major}” needs the seventh behind it here", f"write {major}7")
        if figure == "5":
            self._power(figure, basics)
        elif figure in ("6", "69", "6/9"):
            self._figure(figure)

    def modify(self, token: Token, is_grouped: bool) -> None:
        """One word behind the figure. Raises `ChordError` where it contradicts what stands before it."""
        kind, text = token.type, token.translate(_PLAIN_SIGNS)
        if kind == "ALTERATION" or kind == "SIGNED":
            self._change(_degree(text), token)
        elif kind == "AUGMENTED":
            self._change(Degree(5, 1), token)
        elif kind == "ADDED" or kind == "ADDED_BEHIND":
            self._add(_degree(text.lower().removeprefix("add").removeprefix("/")), token)
        elif kind == "SHARP_SEVENTH" or kind == "PLUS_SEVENTH" or kind == "MAJOR_SEVENTH":
            self._major_seventh(token, "7")
        elif kind == "SUSPENDED":
            self._suspend_third(token)
        elif kind == "OMITTED":
            self._leave_out(token)
        elif kind == "ALTERED":
            self._offer_altered(token)
        elif kind == "MAJOR":
            self.is_major_next = True
        elif self.is_major_next:
            self._major_seventh(token, token)
        else:
            self._grouped(token)

    def degrees(self) -> tuple[Degree, ...]:
        """Low to high, one of each pitch class; what stands lower in the chord keeps its name."""
        replaced = {degree.number for degree in self.changed}
        chosen = [degree for number, degree in self.steps.items() if number not in replaced]
        wrong, right = (6, 13) if 7 in self.steps else (13, 6)
        by_class: dict[int, Degree] = {}
        for degree in sorted(chosen + self.changed + self.added):
            number = right if degree.number == wrong else degree.number
            by_class.setdefault(degree.pitch_class, Degree(number, degree.alteration))
        return tuple(sorted(by_class.values(), key=lambda degree: degree.semitones))

    def _stack(self, figure: str, seventh: int) -> None:
        self.steps[7] = Degree(7, seventh)
        self.steps |= {number: Degree(number) for number in _STACKED[figure]}

    def _figure(self, figure: str) -> None:
        self.steps |= {int(digit): Degree(int(digit)) for digit in figure if digit in "69"}

    def _power(self, figure: Token, basics: dict[str, Token]) -> None:
        if "AUGMENTED" in basics:
            return
        if len(basics) > 1:
            raise _fault(
                figure,
                "a 5 chord is root and fifth: it is neither major nor minor",
                "write only 5, or (b5) for a flat fifth",
            )
        del self.steps[3]

    def _major_seventh(self, token: Token, figure: str) -> None:
        self.is_major_next = False
        if self.figure in _STACKED and self.figure != "7" and figure == "7" and self.steps[7] == Degree(7, -1):
            self.steps[7] = Degree(7)
            return
        if 7 in self.steps:
            raise _fault(token, "the chord would have two sevenths", "keep one of them")
        if figure not in _STACKED:
            raise _fault(token, f"maj{figure} is no seventh to add", "write (maj7), (maj9) or (maj13)")
        self._stack(figure, 0)

    def _grouped(self, figure: Token) -> None:
        if figure in ("5", "7"):
            raise _fault(figure, f"({figure}) in brackets says nothing clear", f"write {figure} without the brackets")
        for number in (6, 9) if figure in ("69", "6/9") else (int(figure),):
            self._add(Degree(number), figure)

    def _change(self, degree: Degree, token: Token) -> None:
        if degree not in _CHANGEABLE:
            raise _fault(
                token,
                f"{token} is no tone to change a chord with{_SAME_AS.get(degree, '')}",
                "use b5, #5, b9, #9, #11 or b13",
            )
        self._once(degree, token)
        self.changed.append(degree)

    def _add(self, degree: Degree, token: Token) -> None:
        degree = Degree(_COMPOUND.get(degree.number, degree.number), degree.alteration)
        if degree.alteration and degree not in _CHANGEABLE:
            raise _fault(
                token,
                f"{degree} is no tone to add to a chord{_SAME_AS.get(degree, '')}",
                "add 9, 11, 13, b9, #9, #11 or b13",
            )
        self._once(degree, token)
        self.added.append(degree)

    def _once(self, degree: Degree, token: Token) -> None:
        if self.offered:
            raise _fault(token, "alt already offers every altered tone", f"drop {token}, or write it in place of alt")
        if degree in self.changed or degree in self.added:
            raise _fault(token, f"{degree} stands twice in the chord", "write it once")

    def _suspend_third(self, token: Token) -> None:
        if self.offered:
            raise _fault(token, "alt belongs to a chord with a third", f"drop {token} or alt")
        if self.is_suspended:
            raise _fault(token, "the chord is suspended twice", "write sus2, sus4 or sus24 once")
        self._suspend(token[3:])

    def _suspend(self, figures: str) -> None:
        self.is_suspended = True
        self.steps.pop(3, None)
        self.steps |= {number: Degree(number) for number in (2, 4) if str(number) in (figures or "4")}

    def _offer_altered(self, token: Token) -> None:
        if not self.is_plain or self.changed or self.added or self.offered or not self.steps.keys() >= {1, 3, 5}:
            raise _fault(token, "alt belongs to a dominant seventh and stands alone with it", "write it like A7alt")
        self._stack("7", -1)
        del self.steps[5]
        self.offered = _ALT_OFFERS

    def _leave_out(self, token: Token) -> None:
        if self.offered:
            raise _fault(token, "alt says which tones sound and which are offered", f"drop {token}")
        number = int("".join(filter(is_number, token)))
        if self.steps.pop(number, None) is None:
            raise _fault(token, f"the chord has no {_ORDINALS[number]} to leave out", f"drop {token}")


def _degree(text: str) -> Degree:
    number = int(text.lstrip("b#"))
    return Degree(_COMPOUND.get(number, number), text.count("#") - text.count("b"))


def _tone(token: Token) -> Tone:
    text = token.translate(_PLAIN_SIGNS)
    return Tone(text[0], text.count("#") - text.count("b"))


def _fault(token: Token, message: str, advice: str) -> ChordError:
    return ChordError(token.start_pos, len(token), message, advice)


@lru_cache(maxsize=1)
def _grammar() -> Grammar:
    return Grammar("chord.lark", ("symbol",), _ChordCallbacks())
