"""Figures that solos share, against every pair of stretches compared plainly."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_music import line, places_of, texts
from searching import searched
from thoroughness import share

from tabtools.search.collection import Excerpts, Searched
from tabtools.search.columns import NOTHING, cell_number, value_of
from tabtools.search.shared import FEWEST_NOTES, SharedFigure, is_trivial, shared_figures
from tabtools.search.strokes import PHRASE

FIGURE = (57, 60, 64, 62, 67, 65, 64)


def tab(*midi: int, string: int = 0) -> tuple[str, ...]:
    """Pitches as places in low positions, or all on one string."""
    opens = {1: 64, 2: 59, 3: 55, 4: 50, 5: 45, 6: 40}
    if string:
        return tuple(f"{string}:{pitch - opens[string]}" for pitch in midi)
    return tuple(next(f"{at}:{pitch - low}" for at, low in opens.items() if pitch >= low) for pitch in midi)


def told(figures: list[SharedFigure]) -> list[list[str]]:
    return [
        [f"{place.solo.slug} {Excerpts(place.solo.strokes).range(place.stretch)}" for place in figure.places]
        for figure in figures
    ]


# ---- case by case


def test_a_figure_in_another_key_register_and_string() -> None:
    one = searched(line(*tab(*FIGURE)), "one")
    two = searched(line(*tab(40, 52), *tab(*(pitch + 7 for pitch in FIGURE), string=3)), "two")
    assert told(shared_figures([one, two])) == [["one 1.1.1-1.4.1", "two 1.2.1-2.1.1"]]


def test_five_notes_are_too_few() -> None:
    one, two = (searched(line(*tab(*FIGURE[:5])), name) for name in ("one", "two"))
    assert shared_figures([one, two]) == []
    assert len(shared_figures([one, two], fewest=5)) == 1


def test_one_solo_alone_shares_nothing() -> None:
    assert shared_figures([searched(line(*tab(*FIGURE, *FIGURE)))]) == []


def test_a_figure_is_as_long_as_all_of_its_places_allow() -> None:
    one = searched(line(*tab(*FIGURE)), "one")
    two = searched(line(*tab(*FIGURE)), "two")
    three = searched(line(*tab(*FIGURE[:-1], 40)), "three")
    assert told(shared_figures([one, two, three])) == [
        ["one 1.1.1-1.4.1", "two 1.1.1-1.4.1"],
        ["one 1.1.1-1.3.2", "two 1.1.1-1.3.2", "three 1.1.1-1.3.2"],
    ]


def test_a_long_figure_is_told_whole() -> None:
    midi = [Random(step).randrange(45, 75) for step in range(400)]
    one, two = (searched(line(*tab(*midi)), name) for name in ("one", "two"))
    assert shared_figures([one, two])[0].notes == 400
    other = searched(line(*tab(*midi[:90], 40)), "other")
    lengths = {figure.notes: len(figure.places) for figure in shared_figures([one, two, other])}
    assert (lengths[400], lengths[90]) == (2, 3)


def test_a_dead_note_and_the_end_of_a_phrase_cut_a_figure() -> None:
    whole = searched(line(*tab(*FIGURE)), "whole")
    dead = searched(line(*tab(*FIGURE[:4]), "3:x", *tab(*FIGURE[4:])), "dead")
    rest = searched(line(*tab(*FIGURE[:4]), ".", ".", ".", ".", *tab(*FIGURE[4:])), "rest")
    assert shared_figures([whole, dead]) == []
    assert shared_figures([whole, rest]) == []


def test_the_rhythm_counts_where_it_is_asked_for() -> None:
    even = searched(line(*tab(*FIGURE)), "even")
    twice_as_slow = searched(line(*(text for place in tab(*FIGURE) for text in (place, "-"))), "slow")
    long_first = searched(line(tab(*FIGURE)[0], "-", *tab(*FIGURE)[1:]), "long-first")
    assert len(shared_figures([even, twice_as_slow], with_rhythm=True)) == 1
    assert told(shared_figures([even, long_first], with_rhythm=True)) == [
        ["even 1.1.2-1.4.1", "long-first 1.2.1-1.4.2"]
    ]
    assert told(shared_figures([even, long_first])) == [["even 1.1.1-1.4.1", "long-first 1.1.1-1.4.2"]]


def test_of_places_that_overlap_in_one_solo_the_first_counts() -> None:
    once = (57, 64, 60)
    one = searched(line(*tab(*once * 2)), "one")
    two = searched(line(*tab(*once * 4)), "two")
    figures = shared_figures([one, two])
    assert told(figures)[0] == ["one 1.1.1-1.3.2", "two 1.1.1-1.3.2", "two 1.4.1-2.2.2"]


@pytest.mark.parametrize(
    ("midi", "is_told"),
    [
        ((60, 60, 60, 60, 60, 60), False),
        ((60, 62, 60, 62, 60, 62), False),
        ((60, 61, 62, 63, 64, 65), False),
        ((60, 62, 64, 66, 68, 70), False),
        ((60, 63, 66, 69, 72, 75), False),
        ((60, 64, 68, 72, 76, 80), False),
        ((72, 71, 69, 67, 65, 64), False),
        ((57, 60, 62, 64, 67, 69), False),
        ((57, 57, 60, 60, 62, 62), False),
        ((57, 60, 62, 60, 62, 64), True),
        ((60, 64, 67, 71, 74, 77), True),
        ((60, 60, 60, 60, 62, 64), False),
        ((60, 62, 64, 65, 67, 65), True),
    ],
)
def test_what_is_too_trivial_to_be_told(midi: tuple[int, ...], is_told: bool) -> None:
    assert is_trivial([2 * (after - before) for before, after in pairwise(midi)]) is not is_told
    one, two = (searched(line(*tab(*midi)), name) for name in ("one", "two"))
    assert bool(shared_figures([one, two])) is is_told


# ---- against plain comparison


Found = tuple[str, int, str, int, int]
"""One place and another, and for how many notes they agree."""


def plain_pairs(solos: list[Searched], with_rhythm: bool) -> set[Found]:
    """Every pair of places of two solos that agree for six notes or more, each as long as it can be."""
    found = set()
    for number, one in enumerate(solos):
        for two in solos[number + 1 :]:
            for first in range(len(one.strokes)):
                for second in range(len(two.strokes)):
                    length = agreement(one, first, two, second, with_rhythm)
                    is_start = (
                        first == 0 or second == 0 or agreement(one, first - 1, two, second - 1, with_rhythm) <= length
                    )
                    if length >= FEWEST_NOTES and is_start:
                        found.add((one.slug, first, two.slug, second, length))
    return found


def agreement(one: Searched, first: int, two: Searched, second: int, with_rhythm: bool) -> int:
    """How many notes from here on are the same figure."""
    notes = 1
    while True:
        steps = [step_to(one, first + notes), step_to(two, second + notes)]
        if steps[0] is None or steps[0] != steps[1]:
            return notes
        if with_rhythm and notes > 1 and turn_at(one, first + notes - 1) != turn_at(two, second + notes - 1):
            return notes
        notes += 1


def step_to(solo: Searched, at: int) -> int | None:
    strokes = solo.strokes
    if at >= len(strokes) or strokes.steps[at] == NOTHING or strokes.phrases[at] == PHRASE:
        return None
    return cell_number(strokes.steps[at])


def turn_at(solo: Searched, at: int) -> str | None:
    return value_of(solo.strokes.time_table, solo.strokes.proportions[at])


_scraps = st.lists(st.sampled_from((50, 52, 55)), min_size=1, max_size=4)
_pieces = st.lists(st.one_of(st.sampled_from((FIGURE, FIGURE[:6], FIGURE[1:])), _scraps), min_size=2, max_size=4)


@st.composite
def collections(draw: st.DrawFn) -> list[Searched]:
    """Solos made of a few common pieces, so that they share figures."""
    solos = []
    for slug in ("one", "two", "three"):
        midi = [pitch for piece in draw(_pieces) for pitch in piece]
        slots = [
            text for pitch in midi for text in (draw(places_of(pitch)), *draw(st.sampled_from(((), (), (), ("-",)))))
        ]
        solos.append(searched(line(*slots), slug))
    return solos


@settings(max_examples=share(40))
@given(collections(), st.booleans())
def test_every_pair_of_places_is_told_and_nothing_else(solos: list[Searched], with_rhythm: bool) -> None:
    figures = shared_figures(solos, with_rhythm)
    for figure in figures:
        first, *others = figure.places
        assert len({place.solo.slug for place in figure.places}) > 1
        assert not is_trivial(figure.steps)
        for place in others:
            assert (
                agreement(first.solo, first.stretch.first, place.solo, place.stretch.first, with_rhythm) >= figure.notes
            )
            assert place.stretch.last - place.stretch.first + 1 == figure.notes
    for one, first, two, second, length in plain_pairs(solos, with_rhythm):
        by_slug = {solo.slug: solo for solo in solos}
        steps = tuple(step_to(by_slug[one], at) for at in range(first + 1, first + length))
        if not is_trivial(steps):
            places = [
                {(place.solo.slug, place.stretch.first) for place in figure.places}
                for figure in figures
                if figure.steps == steps
            ]
            assert any(is_there(one, first, group, length) and is_there(two, second, group, length) for group in places)


def is_there(slug: str, at: int, places: set[tuple[str, int]], length: int) -> bool:
    """Whether the place is told, or one in the same solo that overlaps it and comes before."""
    return any(name == slug and first <= at < first + length for name, first in places)


@settings(max_examples=share(20))
@given(texts, texts)
def test_a_solo_shares_with_its_copy_what_is_worth_telling(text: str, other: str) -> None:
    one, copy, third = searched(text, "one"), searched(text, "copy"), searched(other, "third")
    figures = shared_figures([one, copy, third])
    for figure in figures:
        slugs = {place.solo.slug for place in figure.places}
        assert slugs & {"one", "copy"} in (set(), {"one", "copy"})
