"""One tuning that bears different names in different solos.

`drop D` here and `D2 A2 D3 G3 B3 E4` there, or `Eb2 …` and `D#2 …`: the same strings, but searching the solos
finds only half of them. The spelling fewer solos use is named; where they are as many, a tuning's name wins.

Passes:

    # dusk.solo
    title: Dusk
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4
    tuning: drop D

    bar 1  Am
    1-4  3:7
    # dawn.solo
    title: Dawn
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4
    tuning: drop D

    bar 1  Am
    1-4  3:7

Fails:

    # dusk.solo
    title: Dusk
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4
    tuning: drop D

    bar 1  Am
    1-4  3:7
    # dawn.solo
    title: Dawn
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4
    tuning: D2 A2 D3 G3 B3 E4

    bar 1  Am
    1-4  3:7
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from tabtools.checks.subject import Finding, Subject
from tabtools.problem import Severity
from tabtools.source import Span
from tabtools.wording import several

NAME = "tuning-named-inconsistently"
SEVERITY = Severity.NOTE


class _Named(NamedTuple):
    """How a solo's header writes its tuning."""

    midi: tuple[int, ...]
    spelling: str
    is_name: bool
    span: Span


def fact(subject: Subject) -> _Named | None:
    """The tuning as it is written, None where the header leaves it to the default or nobody could read it."""
    span = subject.solo.field_span("tuning")
    if not span.end or "tuning" in subject.doubtful_fields:
        return None
    tuning = subject.solo.header.instrument.tuning
    return _Named(tuning.midi, str(tuning), bool(tuning.name), span)


def check_collection(facts: Sequence[tuple[str, _Named]]) -> Iterator[tuple[str, Finding]]:
    """Each solo that spells a tuning otherwise than most."""
    spellings: dict[tuple[int, ...], dict[str, list[tuple[str, _Named]]]] = {}
    for path, named in facts:
        spellings.setdefault(named.midi, {}).setdefault(named.spelling, []).append((path, named))
    for by_spelling in spellings.values():
        if len(by_spelling) > 1:
            yield from _minority(by_spelling)


def _minority(by_spelling: dict[str, list[tuple[str, _Named]]]) -> Iterator[tuple[str, Finding]]:
    usual = max(by_spelling, key=lambda spelling: (len(by_spelling[spelling]), by_spelling[spelling][0][1].is_name))
    for spelling, solos in by_spelling.items():
        if spelling == usual:
            continue
        for path, named in solos:
            message = f"“{spelling}” is called “{usual}” in {several(len(by_spelling[usual]), 'other solo')}"
            yield path, Finding(named.span, message, f"write tuning: {usual}")
