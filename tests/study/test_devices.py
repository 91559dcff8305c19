"""Devices, against phrases decided by hand from common practice (cases/devices, a file a kind)."""

from __future__ import annotations

import re
from pathlib import Path
from types import ModuleType

import pytest
from study_cases import CASES as FOLDER
from study_cases import Case, agreement, cases_in, timeline_of_text

from tabtools.study import study_of
from tabtools.study.devices import ALL_DEVICES
from tabtools.study.devices.run import KINDS
from tabtools.timeline.places import notes_at

CASES = cases_in("devices", "||")


def answer(case: Case) -> tuple[str, ...]:
    kind = case.name.partition(":")[0].replace("_", " ")
    return tuple(
        f"{device.range} {device.sentence}" for device in study_of(case.timeline).devices if device.kind == kind
    )


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_case(case: Case) -> None:
    assert answer(case) == (case.expected if case.differs is None else case.differs)


def test_every_difference_has_a_reason() -> None:
    print(agreement("devices", CASES))
    for case in CASES:
        assert case.differs is None or (case.reason and case.differs != case.expected), case.name


def test_every_kind_has_its_module_and_its_cases() -> None:
    folder = Path(ALL_DEVICES[0].__file__).parent
    assert [kind.replace(" ", "_") for kind in KINDS] == [module.__name__.rpartition(".")[2] for module in ALL_DEVICES]
    assert {path.stem for path in (FOLDER / "devices").glob("*.txt")} == {kind.replace(" ", "_") for kind in KINDS}
    finders = {path.stem for path in folder.glob("*.py") if "\nKIND = " in path.read_text(encoding="utf-8")}
    assert finders == {kind.replace(" ", "_") for kind in KINDS}


@pytest.mark.parametrize("module", ALL_DEVICES, ids=lambda module: module.KIND)
def test_the_example_of_each_rule_is_among_the_cases(module: ModuleType) -> None:
    example = " ".join(module.__doc__.partition("Example:")[2].split())
    (said,) = re.findall(r'"([^"]+)"', example)
    sentences = [answer.split(" ", 1)[1] for case in CASES for answer in case.expected]
    assert any(sentence.startswith(said) for sentence in sentences), said


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_range_names_the_notes_of_its_device(case: Case) -> None:
    timeline = case.timeline
    for device in study_of(timeline).devices:
        there = [note for note in notes_at(timeline, device.range) if note.midi is not None]
        own = [timeline.notes[index] for index in device.notes if timeline.notes[index].midi is not None]
        if "voice" in device.data:
            assert (own[0].address, own[-1].address) == (there[0].address, there[-1].address)
            assert set(own) <= set(there)
        else:
            assert there == own


def test_devices_come_in_the_order_of_their_first_notes() -> None:
    timeline = timeline_of_text("meter: 4/4\n\nbar 1  Am\n1  1:5 1:8 1:5 1:8\n2  1:5 1:8 3:5 -\n3  2:12 2:15 1:12 -\n")
    devices = study_of(timeline).devices
    assert [device.notes[0] for device in devices] == sorted(device.notes[0] for device in devices)
    assert {device.kind for device in devices} >= {"repeated cell", "position shift"}
