"""A pitch that was heard and has no place on the neck yet.

`=D4` says that D4 is played here, somewhere on the neck; `3:=D4` that it is on the third string. The note says
where the pitch lies, for a decision, or for `tabtools place`. Bends and moves may name the pitch they reach as
well: `3:7b=E4`.

Passes:

    bar 1  Am
    1-4  3:7=D4

Fails:

    bar 1  Am
    1-2  =D4
    3-4  3:7b=E4
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import fret_text, in_a_row, place, written
from tabtools.hand.places import spots_of
from tabtools.model.solo import Motion
from tabtools.problem import Severity
from tabtools.timeline import TimedNote

NAME = "open-place"
SEVERITY = Severity.NOTE
TOGETHER = "{} notes have no place or no fret yet"


def check(subject: Subject) -> Iterator[Finding]:
    """Each note that has a pitch in the place of a fret, whether where it begins or on its way."""
    for timed in subject.written_notes:
        if timed.note.pitch is not None:
            yield from _without_place(subject, timed)
        else:
            for motion in timed.motions:
                if motion.pitch is not None:
                    yield _without_fret(timed, motion)
                    break


def _without_place(subject: Subject, timed: TimedNote) -> Iterator[Finding]:
    note, pitch = timed.note, timed.note.pitch
    assert pitch is not None
    instrument = subject.solo.header.instrument
    spots = spots_of(pitch.midi, instrument, instrument.frets - instrument.capo)
    message = f"{pitch.name} has no place on the neck yet"
    if note.only_moves_pitch:
        message = f"{written(note)} says no fret yet"
    if timed.string:
        if not instrument.has_string(timed.string):
            return
        fret = pitch.midi - instrument.open_midi(timed.string)
        if fret < 0 or (timed.string not in [string for string, _ in spots] and not note.only_moves_pitch):
            return
        if note.string is None:
            message = f"{written(note)} says no fret yet"
        string = f"{timed.string}:" if note.string else ""
        advice = f"on string {timed.string} it is fret {fret}: {note.via}{string}{fret}={pitch.name}"
        yield Finding(note.span, message, advice, timed.address)
    elif note.only_moves_pitch:
        yield Finding(note.span, message, "its fret follows from the place of the note before it", timed.address)
    elif spots:
        advice = f"it lies at {in_a_row([place(*spot) for spot in spots], 'and')}; tabtools place can choose"
        yield Finding(note.span, message, advice, timed.address)


def _without_fret(timed: TimedNote, motion: Motion) -> Finding:
    assert motion.pitch is not None
    advice = "write the fret, or let tabtools place do it"
    if motion.fret is not None:
        advice = f"on string {timed.string} that is {motion.sign}{fret_text(motion.fret)}"
    message = f"{motion.sign}={motion.pitch.name} says no fret yet"
    return Finding(timed.note.span, message, advice, timed.address)
