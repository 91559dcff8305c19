"""An uncertain reading whose alternative is another pitch.

`3:9?4:14` offers another place for the same pitch: a question of fingering. `2:11?2:10` offers another pitch: a
question of what was played, and the degrees in the report count only the first reading.

Passes:

    bar 1  Am
    1-4  3:9?4:14

Fails:

    bar 1  Am
    1-4  2:11?2:10
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import place
from tabtools.model.pitch import pitch_name
from tabtools.problem import Severity

NAME = "alternative-pitch"
SEVERITY = Severity.NOTE


def check(subject: Subject) -> Iterator[Finding]:
    """Each other reading against the pitch of the first."""
    instrument = subject.solo.header.instrument
    for timed in subject.written_notes:
        other = timed.note.other
        if other is None or timed.attack is None:
            continue
        if timed.note.unsure and subject.offers_another_pitch(timed):
            name = pitch_name(instrument.midi(other.string, other.fret))
            here = pitch_name(timed.attack)
            message = f"the other reading {place(other.string, other.fret)} is {name}, this one {here}"
            advice = "listen again; of two places for one pitch both would agree"
            yield Finding(timed.note.span, message, advice, timed.address)
