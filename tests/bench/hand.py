"""What the analysis of the hands costs beside the bare Lark parse of the same text: `python tests/bench/hand.py`.

Limits of the design: fingering 200 generated solos takes no longer than the bare parse of their text, and a stroke
takes the same time in a solo of 100 strokes and of 10,000. Ratios of processor time, so that other work on the
machine does not count; shapes and moves are worked out anew for each run.
"""

from __future__ import annotations

import gc
import time
from collections.abc import Callable

from lark import Lark
from lint import GRAMMAR
from solos import solo, solos

from tabtools.checks import BY_NAME
from tabtools.checks.subject import Subject, subject_of
from tabtools.hand import hand as fingered_by
from tabtools.hand import hand_of
from tabtools.source import from_text
from tabtools.timeline import Timeline, timeline_of

SOLOS = 200
RUNS = 3
SHORT_BARS, LONG_BARS = 9, 900
"""About eleven strokes a bar."""
CHECKS = [
    BY_NAME[name]
    for name in (
        "finger-marks",
        "too-many-fingers",
        "reach",
        "shift-time",
        "pick-rate",
        "legato-rate",
        "tremolo-rate",
        "string-crossing",
        "bend-force",
        "bend-room",
        "tap-crossing",
    )
]


def seconds(work: Callable[[], object]) -> float:
    """Processor time of a piece of work, without the search for cycles, as lint runs."""
    gc.collect()
    gc.disable()
    began = time.process_time()
    work()
    taken = time.process_time() - began
    gc.enable()
    return taken


def checked(subjects: list[Subject]) -> None:
    for subject in subjects:
        for check in CHECKS:
            for _ in check.check(subject):
                pass


def per_stroke(timelines: list[Timeline]) -> float:
    """Microseconds a stroke, everything that can be remembered already worked out."""
    strokes = sum(note.part == 1 for timeline in timelines for note in timeline.notes)
    fingered(timelines)
    return min(seconds(lambda: fingered(timelines)) for _ in range(RUNS)) / strokes * 1e6


def fingered(timelines: list[Timeline]) -> None:
    for timeline in timelines:
        hand_of(timeline)


def of_bars(seed: int, bars: int) -> Timeline:
    return timeline_of(subject_of(from_text(solo(seed, bars))).solo)


def main() -> None:
    texts = [text for _, text in solos(SOLOS)]
    timelines = [subject_of(from_text(text)).timeline for text in texts]
    lark = Lark(GRAMMAR, parser="lalr", start="solo", maybe_placeholders=False)
    fingering, checking = [], []
    for _ in range(RUNS):
        bare = seconds(lambda: [lark.parse(text) for text in texts])
        fingered_by.moves_of.cache_clear()
        fingering.append(seconds(lambda: fingered(timelines)) / bare)
        subjects = [subject_of(from_text(text)) for text in texts]
        assert all(subject.timeline.bars for subject in subjects)
        fingered_by.moves_of.cache_clear()
        checking.append(seconds(lambda subjects=subjects: checked(subjects)) / bare)
    print(f"fingering {SOLOS} solos / bare parse: {min(fingering):.2f} ({ratios_text(fingering)})")
    print(f"fingering and all checks of the hands / bare parse: {min(checking):.2f} ({ratios_text(checking)})")
    short = per_stroke([of_bars(seed, SHORT_BARS) for seed in range(LONG_BARS // SHORT_BARS)])
    long = per_stroke([of_bars(0, LONG_BARS)])
    ratio = f"ratio {long / short:.2f}"
    print(f"a stroke in solos of about 100: {short:.1f} µs, in one of about 10,000: {long:.1f} µs, {ratio}")


def ratios_text(ratios: list[float]) -> str:
    return ", ".join(f"{ratio:.2f}" for ratio in sorted(ratios))


if __name__ == "__main__":
    main()
