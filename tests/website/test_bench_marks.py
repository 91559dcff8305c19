"""Bars marked by ear: a key struck at each of them, the marks copied, pasted and looped."""

from __future__ import annotations

import wave
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from at_the_bench import Bench, at_the_bench
from browser import watched
from heard import RATE
from playwright.sync_api import Browser, Page
from sites import PLAIN_CONFIG, write_site

pytestmark = [pytest.mark.build, pytest.mark.browser]

HEAD = "title: Tide\nplayer: B\nrecording: C\nrights: CC0-1.0\nmeter: 4/4\ntempo: 120\n"
SOLO = f"{HEAD}\nbar 1  Am  # as it is\n1-4  3:7\n\nbar 2  Am\n1-4  3:5\n"
"""Four seconds as written."""
CLICKS = (1.0, 3.1, 5.0, 7.2, 9.3)
SECONDS = 12
STRIKE = """
async (at) => {
  const { audio } = tabtools.practice.player.recording;
  while (audio.currentTime < at) await new Promise(requestAnimationFrame);
  const struck = audio.currentTime;
  document.activeElement.dispatchEvent(new KeyboardEvent("keydown", { key: "b", bubbles: true, cancelable: true }));
  return struck;
}
"""
"""Strikes the key as soon as the page has heard a click, however busy the machine is; gives the second."""


def write_clicks(path: Path) -> None:
    """A sound file with a click at each of `CLICKS`."""
    samples = np.zeros(SECONDS * RATE)
    tick = np.sin(2 * np.pi * 1500 * np.arange(RATE // 50) / RATE)
    for at in CLICKS:
        samples[round(at * RATE) : round(at * RATE) + len(tick)] = tick
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes((samples * 16_000).astype("<i2").tobytes())


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    with at_the_bench(write_site(tmp_path_factory.mktemp("site"), {}, PLAIN_CONFIG)) as bench:
        yield bench


@pytest.fixture
def solo(bench: Bench, request: pytest.FixtureRequest) -> str:
    """The name of a solo of the test's own."""
    name = request.function.__name__.replace("_", "-")
    bench.save(f"{name}.solo", SOLO)
    bench.wait_for(f"solos/{name}/", "Tide")
    return name


@pytest.fixture
def page(browser: Browser, bench: Bench, solo: str, tmp_path: Path) -> Iterator[Page]:
    write_clicks(tmp_path / "clicks.wav")
    home = f"http://{bench.address}/"
    with watched(browser, home, permissions=["clipboard-read", "clipboard-write"]) as page:
        page.goto(f"{home}solos/{solo}/")
        page.wait_for_function("globalThis.tabtools?.practice")
        page.evaluate("document.querySelector('.tt-settings').open = true")
        page.set_input_files('.tt-practice [name="file"]', tmp_path / "clicks.wav")
        page.wait_for_function("document.querySelector('.tt-said').textContent === 'The recording is ready.'")
        page.select_option('.tt-practice [name="countin"]', "none")
        yield page


def said(page: Page) -> str:
    return page.inner_text(".tt-bench-marks [role=status]")


def marked(page: Page) -> list[str]:
    return page.locator(".tt-bench-marks li").all_text_contents()


def test_bars_begin_where_the_key_was_struck(page: Page, bench: Bench, solo: str) -> None:
    page.focus(".tt-tab")
    page.keyboard.press("b")
    assert said(page) == "Open your recording and let it play; then mark where each bar begins."
    page.keyboard.press("Space")
    times = [page.evaluate(STRIKE, at) for at in CLICKS]
    page.keyboard.press("b")
    page.keyboard.press("Shift+B")
    struck = marked(page)
    assert [line.split("  at ")[0] for line in struck] == [f"bar {bar}" for bar in range(1, 6)]
    page.keyboard.press("Space")
    page.get_by_role("button", name="Copy the solo with them").click()
    page.wait_for_function("document.querySelector('.tt-bench-marks [role=status]').textContent.includes('copied')")
    text = page.evaluate("navigator.clipboard.readText()")
    assert text.startswith(HEAD)
    assert f"\n{struck[0].replace('bar 1', 'bar 1  Am')}  # as it is\n1-4  3:7\n" in text
    assert text.endswith(f"\n\n{struck[4]}\n1-4  .\n")
    bench.save(f"{solo}.solo", text)
    page.wait_for_function("tabtools.practice.score.bars.length === 5")
    starts = page.evaluate("tabtools.practice.score.bars.map(({ recordedAt }) => recordedAt / 1000)")
    assert starts == pytest.approx(times, abs=0.051)
    assert [f"bar {bar}  at 0:{start:04.1f}".removesuffix(".0") for bar, start in enumerate(starts, 1)] == struck
    assert said(page) == "All marks stand in the solo now."
    assert marked(page) == []
    assert page.input_value('.tt-bench-marks [name="first"]') == "6"
    assert page.locator(".tt-bench li.tt-error").count() == 0


def test_what_lies_between_two_marks_is_looped_before_anything_is_written_there(page: Page) -> None:
    page.evaluate("document.querySelector('.tt-bench-marks').open = true")
    page.evaluate("tabtools.practice.player.move(7000)")
    page.focus(".tt-tab")
    page.keyboard.press("Space")
    for at in (7.2, 9.3):
        page.wait_for_function("(at) => tabtools.practice.player.recording.audio.currentTime >= at", arg=at)
        page.keyboard.press("b")
    page.keyboard.press("Space")
    page.evaluate("tabtools.practice.player.move(8000)")
    page.keyboard.press("o")
    assert said(page).startswith("Looped: 0:07.")
    page.evaluate("tabtools.practice.player.move(9000)")
    page.focus(".tt-tab")
    page.keyboard.press("Space")
    page.wait_for_function("tabtools.practice.player.recording.audio.currentTime < 8")
    assert page.evaluate("tabtools.practice.player.isPlaying")
    page.keyboard.press("Space")
    page.reload()
    page.wait_for_function(
        "globalThis.tabtools?.practice && document.querySelectorAll('.tt-bench-marks li').length === 2"
    )
    assert marked(page)[0].startswith("bar 1  at 0:07.")


def test_a_bar_that_repeats_another_says_what_to_do(page: Page, bench: Bench, solo: str) -> None:
    bench.save(f"{solo}.solo", f"{SOLO}\nbars 3-4 like 1-2\n")
    page.wait_for_function("tabtools.practice.score.bars.length === 4")
    page.focus(".tt-tab")
    page.keyboard.press("Space")
    for at in CLICKS[:3]:
        page.evaluate(STRIKE, at)
    page.keyboard.press("Space")
    assert [line.endswith("(repeats another, cannot be written)") for line in marked(page)] == [False, False, True]
    page.get_by_role("button", name="Copy the solo with them").click()
    page.wait_for_function("document.querySelector('.tt-bench-marks [role=status]').textContent.includes('copied')")
    assert said(page) == (
        "2 marks copied; paste into the solo and save. "
        "Bar 3 repeats another and can have no time: write it out if it needs one."
    )
    bench.save(f"{solo}.solo", page.evaluate("navigator.clipboard.readText()"))
    page.wait_for_function("tabtools.practice.score.bars[1].recordedAt !== undefined")
    page.wait_for_function("!document.querySelector('.tt-bench-marks li')")
    assert said(page) == "All marks stand in the solo now."
    assert page.locator(".tt-bench li.tt-error").count() == 0


def test_the_help_names_the_keys(page: Page) -> None:
    page.evaluate("document.querySelector('.tt-bench-marks').open = true")
    assert page.locator(".tt-bench-marks kbd").all_inner_texts() == ["b", "Shift b", "o"]
