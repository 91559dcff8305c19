"""A fret that is not on the neck.

Frets are counted from the capo: with 22 frets and a capo at the third, 19 are left. A finger comes down on whole
frets only; what is bent or moved with the vibrato bar may reach any pitch, above the last fret too, and
harmonics may be touched beyond the neck.

Passes:

    bar 1  Am
    1-2  1:22b24
    3-4  3:5b5.5

Fails:

    bar 1  Am
    1-2  1:24
    3-4  3:5.5
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import fret_text
from tabtools.model.instrument import Instrument
from tabtools.model.pitch import pitch_name
from tabtools.model.solo import PITCH_MOVES, Fret, Heard
from tabtools.notation.marks import fret_named
from tabtools.problem import Severity
from tabtools.timeline import TimedNote
from tabtools.wording import several

NAME = "fret-range"
SEVERITY = Severity.ERROR

_FRETTING = frozenset("hpt/\\")


def check(subject: Subject) -> Iterator[Finding]:
    """Every fret a finger comes down on, the other readings' included."""
    instrument = subject.solo.header.instrument
    last = instrument.frets - instrument.capo
    is_known = not subject.doubtful_fields & {"frets", "capo"}
    for timed in subject.written_notes:
        note = timed.note
        fret = note.fret
        if note.pitch is not None and is_known and timed.via not in PITCH_MOVES:
            yield from _nowhere(timed, note.pitch, instrument)
        frets: list[Fret] = [fret] if fret is not None and timed.via not in PITCH_MOVES and _is_odd(fret, last) else []
        for motion in note.motions:
            if motion.fret is not None and motion.sign in _FRETTING and _is_odd(motion.fret, last):
                frets.append(motion.fret)
        for mark in timed.marks:
            trilled = fret_named(mark.argument) if mark.word == "trill" else None
            if trilled is not None and _is_odd(trilled, last):
                frets.append(trilled)
        frets.extend(other.fret for other in note.other_places if _is_odd(other.fret, last))
        for one in frets:
            if one.denominator != 1:
                yield Finding(note.span, *_between(one), timed.address)
            elif is_known:
                yield Finding(note.span, *_beyond(int(one), instrument), timed.address)


def _nowhere(timed: TimedNote, pitch: Heard, instrument: Instrument) -> Iterator[Finding]:
    """A pitch that stands for a place, and lies on none of the strings it could be on."""
    strings = [timed.string] if timed.string else range(1, instrument.strings + 1)
    known = [string for string in strings if instrument.has_string(string)]
    last = instrument.frets - instrument.capo
    if not known or any(0 <= pitch.midi - instrument.open_midi(string) <= last for string in known):
        return
    lowest = pitch_name(min(instrument.open_midi(string) for string in known))
    highest = pitch_name(max(instrument.open_midi(string) for string in known) + last)
    where = f"string {timed.string} has" if timed.string else "the neck has"
    advice = f"check the octave: {where} {lowest} to {highest}"
    yield Finding(timed.note.span, f"{pitch.name} lies {_where_not(timed.string)}", advice, timed.address)


def _where_not(string: int) -> str:
    return f"nowhere on string {string}" if string else "nowhere on the neck"


def _is_odd(fret: Fret, last: int) -> bool:
    return fret > last or type(fret) is not int


def _between(fret: Fret) -> tuple[str, str]:
    below = int(fret)
    advice = (
        f"name a whole fret, or bend from the one below: {below}b{fret_text(fret)}" if below else "name a whole fret"
    )
    return f"no finger comes down on fret {fret_text(fret)}: it lies between two frets", advice


def _beyond(fret: int, instrument: Instrument) -> tuple[str, str]:
    if instrument.capo:
        left = instrument.frets - instrument.capo
        message = f"fret {fret} is beyond the neck: {left} of {several(instrument.frets, 'fret')} lie above the capo"
        return message, "frets are counted from the capo; check fret, capo and frets"
    return (
        f"fret {fret} is beyond the neck: it has {several(instrument.frets, 'fret')}",
        "check the fret, or write the number of frets in the header, like frets: 24",
    )
