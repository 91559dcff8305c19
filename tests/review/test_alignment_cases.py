"""Which bar of one version is which of another, case by case (cases/alignment.txt)."""

from __future__ import annotations

from pathlib import Path

import pytest
from case_files import Case, cases_in
from made_solos import version

from tabtools.model.solo import Bar, Item, Like, Passage, Section
from tabtools.review.align import align

CASES = cases_in(Path(__file__).parent / "cases" / "alignment.txt", "--")
HEADER = "title: Ferry at Dusk\nmeter: 4/4\n"


@pytest.mark.parametrize("case", CASES, ids=str)
def test_case(case: Case) -> None:
    assert aligned(case) == case.said["--"]


def aligned(case: Case) -> list[str]:
    old, new = (version(f"{HEADER}\n{side}\n").solo for side in case.text.rstrip("\n").split("\n>>>\n"))
    alignment = align(old, new)
    goals = dict(alignment.pairs)
    assert len(goals) == len(set(goals.values())) == len(alignment.pairs), "nothing is two things"
    told = [
        f"{name(item)}: {'moved to ' * (index in alignment.moved)}{name(new.items[goals[index]])}"
        if index in goals
        else f"{name(item)}: gone"
        for index, item in enumerate(old.items)
    ]
    told += [f"{name(item)}: new" for index, item in enumerate(new.items) if index not in goals.values()]
    numbers = alignment.bar_numbers(old, new).items()
    renumbered = ", ".join(f"{before} → {after}" for before, after in numbers if before != after)
    return [*told, f"numbers: {renumbered}"] if renumbered else told


def name(item: Item) -> str:
    match item:
        case Bar():
            return f"bar {item.number}"
        case Like():
            return f"bars {item.first}-{item.last}"
        case Section():
            return f"section {item.label} {item.name or ''}".strip()
        case Passage():
            return f"passage {item.range} {item.name or ''}".strip()
