"""Places are written where the notes stand, and nothing else of the text changes."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest
from case_files import Case, cases_in
from hypothesis import example, given, settings
from hypothesis import strategies as st
from thoroughness import share
from thrown_solos import any_solo
from unplaced import DEMO, demo_solo, without_places

from tabtools.notation.build import read_solo
from tabtools.notation.write import canonical
from tabtools.placing.placed import Placement, place
from tabtools.placing.proposal import refusals, why_unplaced
from tabtools.placing.text import written
from tabtools.placing.wish import NO_WISH, Wish
from tabtools.source import SourceText, from_text
from tabtools.timeline import timeline_of

CASES = cases_in(Path(__file__).parent / "cases.txt", "..", "--")
HEAD = "title: A\nplayer: B\nrecording: C\nrights: CC0-1.0\nmeter: 4/4\n"


WISHES: dict[str, Callable[[str], Wish]] = {
    "position": lambda said: Wish(position=int(said)),
    "strings": lambda said: Wish(strings=range(int(said[0]), int(said[2]) + 1)),
    "open": lambda _: Wish(open_strings=True),
}
_WISH = re.compile(r"\((\w+) ?([\d-]*)\)$")


def placed(source: SourceText, wish: Wish = NO_WISH) -> tuple[str, Placement]:
    placement = place(timeline_of(read_solo(source).solo), wish)
    return written(source, placement.placed), placement


def wish_of(name: str) -> Wish:
    """What is asked for in brackets behind the name of a case: `(position 7)`, `(strings 2-4)`, `(open)`."""
    asked = _WISH.search(name)
    return WISHES[asked[1]](asked[2]) if asked else NO_WISH


@pytest.mark.parametrize("case", CASES, ids=str)
def test_case(case: Case) -> None:
    """`..` has each line of the text that changes, as it is then; `--` each note without a place, and why."""
    header, _, bars = case.text.rpartition("\n\n")
    text = f"{HEAD}{header}\n\n{bars}"
    source = from_text(text)
    assert not read_solo(source).problems
    new, placement = placed(source, wish_of(case.name))
    changed = [now for was, now in zip(text.splitlines(), new.splitlines(), strict=True) if was != now]
    assert changed == case.said[".."]
    header = placement.timeline.solo.header
    reasons = [f"{timed.address} {why_unplaced(timed, header)}" for timed in placement.unplaced]
    assert reasons == case.said["--"]


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_what_is_placed_is_written_as_it_was_laid_out(path: Path) -> None:
    bare, _ = without_places(demo_solo(path))
    text = canonical(bare).replace("1    ", "1  ")
    new, placement = placed(from_text(text))
    assert (
        canonical(read_solo(from_text(new)).solo) == canonical(read_solo(from_text(text)).solo).replace("", "")
        or placement.placed
    )
    assert [line for line in new.splitlines() if not line[:1].isdigit()] == [
        line for line in text.splitlines() if not line[:1].isdigit()
    ]


@settings(max_examples=share(200), deadline=None)
@given(st.integers(0, 2**40))
def test_any_solo_can_be_written_with_its_places(seed: int) -> None:
    source = from_text(any_solo(Random(seed)))
    solo = read_solo(source).solo
    text = canonical(without_places(solo)[0])
    new, _ = placed(from_text(text))
    assert placed(from_text(new))[0] == new


@settings(max_examples=share(80), deadline=None)
@given(st.integers(0, 2**40), st.integers(1, 15), st.integers(1, 5))
@example(3780, 1, 1)
@example(3, 1, 1)
def test_any_solo_can_be_placed_anew(seed: int, position: int, string: int) -> None:
    source = from_text(any_solo(Random(seed)))
    timeline = timeline_of(read_solo(source).solo)
    wish = Wish(position, range(string, string + 2))
    placement = place(timeline, wish, moved=range(len(timeline.notes)))
    written(source, placement.placed)
    for note in placement.placed.values():
        readings = [*note.other_places, *([] if note.string is None else [(note.string, note.fret)])]
        assert len(readings) == len(set(readings))
    staying = {one.timed.index for one in refusals(placement, wish)}
    assert staying.isdisjoint(placement.indices)
