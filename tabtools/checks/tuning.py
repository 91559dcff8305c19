"""A tuning that cannot be read, or that no guitar is likely to have.

The tuning gives every note its pitch, so a slip here is wrong in every bar. Pitches run from the lowest string
to the highest. Names that cannot be read, and strings written from the highest down, are errors. A string tuned
below its lower neighbour (re-entrant tunings do that on purpose), neighbours less than two or more than seven
semitones apart, and a known tuning in the wrong octave get a warning; intervals of two to seven semitones are
common practice, and every tuning with a name keeps to them.

Passes:

    title: Ferry at Dusk
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4
    tuning: D2 A2 D3 G3 A3 D4

    bar 1  D
    1-4  3:7

Fails:

    title: Ferry at Dusk
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4
    tuning: E4 B3 G3 D3 A2 E2

    bar 1  D
    1-4  3:7
"""

from collections.abc import Iterator
from itertools import pairwise

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import in_a_row
from tabtools.model.instrument import NAMED_TUNINGS, Tuning, tuning_of
from tabtools.problem import Severity

NAME = "tuning"
SEVERITY = Severity.WARNING

SMALLEST_STEP, LARGEST_STEP = 2, 7
"""Semitones between neighbouring strings (common practice)."""


def check(subject: Subject) -> Iterator[Finding]:
    """What the reader could not read, then what it read but doubts."""
    for finding in subject.read_faults(NAME):
        yield finding._replace(severity=Severity.ERROR)
    tuning = subject.solo.header.instrument.tuning
    if tuning.name:
        return
    span = subject.solo.field_span("tuning")
    steps = [high - low for low, high in pairwise(tuning.midi)]
    if all(step < 0 for step in steps):
        message = "the tuning runs from the highest string to the lowest"
        advice = f"write it from the lowest: {' '.join(reversed(tuning.names))}"
        yield Finding(span, message, advice, severity=Severity.ERROR)
    elif name := _name_in_another_octave(tuning):
        message = f"this is the tuning {name} in another octave"
        yield Finding(span, message, f"a guitar sounds an octave below its written notes: write {name}")
    else:
        for message, advice in _unusual(tuning, steps):
            yield Finding(span, message, advice)


def _name_in_another_octave(tuning: Tuning) -> str:
    lowered = {tuple(pitch + shift for pitch in tuning.midi) for shift in (-24, -12, 12)}
    return next((name for name, pitches in NAMED_TUNINGS.items() if tuning_of(pitches).midi in lowered), "")


def _unusual(tuning: Tuning, steps: list[int]) -> Iterator[tuple[str, str]]:
    strings = len(steps) + 1
    reentrant = [position for position, step in enumerate(steps) if step < 0]
    odd = [position for position, step in enumerate(steps) if step >= 0 and not SMALLEST_STEP <= step <= LARGEST_STEP]
    for position in reentrant:
        low, high = tuning.names[position : position + 2]
        message = f"string {strings - position - 1} ({high}) is tuned below string {strings - position} ({low})"
        yield message, "check the octaves; a re-entrant tuning may be permitted with a reason"
    if odd and not reentrant:
        parts = [
            f"{steps[position]} from string {strings - position} to string {strings - position - 1}" for position in odd
        ]
        message = f"unusual steps between neighbouring strings: {in_a_row(parts, 'and')}"
        yield message, "in semitones, two to seven are usual: check letters, accidentals and octaves"
