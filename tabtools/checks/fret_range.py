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
from tabtools.model.solo import PITCH_MOVES, Fret
from tabtools.notation.marks import fret_named
from tabtools.problem import Severity
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
        frets: list[Fret] = [fret] if fret is not None and timed.via not in PITCH_MOVES and _is_odd(fret, last) else []
        for motion in note.motions:
            if motion.fret is not None and motion.sign in _FRETTING and _is_odd(motion.fret, last):
                frets.append(motion.fret)
        for mark in timed.marks:
            trilled = fret_named(mark.argument) if mark.word == "trill" else None
            if trilled is not None and _is_odd(trilled, last):
                frets.append(trilled)
        if note.other is not None and _is_odd(note.other.fret, last):
            frets.append(note.other.fret)
        for one in frets:
            if one.denominator != 1:
                yield Finding(note.span, *_between(one), timed.address)
            elif is_known:
                yield Finding(note.span, *_beyond(int(one), instrument), timed.address)


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
