"""Notes whose place on the neck is not known: what was heard in a frame, as high over the strings as it sounds.

A frame says the same wherever it stands: this is no fret. On a string that is known it stands on that string; a note
without a pitch has a question mark in its frame. Where it has no string either, its height says nothing: its frame is
round, right over the strings or over the names of its stroke, and nothing leads down from it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from math import inf

from tabtools.engraving.metrics import FIGURE, NAME_SIZE, STRING_GAP, number, printed, text_width, with_accidentals
from tabtools.model.solo import Heard, Note
from tabtools.timeline import TimedNote, Timeline

LOWEST_NAME = -21.0
"""The middle of the lowest name over the strings, clear of slurs over string 1."""
RANGE, SEMITONE = 26.0, 2.0
"""How much higher than the lowest name the highest of a solo stands at most, and each semitone."""
NAMES_APART = 15.0
FRAME, PADDING = 6.0, 4.0
UNHEARD_HALF = 11.0
UNHEARD_SIGN = "??"


def heights_of(timeline: Timeline) -> dict[int, float]:
    """The heights of the notes (by index) that stand on no string line, in pixels from the line of string 1."""
    hung = _pitches(timeline)
    known = [pitch for pitch in hung.values() if pitch is not None]
    lowest, span = min(known, default=0.0), max(known, default=0.0) - min(known, default=0.0)
    rise = min(SEMITONE, RANGE / span) if span else 0.0
    middle = (timeline.solo.header.instrument.strings - 1) * STRING_GAP / 2
    heights: dict[int, float] = {}
    for _, stroke in groupby((note for note in timeline.notes if note.index in hung), key=lambda note: note.begins):
        roof = LOWEST_NAME + NAMES_APART
        for note in sorted(stroke, key=lambda note: _rank(hung[note.index])):
            own = LOWEST_NAME - rise * ((hung[note.index] or lowest) - lowest)
            heights[note.index] = roof = min(own, roof - NAMES_APART)
    heights |= {note.index: middle for note in timeline.notes if note.note.unheard}
    return heights


def _pitches(timeline: Timeline) -> dict[int, float | None]:
    """The pitch that each note without a string hangs at: its own, under a bend the one it is bent from."""
    hung: dict[int, float | None] = {}
    for note in timeline.notes:
        if note.string or note.note.string is not None or note.note.unheard:
            continue
        if note.note.only_moves_pitch and note.origin in hung:
            hung[note.index] = hung[note.origin]
        elif note.note.is_open or note.origin in hung:
            hung[note.index] = note.note.pitch.midi if note.note.pitch else note.attack
    return hung


def _rank(pitch: float | None) -> float:
    """The order of the notes of a stroke from below: what has no pitch stands on top."""
    return inf if pitch is None else pitch


def name_of(heard: Heard) -> str:
    """A pitch as it is printed: `F♯4`."""
    return with_accidentals(heard.name)


def name_held(note: Note) -> str:
    """The pitch that an open note has come to by the end of its slot, empty where it is not known."""
    names = [motion.pitch for motion in note.motions if motion.pitch is not None and motion.sign not in "brw"]
    last = names[-1] if names else note.pitch
    return name_of(last) if last else ""


def framed_half(text: str) -> float:
    """Half the width of a text in its frame."""
    return max(FRAME, text_width(text, NAME_SIZE) / 2 + PADDING)


def framed(text: str, y: float, is_unsure: bool = False, is_round: bool = False) -> str:
    """What was heard, in its frame, around its column; round where its height says nothing."""
    half = framed_half(text)
    kind = "fret named unsure" if is_unsure else "fret named"
    return (
        f'<rect class="frame" x="{number(-half)}" y="{number(y - FRAME)}" width="{number(2 * half)}" '
        f'height="{number(2 * FRAME)}" rx="{number(FRAME if is_round else 3)}"/>'
        f'<text class="{kind}" y="{number(y + FIGURE - 0.9)}">{printed(text)}</text>'
    )


def unheard_sign(y: float) -> str:
    """What stands where a stretch begins that cannot be made out: as it is written, without a frame."""
    return f'<text class="fret gap" y="{number(y + FIGURE + 1)}">{UNHEARD_SIGN}</text>'


def stalk(y: float, strings: Sequence[float]) -> str:
    """The dots from a name down to the strings, or to the highest figure of its stroke on them (at `strings`)."""
    foot = min([0.0, *(one - 8 for one in strings)]) - 2
    top = y + FRAME + 1
    return f'<path class="stalk" d="M0 {number(top)}V{number(foot)}"/>' if foot - top > 2 else ""


def over_strings(notes: Sequence[TimedNote], heights: Mapping[int, float]) -> Iterator[int]:
    """Which notes of a stroke stand over the strings as high as they sound, by their place in it."""
    return (place for place, note in enumerate(notes) if heights.get(note.index, 0.0) < 0 and not note.note.unknown)
