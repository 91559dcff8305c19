"""A solo whose meter is not given.

Without a meter nobody can tell whether a bar is complete. The header gives it; a bar may change it
(`bar 9  meter 7/8`). Until it is there, the counts of bars are only checked for their order.

Passes:

    title: Ferry at Dusk
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 3/4

    bar 1  Am
    1-3  3:7

Fails:

    title: Ferry at Dusk
    player: the Slipway Trio
    rights: CC-BY-4.0

    bar 1  Am
    1-3  3:7
"""

from collections import Counter
from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.problem import Severity

NAME = "meter-missing"
SEVERITY = Severity.ERROR


def check(subject: Subject) -> Iterator[Finding]:
    """The field `meter`, there and not empty."""
    is_given = any(field.name == "meter" and field.value for field in subject.solo.fields)
    if is_given or "meter" in subject.doubtful_fields:
        return
    bars = [bar for bar in subject.solo.bars if bar.lines and not bar.free]
    highest = Counter(max(line.last for line in bar.lines) for bar in bars).most_common(1)
    advice = "write it in the header, like meter: 4/4"
    if highest:
        advice = f"most bars count to {highest[0][0]}: write it in the header, like meter: {highest[0][0]}/4"
    yield Finding(subject.solo.field_span("meter"), "the solo has no meter", advice)
