"""What annotating costs beside the bare Lark parse of the same text: `python tests/bench/study.py`.

Limit of the design: labels, roles, devices and statistics of 200 solos of 32 bars, from their timelines, at most twice
the bare parse.
"""

from __future__ import annotations

import time

from lint import bare_parse, ratios_text
from solos import solos

from tabtools.notation.build import read_solo
from tabtools.source import SourceText
from tabtools.study import study_of
from tabtools.timeline import Timeline, timeline_of

RUNS = 5
PARTS = ("labels", "melody", "phrases", "roles", "devices", "statistics")


def seconds(timelines: list[Timeline]) -> dict[str, float]:
    """Seconds of each part of the annotation of these solos; a part counts what no earlier one has worked out."""
    studies = [study_of(timeline) for timeline in timelines]
    taken = {}
    for part in PARTS:
        began = time.perf_counter()
        for study in studies:
            getattr(study, part)
        taken[part] = time.perf_counter() - began
    return taken


def main() -> None:
    texts = [text for _, text in solos(200)]
    timelines = [timeline_of(read_solo(SourceText("generated", text)).solo) for text in texts]
    runs, bare = [], []
    for _ in range(RUNS):
        bare.append(bare_parse(texts))
        runs.append(seconds(timelines))
    best = min(runs, key=lambda taken: sum(taken.values()))
    ratios = [sum(taken.values()) / parse for taken, parse in zip(runs, bare, strict=True)]
    total = sum(best.values()) / min(bare)
    print(f"annotation of 200 solos / bare parse: {total:.2f} (best of {RUNS} runs each; by run {ratios_text(ratios)})")
    for part, taken in best.items():
        print(f"  {part}: {taken / min(bare):.2f}")


if __name__ == "__main__":
    main()
