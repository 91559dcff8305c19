"""Solos for the tests of the exports, as timelines."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from exchange_music import made_solo
from thoroughness import share

from tabtools.notation.build import read_solo
from tabtools.source import from_text, read_source
from tabtools.timeline import Timeline, timeline_of

ROOT = Path(__file__).parents[1]
DEMO = sorted(path.stem for path in (ROOT / "transcriptions").glob("*.solo"))
MADE = range(share(100))


@cache
def demo(name: str) -> Timeline:
    """A solo of the demo repository."""
    return timeline_of(read_solo(read_source(ROOT / "transcriptions" / f"{name}.solo")).solo)


@cache
def made(seed: int) -> Timeline:
    """A generated solo, every line of which can be read."""
    return timeline(made_solo(seed))


@cache
def made_open(seed: int) -> Timeline:
    """A generated solo in which much is not known yet."""
    return timeline(made_solo(seed, is_open=True))


def timeline(text: str) -> Timeline:
    reading = read_solo(from_text(text, "case.solo"))
    assert reading.unreadable == (), text
    return timeline_of(reading.solo)


def bar(lines: str, **fields: str) -> Timeline:
    """One bar and the header it stands under."""
    header = "".join(f"{name}: {value}\n" for name, value in {"meter": "4/4", **fields}.items())
    return timeline(f"{header}\nbar 1\n{lines}\n")
