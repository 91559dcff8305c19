"""A pitch that was heard and a place on the neck that does not sound it.

`3:7=D4` says: the transcriber heard D4 and plays it on string 3 at fret 7. String, fret, capo and tuning must
then agree, for the pitch the note arrives at: a bend's target, a harmonic's node. Where they do not, the report
says what would: another fret, another string, another tuning or capo. A quarter tone either way is allowed, for
bends and harmonics lie between the keys of a piano.

Passes:

    bar 1  Am
    1-2  3:7=D4
    3-4  3:7b9=E4

Fails:

    bar 1  Am
    1-4  3:7=E4
"""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import in_a_row, place
from tabtools.model.instrument import NAMED_TUNINGS, Instrument, tuning_of
from tabtools.model.pitch import nearest_semitone, pitch_name
from tabtools.problem import Severity
from tabtools.timeline import TimedNote
from tabtools.wording import several

NAME = "heard-pitch"
SEVERITY = Severity.ERROR

LARGEST_DIFFERENCE = 0.5
HIGHEST_CAPO = 12
OCTAVE = 12
_FIELDS = frozenset(("tuning", "capo"))


class _HeardNote(NamedTuple):
    """A note with the pitch that was heard, under its name, and the one that it gives as it is written."""

    timed: TimedNote
    heard: int
    sounds: float

    @property
    def name(self) -> str:
        return self.timed.note.heard.name if self.timed.note.heard else ""

    @property
    def step(self) -> float:
        """How many semitones above what is written it was heard."""
        return self.heard - self.sounds

    @property
    def agrees(self) -> bool:
        return abs(self.step) <= LARGEST_DIFFERENCE


def check(subject: Subject) -> Iterator[Finding]:
    """Each heard pitch against the sounding one; one finding where all are off by the same step."""
    heard = [(timed, timed.note.heard.midi) for timed in subject.written_notes if timed.note.heard is not None]
    if not heard or subject.doubtful_fields & _FIELDS:
        return
    pitched = [_HeardNote(timed, midi, timed.midi) for timed, midi in heard if timed.midi is not None]
    wrong = [one for one in pitched if not one.agrees and not _is_string_lost(subject, one.timed)]
    for timed, _ in heard:
        if timed.note.dead:
            message = "a dead note has no pitch to be heard"
            yield Finding(timed.note.span, message, "drop the = and the pitch", timed.address)
    if not wrong:
        return
    instrument = subject.solo.header.instrument
    is_telling = len(wrong) > 1 or wrong[0].timed.note.fret == 0
    setup = _setup_that_agrees(instrument, pitched) if is_telling else ""
    steps = {one.step for one in wrong}
    if len(wrong) > 1 and len(wrong) == len(pitched) and len(steps) == 1:
        yield _all_off(wrong, steps.pop(), setup)
        return
    for one in wrong:
        yield _off(one, instrument, setup)


def _is_string_lost(subject: Subject, timed: TimedNote) -> bool:
    return timed.note.string is None and subject.is_context_lost(timed.address, timed.note.span)


def _all_off(wrong: list[_HeardNote], step: float, setup: str) -> Finding:
    first = wrong[0]
    side = "above" if step > 0 else "below"
    how_far = "an octave" if abs(step) == OCTAVE else several(round(abs(step)), "semitone")
    which = "both" if len(wrong) == 2 else f"all {len(wrong)}"
    message = f"{which} pitches heard lie {how_far} {side} what is written"
    advice = setup or "check tuning and capo"
    if abs(step) == OCTAVE:
        advice = _octave(first)
    return Finding(first.timed.note.span, message, advice, first.timed.address)


def _off(one: _HeardNote, instrument: Instrument, setup: str) -> Finding:
    timed, span = one.timed, one.timed.note.span
    sounding = _named(one.sounds, one.name)
    arrives = "arrives at" if len(timed.path) > 1 else "is"
    message = f"this note {arrives} {sounding}, not {one.name}"
    if abs(one.step) == OCTAVE:
        return Finding(span, message, _octave(one), timed.address)
    if any(abs(pitch - one.heard) <= LARGEST_DIFFERENCE for pitch in timed.path):
        advice = f"{one.name} is passed on the way; write ={_nearest(one)}, where the note arrives"
        return Finding(span, message, advice, timed.address)
    places = _places(one, instrument)
    advice = f"{in_a_row(places, 'or')} would be {one.name}" if places else ""
    advice = "; ".join(filter(None, (advice, setup)))
    return Finding(span, message, advice or f"write ={_nearest(one)}, or check tuning and capo", timed.address)


def _octave(one: _HeardNote) -> str:
    sounds = f"={_nearest(one)} is what sounds"
    return (
        f"a guitar sounds an octave below its written notes: {sounds}"
        if one.step > 0
        else f"check the octave: {sounds}"
    )


def _places(one: _HeardNote, instrument: Instrument) -> list[str]:
    """Where the heard pitch lies: another target of the bend, another fret, the same fret of another string."""
    timed, note, last = one.timed, one.timed.note, instrument.frets - instrument.capo
    if note.touch is not None or note.fret is None:
        return []
    moves = [(motion.sign, motion.fret) for motion in note.motions if motion.fret is not None]
    if moves:
        sign, reached = moves[-1]
        target = reached + Fraction(one.step)
        return [f"{sign}{target}"] if target.denominator == 1 and target >= 0 else []
    fret = note.fret + Fraction(one.step)
    is_on_neck = fret.denominator == 1 and 0 <= fret <= last
    if timed.via and is_on_neck:
        return [f"{timed.via}{fret}"]
    found = [place(timed.string, fret)] if is_on_neck else []
    for string in range(1, instrument.strings + 1):
        if string != timed.string and instrument.midi(string, note.fret) == one.heard:
            found.append(place(string, note.fret))
    return found


def _setup_that_agrees(instrument: Instrument, heard: list[_HeardNote]) -> str:
    """A named tuning, or else a capo, under which every pitch heard in the solo would be right."""
    for name, pitches in NAMED_TUNINGS.items():
        tuning = tuning_of(pitches, name)
        if len(tuning.midi) == instrument.strings and _all_agree(replace(instrument, tuning=tuning), instrument, heard):
            return f"with the tuning {name} every pitch heard agrees"
    for capo in range(HIGHEST_CAPO + 1):
        if _all_agree(replace(instrument, capo=capo), instrument, heard):
            return f"with capo {capo} every pitch heard agrees"
    return ""


def _all_agree(other: Instrument, instrument: Instrument, heard: list[_HeardNote]) -> bool:
    return all(
        abs(other.open_midi(one.timed.string) - instrument.open_midi(one.timed.string) - one.step) <= LARGEST_DIFFERENCE
        for one in heard
    )


def _nearest(one: _HeardNote) -> str:
    return _named(nearest_semitone(one.sounds), one.name)


def _named(midi: float, like: str) -> str:
    """The pitch under its own name or, where it has none, spelled with flats where `like` is."""
    flats = "b" in like
    return pitch_name(float(midi) if midi != nearest_semitone(midi) else int(midi), flats=flats)
