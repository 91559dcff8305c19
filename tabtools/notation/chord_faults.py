"""Why a chord symbol cannot be read, in musicians' words.

Rules are tried in order; the first that fits the symbol wins. Each knows the whole symbol and where the
reader stopped.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from difflib import get_close_matches

from tabtools.model.pitch import LETTERS
from tabtools.source import has_other_figures, is_number

_SHOWN = 24
_ACCIDENTALS = ("b", "#", "♭", "♯")


class ChordError(Exception):
    """A chord symbol that cannot be read: `length` characters from `offset` of the symbol, why, what to do."""

    def __init__(self, offset: int, length: int, message: str, advice: str):
        super().__init__(message)
        self.offset = offset
        self.length = length
        self.message = message
        self.advice = advice


def explain_chord(symbol: str, offset: int) -> ChordError:
    """Explain why the reading of `symbol` stopped at `offset`."""
    for rule in _RULES:
        if (fault := rule(symbol, offset)) is not None:
            return fault
    rest = symbol[offset:]
    found = f"“{_short(rest)}” is not understood here" if rest else "the chord is not complete"
    return ChordError(offset, len(rest), found, "chords are written like Am7, Dmaj9, G7(b9,#11), Bb6/9, E7alt or C/G")


def _empty_or_spaced(symbol: str, offset: int) -> ChordError | None:
    if not symbol:
        return ChordError(0, 0, "there is no chord here", "write a chord like Am7, or NC for none")
    if re.match(r"(?i:n\.?c\.?|no[ _-]?chord)\Z", symbol):
        return ChordError(0, len(symbol), f"“{symbol}” is not how no chord is written here", "write NC")
    if space := re.search(r"\s+(?![^()]*\))", symbol):
        return ChordError(space.start(), len(space[0]), "a chord is written without spaces", "close the gap")
    return None


def _two_in_doubt(symbol: str, offset: int) -> ChordError | None:
    if (both := re.fullmatch(r"([A-G][^?]*)\?([A-G][^?]*)\??", symbol)) is None:
        return None
    start = both.start(2) - 1
    advice = f"write the likelier one, like {_short(both[1])}?, and the other in a comment: # or {_short(both[2])}"
    return ChordError(start, len(symbol) - start, "two chords stand in one place", advice)


def _root(symbol: str, offset: int) -> ChordError | None:
    first = symbol[0]
    if first in "abcdefg":
        return ChordError(0, 1, "a chord starts with a capital letter", f"write {_short(first.upper() + symbol[1:])}")
    if first in "Hh":
        return ChordError(0, 1, "H is written B here, and B is written Bb", f"write {_short('B' + symbol[1:])}")
    if first not in "ABCDEFG":
        return ChordError(0, 1, f"no chord starts with “{first}”", "start with the root, A to G, or write NC")
    return None


def _double_accidental(symbol: str, offset: int) -> ChordError | None:
    for found in re.finditer(r"(?:^|/)([A-G])([b♭]{2}|[#♯]{2}|x)", symbol):
        if offset > found.end():
            continue
        letter, signs = found[1], found[2].translate(_PLAIN)
        name = _RESPELLED[letter, signs]
        advice = f"name the tone {name}"
        if re.match(r"(?:4|5|6|9|11|13)(?![0-9])", symbol[found.end() :]):
            advice += f", or put a changed tone in brackets, like {letter}{signs[0]}({signs[1]}5)"
        message = f"“{letter}{found[2]}” has two accidentals on one letter"
        return ChordError(found.start(2), len(found[2]), message, advice)
    return None


_PLAIN = str.maketrans({"♭": "b", "♯": "#", "x": "##"})
_RESPELLED = {
    (letter, sign * 2): tone
    for sign, tones in (("b", "Bb C D Eb F G A"), ("#", "D E F# G A B C#"))
    for letter, tone in zip(LETTERS, tones.split(), strict=True)
}


def _bass(symbol: str, offset: int) -> ChordError | None:
    before, slash, _ = symbol[: offset + 1].rpartition("/")
    if not slash:
        return None
    start = len(before) + 1
    bass = symbol[start:]
    if not bass:
        return ChordError(start - 1, 1, "the bass is missing behind the slash", "write it like C/G")
    if figure := re.match(r"[b#♭♯+-]?(?:13|11|[2-9])\Z", bass):
        if figure[0] == "7":
            root = symbol[:2] if symbol[1:2] in _ACCIDENTALS else symbol[0]
            advice = f"write {root}7/6 with the minor seventh, or {root}maj7/6 with the major one"
            return ChordError(start - 1, 2, "behind the slash stands a bass tone, not the seventh", advice)
        if "/" in before:
            head, _, sounding = before.rpartition("/")
            return ChordError(start - 1, len(bass) + 1, "the bass stands last", f"write {head}/{bass}/{sounding}")
        return ChordError(
            start - 1,
            len(bass) + 1,
            f"behind the slash stands a bass tone, not {figure[0]}",
            f"write {_short(before)}add{figure[0]} or {_short(before)}({figure[0]})",
        )
    if re.match(r"[a-g][b#♭♯]?\Z", bass):
        return ChordError(start, 1, "the bass is a capital letter", f"write /{bass[0].upper()}{bass[1:]}")
    if tone := re.match(r"[A-G](?:[b♭](?![b♭])|[#♯](?![#♯]))?", bass):
        rest = bass[tone.end() :]
        return ChordError(
            start + tone.end(),
            len(rest),
            f"behind the slash stands one bass tone, not “{_short(bass)}”",
            f"write /{tone[0]}",
        )
    return ChordError(
        start, len(bass), f"“{_short(bass)}” is no bass tone", "write one tone behind the slash, like C/G"
    )


def _other_slash(symbol: str, offset: int) -> ChordError | None:
    if symbol[offset : offset + 1] not in ("\\", "|"):
        return None
    sign, advice = symbol[offset], f"write {_short(symbol[:offset])}/{_short(symbol[offset + 1 :])}"
    return ChordError(offset, 1, f"“{sign}” is no slash for a bass", advice)


def _brackets(symbol: str, offset: int) -> ChordError | None:
    rest = symbol[offset:]
    opened = symbol.rfind("(", 0, offset)
    if not rest and opened > symbol.rfind(")", 0, offset):
        return ChordError(opened, len(symbol) - opened, "the bracket is not closed", "close it with )")
    if rest.startswith(")"):
        what = "the brackets are empty" if symbol[offset - 1 : offset] == "(" else "this bracket was never opened"
        if opened > symbol.rfind(")", 0, offset) and symbol[offset - 1] in ",/":
            what = "a tone is missing in the brackets"
        return ChordError(offset, 1, what, "put what is changed in brackets, like A7(b9,#11)")
    if rest[:1] in ("[", "{", "<"):
        return ChordError(offset, 1, f"“{rest[0]}” is no bracket for chords", "use round brackets, like A7(b9,#11)")
    return None


_READ_TWO_WAYS = (
    (
        re.compile(r"h7?(?![a-z])"),
        "“{found}” is half-diminished on some charts, and the tone B on others",
        "write {root}m7b5 or {root}ø7 for the half-diminished chord",
    ),
    (
        re.compile(r"07?(?![0-9])"),
        "“{found}” can be read as diminished or as half-diminished",
        "write {root}dim7 or {root}°7 for the one, {root}m7b5 or {root}ø7 for the other",
    ),
    (
        re.compile(r"\^"),
        "“^” alone is the triad on some charts, and the major seventh on others",
        "write {root} for the triad, {root}^7 or {root}maj7 with the seventh",
    ),
    (
        re.compile(r"mj[79]?"),
        "“{found}” can be read as major or as minor with a major seventh",
        "write {root}maj7 or {root}m(maj7)",
    ),
    (re.compile(r"dom(?:inant)?(?![a-z])"), "a dominant chord has a seventh", "write {root}7 or {root}dom7"),
)
"""What one country's charts use for one chord, and another's for another; what is wrong with it, what to write."""


def _read_two_ways(symbol: str, offset: int) -> ChordError | None:
    root, rest = symbol[:offset], symbol[offset:]
    for pattern, what, advice in _READ_TWO_WAYS:
        if found := pattern.match(rest):
            return ChordError(offset, len(found[0]), what.format(found=found[0]), advice.format(root=root))
    return None


def _figure(symbol: str, offset: int) -> ChordError | None:
    rest = symbol[offset:]
    before = symbol[:offset].rstrip("(,/+-")
    for at, sign in enumerate(rest[:2]):
        if has_other_figures(sign):
            return ChordError(offset + at, 1, f"“{sign}” is not a plain figure", "type the figures 0 to 9")
    if found := re.match(r"[b#♭♯][0-9]*", rest):
        root = symbol[:2] if symbol[1:2] in _ACCIDENTALS else symbol[0]
        if found[0][1:] == "3":
            return ChordError(offset, 2, f"{found[0]}: the third has a word of its own", f"write m, like {root}m")
        if found[0][1:] == "7":
            advice = f"write 7, like {root}7"
            if found[0][0] in "#♯":
                advice = f"write maj7, like {root}maj7 or {root}m(maj7)"
            return ChordError(offset, 2, f"{found[0]}: the seventh has words of its own", advice)
        what = (
            f"“{found[0]}” is no tone to change"
            if found[0][1:]
            else f"“{found[0]}” changes nothing: the figure is missing"
        )
        return ChordError(offset, len(found[0]), what, "use b5, #5, b9, #9, #11 or b13")
    if found := re.match(r"[0-9]+", rest):
        number = found[0]
        if number == "2":
            return ChordError(offset, 1, f"{before}2 can be read two ways", f"write {before}sus2 or {before}add9")
        if number == "4":
            return ChordError(offset, 1, f"{before}4 can be read two ways", f"write {before}sus4 or {before}add11")
        return ChordError(
            offset,
            len(number),
            f"“{number}” cannot stand here",
            "the figures are 5, 6, 6/9, 7, 9, 11 and 13; add others with add",
        )
    if found := re.match(r"[+-]([0-9]*)", rest):
        sign = "#" if rest[0] == "+" else "b"
        return ChordError(
            offset,
            len(found[0]),
            f"“{found[0]}” cannot stand here",
            f"write {sign}{found[1]} for a changed tone"
            if found[1]
            else "minus is minor and plus is augmented, right behind the root",
        )
    return None


_WORDS = {
    "maj": "maj",
    "major": "maj",
    "min": "m",
    "minor": "m",
    "dim": "dim",
    "diminished": "dim",
    "aug": "aug",
    "augmented": "aug",
    "sus4": "sus4",
    "sus2": "sus2",
    "suspended": "sus4",
    "add9": "add9",
    "alt": "alt",
    "altered": "alt",
    "omit5": "omit5",
    "no5": "no5",
    "dom": "7",
    "dominant": "7",
    "half": "m7b5",
    "halfdim": "m7b5",
}


def _word(symbol: str, offset: int) -> ChordError | None:
    start = offset
    while start > 1 and symbol[start - 1].isalpha() and symbol[start - 1] not in "♭♯":
        start -= 1
    found = re.match(r"[A-Za-z]+[0-9]*", symbol[start:])
    if found is None or start + len(found[0]) <= offset:
        return None
    text = found[0]
    plain = text.lower()
    near = get_close_matches(plain, _WORDS, 1, 0.6) or get_close_matches(plain.rstrip("0123456789"), _WORDS, 1, 0.6)
    advice = (
        f"did you mean {_WORDS[near[0]]}?"
        if near
        else "the words are m, maj, dim, aug, sus2, sus4, add, alt, no and omit"
    )
    if symbol[offset : offset + 1] == "M" and is_number(symbol[offset - 1]):
        text, start, advice = "M", offset, "the major seventh is written maj7 or M7"
    return ChordError(start, len(text), f"“{_short(text)}” says nothing about a chord here", advice)


def _short(text: str) -> str:
    return text if len(text) <= _SHOWN else text[: _SHOWN - 1] + "…"


_RULES: tuple[Callable[[str, int], ChordError | None], ...] = (
    _empty_or_spaced,
    _two_in_doubt,
    _root,
    _double_accidental,
    _bass,
    _other_slash,
    _brackets,
    _read_two_ways,
    _figure,
    _word,
)
