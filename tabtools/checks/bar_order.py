"""Bar numbers that do not follow each other.

Bars are numbered without gaps or repeats, so that everyone can say “bar 12” and mean the same. A number that is
missing, doubled or out of order is usually a bar that was lost, written twice, or moved in a merge. A solo starts
with bar 1, or with bar 0 where there is a pickup; one that keeps the numbers of the whole piece is warned about
and may be permitted.

Passes:

    bar 0
    4    3:5
    bar 1  Am
    1-4  3:7
    bars 2-3 like 1
    bar 4
    1-3  .

Fails:

    bar 1  Am
    1-4  3:7
    bar 3
    1-4  3:5
"""

from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import listed
from tabtools.model.solo import Address, Bar, Like, Solo
from tabtools.notation.limits import MAX_BARS
from tabtools.problem import Severity
from tabtools.source import Span

NAME = "bar-order"
SEVERITY = Severity.ERROR


class _OrderedBar(NamedTuple):
    first: int
    last: int
    span: Span


def check(subject: Subject) -> Iterator[Finding]:
    """Each number against the one before it; what is lost in an unreadable line is not held against the rest."""
    entries = _entries(subject.solo)
    if not entries:
        return
    if entries[0].first > 1 and not subject.is_unreadable_between(0, entries[0].span.start):
        message = f"the solo starts with bar {entries[0].first}"
        advice = "number the bars from 1, or from 0 for a pickup; permit it where the numbers are those of the piece"
        yield Finding(entries[0].span, message, advice, Address(entries[0].first), Severity.WARNING)
    if all(one.last + 1 == other.first for one, other in pairwise(entries)):
        return
    yield from _disorder(subject, entries)


def _entries(solo: Solo) -> list[_OrderedBar]:
    entries: list[_OrderedBar] = []
    bars = 0
    for item in solo.items:
        if isinstance(item, Bar):
            entries.append(_OrderedBar(item.number, item.number, item.span))
        elif isinstance(item, Like):
            entries.append(_OrderedBar(min(item.first, item.last), max(item.first, item.last), item.span))
        else:
            continue
        bars += entries[-1].last - entries[-1].first + 1
        if bars > MAX_BARS:
            return entries[:-1]
    return entries


def _disorder(subject: Subject, entries: list[_OrderedBar]) -> Iterator[Finding]:
    first_at: dict[int, int] = {}
    for position, entry in enumerate(entries):
        for number in range(entry.first, entry.last + 1):
            first_at.setdefault(number, position)
    highest = entries[0].last
    for position, entry in enumerate(entries[1:], 1):
        previous, expected = entries[position - 1], highest + 1
        following = entries[position + 1].first if position + 1 < len(entries) else None
        address = Address(entry.first)
        if entry.first == expected:
            highest = entry.last
        elif following == expected + entry.last - entry.first + 1:
            message = f"bar {entry.first} stands between bar {highest} and bar {following}"
            yield Finding(entry.span, message, f"number it {expected}", address)
            highest = following - 1
        elif first_at[entry.first] < position:
            first = entries[first_at[entry.first]].span.start
            if not subject.is_in_conflict(first, entry.span.start):
                message = f"bar {entry.first} stands twice; the first is on line {subject.source.locate(first)[0]}"
                yield Finding(
                    entry.span,
                    message,
                    "delete one of them, or number the bars as they stand: tabtools bars renumber",
                    address,
                )
        elif entry.first < expected:
            message = f"bar {entry.first} stands after bar {highest}"
            yield Finding(entry.span, message, "put the bars into the order they are played", address)
        else:
            missing = [number for number in range(expected, entry.first) if number not in first_at]
            if missing and not subject.is_unreadable_between(previous.span.start, entry.span.start):
                message = f"{_bars(missing)} missing between bar {highest} and bar {entry.first}"
                advice = "write what is missing, or number the bars anew from here"
                yield Finding(entry.span, message, advice, address)
            highest = entry.last


def _bars(numbers: list[int]) -> str:
    return f"bar {numbers[0]} is" if len(numbers) == 1 else f"bars {listed(numbers)} are"
