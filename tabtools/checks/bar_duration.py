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

from collections.abc import Iterator, Sequence

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import listed
from tabtools.model.rhythm import Meter
from tabtools.model.solo import Address, BeatLine
from tabtools.problem import Severity
from tabtools.timeline import TimedBar
from tabtools.wording import several

NAME = "bar-duration"
SEVERITY = Severity.ERROR


def check(subject: Subject) -> Iterator[Finding]:
    """Counts missing, doubled, out of order or outside the meter."""
    played = subject.timeline.bars
    meter, brought_by = subject.solo.header.meter, None
    for bar in played:
        if bar.like is not None:
            brought_by = bar if bar.meter != meter else brought_by
            meter = bar.meter
            continue
        written, meter = bar.written, bar.meter
        if written.meter is not None:
            brought_by = None
        if written.damaged:
            continue
        if not written.lines:
            rest = "1  ." if meter.counts == 1 or written.free else f"1-{meter.counts}  ."
            yield Finding(written.span, f"bar {bar.number} has no notes", f"write what is played, or {rest}", _at(bar))
        elif written.free or bar.number in subject.bars_without_meter:
            yield from _out_of_sequence(bar)
        else:
            for finding in _against_meter(bar, played[0].first_count - 1 if bar is played[-1] else 0):
                yield finding._replace(advice=finding.advice + _origin(brought_by))


def _out_of_sequence(bar: TimedBar) -> Iterator[Finding]:
    """Where there is no meter to fill, the counts still follow each other."""
    expected = bar.first_count
    for line in bar.written.lines:
        if line.first != expected:
            kind = "a free bar" if bar.written.free else f"bar {bar.number}"
            message = f"count {line.first} stands where count {expected} should, in {kind}"
            advice = "number the lines 1, 2, 3 …" if bar.written.free else "let the lines' counts follow each other"
            yield Finding(line.span, message, advice, _at(bar, line))
            return
        expected = line.last + 1


def _against_meter(bar: TimedBar, may_end_after: int) -> Iterator[Finding]:
    """What keeps the counts of a bar from filling its meter once. `may_end_after` is 0 where it must be full."""
    lines, counts = bar.written.lines, bar.meter.counts
    filled = {count for line in lines for count in range(line.first, min(line.last, counts) + 1)}
    missing = [count for count in range(bar.first_count, counts + 1) if count not in filled]
    if may_end_after and missing == list(range(may_end_after + 1, counts + 1)):
        missing = []
    yield from _outside(bar, lines)
    seen: set[int] = set()
    for line in lines:
        here = range(line.first, min(line.last, counts) + 1)
        doubled = [count for count in here if count in seen]
        if doubled and line.first == line.last and line.first + 1 in missing:
            missing.remove(line.first + 1)
            message = f"bar {bar.number}: count {line.first} stands twice and count {line.first + 1} is missing"
            yield Finding(line.span, message, f"should this line be count {line.first + 1}?", _at(bar, line))
        elif doubled:
            message = f"bar {bar.number}: {_counts(doubled)} filled twice"
            yield Finding(line.span, message, "let the lines' counts follow each other", _at(bar, line))
        elif seen and line.first < max(seen):
            message = f"bar {bar.number}: count {line.first} stands after count {max(seen)}"
            yield Finding(line.span, message, "write the lines in the order they are played", _at(bar, line))
        seen.update(here)
    if missing:
        message = f"bar {bar.number}: {_counts(missing, f' of {bar.meter}')} missing"
        yield Finding(bar.written.span, message, _how_to_fill(bar.meter, missing), _at(bar))


def _outside(bar: TimedBar, lines: Sequence[BeatLine]) -> Iterator[Finding]:
    meter = bar.meter
    outside = [line for line in lines if line.last > meter.counts]
    if outside:
        highest = max(line.last for line in outside)
        lowest = max(outside[0].first, meter.counts + 1)
        has = several(meter.counts, "count")
        message = f"bar {bar.number}: {_outside_counts(lowest, highest)} outside {meter}, which has {has}"
        advice = "check the counts, or give the bar its meter"
        if highest == meter.numerator != meter.counts:
            advice = f"number the counts 1 to {meter.counts}, or write the meter as {_signature(meter)}"
        yield Finding(outside[0].span, message, advice, _at(bar, outside[0]))


def _how_to_fill(meter: Meter, missing: list[int]) -> str:
    advice = "write what is played there, - if a note is held, . for a rest"
    beats, rest = divmod(meter.counts, 3)
    if meter.denominator >= 8 and not rest and beats > 1 and missing == list(range(beats + 1, meter.counts + 1)):
        return f"{advice}; where the bar is counted in {beats}, write the meter as {_signature(meter)} in {beats}"
    return advice


def _origin(bar: TimedBar | None) -> str:
    """Where a meter comes from that is not the one last written: from a repeated bar."""
    if bar is None:
        return ""
    return f"; {bar.meter} came with bar {bar.number}, which repeats bar {bar.written.number}"


def _at(bar: TimedBar, line: BeatLine | None = None) -> Address:
    return Address(bar.number, line.first if line else None)


def _signature(meter: Meter) -> str:
    return f"{meter.numerator}/{meter.denominator}"


def _counts(counts: list[int], of: str = "") -> str:
    return f"count {counts[0]}{of} is" if len(counts) == 1 else f"counts {listed(counts)}{of} are"


def _outside_counts(lowest: int, highest: int) -> str:
    return f"count {lowest} lies" if lowest == highest else f"counts {lowest} to {highest} lie"
