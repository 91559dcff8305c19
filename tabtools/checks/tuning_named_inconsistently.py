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

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import several
from tabtools.model.instrument import Tuning
from tabtools.problem import Severity

NAME = "tuning-named-inconsistently"
SEVERITY = Severity.NOTE


def check_collection(subjects: Sequence[Subject]) -> Iterator[tuple[Subject, Finding]]:
    """Each solo that spells a tuning otherwise than most."""
    spellings: dict[tuple[int, ...], dict[str, list[Subject]]] = {}
    for subject in subjects:
        if subject.solo.field_span("tuning").end and "tuning" not in subject.doubtful_fields:
            tuning = subject.solo.header.instrument.tuning
            spellings.setdefault(tuning.midi, {}).setdefault(str(tuning), []).append(subject)
    for by_spelling in spellings.values():
        if len(by_spelling) > 1:
            yield from _minority(by_spelling)


def _minority(by_spelling: dict[str, list[Subject]]) -> Iterator[tuple[Subject, Finding]]:
    usual = max(by_spelling, key=lambda spelling: (len(by_spelling[spelling]), _is_name(by_spelling[spelling][0])))
    for spelling, subjects in by_spelling.items():
        if spelling == usual:
            continue
        for subject in subjects:
            message = f"“{spelling}” is called “{usual}” in {several(len(by_spelling[usual]), 'other solo')}"
            yield subject, Finding(subject.solo.field_span("tuning"), message, f"write tuning: {usual}")


def _is_name(subject: Subject) -> bool:
    tuning: Tuning = subject.solo.header.instrument.tuning
    return bool(tuning.name)
