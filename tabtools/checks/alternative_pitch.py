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
from tabtools.harmony.degrees import spelled
from tabtools.model.solo import Heard
from tabtools.notation.chords import chord_or_none
from tabtools.problem import Severity
from tabtools.timeline.written_names import written_tone

NAME = "alternative-pitch"
SEVERITY = Severity.NOTE
TOGETHER = "{} other readings are other pitches"


def check(subject: Subject) -> Iterator[Finding]:
    """Each other reading against the pitch of the first."""
    for timed in subject.written_notes:
        if timed.attack is None:
            continue
        chord, key = chord_or_none(timed.chord), subject.solo.header.key
        here = spelled(timed.attack, chord, key, written_tone(timed.note, timed.attack))
        for other, sounds in subject.other_pitches(timed):
            if isinstance(other, Heard):
                message = f"the other reading is {other.name}, this one {here}"
                yield Finding(timed.note.span, message, "listen again, and keep the one that is heard", timed.address)
            else:
                there = spelled(sounds, chord, key)
                message = f"the other reading {place(other.string, other.fret)} is {there}, this one {here}"
                advice = "listen again, and keep the one that is heard"
                yield Finding(timed.note.span, message, advice, timed.address)
