"""Bars put in, taken out and moved: what becomes of the solo, by case files."""

from __future__ import annotations

from pathlib import Path

import pytest
from case_files import Case, cases_in

from tabtools.model.solo import Solo
from tabtools.notation.build import read_solo
from tabtools.notation.write import canonical
from tabtools.renumbering.plan import Beside, Plan, PlanError, move, put_in, take_out
from tabtools.renumbering.rearranged import Rearranged, bars_of, rearranged
from tabtools.reports.renumbering import left_in_solo
from tabtools.source import from_text

CASES = cases_in(Path(__file__).parent / "cases", "do", "now", "left", "no")


def planned(solo: Solo, done: str) -> Plan:
    """The plan for `insert before 2 COUNT`, `remove 2-3`, `move 2-3 after 5`."""
    verb, *words = done.split()
    bars = bars_of(solo)
    if verb == "insert":
        side, bar, *count = words
        return put_in(bars, int(count[0]) if count else 1, beside(side, bar))
    first, _, last = words[0].partition("-")
    taken = range(int(first), int(last or first) + 1)
    return take_out(bars, taken) if verb == "remove" else move(bars, taken, beside(*words[1:]))


def beside(side: str, bar: str) -> Beside:
    return Beside("before" if side == "before" else "after", int(bar))


def done_to(text: str, done: str) -> tuple[Plan, Rearranged]:
    solo = read_solo(from_text(text)).solo
    plan = planned(solo, done)
    return plan, rearranged(solo, plan)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_what_becomes_of_a_solo(case: Case) -> None:
    (done,) = case.said["do"]
    if case.said["no"]:
        with pytest.raises(PlanError) as refused:
            done_to(case.text, done)
        assert [str(refused.value)] == case.said["no"]
        return
    plan, found = done_to(case.text, done)
    assert canonical(found.solo).splitlines() == case.said["now"]
    assert [line.removeprefix("x: ") for line in left_in_solo("x", plan, found)] == case.said["left"]
