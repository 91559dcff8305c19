"""What is looked for, and how it is written on the command line.

Intervals are semitones, up or down (`2 2 -4`), a quarter tone is 0.5. Degrees are over the chord of the moment
(`b3 5 b7`); they stand for their pitch: b5, #4 and #11 are one, and so are 9 and 2. `1>2` is one note that goes from
the 1 to the 2: bent, slid or moved by the bar. A rhythm is either proportions (`1/2 1/4 1/4` and `2 1 1` are one) or
note values by name (`dotted-eighth sixteenth`); a note lasts until the next stroke, the last one until it stops or
until the next stroke.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction

from tabtools.harmony.chords import chord_type
from tabtools.model.harmony import parse_degree
from tabtools.notation.chords import ChordError, read_chord
from tabtools.study.techniques import TECHNIQUES

MOST_STEPS = 64
WIDEST_INTERVAL = 48

NOTE_VALUES = {
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "sixteenth": Fraction(1, 4),
    "thirty-second": Fraction(1, 8),
}
_CHANGED_VALUES = {"dotted": Fraction(3, 2), "triplet": Fraction(2, 3)}
_CHORD_WORDS = {
    "major": "maj",
    "minor": "m",
    "dominant": "7",
    "diminished": "dim",
    "half-diminished": "m7b5",
    "augmented": "aug",
    "altered": "alt",
}


class QueryError(Exception):
    """Something that cannot be looked for: `message` says what is wrong, `advice` what to write."""

    def __init__(self, message: str, advice: str):
        super().__init__(message)
        self.message = message
        self.advice = advice


@dataclass(frozen=True, slots=True)
class Rhythm:
    """Durations one after another: quarter notes where `is_exact`, otherwise only their proportions count."""

    values: tuple[Fraction, ...]
    is_exact: bool


@dataclass(frozen=True, slots=True)
class WantedChord:
    """A chord type (`m7b5`), of any root and bass or of these pitch classes; no chord at all where `type` is None."""

    type: str | None
    root: int | None = None
    bass: int | None = None


@dataclass(frozen=True, slots=True)
class Example:
    """What a stretch of music has to be like: its intervals in quarter tones, octaves left out, and its rhythm.

    `steps` lead from stroke to stroke; None where no pitch sounds. `proportions` and `closings` (see `Strokes`)
    are those of its strokes, empty where the rhythm does not count.
    """

    steps: tuple[int | None, ...]
    proportions: tuple[str | None, ...] = ()


@dataclass(frozen=True, slots=True)
class Query:
    """Criteria that all have to hold of one stretch of strokes.

    Intervals (quarter tones), degrees (where a note starts, or None, and where it arrives: semitones above the
    root), rhythm and example begin on the stretch's first stroke; it is as long as the longest of them. Every one
    of its strokes stands over the chord, for each technique one is played so, and for each device the stretch
    lies within one. Without a sequence, stretches are the devices of the first kind, or else the longest
    runs of strokes over the chord that are played in all of the ways.
    """

    intervals: tuple[int, ...] = ()
    degrees: tuple[tuple[int | None, int], ...] = ()
    rhythm: Rhythm | None = None
    example: Example | None = None
    techniques: tuple[str, ...] = ()
    devices: tuple[str, ...] = ()
    chord: WantedChord | None = None

    def __bool__(self) -> bool:
        return self != Query()

    @property
    def length(self) -> int:
        """Strokes the sequences take, 0 where there are none."""
        lengths = [len(self.degrees)]
        lengths += [len(self.intervals) + 1] if self.intervals else []
        lengths += [len(self.rhythm.values)] if self.rhythm else []
        lengths += [len(self.example.steps) + 1] if self.example else []
        return max(lengths)


def read_intervals(text: str) -> tuple[int, ...]:
    """`2 2 -4` as quarter tones. Raises `QueryError`."""
    return tuple(_interval(word) for word in _words(text, "--intervals", "semitones like 2 2 -4"))


def read_degrees(text: str) -> tuple[tuple[int | None, int], ...]:
    """`b3 5 1>2` as semitones above the root: where each starts (None: anywhere) and arrives. Raises `QueryError`."""
    found = []
    for word in _words(re.sub(r"\s*>\s*", ">", text), "--degrees", "degrees like b3 5 b7"):
        start, bends, end = word.rpartition(">")
        found.append((_degree(start, word) if bends else None, _degree(end, word)))
    return tuple(found)


def read_rhythm(text: str) -> Rhythm:
    """`1/2 1/4 1/4`, `2 1 1` or `dotted-eighth sixteenth` as a rhythm. Raises `QueryError`."""
    text = re.sub(r"\b(dotted|triplet)\s+", r"\1-", text.strip().lower())
    words = _words(text, "--rhythm", "proportions like 2 1 1, or names like dotted-eighth sixteenth")
    named = [word[:1].isalpha() for word in words]
    if all(named):
        return Rhythm(tuple(map(_note_value, words)), is_exact=True)
    if any(named):
        raise QueryError(
            "--rhythm has names and numbers together", "write all names (quarter eighth) or all numbers (2 1)"
        )
    if len(words) < 2:
        raise QueryError("--rhythm needs two proportions at least", f"write {words[0]} 1, or a name like quarter")
    return Rhythm(tuple(map(_proportion, words)), is_exact=False)


def read_wanted_chord(text: str) -> WantedChord:
    """`m7b5`, `minor`, `Bm7b5`, `D/F#`, `NC` as what to look for. Raises `QueryError`."""
    word = _CHORD_WORDS.get(text.strip().lower(), text.strip())
    if not word:
        raise QueryError("--chord is empty", "write a chord type like m7b5, a chord like Bm7b5, or major")
    has_root = word[0] in "ABCDEFG" or word in ("NC", "N.C.")
    try:
        chord = read_chord(word if has_root else f"Cb{word}")
    except ChordError as fault:
        raise QueryError(f"--chord {text}: {fault.message}", fault.advice) from None
    if chord is None:
        return WantedChord(None)
    root = chord.root.pitch_class if has_root else None
    return WantedChord(chord_type(chord), root, chord.bass and chord.bass.pitch_class)


def read_technique(text: str) -> str:
    """A name of `TECHNIQUES`. Raises `QueryError`."""
    return one_of(text, TECHNIQUES, "technique")


def read_device(text: str) -> str:
    """The name of a device, `scale-run` for the kind `scale run`. Raises `QueryError`."""
    from tabtools.study.devices.run import KINDS

    return one_of(text, [kind.replace(" ", "-") for kind in KINDS], "device")


def one_of(text: str, names: Sequence[str], kind: str) -> str:
    """The name meant, spaces and capitals forgiven. Raises `QueryError` with the nearest one."""
    name = re.sub(r"[\s_]+", "-", text.strip().lower())
    if name in names:
        return name
    near = get_close_matches(name, names, 1) or [known for known in names if name and known.startswith(name)]
    advice = f"did you mean {near[0]}?" if near else f"there are: {', '.join(names)}"
    raise QueryError(f"there is no {kind} “{text}”", advice)


def _words(text: str, option: str, what: str) -> list[str]:
    words = text.replace(",", " ").split()
    if not words:
        raise QueryError(f"{option} is empty", f"write {what}")
    if len(words) > MOST_STEPS:
        raise QueryError(f"{option} has {len(words)} steps", f"{MOST_STEPS} are the most")
    return words


def _interval(word: str) -> int:
    if re.fullmatch(r"[+-]?[0-9]{1,2}(\.[05])?", word) and abs(float(word)) <= WIDEST_INTERVAL:
        return int(float(word) * 2)
    raise QueryError(
        f"“{word}” is no interval",
        "write semitones up or down, like 2 or -4 (four octaves at most, 0.5 a quarter tone)",
    )


def _degree(text: str, word: str) -> int:
    try:
        return parse_degree(text).pitch_class
    except ValueError:
        raise QueryError(f"“{word}” is no degree", "write degrees like b3, 5, #11, or 1>2 for a bend") from None


def _note_value(word: str) -> Fraction:
    kind, _, name = word.partition("-")
    factor = _CHANGED_VALUES.get(kind, Fraction(1))
    name = name if kind in _CHANGED_VALUES else word
    if name not in NOTE_VALUES:
        names = ", ".join(NOTE_VALUES)
        near = get_close_matches(name, NOTE_VALUES, 1)
        raise QueryError(
            f"“{word}” is no note value",
            f"did you mean {near[0]}?" if near else f"there are: {names}; dotted- or triplet- may stand before them",
        )
    return NOTE_VALUES[name] * factor


def _proportion(word: str) -> Fraction:
    if re.fullmatch(r"[0-9]{1,4}(/[0-9]{1,4}|\.[0-9]{1,4})?", word) and not re.fullmatch(r"[0-9.]+/0+", word):
        value = Fraction(word)
        if value:
            return value
    raise QueryError(f"“{word}” is no proportion", "write numbers or fractions, like 2 1 1 or 1/2 1/4 1/4")
