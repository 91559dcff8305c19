"""A bar whose counts do not add up to its meter.

Each line of a bar says which counts it fills. Together they fill the meter once: no count missing, doubled or
outside. A pickup (`bar 0`) may start late, and the last bar may then end as early. A `free` bar has no meter;
its counts only have to follow each other.

Passes:

    bar 1  Am
    1    3:7 3:5
    2-3  2:5
    4    .

Fails:

    bar 1  Am
    1    3:7 3:5
    2    2:5
    4    .
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.model.rhythm import Meter
from tabtools.model.solo import Address, Bar
from tabtools.problem import Severity
from tabtools.timeline import TimedBar

NAME = "bar-duration"
SEVERITY = Severity.ERROR


def check(subject: Subject) -> Iterator[Finding]:
    """Counts missing, doubled, out of order or outside the meter."""
    bars = [bar for bar in subject.timeline.bars if bar.like is None]
    played = subject.timeline.bars
    pickup = played[0].first_count if played else 1
    for bar in bars:
        if bar.written.damaged:
            continue
        if bar.written.free:
            yield from _out_of_sequence(bar)
            continue
        may_end_early = pickup - 1 if bar is played[-1] and pickup > 1 else 0
        yield from _against_meter(bar, may_end_early)


def _out_of_sequence(bar: TimedBar) -> Iterator[Finding]:
    expected = 1
    for line in bar.written.lines:
        if line.first != expected:
            message = f"count {line.first} follows where count {expected} should, in a free bar"
            yield Finding(line.span, message, "number the lines 1, 2, 3 …", Address(bar.number, line.first))
            return
        expected = line.last + 1
    if not bar.written.lines:
        yield Finding(bar.written.span, "the bar has no notes", "write what is played, or 1  .", Address(bar.number))


def _against_meter(bar: TimedBar, may_end_early: int) -> Iterator[Finding]:
    written, meter = bar.written, bar.meter
    seen: dict[int, int] = {}
    highest = 0
    for line in written.lines:
        address = Address(bar.number, line.first)
        counts = range(line.first, line.last + 1)
        if line.last > meter.counts:
            count = max(line.first, meter.counts + 1)
            message = f"bar {bar.number}: count {count} lies outside {meter}, which has {meter.counts} counts"
            yield Finding(line.span, message, "check the count, or give the bar its meter", address)
        doubled = [count for count in counts if count in seen]
        if doubled:
            message = f"bar {bar.number}: {_counts(doubled)} {_is(doubled)} filled twice"
            yield Finding(line.span, message, "let the lines' counts follow each other", address)
        elif line.first < highest:
            message = f"bar {bar.number}: count {line.first} stands after count {highest}"
            yield Finding(line.span, message, "write the lines in the order they are played", address)
        seen.update(dict.fromkeys(counts, line.first))
        highest = max(highest, line.last)
    yield from _missing(bar, written, meter, seen, may_end_early)


def _missing(bar: TimedBar, written: Bar, meter: Meter, seen: dict[int, int], may_end_early: int) -> Iterator[Finding]:
    missing = [count for count in range(bar.first_count, meter.counts + 1) if count not in seen]
    if may_end_early and missing == list(range(may_end_early + 1, meter.counts + 1)):
        return
    if missing:
        message = f"bar {bar.number}: {_counts(missing)} of {meter} {_is(missing)} missing"
        advice = "write what is played there, - if a note is held, . for a rest"
        yield Finding(written.span, message, advice, Address(bar.number))


def _counts(counts: list[int]) -> str:
    if len(counts) == 1:
        return f"count {counts[0]}"
    return f"counts {', '.join(str(count) for count in counts[:-1])} and {counts[-1]}"


def _is(counts: list[int]) -> str:
    return "is" if len(counts) == 1 else "are"
