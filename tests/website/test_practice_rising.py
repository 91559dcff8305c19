"""A tempo that rises from turn to turn, and a drone under the chords."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from heard import RATE
from playwright.sync_api import Browser
from practised import Desk

pytestmark = pytest.mark.browser

SOLO = "title: A\nrights: CC0-1.0\nmeter: 4/4\ntempo: 120\n" + "".join(
    f"\nbar {number}  {chord}\n1-4  3:5 3:7\n" for number, chord in enumerate(("Am", "Am", "Dm", "Dm"), 1)
)


@pytest.fixture
def desk(browser: Browser, tmp_path: Path) -> Iterator[Desk]:
    with Desk(browser, tmp_path, SOLO) as desk:
        yield desk


def test_the_tempo_rises_from_turn_to_turn_up_to_its_goal(desk: Desk) -> None:
    desk.open_settings()
    desk.page.evaluate("tabtools.practice.setRate(1.25); tabtools.practice.setStretch({ from: 0, to: 400 }, true)")
    desk.page.wait_for_function("tabtools.practice.player.rate === 1.25")
    for name, value in (("by", "12"), ("every", "2"), ("goal", "168")):
        desk.page.fill(desk.field(name), value)
    desk.page.check(desk.field("rises"))
    desk.play()
    desk.page.wait_for_function("tabtools.practice.player.turns >= 6")
    assert desk.player("rate") == pytest.approx(1.4)
    assert desk.page.input_value(desk.field("pace")) == "168"


FROM_A, FROM_D = 110.0, 146.832
"""Hertz, the roots of the drone under Am and Dm: A2 and D3, by ISO 16."""


def test_a_drone_holds_each_chord_for_its_time(desk: Desk) -> None:
    desk.open_settings()
    desk.page.select_option(desk.field("held"), "fifth")
    assert desk.player("drone") == "fifth"
    plain, held = (desk.rendered(rate=1.0, drone=drone) for drone in ("", "fifth"))
    drone = held - plain

    def heard(hertz: float, start: float, end: float) -> float:
        part = drone[round(start * RATE) : round(end * RATE)]
        turn = np.exp(-2j * np.pi * hertz * np.arange(len(part)) / RATE)
        return float(abs((part * np.hanning(len(part)) * turn).mean()))

    for start, own, other in ((0.5, FROM_A, FROM_D), (4.5, FROM_D, FROM_A)):
        assert heard(own, start, start + 3) > 10 * heard(other, start, start + 3)
    assert heard(1.5 * FROM_A, 0.5, 3.5) > 10 * heard(1.4 * FROM_A, 0.5, 3.5)
