"""Bars that take another time in the recording than the tempo says.

`at 0:42.3` says where a bar starts in the recording. Between two such marks lie so many bars at so many beats a
minute; when that differs from the recording by more than 8 % (of a length mistaken by less than the marks' own
rounding nothing is said), a bar was left out or written twice, the meter or the tempo is wrong, or a mark is.
Eight per cent is common practice for what a band drifts within a chorus. A mark that lies before an earlier
bar's mark is an error.

Passes:

    title: Ferry at Dusk
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4
    tempo: 120

    bar 1  Am  at 0:10
    1-4  3:7
    bars 2-8 like 1
    bar 9  at 0:26.2
    1-4  3:7

Fails:

    title: Ferry at Dusk
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4
    tempo: 120

    bar 1  Am  at 0:10
    1-4  3:7
    bars 2-8 like 1
    bar 9  at 0:30
    1-4  3:7
"""

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from tabtools.checks.subject import Finding, Subject
from tabtools.model.rhythm import clock_in_tenths
from tabtools.model.solo import Address
from tabtools.problem import Severity
from tabtools.source import Span
from tabtools.timeline import TimedBar
from tabtools.wording import several

NAME = "bar-length-against-recording"
SEVERITY = Severity.WARNING

LARGEST_DRIFT = 0.08
FINE_SLACK, COARSE_SLACK = 0.25, 1.0
"""Seconds two marks may be off together: by tenths, and where both are whole seconds."""
SAME_TEMPO = 0.03
BAR_ROUNDING = 0.1


class _RecordedStretch(NamedTuple):
    """Bars from one mark to the next: seconds as written and as recorded, and whether one tempo holds throughout.

    `is_coarse` says that both marks are whole seconds.
    """

    first: TimedBar
    next: TimedBar
    declared: float
    recorded: float
    is_steady: bool
    is_coarse: bool

    @property
    def ratio(self) -> float:
        return self.recorded / self.declared


def check(subject: Subject) -> Iterator[Finding]:
    """Marks out of order, and stretches between marks that last too long or too short."""
    bars = subject.timeline.bars
    marked = [(position, bar, bar.at) for position, bar in enumerate(bars) if bar.at is not None]
    if len(marked) < 2 or "tempo" in subject.doubtful_fields:
        return
    stretches: list[_RecordedStretch] = []
    for (start, bar, at), (end, following, next_at) in pairwise(marked):
        if next_at <= at:
            message = f"bar {following.number} starts at {clock_in_tenths(next_at)}, "
            message += f"not after bar {bar.number} at {clock_in_tenths(at)}"
            place = _mark_span(subject, following)
            yield Finding(place, message, "check both marks", Address(following.number), Severity.ERROR)
        elif following.number - bar.number == end - start and not subject.is_faulty_between(
            bar.written.span.start, following.written.span.end
        ):
            between = bars[start:end]
            if subject.bars_without_meter & {one.number for one in between} or any(map(_is_overfull, between)):
                continue
            is_steady = all(one.tempo == bar.tempo and not one.written.free for one in between)
            is_coarse = at.denominator == next_at.denominator == 1
            declared, recorded = following.start - bar.start, float(next_at - at)
            stretches.append(_RecordedStretch(bar, following, declared, recorded, is_steady, is_coarse))
    off = [stretch for stretch in stretches if _is_off(stretch)]
    if len(off) > 1 and len(off) == len(stretches) and _agree(off):
        yield _throughout(subject, off)
    else:
        for stretch in off:
            yield _apart(subject, stretch, is_everywhere=len(off) == len(stretches))


def _is_overfull(bar: TimedBar) -> bool:
    return not bar.written.free and bar.length > bar.meter.length


def _is_off(stretch: _RecordedStretch) -> bool:
    difference = abs(stretch.recorded - stretch.declared)
    slack = COARSE_SLACK if stretch.is_coarse else FINE_SLACK
    return difference > max(slack, LARGEST_DRIFT * stretch.declared)


def _agree(stretches: list[_RecordedStretch]) -> bool:
    ratios = [stretch.ratio for stretch in stretches]
    is_one_tempo = len({stretch.first.tempo for stretch in stretches}) == 1
    return is_one_tempo and max(ratios) <= min(ratios) * (1 + SAME_TEMPO) and all(one.is_steady for one in stretches)


def _throughout(subject: Subject, stretches: list[_RecordedStretch]) -> Finding:
    recorded, declared = (sum(getattr(one, name) for one in stretches) for name in ("recorded", "declared"))
    tempo = float(stretches[0].first.tempo) * declared / recorded
    message = f"all marks of the recording agree on tempo {tempo:.0f}, {_declared(subject, stretches[0])}"
    field = subject.solo.field_span("tempo")
    place = field if field.end else _mark_span(subject, stretches[0].next)
    return Finding(place, message, _hint(declared / recorded, "write that tempo"), Address(stretches[0].next.number))


def _apart(subject: Subject, stretch: _RecordedStretch, is_everywhere: bool) -> Finding:
    first, following = stretch.first, stretch.next
    number = following.number - first.number
    bars = f"bar {first.number} takes" if number == 1 else f"bars {first.number}-{following.number - 1} take"
    tempo = float(first.tempo)
    message = f"{bars} {stretch.recorded:.1f} s in the recording and {stretch.declared:.1f} s as written"
    if stretch.is_steady:
        message += f": that is tempo {tempo / stretch.ratio:.0f}, {_declared(subject, stretch)}"
    advice = _bars_hint(stretch)
    if not _is_given(subject, first.tempo):
        advice = "write the tempo in the header"
    elif is_everywhere and stretch.is_steady:
        advice = _hint(1 / stretch.ratio, advice)
    return Finding(_mark_span(subject, following), message, advice, Address(following.number))


def _declared(subject: Subject, stretch: _RecordedStretch) -> str:
    tempo = stretch.first.tempo
    return f"not {float(tempo):g}" + ("" if _is_given(subject, tempo) else ", which is assumed where none is given")


def _is_given(subject: Subject, tempo: Fraction) -> bool:
    return bool(subject.solo.field_span("tempo").end) or tempo != subject.solo.header.tempo


def _hint(factor: float, otherwise: str) -> str:
    if abs(factor - 2) <= LARGEST_DRIFT * 2:
        return "the recording counts twice as fast: double the tempo, or check the meter"
    if abs(factor - 0.5) <= LARGEST_DRIFT / 2:
        return "the recording counts half as fast: halve the tempo, or check the meter"
    return otherwise


def _bars_hint(stretch: _RecordedStretch) -> str:
    """Whether the difference is a whole number of bars."""
    meter, tempo = stretch.first.meter, stretch.first.tempo
    extra = (stretch.recorded - stretch.declared) / float(meter.length * 60 / (tempo * meter.beat))
    bars = round(extra)
    if bars and abs(extra - bars) <= BAR_ROUNDING and stretch.is_steady:
        if bars > 0:
            return f"the recording has time for {several(bars, 'more bar')}: check what was left out, then both marks"
        return f"the recording has time for {several(-bars, 'bar')} less: check what was written twice, then both marks"
    return "check both marks, the tempo, and the number of bars between"


def _mark_span(subject: Subject, bar: TimedBar) -> Span:
    span = bar.written.span
    text = subject.source.text[span.start : span.end]
    at = max(text.find(" at "), text.find("\tat ")) + 1
    length = len(" ".join(text[at:].split()[:2])) if at else len(text)
    return Span(span.start + at, span.start + at + length)
