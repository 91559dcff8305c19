"""How the checks put numbers and places into words."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from tabtools.model.pitch import nearest_semitone, pitch_name
from tabtools.model.solo import Note
from tabtools.timeline import TimedNote
from tabtools.wording import number_runs


def listed(numbers: Sequence[int]) -> str:
    """Rising numbers as they are said: `2`, `2 and 4`, `5 to 12`, `1, 3 and 5 to 7`."""
    parts: list[str] = []
    for first, last in number_runs(numbers):
        parts += [f"{first} to {last}"] if last - first > 1 else map(str, range(first, last + 1))
    return in_a_row(parts, "and")


def in_a_row(parts: Sequence[str], word: str) -> str:
    """`a`, `a or b`, `a, b or c`."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} {word} {parts[-1]}"


def fret_text(fret: Fraction | int | float) -> str:
    """A fret as it is written: `7`, `5.5`, `3.86`."""
    return f"{round(float(fret), 2):g}"


def place(string: int, fret: Fraction | int) -> str:
    """A place on the neck as it is written: `3:7`."""
    return f"{string}:{fret_text(fret)}"


def pitch_fret(note: TimedNote) -> Fraction | int | None:
    """The fret whose pitch a note has reached by the end of its slot; None where no fret tells."""
    return next((motion.fret for motion in reversed(note.motions) if motion.fret is not None), note.named)


def first_arrival(note: TimedNote) -> str:
    """The pitch that a note is first known to come to, where it begins on one that is not known; else empty."""
    return pitch_name(nearest_semitone(note.path[0])) if note.path and note.attack is None else ""


def written(note: Note) -> str:
    """The place a note is written at, without its moves, or what stands for it: `3:7`, `4:<12>`, `h5`, `=D4`."""
    if note.unheard:
        return "??"
    string = "" if note.string is None else f"{note.string}:"
    fret = "x" if note.dead else "" if note.fret is None else fret_text(note.fret)
    touch = "" if note.touch is None else f"<{fret_text(note.touch)}>"
    heard = "?" if note.unknown else "" if note.pitch is None else f"={note.pitch.name}"
    return f"{note.via}{string}{fret}{touch}{heard}"


def written_with_goals(note: Note) -> str:
    """The same with the frets and pitches that it goes on to: `2:10b=B4`."""
    goals = (
        f"{one.sign}={one.pitch.name}" if one.pitch else f"{one.sign}{fret_text(one.fret or 0)}"
        for one in note.motions
        if one.arrives
    )
    return written(note) + "".join(goals)


def which_place(pitch: str, places: Sequence[str]) -> str:
    """Of a pitch that is certain, and lies at one of several places: `A4 is certain; whether …`."""
    return f"{pitch} is certain; whether it is played at {in_a_row(places, 'or')} is not"
