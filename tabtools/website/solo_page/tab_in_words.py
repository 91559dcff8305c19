"""The music in words: what a screen reader says of a bar, and what stands by a note that is pointed at."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from itertools import groupby
from typing import NamedTuple

from tabtools.engraving.metrics import with_accidentals
from tabtools.model.solo import Heard, Note, Place
from tabtools.notation.marks import MARKS
from tabtools.study.labels import Labels
from tabtools.timeline import TimedBar, TimedNote

_ARRIVALS = {
    "h": "hammered to",
    "p": "pulled to",
    "/": "slid to",
    "\\": "slid to",
    "t": "tapped at",
    "b": "bent to",
    "r": "released to",
    "w": "bar moves it to",
    "pb": "bent, before it is struck, to",
}
_ORDINALS = {
    "1": "root",
    "2": "second",
    "3": "third",
    "4": "fourth",
    "5": "fifth",
    "6": "sixth",
    "7": "seventh",
    "9": "ninth",
    "11": "eleventh",
    "13": "thirteenth",
}
_GOING = {"b": "bent", "r": "released", "w": "moved by the bar"}
"""Moves of the pitch whose goal is not known."""
_MOTIONS = {**_ARRIVALS, "~": "with vibrato", "~~": "with wide vibrato"}


class _Missing(NamedTuple):
    """What is not known of a note, in a sentence about it and in brief."""

    in_a_sentence: str
    in_brief: str


_NO_PITCH = _Missing("its pitch is not known yet", "pitch not known")
_NO_GOAL = _Missing("how far is not known yet", "how far not known")
_NO_FRET = _Missing("its fret is not written yet", "fret not written")
_NO_PLACE = _Missing("its place on the neck is not known yet", "place not known")


class BarReading(NamedTuple):
    """A bar read aloud: its name with its chords, and what is played in it, count by count."""

    name: str
    counts: str


def note_in_words(timed: TimedNote, labels: Labels) -> str:
    """`string 3 fret 7 bent to 9, E4, 4 to 5 of Am, 7 to 1 of the key`; of what is open, what is missing."""
    said = [_place(timed)]
    if labels.pitch and not _says_where_it_arrives(timed.note):
        said.append(labels.pitch)
    if missing := _missing(timed):
        said.append(missing.in_a_sentence)
    if labels.path and timed.chord:
        said.append(f"{' to '.join(labels.path)} of {timed.chord}")
    if labels.key_path:
        said.append(f"{' to '.join(labels.key_path)} of the key")
    said.extend(_mark(mark.word, mark.argument) for mark in timed.marks)
    return with_accidentals(", ".join(said))


def bar_in_words(bar: TimedBar, notes: Iterable[tuple[TimedNote, Labels]]) -> BarReading:
    """A bar and its notes, with what is known of them, read aloud."""
    names = [f"Bar {bar.number}" if bar.number else "Pickup bar", *(["incomplete"] if bar.written.damaged else [])]
    lines: list[str] = []
    for (count, is_doubtful), group in groupby(notes, key=lambda pair: (pair[0].address.count, pair[0].line.doubtful)):
        doubt = ", rhythm not known yet" if is_doubtful else ""
        strokes = [
            " with ".join(_brief(timed, labels) for timed, labels in stroke)
            for _, stroke in groupby(group, key=lambda pair: pair[0].address.stroke)
        ]
        lines.append(f"Count {count}{doubt}: {'; '.join(strokes)}.")
    said = " ".join(lines) or "Nothing new is struck."
    chords = [f"{chord.mark.symbol}{' not certain' if chord.mark.doubtful else ''}" for chord in bar.chords]
    return BarReading(*map(with_accidentals, (", ".join([*names, *chords]), said)))


def _brief(timed: TimedNote, labels: Labels) -> str:
    pitch = "" if _says_where_it_arrives(timed.note) else labels.pitch
    missing = _missing(timed)
    unknown = missing.in_brief if missing else ""
    return ", ".join(filter(None, (_place(timed), pitch, unknown, degree_in_words(labels.degree or ""))))


def _says_where_it_arrives(note: Note) -> bool:
    """Whether the pitch that a note comes to is what is written of it."""
    moves = [motion for motion in note.motions if motion.arrives]
    return moves[-1].pitch is not None if moves else note.pitch is not None


def _missing(timed: TimedNote) -> _Missing | None:
    """What is not known of a note; None where nothing is missing, and where nothing can be made out."""
    note = timed.note
    if note.unknown:
        return _NO_GOAL if note.only_moves_pitch else _NO_PITCH
    if note.pitch is None or note.only_moves_pitch:
        return None
    return _NO_FRET if timed.string else _NO_PLACE


def degree_in_words(degree: str) -> str:
    """`b3` as `the flat third`, `1` as `the root`; cents are left out, empty where there is none."""
    name = degree.partition("+")[0].partition("-")[0]
    number = name.lstrip("b#")
    if number not in _ORDINALS:
        return ""
    signs = " ".join({"b": "flat", "#": "sharp"}[sign] for sign in name[: len(name) - len(number)])
    return f"the {signs} {_ORDINALS[number]}".replace("  ", " ")


def _place(timed: TimedNote) -> str:
    note = timed.note
    if note.unheard:
        return "something is played that cannot be made out yet"
    arrival = f"{_ARRIVALS[note.via]} " if note.via in _ARRIVALS else ""
    if note.unknown and note.only_moves_pitch:
        arrival, at = "", _GOING[note.via]
    elif note.unknown or note.pitch is not None:
        at = note.pitch.name if note.pitch else "a note"
    elif note.dead:
        at = "dead note"
    elif note.only_moves_pitch:
        at = f"the pitch of fret {_fret(note.fret)}"
    elif note.touch is not None and note.fret is not None:
        at = f"fret {_fret(note.fret)}, harmonic touched at {_fret(note.touch)}"
    elif note.touch is not None:
        at = f"harmonic at fret {_fret(note.touch)}"
    else:
        at = f"fret {_fret(note.fret)}" if note.fret else "open"
    if note.is_open or not timed.string:
        parts = [f"{arrival}{at}{f' on string {timed.string}' if timed.string else ''}"]
    else:
        parts = [f"string {timed.string} {arrival}{at}"]
    for motion in note.motions:
        if motion.sign in "/\\" and not motion.arrives:
            parts.append("slid away upwards" if motion.sign == "/" else "slid away downwards")
        else:
            goal = motion.pitch.name if motion.pitch else _fret(motion.fret)
            parts.append(f"{_MOTIONS[motion.sign]} {goal}".rstrip())
    if note.unsure:
        perhaps = " or ".join(_reading(other) for other in note.others)
        parts.append(f"(not sure; perhaps {perhaps})" if perhaps else "(not sure)")
    return " ".join(parts)


def _reading(other: Place | Heard) -> str:
    return other.name if isinstance(other, Heard) else f"string {other.string} fret {_fret(other.fret)}"


def _fret(fret: Fraction | int | None) -> str:
    return "" if fret is None else f"{float(fret):g}"


def _mark(word: str, argument: str) -> str:
    kind = MARKS.get(word)
    if kind is None:
        return word
    return f"{kind.meaning} {argument}" if argument else kind.meaning
