"""A bend that no string could make.

A bend names the fret whose pitch it reaches: `3:7b9` rises from fret 7 to the pitch of fret 9. It goes up, a
release goes down again, no further than to the fret held, and only from a bend. A bend before the stroke (`pb`)
starts above its fret. An open string has no finger that bends it, and neither have a harmonic on the open string
and a dead note. A bend of more than five semitones is taken for a slip: even thin strings break near there.

Passes:

    bar 1  Am
    1-2  3:7b9 r7 p5
    3-4  3:7pb9 r7

Fails:

    bar 1  Am
    1-4  3:7b5
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from tabtools.checks.heard_moves import WIDEST_BEND, heard_moves, wrong_bend
from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import fret_text, pitch_fret
from tabtools.model.solo import Note
from tabtools.problem import Severity
from tabtools.timeline import TimedNote
from tabtools.wording import several

NAME = "bend-shape"
SEVERITY = Severity.ERROR

WIDEST_USUAL_BEND = 4

Fret = Fraction | int
_BENDS = frozenset(("b", "r", "pb"))


def check(subject: Subject) -> Iterator[Finding]:
    """Bends and releases in slots of their own, then those within a slot; one finding a note."""
    every = subject.timeline.notes
    for timed in subject.written_notes:
        is_bend = timed.via == "b" or timed.via == "r"
        if not is_bend and not timed.motions:
            continue
        fault = None
        if is_bend:
            if timed.origin is None or subject.is_context_lost(timed.address, timed.note.span):
                continue
            origin = every[timed.origin]
            fault = _unbendable(origin.note, origin.held)
            fault = fault or _shape(timed.via, origin.held, pitch_fret(origin), timed.note.fret)
        if fault := fault or _within(timed) or _of_pitches(timed, every):
            yield Finding(timed.note.span, *fault, timed.address)


def _of_pitches(timed: TimedNote, every: Sequence[TimedNote]) -> tuple[str, str] | None:
    return next(filter(None, map(wrong_bend, heard_moves(timed, every))), None)


def _within(timed: TimedNote) -> tuple[str, str] | None:
    """The first fault of the bends within a slot."""
    note = timed.note
    held, pitch = timed.fret, timed.named
    for motion in timed.motions:
        if motion.fret is None:
            continue
        if motion.sign in _BENDS and motion.pitch is None:
            if fault := _unbendable(note, held) or _shape(motion.sign, held, pitch, motion.fret):
                return fault
        elif motion.sign not in _BENDS and motion.sign != "w":
            held = motion.fret
        pitch = motion.fret
    return None


def _unbendable(note: Note, held: Fret | None) -> tuple[str, str] | None:
    if note.dead:
        return "a dead note has no pitch to bend", "write the fret that sounds"
    if note.touch is not None and note.fret is None:
        return (
            "a harmonic on an open string has no finger that bends it",
            "for the vibrato bar write w; a string pulled behind the nut may be permitted",
        )
    if held == 0:
        return "an open string has no finger that bends it", "name the fretted note, or write w for the vibrato bar"
    return None


def _shape(sign: str, held: Fret | None, start: Fret | None, end: Fret | None) -> tuple[str, str] | None:
    """What is wrong with going from the pitch of fret `start` to that of `end`, the finger at `held`."""
    if held is None or start is None or end is None:
        return None
    if sign == "r":
        return _release(held, start, end)
    if sign == "pb" and end <= held:
        message = f"bent before the stroke to the pitch of fret {fret_text(end)}, not above fret {fret_text(held)}"
        return message, _reached(held, end)
    if end == start:
        return f"the bend goes to fret {fret_text(end)}, where the pitch is already", _reached(held, end)
    if end < start:
        message = f"a bend goes up, but fret {fret_text(end)} lies below the pitch of fret {fret_text(start)}"
        return message, f"write r{fret_text(end)} for a release" if start > held else _reached(held, end)
    if end - held > WIDEST_BEND:
        message = f"a bend of {several(end - held, 'semitone')}, from fret {fret_text(held)} to {fret_text(end)}"
        return message, "no string bears that: check both frets"
    return None


def _release(held: Fret, start: Fret, end: Fret) -> tuple[str, str] | None:
    if start <= held:
        return "a release without a bend: the string is not bent here", "write the bend before it, like 3:7b9 r7"
    if end >= start:
        message = f"a release goes down, but fret {fret_text(end)} is not below the pitch of fret {fret_text(start)}"
        return message, f"write b{fret_text(end)} to bend further" if end > start else "check the fret"
    if end < held:
        message = f"a release to fret {fret_text(end)} goes below fret {fret_text(held)}, where the finger is"
        return message, f"release to {fret_text(held)}, then pull off with p{fret_text(end)}"
    return None


def _reached(held: Fret, end: Fret) -> str:
    if end <= WIDEST_USUAL_BEND and held > end:
        target = fret_text(held + end)
        return f"a bend names the fret whose pitch it reaches: {several(end, 'semitone')} up is b{target}"
    return "a bend names the fret whose pitch it reaches: check both frets"
