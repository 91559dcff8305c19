"""A `-` where nothing sounds.

`-` lets what sounds go on. After a rest, or before the first note, there is nothing to go on: either a `.` is
meant, or the note before was lost.

Passes:

    bar 1  Am
    1    . 3:7
    2    - .
    3-4  .

Fails:

    bar 1  Am
    1    . 3:7
    2    . -
    3-4  .
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.problem import Severity

NAME = "hold-without-note"
SEVERITY = Severity.ERROR


def check(subject: Subject) -> Iterator[Finding]:
    """The first idle hold of each beat line; those that only `like` repeats make idle, on the `like` line."""
    seen: set[int] = set()
    text = subject.source.text
    for idle in subject.timeline.idle_holds:
        line = text.rfind("\n", 0, idle.hold.span.start)
        if line in seen or subject.is_context_lost(idle.address, idle.hold.span):
            continue
        seen.add(line)
        like = subject.repeat_at(idle.address)
        if like is None:
            advice = "write . for silence, or the note that is held"
            yield Finding(idle.hold.span, "nothing sounds here that - could hold", advice, idle.address)
        else:
            message = f"bar {idle.address.bar} starts with a held note here, but nothing sounds before it"
            yield Finding(like.span, message, "write the bar out", idle.address)
