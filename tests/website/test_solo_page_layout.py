"""Where the parts of a solo's page stand, measured in the built demo: the music first, the controls always in reach."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from browser import opened
from playwright.sync_api import Browser, Page

pytestmark = [pytest.mark.browser, pytest.mark.build]

SLUG = "rigging-lines"
"""Wide bars and a lesson with claims all along."""

DESK, TABLET, PHONE, LYING = (1280, 800), (820, 1180), (390, 844), (844, 390)
MOST_SHIFT = 0.02
"""Layout shift, a fifth of what counts as good (web.dev, Cumulative Layout Shift)."""
ROW = 56
"""The most pixels that the row of controls may take."""

WATCH_SHIFT = """
window.shifted = 0;
new PerformanceObserver((list) => {
  for (const one of list.getEntries()) if (!one.hadRecentInput) window.shifted += one.value;
}).observe({ type: "layout-shift", buffered: true });
"""
BOX = "(name) => document.querySelector(name).getBoundingClientRect().toJSON()"
LINES = """
() => [...new Set([...document.querySelectorAll(".tt-piece")].map((one) => one.getBoundingClientRect().top))]
"""
PLAY_FROM = """
(bar) => {
  const { practice } = tabtools;
  practice.player.counting = "none";
  practice.player.move(practice.score.bars[bar].start);
  return practice.player.isPlaying || practice.player.play();
}
"""
SOUNDING = "(bar) => document.querySelectorAll('.tt-bar')[bar].getBoundingClientRect().toJSON()"


@pytest.fixture(scope="module")
def page(browser: Browser, served_demo: str) -> Iterator[Page]:
    with opened(browser, f"{served_demo}/solos/{SLUG}.html", reduced_motion="reduce") as page:
        yield page


def seen_at(page: Page, size: tuple[int, int]) -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.evaluate("scrollTo(0, 0)")


def box(page: Page, name: str) -> dict[str, Any]:
    return page.evaluate(BOX, name)


@pytest.mark.parametrize(("size", "most"), [(DESK, 200), (TABLET, 170), (PHONE, 170), (LYING, 60)])
def test_the_tab_comes_first_and_the_controls_stay_in_reach(page: Page, size: tuple[int, int], most: float) -> None:
    seen_at(page, size)
    assert box(page, ".tt-tab")["top"] <= most
    assert len(page.evaluate(LINES)) > 4
    for at in (0, 900):
        page.evaluate("(top) => scrollTo(0, top)", at)
        controls = box(page, ".tt-transport")
        assert controls["top"] >= 0 and controls["bottom"] <= size[1]
        assert controls["height"] <= ROW
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert page.locator(".md-header").is_visible() is (size != LYING)


@pytest.mark.parametrize("size", [DESK, PHONE])
def test_nothing_moves_while_the_page_comes(browser: Browser, served_demo: str, size: tuple[int, int]) -> None:
    viewport = {"width": size[0], "height": size[1]}
    with opened(browser, f"{served_demo}/solos/{SLUG}.html", viewport=viewport) as page:
        page.evaluate(WATCH_SHIFT)
        page.wait_for_timeout(100)
        assert page.evaluate("shifted") <= MOST_SHIFT


@pytest.mark.parametrize("size", [DESK, PHONE, LYING])
def test_the_line_that_sounds_stays_at_one_height_with_the_next_in_sight(page: Page, size: tuple[int, int]) -> None:
    seen_at(page, size)
    heights = []
    for bar in (3, 6, 9):
        before = page.evaluate("scrollY")
        page.evaluate(PLAY_FROM, bar)
        page.wait_for_function("(before) => scrollY !== before", arg=before)
        heights.append(page.evaluate(SOUNDING, bar)["top"])
        controls = box(page, ".tt-transport")
        high, low = (controls["bottom"], size[1]) if controls["top"] < 1 else (0, controls["top"])
        lines = [top for top in page.evaluate(LINES) if top > heights[-1] + 20]
        assert high <= heights[-1] < high + 40
        assert lines[0] < low - 60
    assert max(heights) - min(heights) < 1
    page.evaluate("tabtools.practice.player.stop()")


def test_the_lesson_stands_beside_the_tab_and_follows_until_it_is_taken_over(page: Page) -> None:
    seen_at(page, (1280, 600))
    tab, side = box(page, ".tt-tab"), box(page, ".tt-side")
    assert side["left"] >= tab["right"] and side["top"] < 250
    page.evaluate("tabtools.practice.goTo(tabtools.practice.score.bars[9].start)")
    told = page.locator(".tt-told")
    assert told.inner_text().startswith("The Em9 cells")
    seen, said = box(page, ".tt-side"), box(page, ".tt-told")
    assert seen["top"] <= said["top"] and said["bottom"] <= seen["bottom"]
    assert page.evaluate("document.querySelector('.tt-side').scrollTop") > 100
    page.hover(".tt-side")
    page.mouse.wheel(0, -3000)
    page.wait_for_function("document.querySelector('.tt-side').scrollTop === 0")
    page.evaluate("tabtools.practice.goTo(tabtools.practice.score.bars[4].start)")
    assert page.evaluate("document.querySelector('.tt-side').scrollTop") == 0
    page.get_by_role("button", name="Follow the music again").click()
    assert told.inner_text().startswith("In Sevens in two beats")
    assert page.evaluate("document.querySelector('.tt-side').scrollTop") > 0


def test_on_a_phone_one_link_leads_to_the_lesson_and_one_back_to_the_sentence(page: Page) -> None:
    seen_at(page, PHONE)
    page.locator(".tt-to-lesson a").click()
    assert 0 <= box(page, "#lesson")["top"] < PHONE[1] / 2
    back, link = page.locator(".tt-return"), page.locator(".tt-lesson a.tt-loop").last
    assert back.is_hidden()
    link.click()
    assert 0 <= box(page, ".tt-begins")["top"] < PHONE[1] / 2
    back.click()
    assert 0 <= link.bounding_box()["y"] < PHONE[1] - ROW
    assert back.is_hidden()
    seen_at(page, DESK)
    assert page.locator(".tt-to-lesson").is_hidden()


@pytest.mark.parametrize("size", [DESK, PHONE, LYING])
def test_what_was_done_is_said_within_the_row_and_covers_nothing(page: Page, size: tuple[int, int]) -> None:
    seen_at(page, size)
    page.locator(".stroke .fret").nth(2).click()
    page.evaluate("tabtools.practice.setStretch({ from: 0, to: tabtools.practice.score.end }, false)")
    page.locator("[data-do=loop]").click()
    assert page.locator(".tt-said").inner_text() == "Loop: bar 1"
    row, said, known = (box(page, name) for name in (".tt-transport", ".tt-said", ".tt-known"))
    assert row["top"] <= said["top"] and said["bottom"] <= row["bottom"]
    assert row["left"] <= said["left"] and said["right"] <= row["right"]
    assert said["width"] > 60 and page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert known["bottom"] <= row["top"] + 1 or row["bottom"] <= known["top"]
    if size == PHONE:
        assert box(page, ".tt-known dl")["bottom"] < box(page, ".tt-known-bar")["top"]
    page.locator(".tt-known-bar button", has_text="Close").click()
    page.locator("[data-do=loop]").click()


def test_a_sheet_that_is_cut_says_that_it_goes_on(page: Page) -> None:
    seen_at(page, LYING)
    page.locator(".tt-settings > summary").click()
    sheet = page.locator(".tt-sheet")
    page.wait_for_function("document.querySelector('.tt-sheet.tt-goes-on')")
    summary = page.locator(".tt-settings > summary")
    assert "scroll" in summary.evaluate("(one) => getComputedStyle(one, '::after').content")
    sheet.evaluate("(sheet) => sheet.scrollTo(0, sheet.scrollHeight)")
    page.wait_for_function("!document.querySelector('.tt-sheet.tt-goes-on')")
    page.locator(".tt-settings > summary").click()


def test_what_is_left_is_named(page: Page) -> None:
    seen_at(page, PHONE)
    headings = page.locator("article > section > h2").all_inner_texts()
    assert [one.removesuffix("¶") for one in headings] == [
        "What the phrases do",
        "On the neck",
        "What it asks of the hands",
        "In figures",
        "The tab in words",
        "Heard in other solos",
        "Suggest a correction",
        "About this transcription",
    ]
    order = [box(page, name)["top"] for name in (".tt-tab", ".tt-lesson", ".tt-devices", ".tt-facts")]
    assert order == sorted(order)
