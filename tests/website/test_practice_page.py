"""The practice controls as part of a page: without script, by Tab, by finger, at 320 pixels, on paper."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from drawn import SOLOS
from playwright.sync_api import Browser
from practised import Desk

pytestmark = pytest.mark.browser

SOLO = SOLOS[0].read_text(encoding="utf-8")
LEAST_TARGET = 24
"""WCAG 2.2, 2.5.8: pixels."""

FOCUSED = """
() => {
  const one = document.activeElement;
  if (one === document.body) return null;
  const { outlineStyle, outlineWidth } = getComputedStyle(one);
  return [one.dataset.do || one.name || one.className || one.tagName, outlineStyle !== "none", outlineWidth];
}
"""

TARGETS = """
() => [...document.querySelectorAll(".tt-practice :is(button, input, select, summary)")].map((one) => {
  const { width, height } = one.getBoundingClientRect();
  return [one.dataset.do || one.name || one.tagName, width, height];
})
"""


def test_without_script_the_page_is_read_undisturbed(browser: Browser, tmp_path: Path) -> None:
    with Desk(browser, tmp_path, SOLO, java_script_enabled=False) as desk:
        assert desk.page.locator(".tt-practice").is_hidden()
        assert desk.page.locator(".tt-practice button").first.is_hidden()
        assert desk.page.locator(".tt-bar").first.is_visible()


def test_tab_reaches_everything_visibly_and_leaves_again(browser: Browser, tmp_path: Path) -> None:
    with Desk(browser, tmp_path, SOLO) as desk:
        desk.open_settings()
        seen = []
        for _ in range(60):
            desk.page.keyboard.press("Tab")
            focused = desk.page.evaluate(FOCUSED)
            if focused is None and seen:
                break
            if focused is not None:
                seen.append(focused)
        else:
            pytest.fail(f"Tab does not leave the page: {seen}")
        names = [name for name, _, _ in seen]
        fields = ["stretch", "from", "to", "countin", "metronome", "scroll", "file", "guitar", "clicks"]
        for name in ("play", "stop", "loop", "tempo", *fields, "bar-back", "back", "on", "bar-on"):
            assert name in names
        assert any(name.startswith("tt-tab") for name in names)
        assert [entry for entry in seen if not entry[1] or entry[2] == "0px"] == []


ROW = """() => [...document.querySelectorAll(".tt-transport > button, .tt-tempo > *, .tt-settings > summary")]
  .map((one) => one.getBoundingClientRect()).filter((box) => box.width).map((box) => [box.left, box.right])"""
"""Where each control in the row begins and ends."""


def test_targets_are_large_enough(browser: Browser, tmp_path: Path) -> None:
    with Desk(browser, tmp_path, SOLO) as desk:
        desk.open_settings()
        small = [one for one in desk.page.evaluate(TARGETS) if min(one[1:]) < LEAST_TARGET]
        assert small == []


@pytest.mark.parametrize("width", [320, 390, 1000])
def test_the_controls_fit_the_width(browser: Browser, tmp_path: Path, width: int) -> None:
    with Desk(browser, tmp_path, SOLO, viewport={"width": width, "height": 800}) as desk:
        row = desk.page.evaluate(ROW)
        assert all(left >= right for (_, right), (left, _) in pairwise(sorted(row))), row
        desk.open_settings()
        desk.page.click(".tt-help > summary")
        assert desk.page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_finger_chooses_a_place_and_a_horizontal_drag_a_loop(browser: Browser, tmp_path: Path) -> None:
    with Desk(browser, tmp_path, SOLO, has_touch=True, viewport={"width": 1000, "height": 1200}) as desk:
        desk.page.locator(".tt-bar").nth(2).locator(".stroke .fret").nth(1).tap()
        assert desk.place == desk.page.evaluate("tabtools.practice.score.bars[2].onsets[1]")
        touch = desk.page.context.new_cdp_session(desk.page)
        boxes = [desk.page.locator(".tt-bar").nth(place).bounding_box() for place in (2, 3)]
        start, end = ((box["x"] + box["width"] / 2, box["y"] + box["height"] - 60) for box in boxes)
        touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": start[0], "y": start[1]}]})
        for step in range(1, 9):
            x = start[0] + (end[0] - start[0]) * step / 8
            touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": x, "y": start[1]}]})
        touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        stretch = desk.player("stretch")
        assert stretch["from"] == desk.page.evaluate("tabtools.practice.score.bars[2].start")
        assert stretch["to"] == desk.page.evaluate("tabtools.practice.score.bars[4].start")


def test_on_paper_there_are_no_controls(browser: Browser, tmp_path: Path) -> None:
    with Desk(browser, tmp_path, SOLO) as desk:
        desk.page.emulate_media(media="print")
        assert desk.page.locator(".tt-transport").is_hidden()
        assert desk.page.locator(".tt-cursor").is_hidden()


def test_what_is_said_aloud_is_said_only_when_something_is_chosen(browser: Browser, tmp_path: Path) -> None:
    with Desk(browser, tmp_path, SOLO) as desk:
        assert desk.page.locator("[role=status], [aria-live], output").count() == 1
        desk.play()
        desk.wait_for_place(1500)
        assert desk.said == ""


SHOW_STAFF = """(tab, shows) => {
  for (const text of tab.querySelectorAll(".tt-piece > script")) text.outerHTML = text.textContent;
  tab.classList.toggle("tt-staves", shows);
}"""
OFF_THE_LINES = """
() => [["::before", ".tt-cursor", ".tt-standard [href='#tt-lines']"],
 ["::after", ".tt-cursor", ".tt-staff .string"],
 ["::before", ".tt-begins", ".tt-staff .string"], ["::after", ".tt-ends", ".tt-staff .string"]].flatMap(
  ([part, name, drawn]) => {
    const one = document.querySelector(name), piece = one.closest(".tt-piece");
    const style = getComputedStyle(one, part), own = one.getBoundingClientRect();
    if (style.display === "none") return [];
    const size = parseFloat(style.height);
    const top = style.bottom === "auto" || drawn.includes("standard")
      ? own.top + parseFloat(style.top) : own.bottom - parseFloat(style.bottom) - size;
    const lines = [...piece.querySelectorAll(drawn)].map((line) => line.getBoundingClientRect());
    const first = Math.min(...lines.map((line) => line.top)), last = Math.max(...lines.map((line) => line.bottom));
    return [[name + part, Math.round(first - top), Math.round(top + size - last)]];
  })
"""
"""How far cursor and edges of a loop reach over and under the lines they stand on."""
WIDE = (
    "bar 1  Am\n"
    + "".join(f"{count}  3:12 3:14 2:12 2:13 2:15 1:12\n" for count in range(1, 5))
    + "\nbar 2\n1-4  3:5\n"
)


def test_a_bar_in_pieces_is_played_pressed_and_looped_piece_by_piece(browser: Browser, tmp_path: Path) -> None:
    """On a phone the pieces stand below each other; cursor, pointer and loop know which is meant."""
    with Desk(browser, tmp_path, WIDE, viewport={"width": 320, "height": 900}) as desk:
        assert desk.page.evaluate("document.querySelector('.tt-tab').scrollWidth <= 320")
        pieces = desk.page.locator(".tt-bar").first.locator(".tt-piece")
        upper, lower = (pieces.nth(place).bounding_box() for place in (0, 1))
        assert lower["y"] >= upper["y"] + upper["height"]
        assert abs(lower["x"] - upper["x"]) < 1
        assert pieces.locator(".tt-staff .again").all_text_contents() == ["(1)"] * (pieces.count() - 1)
        assert pieces.nth(1).locator(".tt-staff .again").is_visible()
        pieces.nth(1).locator(".stroke .fret").nth(3).click()
        onset = desk.page.evaluate("tabtools.practice.score.bars[0].onsets[15]")
        assert desk.place == onset
        figure = pieces.nth(1).locator(".stroke .fret").nth(3).bounding_box()
        cursor = pieces.nth(1).locator(".tt-cursor").bounding_box()
        assert abs(cursor["x"] + 1 - (figure["x"] + figure["width"] / 2)) < 2
        desk.press("[")
        assert desk.page.locator(".tt-span").count() == 2
        assert desk.page.locator(".tt-begins").count() == desk.page.locator(".tt-ends").count() == 1
        assert pieces.nth(0).locator(".tt-begins").count() == pieces.nth(1).locator(".tt-ends").count() == 1
        for shows_staff, parts in ((False, 3), (True, 4)):
            desk.page.locator(".tt-tab").evaluate(SHOW_STAFF, shows_staff)
            stretches = desk.page.evaluate(OFF_THE_LINES)
            assert len(stretches) == parts
            assert all(3 <= edge <= 7 for _, *edges in stretches for edge in edges), stretches
        desk.page.locator(".tt-tab").evaluate(SHOW_STAFF, False)
        desk.page.set_viewport_size({"width": 1000, "height": 900})
        desk.page.wait_for_function("document.querySelector('.tt-cursor').getBoundingClientRect().x > 320")
        left, right = (pieces.nth(place).bounding_box() for place in (0, 1))
        assert left["y"] == right["y"]
        assert pieces.nth(1).locator(".tt-staff .again").is_hidden()
        assert abs(left["x"] + left["width"] - right["x"]) < 0.1
