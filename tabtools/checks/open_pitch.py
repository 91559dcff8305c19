"""A note or a stretch whose pitch is not known yet.

`?` says that a note is played here, `3:?` that it is played on the third string, and `??` that something is played
that cannot be made out. Nothing is wrong with that, and it is better than a rest or a dead note: it stays in sight
until someone has listened again. `tabtools todo` lists all that is open.

Passes:

    bar 1  Am
    1-4  3:9

Fails:

    bar 1  Am
    1-2  3:?
    3-4  ??
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import first_arrival
from tabtools.notation.move_words import goal_not_known
from tabtools.problem import Severity
from tabtools.timeline.unheard import unheard_stretches

NAME = "open-pitch"
SEVERITY = Severity.NOTE
TOGETHER = "what is played is not known yet at {} places"


def check(subject: Subject) -> Iterator[Finding]:
    """Each note without a pitch; each stretch that is not heard, over as many bars as it takes."""
    for timed in subject.written_notes:
        if timed.note.unknown:
            where = f" on string {timed.string}" if timed.string else ""
            message = f"the pitch of this note{where} is not known yet"
            if arrival := first_arrival(timed):
                message = f"this note{where} comes to {arrival} from a pitch that is not known yet"
            advice = "listen again; write the pitch as soon as you have it, like =D4"
            if timed.note.only_moves_pitch:
                message = f"{goal_not_known(timed.note)} is not known yet"
                advice = f"listen again; write the pitch it goes to as soon as you have it, like {timed.note.via}=B4"
            yield Finding(timed.note.span, message, advice, timed.address)
    for stretch in unheard_stretches(subject.written_notes):
        first, last = stretch[0], stretch[-1].address.bar
        bars = f"in bars {first.address.bar} to {last}" if last != first.address.bar else "here"
        advice = "listen again slowly; a ? for each note that you can count is a beginning"
        yield Finding(first.note.span, f"what is played {bars} is not heard yet", advice, first.address)
