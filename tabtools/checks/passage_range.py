"""A passage that is not there.

`passage 1.1-2.2` names a stretch by bar, count and stroke. Lesson, page and practice loop rely on it, and when a
bar is renumbered it must follow.

Passes:

    bar 1  Am
    1-2  3:7 3:5
    3-4  .
    passage 1.1-1.4  First phrase

Fails:

    bar 1  Am
    1-4  3:7
    passage 1.1-2.1  First phrase
"""

from collections.abc import Collection, Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.model.solo import Address, BeatLine, Stroke
from tabtools.problem import Severity
from tabtools.timeline import TimedBar
from tabtools.timeline.spread import leaves
from tabtools.wording import several

NAME = "passage-range"
SEVERITY = Severity.ERROR

_Place = tuple[int, int, int]


def check(subject: Subject) -> Iterator[Finding]:
    """Both ends of each passage, and their order."""
    for passage in subject.solo.passages:
        first, last = passage.range.first, passage.range.last
        faults = [fault for address in dict.fromkeys((first, last)) if (fault := _fault(subject, address))]
        for message, advice in faults:
            yield Finding(passage.span, message, advice, first)
        if not faults and _key(subject, first, 0) > _key(subject, last, 10**6):
            message = f"the passage {passage.range} runs backwards"
            yield Finding(passage.span, message, f"write {last}-{first}", first)


def _fault(subject: Subject, address: Address) -> tuple[str, str] | None:
    bars = subject.timeline.bar_numbers
    bar = bars.get(address.bar)
    if bar is None:
        if subject.unreadable or not bars:
            return None
        return f"there is no bar {address.bar}: the solo has {_range(bars)}", "check the passage's addresses"
    if address.count is None or bar.written.damaged:
        return None
    line = _line(bar, address.count)
    if line is None:
        return f"bar {address.bar} has no count {address.count}", "check the passage's addresses"
    if address.stroke is None:
        return None
    strokes = sum(type(slot) is Stroke for slot in leaves(line.slots))
    if not 1 <= address.stroke <= strokes:
        has = several(strokes, "stroke") if strokes else "none"
        return f"there is no stroke {address}: its line has {has}", "check the passage's addresses"
    return None


def _range(numbers: Collection[int]) -> str:
    first, last = min(numbers), max(numbers)
    return f"only bar {first}" if first == last else f"bars {first} to {last}"


def _line(bar: TimedBar, count: int) -> BeatLine | None:
    return next((line for line in bar.written.lines if line.first <= count <= line.last), None)


def _key(subject: Subject, address: Address, open_end: int) -> _Place:
    """Where an end lies: bar, count its line starts on, stroke; `open_end` for what is not said."""
    bar = subject.timeline.bar_numbers.get(address.bar)
    if address.count is None or bar is None:
        return address.bar, open_end if address.count is None else address.count, open_end
    line = _line(bar, address.count)
    count = line.first if line else address.count
    return address.bar, count, address.stroke or open_end
