"""What a student comes back to, and passes on: the loop, the tempo, the size of the tab."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from browser import opened
from playwright.sync_api import Browser, Page
from practised import Desk

pytestmark = [pytest.mark.browser, pytest.mark.build]

SLUG = "rigging-lines"
PHONE = {"width": 390, "height": 844}
SOLO = "title: A\nrights: CC0-1.0\nmeter: 4/4\ntempo: 120\n" + "".join(
    f"\nbar {number}\n1-4  3:5 3:7\n" for number in range(1, 9)
)
BAR = 2000


@pytest.fixture(scope="module")
def phone(browser: Browser, served_demo: str) -> Iterator[Page]:
    address = f"{served_demo}/solos/{SLUG}.html"
    with opened(browser, address, viewport=PHONE, has_touch=True, reduced_motion="reduce") as page:
        yield page


def stretch(page: Page) -> list[int]:
    """The bars that are looped, by their places."""
    assert page.evaluate("tabtools.practice.player.loops")
    return page.evaluate("tabtools.practice.ends()")


def test_a_solo_is_practised_as_it_was_left(browser: Browser, tmp_path: Path) -> None:
    with Desk(browser, tmp_path, SOLO) as desk:
        desk.open_settings()
        desk.page.fill(desk.field("pace"), "73.5")
        desk.page.press(desk.field("pace"), "Enter")
        desk.page.select_option(desk.field("countin"), "each")
        desk.page.set_checked(desk.field("metronome"), True)
        desk.page.fill(desk.field("clicks"), "25")
        desk.page.evaluate("tabtools.practice.setBars(2, 4)")
        desk.page.reload()
        desk.page.wait_for_function("tabtools.practice.player.rate < 1")
        assert desk.player("stretch") == {"from": 2 * BAR, "to": 5 * BAR}
        assert (desk.player("loops"), desk.player("counting"), desk.player("metronome")) == (True, "each", True)
        assert desk.player("rate") == pytest.approx(73.5 / 120)
        assert desk.player("volume.clicks") == 0.25
        assert desk.page.input_value(desk.field("pace")) == "73.5"
        assert desk.page.locator(".tt-span").count() == 3


def test_a_link_carries_a_loop_and_a_tempo_and_outdoes_what_was_kept(browser: Browser, tmp_path: Path) -> None:
    with Desk(browser, tmp_path, SOLO, permissions=["clipboard-read", "clipboard-write"]) as desk:
        desk.page.evaluate("tabtools.practice.setBars(0, 0)")
        address = desk.page.url
        desk.page.goto("about:blank")
        desk.page.goto(f"{address}#b3-b4.2&tempo=50")
        assert desk.player("stretch") == {"from": 2 * BAR, "to": 3 * BAR + BAR / 2}
        desk.page.wait_for_function("Math.abs(tabtools.practice.player.rate - 50 / 120) < 1e-9")
        desk.page.evaluate("tabtools.practice.setBars(5, 6)")
        desk.open_settings()
        desk.page.click(desk.button("link"))
        desk.page.wait_for_function("document.querySelector('.tt-said').textContent.startsWith('The link')")
        assert desk.page.url == f"{address}#b6-b7&tempo=50"


def test_two_bars_are_looped_by_two_presses_at_a_note(phone: Page) -> None:
    first, last = (phone.locator(f"[id='b{bar}.1.1'] .fret").first for bar in (2, 3))
    first.tap()
    panel = phone.locator(".tt-known").bounding_box()
    assert panel["y"] >= PHONE["height"] * 0.45
    assert first.bounding_box()["y"] < panel["y"]
    phone.get_by_role("button", name="Loop from here").tap()
    assert stretch(phone) == [1, 1]
    last.tap()
    assert stretch(phone) == [1, 2]
    first.tap()
    phone.get_by_role("button", name="Loop to here").tap()
    assert stretch(phone) == [1, 1]
    phone.get_by_role("button", name="Close").tap()


def test_what_is_named_can_be_looped_and_is_shown(phone: Page) -> None:
    for section, within in ((".tt-necks", "figure"), (".tt-devices", "li")):
        link = phone.locator(f"{section} {within}", has=phone.locator(".tt-loop")).first
        href = link.locator(".tt-loop").first.get_attribute("href") or ""
        link.locator(".tt-loop").first.tap()
        assert [f"b{bar + 1}" for bar in stretch(phone)] == [end.partition(".")[0] for end in href[1:].split("-")]
        looped = phone.locator(".tt-begins").bounding_box()
        assert 0 <= looped["y"] < PHONE["height"] / 2


def test_the_tab_has_three_sizes_a_row_of_fingers_and_the_neck_two_sides(phone: Page) -> None:
    phone.locator(".tt-settings > summary").tap()
    size, under = phone.get_by_label("Size"), phone.get_by_label("Under the notes")
    figure = phone.locator("[id='b1.1.1'] .fret").first
    heights = []
    for step in ("small", "medium", "large"):
        size.select_option(step)
        heights.append(figure.bounding_box()["height"])
        assert phone.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert heights == sorted(heights) and heights[2] > 1.4 * heights[0]
    under.select_option("digit")
    assert set(phone.locator(".degree").all_text_contents()) >= {"1", "2", "4", "tap"}
    size.select_option("medium")
    phone.keyboard.press("Escape")
    map_ = phone.locator(".tt-neck").first
    ends = [map_.locator(name).first.bounding_box()["x"] for name in ("text >> nth=0", ".tt-fret-number >> nth=-1")]
    assert ends[0] < ends[1]
    phone.get_by_label("Left-handed").check()
    ends = [map_.locator(name).first.bounding_box()["x"] for name in ("text >> nth=0", ".tt-fret-number >> nth=-1")]
    assert ends[0] > ends[1]
