"""Which devices are told at once, by one solo and by a collection."""

from __future__ import annotations

from typing import Any

import pytest
from study_cases import solo_text, timeline_of_text

from tabtools.model.solo import Address, AddressRange
from tabtools.study import study_of
from tabtools.study.devices.device import Device
from tabtools.study.telling import ENOUGH, FEWEST, MOST_BITS, rarities, sort_of, statements, told_at_once, told_first

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
    devices = [("run", 19.0, 1), ("run", 18.0, 2), ("cell", 17.0, 3), ("pedal", 17.0, 4)]
    assert told_first(devices, 2) == {1, 2}
    assert told_first(devices, 2, {"cell": 3}) == {3, 1}
    assert told_first(devices, 2, {"cell": 1, "pedal": 1, "run": 1}) == {1, 2}
    assert told_first(devices, 3, {"pedal": 1}) == {1, 2, 4}
    assert told_first(devices[:1], 6) == {1}


def test_what_is_worth_little_is_folded_however_much_room_there_is() -> None:
    small = [("cell", ENOUGH - 1, rank) for rank in range(1, 9)]
    assert told_first(small, 8) == set(range(1, FEWEST + 1))
    assert told_first(small, 8, {"cell": 1}) == set(range(1, 9))
    assert told_first([("cell", 0.0, 1)], 8) == set()


def device(kind: str, sentence: str, note: int, rank: int) -> Device:
    return Device(kind, HERE, (note,), sentence, rank=rank)


def test_what_is_said_in_the_same_words_is_one_statement() -> None:
    first, other, again = device("run", "up", 0, 1), device("run", "down", 1, 2), device("run", "up", 2, 3)
    said = statements([(first, 20.0), (other, 14.0), (again, 0.0)])
    assert [(one.devices, one.worth) for one in said] == [((first, again), 20.0), ((other,), 14.0)]
    assert told_at_once(said, 16) == {1, 2}


SPREAD = ["1  A3 C4 E4 G4", "2  A4 - - -", "3-4  ."]


def test_the_second_time_is_worth_nothing_by_itself() -> None:
    bars = [
        "bar 1  Am7",
        *SPREAD,
        "bar 2  C",
        "1  C5 - - -",
        "2-4  .",
        "bar 3  Am7",
        "1  .",
        "2  A3 C4 E4 G4",
        "3  A4 -",
        "4  .",
    ]
    weighed = study_of(timeline_of_text(solo_text(["key: A minor"], bars))).weighed
    worth = [bits for one, bits in weighed if one.kind == "arpeggio"]
    assert len(worth) == 2
    assert worth[0] > worth[1] == 0


def test_a_chord_over_another_one_is_worth_more() -> None:
    def worth(chord: str) -> float:
        bars = [f"bar 1  {chord}", *SPREAD]
        return next(bits for _, bits in study_of(timeline_of_text(solo_text(["key: C major"], bars))).weighed)

    assert worth("Fmaj7") > worth("Am7")


RUN = ["1  C4 D4 E4 F4", "2  G4 F4 A4 G4", "3  C5 - B4 -", "4  ."]


@pytest.mark.parametrize(("again", "is_last"), [(RUN, True), ([RUN[0], "2  G4 A4 B4 C5", *RUN[2:]], False)])
def test_what_a_return_says_is_told_last(again: list[str], is_last: bool) -> None:
    bars = ["bar 1  C", *RUN, "bar 2  C", *again, "bar 3  C", "1-2  C4 E4 G4 -", "3-4  ."]
    devices = study_of(timeline_of_text(solo_text(["key: C major"], bars))).devices
    later = [device for device in devices if device.main and device.range.first.bar == 2]
    assert later
    assert all((device.rank > len(devices) - len(later)) is is_last is device.implied for device in later)


TAPPED = "t1:19 p15 p12 t19 p15 p12"
FOLLOWS = {
    "arpeggio": (
        ["bar 1  Dm7", "1  D4 F4", "2  A4 -", "3-4  ."],
        ["bar 1  Dm", "1  D4 F4", "2  A4 -", "3-4  ."],
    ),
    "position shift": (
        ["bar 1", "1  3:5 3:7", "2  2:5 2:8", "3-4  .", "bar 2", "1  2:15 2:17", "2  1:15 1:17", "3-4  ."],
        ["bar 1", "1  3:5 3:7", "2  2:5 2:8", "3  2:15 2:17", "4  1:15 1:17"],
    ),
    "tapped figure": (
        ["bar 1  Em", f"1-2  {TAPPED}", "3-4  .", "bar 2  C", "1-2  t1:20 p15 p12 t20 p15 p12", "3-4  ."],
        ["bar 1  Em", f"1-2  {TAPPED}", "3-4  .", "bar 2  C", "1-2  t1:20 p12 h15 t20 p12 h15", "3-4  ."],
    ),
    "approach": (
        ["bar 1  Gm7", "1  Bb4 -", "2  A4 F#4", "3  G4 -", "4  -"],
        [],
    ),
}


@pytest.mark.parametrize("kind", FOLLOWS)
def test_what_follows_from_something_else_is_no_statement(kind: str) -> None:
    for bars, follows in zip(FOLLOWS[kind], (True, False), strict=True):
        if bars:
            study = study_of(timeline_of_text(solo_text(["key: C major"], bars)))
            last = [device for device in study.devices if device.kind == kind][-1]
            assert last.implied is follows, bars
            assert follows is all(last not in one.devices for one in statements(study.weighed))
