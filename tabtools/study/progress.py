"""How far a transcription is: the bars that are heard, placed, certain and explained.

- heard: every note has a pitch, and nothing is left that cannot be made out (no `?` in place of a note, no `??`);
- placed: every note has a string and a fret;
- certain: nothing is in doubt, so that no `?` stands in it: of a note, a rhythm or a chord;
- explained: the lesson says something of it: it makes a claim about it, links to it, or names a passage it is in.

Bars that repeat others are as far as these, but for the chords given to them. A bar of which a line is missing or
cannot be read is neither heard nor placed nor certain. A pickup
is none of the bars that are counted.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache

from tabtools.model.solo import Bar, Solo, notes_of
from tabtools.notation.claims import ClaimError, read_claim, spans_of_claims
from tabtools.notation.lesson_text import text_lines
from tabtools.source import SourceText
from tabtools.study.study import study_of
from tabtools.study.truth.named import means_nothing
from tabtools.timeline import TimedBar, Timeline, timeline_of

LONGEST_LESSON = 65_536
"""Characters: what stands behind them is not looked at, and no longer lesson is published."""

_LINK = re.compile(r"#b([0-9]{1,9})\b")
_EMPHASIS = str.maketrans("", "", "*_")
_Bars = tuple[int, int]
"""The numbers of the first and the last of some bars."""


@dataclass(frozen=True, slots=True)
class Progress:
    """How many bars a solo has, repeats played out, and how many of them are how far; whether a pickup goes before."""

    bars: int
    heard: int
    placed: int
    certain: int
    explained: int
    has_pickup: bool = False


def progress_of(timeline: Timeline, lesson: SourceText | None = None) -> Progress:
    """How far a solo is."""
    explained = _Covered(explained_bars(timeline.solo, lesson)) if lesson else _Covered(())
    without_string = {timed.address.bar for timed in timeline.notes if not timed.string}
    states = [
        (
            _is_heard(bar.written),
            _is_placed(bar.written) and bar.number not in without_string,
            _is_certain(bar),
            _is_explained(bar, explained),
        )
        for bar in timeline.bars
        if not bar.is_pickup
    ]
    heard, placed, certain, told = (sum(state[place] for state in states) for place in range(4))
    has_pickup = any(bar.is_pickup for bar in timeline.bars)
    return Progress(len(states), heard, placed, certain, told, has_pickup)


def _is_whole(bar: Bar) -> bool:
    return bool(bar.lines) and not bar.damaged


def _is_heard(bar: Bar) -> bool:
    return _is_whole(bar) and not any(note.unknown or note.unheard for line in bar.lines for note in notes_of(line))


def _is_placed(bar: Bar) -> bool:
    return _is_heard(bar) and not any(note.names_pitch for line in bar.lines for note in notes_of(line))


def _is_certain(bar: TimedBar) -> bool:
    lines = bar.written.lines
    return (
        _is_heard(bar.written)
        and not any(line.doubtful or any(note.unsure for note in notes_of(line)) for line in lines)
        and not any(chord.mark.doubtful for chord in bar.chords)
    )


def _is_explained(bar: TimedBar, explained: _Covered) -> bool:
    return bar.number in explained or bar.written.number in explained


class _Covered:
    """Numbers of bars, by stretches that may overlap."""

    def __init__(self, stretches: Iterable[_Bars]):
        self._firsts: list[int] = []
        self._lasts: list[int] = []
        for first, last in sorted(stretches):
            if self._lasts and first <= self._lasts[-1]:
                self._lasts[-1] = max(last, self._lasts[-1])
            elif first <= last:
                self._firsts.append(first)
                self._lasts.append(last)

    def __contains__(self, number: int) -> bool:
        place = bisect_right(self._firsts, number) - 1
        return place >= 0 and number <= self._lasts[place]


def explained_bars(solo: Solo, lesson: SourceText) -> Iterator[_Bars]:
    """The stretches that a lesson says something of."""
    study = cache(lambda: study_of(timeline_of(solo)))
    for text, _ in spans_of_claims(lesson):
        try:
            claim = read_claim(text, passages=solo.passages)
        except ClaimError:
            continue
        if means_nothing(claim, study):
            continue
        claimed = claim.range
        yield claimed.first.bar, claimed.last.bar
    said = "\n".join(line.text for line in text_lines(lesson))[:LONGEST_LESSON]
    for number in map(int, _LINK.findall(said)):
        yield number, number
    words = _plain(said)
    for passage in solo.passages:
        if passage.name and _plain(passage.name) in words:
            yield passage.range.first.bar, passage.range.last.bar


def _plain(text: str) -> str:
    """Small letters without emphasis, one space between words: a name may run over the end of a line."""
    return " ".join(text.casefold().translate(_EMPHASIS).split())
