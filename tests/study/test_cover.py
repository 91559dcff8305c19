"""The cheapest cover of a phrase: as cheap as any, by trying all of them; and what that chooses."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_studies import Made, solos, usual, written
from study_cases import solo_text, timeline_of_text
from thoroughness import share

from tabtools.model.solo import Address, AddressRange
from tabtools.study import Device, study_of
from tabtools.study.devices import EXPLANATIONS
from tabtools.study.explaining.cover import cheapest
from tabtools.study.explaining.explained import explained
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import music_of

NOWHERE = AddressRange(Address(1), Address(1))
MOST_STROKES = 8


def proposal(first: int, last: int, bits: float, hinge: float = 0.0) -> Proposal:
    return Proposal("made up", first, last, bits, hinge, lambda: Device("made up", NOWHERE, (first,), ""))


def bits_of(left_out: Sequence[float], chosen: Sequence[Proposal]) -> float | None:
    """What a choice costs, reckoned from what a cover is; None where it is none."""
    for before, after in pairwise(chosen):
        if after.first < before.last or (after.first == before.last and after == before):
            return None
    told = {place for one in chosen for place in range(one.first, one.last + 1)}
    hinges = sum(after.hinge for before, after in pairwise(chosen) if after.first == before.last)
    return sum(bits for place, bits in enumerate(left_out) if place not in told) + sum(o.bits for o in chosen) - hinges


def by_trying_all(left_out: Sequence[float], proposals: Sequence[Proposal]) -> float:
    ordered = sorted(proposals, key=lambda one: (one.first, one.last))
    tried = (bits_of(left_out, chosen) for count in range(len(ordered) + 1) for chosen in combinations(ordered, count))
    return min(bits for bits in tried if bits is not None)


@st.composite
def phrases(draw: st.DrawFn) -> tuple[list[float], list[Proposal]]:
    count = draw(st.integers(1, MOST_STROKES))
    left_out = draw(st.lists(st.sampled_from((4.0, 6.0, 8.0)), min_size=count, max_size=count))
    proposals = []
    for _ in range(draw(st.integers(0, 7))):
        first = draw(st.integers(0, count - 1))
        last = draw(st.integers(first + 1, count)) - 1
        bits = draw(st.integers(0, 40)) / 2
        proposals.append(proposal(first, last, bits, draw(st.sampled_from((0.0, 0.5, 1.5))) if last > first else 0.0))
    return left_out, proposals


@settings(max_examples=share(400))
@given(phrases())
def test_no_cover_is_cheaper(phrase: tuple[list[float], list[Proposal]]) -> None:
    left_out, proposals = phrase
    found = cheapest(0, left_out, proposals)
    assert found.bits == bits_of(left_out, found.proposals) == by_trying_all(left_out, proposals)


def test_a_hinge_is_shared_and_no_more() -> None:
    whole = [proposal(0, 3, 6.0), proposal(3, 6, 6.0, 1.5), proposal(2, 6, 5.0)]
    assert cheapest(0, [4.0] * 7, whole).proposals == (whole[0], whole[1])


def test_nothing_proposed_is_nothing_chosen() -> None:
    assert cheapest(5, [4.0, 6.0], []) == ((), 10.0)


@settings(max_examples=share(40))
@given(solos())
def test_each_note_has_one_main_explanation(made: Made) -> None:
    """But for the note with which one ends and the next begins."""
    study = study_of(written(made, usual))
    main = [device for device in study.devices if device.main]
    for before, after in combinations(main, 2):
        shared = set(before.notes) & set(after.notes)
        strokes = {study.melody.stroke_of[note] for note in shared}
        assert len(strokes) <= 1, (before, after)


@settings(max_examples=share(40))
@given(solos())
def test_what_is_told_saves_something(made: Made) -> None:
    music = music_of(written(made, usual))
    chosen = explained(music, [one for module in EXPLANATIONS for one in module.find(music)])
    assert all(saved >= 3 for saved in chosen.saved)
    assert all(bits >= 0 for bits in chosen.bits)


@settings(max_examples=share(40))
@given(solos())
def test_ranks_are_places_in_one_row(made: Made) -> None:
    devices = study_of(written(made, usual)).devices
    assert sorted(device.rank for device in devices) == list(range(1, len(devices) + 1))


CHOICES = {
    "a run, not the arpeggio within it": (
        "key: A minor",
        ["bar 1  Am7", "1  C5 A4", "2  G4 E4", "3  D4 C4", "4  A3 -"],
        ["1.1-1.4 scale run"],
    ),
    "an arpeggio, then a run from its last note": (
        "key: C major",
        ["bar 1  Dm7", "1  F4 A4", "2  C5 E5", "3  D5 C5", "4  B4 A4"],
        ["1.1-1.2 arpeggio", "1.2.2-1.4.2 scale run"],
    ),
    "a cell explains its repetitions whole": (
        "key: E minor",
        ["bar 1  Em", "1  B4 G4 E4 G4", "2  B4 A4 B4 G4", "3  E4 G4 B4 A4", "4  B4 - . ."],
        ["1.1-1.3 repeated cell"],
    ),
    "a sequence, not the cells across its figures": (
        "key: C major",
        ["bar 1  C", "1  C4 D4 E4 F4", "2  D4 E4 F4 G4", "3  E4 F4 G4 A4", "4  F4 G4 A4 B4"],
        ["1.1-1.4 sequence"],
    ),
}


@pytest.mark.parametrize("name", CHOICES)
def test_choice(name: str) -> None:
    key, bars, expected = CHOICES[name]
    devices = study_of(timeline_of_text(solo_text([key], bars))).devices
    assert [f"{one.range} {one.kind}" for one in devices if one.main] == expected
