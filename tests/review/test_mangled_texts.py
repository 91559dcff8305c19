"""Texts mangled line by line: whatever can be read is compared exactly, and no merge loses what a side wrote."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from made_solos import made_solo
from rebuilt import apply
from thoroughness import share

from tabtools.reports.comparison import FileChange, as_text
from tabtools.review.change import read_version
from tabtools.review.compare import compare
from tabtools.review.merging.text import MergeError, merge_texts
from tabtools.source import from_text

TEXTS = [path.read_text(encoding="utf-8") for path in sorted(Path(__file__).parents[2].glob("transcriptions/*.solo"))]
TEXTS += [made_solo(seed) for seed in range(12)]
SEEDS = share(90)


def _deleted(lines: list[str], at: int, rng: random.Random) -> None:
    del lines[at]


def _doubled(lines: list[str], at: int, rng: random.Random) -> None:
    lines.insert(rng.randrange(len(lines)), lines[at])


def _swapped(lines: list[str], at: int, rng: random.Random) -> None:
    other = rng.randrange(len(lines))
    lines[at], lines[other] = lines[other], lines[at]


def _stretch_moved(lines: list[str], at: int, rng: random.Random) -> None:
    stretch = lines[at : at + rng.randint(1, 12)]
    del lines[at : at + len(stretch)]
    place = rng.randrange(len(lines) + 1)
    lines[place:place] = stretch


def _remarked(lines: list[str], at: int, rng: random.Random) -> None:
    lines.insert(at, f"# {rng.choice('abc')}")


def _parted(lines: list[str], at: int, rng: random.Random) -> None:
    lines.insert(at, "")


def _counted_otherwise(lines: list[str], at: int, rng: random.Random) -> None:
    lines[at] = re.sub(r"\d+", lambda match: str(int(match[0]) + rng.choice((-1, 1, 2))), lines[at], count=1)


def _other_frets(lines: list[str], at: int, rng: random.Random) -> None:
    lines[at] = re.sub(r":\d+", lambda _: f":{rng.randint(0, 20)}", lines[at])


def _string_lost(lines: list[str], at: int, rng: random.Random) -> None:
    lines[at] = re.sub(r"\d:", "", lines[at], count=1)


MANGLINGS: tuple[Callable[[list[str], int, random.Random], None], ...] = (
    _deleted, _doubled, _swapped, _stretch_moved, _remarked, _parted, _counted_otherwise, _other_frets, _string_lost,
)  # fmt: skip


def mangled(text: str, rng: random.Random) -> str:
    lines = text.rstrip("\n").split("\n")
    for _ in range(rng.randint(1, 8)):
        rng.choice(MANGLINGS)(lines, rng.randrange(len(lines)), rng)
    return "\n".join(lines) + "\n"


def written(text: str) -> set[str]:
    """What stands on its lines, music and comments apart; numbers of bars, which a merge may change, left out."""
    return {
        part.strip()
        for line in text.split("\n")
        for part in re.sub(r"^(bars?|passage) .*", "", line).partition("#")[::2]
    }


@pytest.mark.parametrize("seed", range(SEEDS))
def test_mangled_texts(seed: int) -> None:
    rng = random.Random(seed)
    base = rng.choice(TEXTS)
    texts = [base, mangled(base, rng), mangled(base, rng)]
    versions = [read_version(from_text(text, "a.solo")) for text in texts]
    for old, new in ((0, 1), (1, 2), (2, 0)):
        comparison = compare(versions[old], versions[new])
        assert apply(comparison.changes, versions[old].solo) == versions[new].solo
        assert comparison.is_empty == (texts[old] == texts[new])
        report = as_text([FileChange("a.solo", "a.solo", comparison=comparison)], lambda text, _: text)
        assert max(map(len, report.split("\n"))) <= 80
    try:
        merged = merge_texts(*(text.encode() for text in texts)).text
    except MergeError as reason:
        assert "cannot be read as music" in str(reason)
        return
    for side in texts[1:]:
        canonical = merge_texts(side.encode(), side.encode(), side.encode()).text
        unchanged = merge_texts(base.encode(), base.encode(), base.encode()).text
        assert written(canonical) - written(unchanged) <= written(merged)
