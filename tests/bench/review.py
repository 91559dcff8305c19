"""What comparing two versions of a solo costs beside the bare Lark parse of both: `python tests/bench/review.py`.

Limit of the design: reading and comparing two versions of a 200-bar solo, told in words, at most 3 times the bare
parse of both. What the lint of both and the hands add is told beside it, without a limit of its own. Merging reads
four texts: the base, both sides, and the outcome. A page that shows one changed note should take as long, and be as
large, in a solo that is eight times as long.
"""

from __future__ import annotations

import random
import re
import time
from collections.abc import Callable
from functools import partial

from lark import Lark
from lint import GRAMMAR, ratios_text
from solos import solo

from tabtools.checks.run import conclude, examine
from tabtools.checks.subject import subject_of
from tabtools.reports.comparison import FileChange, as_text
from tabtools.reports.review import Reviewed
from tabtools.review.change import read_version
from tabtools.review.compare import compare
from tabtools.review.consequences import consequences_of
from tabtools.review.merging.text import merge_texts
from tabtools.source import from_text
from tabtools.website.review_page import review_page

BARS, RUNS = 200, 5


def corrected(text: str, seed: int) -> str:
    """Twenty beats corrected, a bar put in near the front, and every bar after it renumbered."""
    rng = random.Random(seed)
    lines = text.split("\n")
    beats = [at for at, line in enumerate(lines) if re.match(r"\d", line)]
    for at in rng.sample(beats, 20):
        lines[at] = lines[at].replace(":7", ":8").replace(":5", ":6")
    place = lines.index(next(line for line in lines if line.startswith("bar 20 ")))
    lines[place:place] = ["bar 20  Am7", "1-4  3:2 - 3:1 -", ""]
    number = 0
    for at, line in enumerate(lines):
        if line.startswith("bar "):
            number += 1
            lines[at] = re.sub(r"\d+", str(number), line, count=1)
    return "\n".join(lines)


def seconds(work: Callable[[], object]) -> float:
    """Of the processor, so that a busy machine does not count."""
    began = time.process_time()
    work()
    return time.process_time() - began


def compared(before: str, after: str) -> str:
    versions = [read_version(from_text(text, "a.solo")) for text in (before, after)]
    return as_text([FileChange("a.solo", "a.solo", comparison=compare(*versions))], lambda text, _: text)


def with_consequences(before: str, after: str) -> object:
    subjects = [subject_of(from_text(text, "a.solo")) for text in (before, after)]
    found = tuple(conclude([examine(subject, None)]) for subject in subjects)
    return consequences_of(compare(*subjects), found, tuple(subject.hand for subject in subjects))


def pages() -> None:
    """How the page of one changed note grows with the solo."""
    taken = []
    for bars in (BARS, 8 * BARS):
        text = solo(1, bars)
        place = text.index(":7", text.index(f"bar {bars // 2}"))
        subjects = [subject_of(from_text(one, "a.solo")) for one in (text, f"{text[:place]}:8{text[place + 2 :]}")]
        reviewed = Reviewed("", (FileChange("a.solo", "a.solo", comparison=compare(*subjects)),))
        taken.append((min(seconds(partial(review_page, reviewed)) for _ in range(RUNS)), len(review_page(reviewed))))
    (short, small), (long, large) = taken
    print(f"page of one note changed in {8 * BARS} bars / in {BARS}: time {long / short:.2f}, size {large / small:.2f}")


def main() -> None:
    lark = Lark(GRAMMAR, parser="lalr", start="solo", maybe_placeholders=False)
    before = solo(1, BARS)
    after, other = corrected(before, 1), before.replace("4    ", "4    . ", 1)
    work: dict[str, Callable[[], object]] = {
        "comparison, a copy": lambda: compared(before, before),
        "comparison, 20 beats corrected and a bar put in": lambda: compared(before, after),
        "the same with lint before and after, and the hands": lambda: with_consequences(before, after),
        "merge of that with one more correction": lambda: merge_texts(before.encode(), after.encode(), other.encode()),
    }
    for name, one in work.items():
        one()
        ratios = []
        for _ in range(RUNS):
            bare = seconds(lambda: (lark.parse(before), lark.parse(after)))
            ratios.append(seconds(one) / bare)
        print(f"{name} / bare parse of both: {min(ratios):.2f} (of {RUNS} runs: {ratios_text(ratios)})")
    pages()


if __name__ == "__main__":
    main()
