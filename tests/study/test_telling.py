"""Which devices are told at once, by one solo and by a collection."""

from __future__ import annotations

from typing import Any

import pytest
from study_cases import solo_text, timeline_of_text

from tabtools.model.solo import Address, AddressRange
from tabtools.study import study_of
from tabtools.study.devices.device import Device
from tabtools.study.telling import MOST_BITS, rarities, sort_of, told_first

HERE = AddressRange(Address(1, 1), Address(1, 1))


@pytest.mark.parametrize(
    ("kind", "data", "sort"),
    [
        ("scale run", {"scale": "A minor pentatonic"}, "scale run minor pentatonic"),
        ("scale run", {"scale": None}, "scale run"),
        ("sequence", {"scale": "F# dorian"}, "sequence dorian"),
        ("arpeggio", {"chord": "Bbm7"}, "arpeggio m7"),
        ("arpeggio", {"chord": "C"}, "arpeggio "),
        ("repeated cell", {"size": 3}, "repeated cell"),
    ],
)
def test_the_sort_is_the_kind_with_the_type_of_its_scale_or_chord(kind: str, data: dict[str, Any], sort: str) -> None:
    assert sort_of(Device(kind, HERE, (0,), "", data)) == sort


def test_a_sort_is_worth_more_the_fewer_solos_have_it() -> None:
    solos = [{"run", "cell"}, {"run"}, {"run"}, {"run", "pedal"}, *[{"run"}] * 4]
    assert rarities(solos) == {"run": 0, "cell": 3, "pedal": 3}
    assert rarities([*[["run"]] * 99, ["cell"]])["cell"] == MOST_BITS
    assert rarities([]) == {}


def test_one_solo_more_hardly_moves_anything() -> None:
    before = rarities([["run"]] * 8 + [["cell"]])
    assert rarities([["run"]] * 9 + [["cell"]]) == before


def test_what_is_rare_comes_before_what_is_worth_a_little_more() -> None:
    devices = [("run", 9.0, 1), ("run", 8.0, 2), ("cell", 7.0, 3), ("pedal", 7.0, 4)]
    assert told_first(devices, 2, {}) == {1, 2}
    assert told_first(devices, 2, {"cell": 3}) == {3, 1}
    assert told_first(devices, 2, {"cell": 1, "pedal": 1, "run": 1}) == {1, 2}
    assert told_first(devices, 3, {"pedal": 1}) == {1, 2, 4}
    assert told_first(devices[:1], 6, {}) == {1}


RUN = ["1  C4 D4 E4 F4", "2  G4 F4 A4 G4", "3  C5 - B4 -", "4  ."]


@pytest.mark.parametrize(("again", "is_last"), [(RUN, True), ([RUN[0], "2  G4 A4 B4 C5", *RUN[2:]], False)])
def test_what_a_return_says_is_told_last(again: list[str], is_last: bool) -> None:
    bars = ["bar 1  C", *RUN, "bar 2  C", *again, "bar 3  C", "1-2  C4 E4 G4 -", "3-4  ."]
    devices = study_of(timeline_of_text(solo_text(["key: C major"], bars))).devices
    later = [device for device in devices if device.main and device.range.first.bar == 2]
    assert later
    assert all((device.rank > len(devices) - len(later)) is is_last for device in later)
