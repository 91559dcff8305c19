"""Bar sums against the MusicXML test files that come with music21, measure by measure; see tests/outside/README.md."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from tabtools.checks import bar_duration
from tabtools.checks.run import check_solo
from tabtools.checks.subject import Subject, subject_of
from tabtools.model.rhythm import DENOMINATORS
from tabtools.source import from_text

Measure = dict[str, Any]
Event = tuple[Fraction, Fraction, int, bool]
"""Onset and duration in quarter notes, how many notes are struck (none: a rest), whether they are held over."""

MOST_SLOTS = MOST_SHARES = 64


def measures() -> list[Measure]:
    """The measures of one voice with a meter; one that music21 reads otherwise than the XML is left out."""
    path = Path(__file__).parents[1] / "outside" / "bar_sums.json"
    rows = json.loads(path.read_text(encoding="utf-8"))["measures"]
    return [row for row in rows if row["reason"] is None and row["meter"] and row["xml_sum"] is None]


def meter_of(measure: Measure) -> tuple[int, int]:
    """The meter as one fraction: 3/8+2/8 is 5/8."""
    parts = [part.split("/") for part in measure["meter"].split("+")]
    lower = max(int(part[1]) for part in parts)
    return sum(int(part[0]) * lower // int(part[1]) for part in parts), lower


def events_of(measure: Measure) -> list[Event]:
    return [
        (Fraction(onset), Fraction(length), size, tie in ("stop", "continue"))
        for onset, length, size, tie, _ in measure["events"]
    ]


def beat_lines(events: list[Event], beat: Fraction, first_count: int) -> Iterator[str]:
    """The events on lines that begin and end where counts do. Raises `ValueError` where a line cannot hold them."""
    start = Fraction(0)
    waiting: list[Event] = []
    for event in events:
        waiting.append(event)
        end = event[0] + event[1]
        if end % beat == 0:
            first, last = int(start / beat) + first_count, int(end / beat) + first_count - 1
            counts = f"{first}" if first == last else f"{first}-{last}"
            yield f"{counts}  {' '.join(slots(waiting))}\n"
            start, waiting = end, []
    if waiting:
        raise ValueError("a part of a count is left over")


def slots(events: list[Event]) -> Iterator[str]:
    """The events as slots with the smallest whole shares."""
    parts = math.lcm(*(length.denominator for _, length, _, _ in events))
    shares = [int(length * parts) for _, length, _, _ in events]
    weights = [share // math.gcd(*shares) for share in shares]
    if len(events) > MOST_SLOTS or max(weights) > MOST_SHARES:
        raise ValueError("too many slots or shares")
    for number, ((_, _, size, is_held), weight) in enumerate(zip(events, weights, strict=True)):
        sign = "-" if is_held else "+".join(f"{string}:{number % 20}" for string in range(1, min(size, 6) + 1)) or "."
        yield sign if weight == 1 else f"{sign}*{weight}"


def rebuilt(measure: Measure, first_count: int = 1) -> str:
    upper, lower = meter_of(measure)
    if lower not in DENOMINATORS or upper > 64:
        raise ValueError("no meter of the format")
    return "".join(beat_lines(events_of(measure), Fraction(4, lower), first_count))


def is_rebuilt(measure: Measure) -> bool:
    try:
        rebuilt(measure)
    except ValueError:
        return False
    return True


MEASURES = measures()
REBUILT = [measure for measure in MEASURES if is_rebuilt(measure)]


def named(measure: Measure) -> tuple[str, int, str, str]:
    return measure["file"], measure["part"], measure["measure"], measure["sum"]


def subject(measure: Measure) -> Subject:
    """The measure as bar 1, with a bar of rest behind it so that it is not the last."""
    upper, lower = meter_of(measure)
    subject = subject_of(from_text(f"meter: {upper}/{lower}\nbar 1\n{rebuilt(measure)}bar 2\n1-{upper} .\n"))
    assert subject.reading.problems == ()
    return subject


def test_all_but_four_measures_can_be_written_as_bars() -> None:
    """Three end within a count, which a bar of this format cannot; one has a meter of 64ths."""
    left = [named(measure) for measure in MEASURES if not is_rebuilt(measure)]
    assert left == [("02a", 1, "6", "95/32"), ("03ab", 1, "2", "1/8"), ("46d", 1, "0", "3/2"), ("99a", 1, "1", "9/8")]
    assert len(REBUILT) == 637


def test_bars_sum_up_to_what_the_measures_do() -> None:
    for measure in REBUILT:
        bar = subject(measure).timeline.bars[0]
        assert sum((line.length for line in bar.lines), Fraction(0)) == Fraction(measure["sum"]), named(measure)
        assert bar.length == max(Fraction(measure["bar"]), Fraction(measure["sum"])), named(measure)


def test_every_note_starts_and_lasts_as_in_its_measure() -> None:
    for measure in REBUILT:
        notes = [note for note in subject(measure).timeline.notes if note.part == 1]
        struck = [(onset, length) for onset, length, size, is_held in events_of(measure) if size and not is_held]
        assert [(note.onset, note.slot) for note in notes] == struck, named(measure)


def test_exactly_the_short_and_overfull_measures_are_reported() -> None:
    expected = [named(measure) for measure in REBUILT if measure["sum"] != measure["bar"]]
    reported = [named(measure) for measure in REBUILT if check_solo(subject(measure), [bar_duration])]
    assert reported == expected
    assert len(reported) == 18


@pytest.mark.parametrize(("file", "pickup_at"), [("02e", 1), ("46g", 0)])
def test_pickups_are_no_short_bars(file: str, pickup_at: int) -> None:
    """Files with an implicit measure of one quarter before the first full one: as bar 0, nothing is missing."""
    pickup, first = [measure for measure in REBUILT if measure["file"] == file][pickup_at : pickup_at + 2]
    upper, lower = meter_of(pickup)
    late = upper - int(Fraction(pickup["sum"]) / Fraction(4, lower))
    text = f"meter: {upper}/{lower}\nbar 0\n{rebuilt(pickup, late + 1)}bar 1\n{rebuilt(first)}"
    solo = subject_of(from_text(text))
    assert pickup["implicit"]
    assert [bar.length for bar in solo.timeline.bars] == [Fraction(pickup["sum"]), Fraction(first["sum"])]
    assert check_solo(solo, [bar_duration]) == []
