"""A note the transcriber was not sure of.

`3:9?` marks an uncertain note, `3:9?4:14` one that may lie elsewhere. Nothing is wrong with that: it is honest.
The note here keeps such places in sight until someone has listened again. Where the other reading is another
pitch, alternative-pitch says so instead.

Passes:

    bar 1  Am
    1-4  3:9

Fails:

    bar 1  Am
    1-4  3:9?
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import in_a_row, place, which_place, written, written_with_goals
from tabtools.harmony.degrees import spelled
from tabtools.notation.chords import chord_or_none
from tabtools.problem import Severity
from tabtools.timeline.readings import is_one_pitch
from tabtools.timeline.written_names import written_tone

NAME = "unsure-reading"
SEVERITY = Severity.NOTE
TOGETHER = "{} notes are uncertain readings"


def check(subject: Subject) -> Iterator[Finding]:
    """Each uncertain note whose pitch is not in question."""
    for timed in subject.written_notes:
        note = timed.note
        if note.unsure and not subject.offers_another_pitch(timed):
            places = [place(*other) for other in note.other_places]
            if timed.attack is not None and is_one_pitch(timed, subject.solo.header.instrument):
                chord, key = chord_or_none(timed.chord), subject.solo.header.key
                pitch = spelled(timed.attack, chord, key, written_tone(note, timed.attack))
                message = which_place(pitch, [written(note), *places])
                yield Finding(note.span, message, "listen again, and keep the place that you hear", timed.address)
                continue
            heard = f" ({note.heard.name})" if note.heard is not None and not places else ""
            message = f"{written_with_goals(note)}{heard} is an uncertain reading"
            if places:
                message += f"; it may be {in_a_row(places, 'or')}"
            yield Finding(note.span, message, "listen again, and take the ? away when sure", timed.address)
