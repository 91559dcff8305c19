"""A `like` line that repeats what it cannot.

`bars 9-12 like 1-4` repeats bars that stand above it. Both ranges run upwards, and the new one is as long as the
old or a whole number of times as long. All bars, the repeated ones counted, are at most 4,000.

Passes:

    bar 1  Am
    1-4  3:7
    bar 2
    1-4  3:5
    bars 3-6 like 1-2

Fails:

    bar 1  Am
    1-4  3:7
    bars 2-4 like 1-2
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import listed
from tabtools.model.solo import Address, Bar, Like
from tabtools.notation.limits import MAX_BARS
from tabtools.problem import Severity
from tabtools.wording import several

NAME = "like-range"
SEVERITY = Severity.ERROR


def check(subject: Subject) -> Iterator[Finding]:
    """Each `like` line against the bars above it."""
    yield from subject.read_faults(NAME)
    written: set[int] = set()
    bars = 0
    for item in subject.solo.items:
        if isinstance(item, Bar):
            written.add(item.number)
            bars += 1
        elif isinstance(item, Like):
            fault = fault_of(item, written, subject.is_unreadable_between(0, item.span.start))
            if fault:
                yield Finding(item.span, *fault, Address(item.first))
            written.update(range(item.first, min(item.last, item.first + MAX_BARS) + 1))
            bars += max(0, item.last - item.first + 1)
        if bars > MAX_BARS:
            return


def fault_of(like: Like, written: set[int], may_be_lost: bool = False) -> tuple[str, str] | None:
    """What is wrong with a repeat behind the bars that are `written`, and what to do; None where nothing is.

    `may_be_lost` says that a line which may have held bars could not be read.
    """
    for first, last in ((like.first, like.last), (like.like_first, like.like_last)):
        if last < first:
            return f"bars {first}-{last} run backwards", f"write {last}-{first}"
    span = range(like.like_first, min(like.like_last, like.like_first + MAX_BARS) + 1)
    missing = [number for number in span if number not in written]
    if may_be_lost:
        missing = [number for number in missing if number >= like.first]
    if missing:
        which = f"bar {missing[0]} does" if len(missing) == 1 else f"bars {listed(missing)} do"
        return f"{which} not stand above this line", "repeat only bars that are written above it"
    new, old = like.last - like.first + 1, like.like_last - like.like_first + 1
    if new % old:
        message = f"{several(new, 'bar')} cannot repeat {several(old, 'bar')}"
        return message, "make both ranges as long, or the new one a whole number of times as long"
    return None
