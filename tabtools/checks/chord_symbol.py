"""A chord symbol that cannot be read, or that stands at no moment of its bar.

The degrees of the notes are counted from the chords, so every symbol must say one chord. The moment behind it
(`A7@3`, `A7@4&`) is a count of the bar; moments rise, and no two chords share one.

Passes:

    bar 1  Am7@1 D7(b9,#11)@3
    1-4  3:7
    bar 2  NC
    1-4  3:7

Fails:

    bar 1  Am7 Dmin79@3
    1-4  3:7
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.model.solo import Address, ChordMark, Count, Like
from tabtools.notation.chords import ChordError, read_chord
from tabtools.problem import Severity
from tabtools.source import Span
from tabtools.timeline import TimedBar

NAME = "chord-symbol"
SEVERITY = Severity.ERROR


def check(subject: Subject) -> Iterator[Finding]:
    """The symbols and moments of written bars and of `like` lines."""
    repeated: Like | None = None
    for bar in subject.timeline.bars:
        if bar.like is None:
            marks = bar.written.chords
        elif bar.like is not repeated:
            repeated = bar.like
            marks = repeated.chords
        else:
            continue
        for mark in marks:
            if finding := _symbol(mark, bar.number):
                yield finding
        if len(marks) > 1 or (marks and marks[0].at):
            yield from _moments(subject, bar, marks)


def _symbol(mark: ChordMark, bar: int) -> Finding | None:
    try:
        read_chord(mark.symbol)
    except ChordError as fault:
        start = mark.span.start + fault.offset
        end = start + max(1, fault.length)
        return Finding(Span(start, end), fault.message, fault.advice, _address(mark, bar))
    return None


def _moments(subject: Subject, bar: TimedBar, marks: tuple[ChordMark, ...]) -> Iterator[Finding]:
    previous: tuple[int, int, bool] | None = None
    for mark in marks:
        at = mark.at or Count(1)
        number = bar.number if at.bar is None else at.bar
        moment = (number, at.count, at.half)
        here = subject.timeline.bar_numbers.get(number, bar)
        is_judged = mark.at and not here.written.damaged and here.number not in subject.bars_without_meter
        fault = _outside(here, at) if is_judged else None
        if fault is None and previous is not None and moment <= previous:
            fault = _out_of_order(mark, moment == previous)
        if fault:
            yield Finding(mark.span, *fault, _address(mark, bar.number))
        else:
            previous = moment


def _outside(bar: TimedBar, at: Count) -> tuple[str, str] | None:
    counts = bar.meter.counts
    if bar.written.free:
        counts = max((line.last for line in bar.written.lines), default=at.count)
        if at.count > counts:
            return (
                f"@{at} lies outside the free bar, whose counts are 1 to {counts}",
                "write the count of one of its lines",
            )
    elif not 1 <= at.count <= counts:
        message = f"@{at} lies outside {bar.meter}, whose counts are 1 to {counts}"
        return message, "write the count the chord holds from"
    elif at.count < bar.first_count:
        return f"@{at} lies before the pickup, which starts on count {bar.first_count}", "write a later count"
    return None


def _out_of_order(mark: ChordMark, is_same: bool) -> tuple[str, str]:
    if is_same and mark.at is None:
        return (
            f"{mark.symbol} starts on the first count, where a chord stands already",
            "say from which count, like A7@3",
        )
    if is_same:
        return f"two chords start on @{mark.at}", "keep one, or move one to another count"
    moment = f"@{mark.at}" if mark.at else "the first count"
    return f"{mark.symbol} on {moment} stands behind a later chord", "write the chords in the order they sound"


def _address(mark: ChordMark, bar: int) -> Address:
    if mark.at is None:
        return Address(bar)
    return Address(bar if mark.at.bar is None else mark.at.bar, mark.at.count)
