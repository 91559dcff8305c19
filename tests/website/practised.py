"""Pages to practise on, opened from the disk in a real browser without the theme, and what they let be heard."""

from __future__ import annotations

import base64
import os
import shutil
import wave
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from drawn import STYLESHEET, timeline
from heard import RATE, Samples
from playwright.sync_api import Browser, Page, sync_playwright

from tabtools.timeline import Timeline
from tabtools.website.practice import controls, script
from tabtools.website.tab import tab_html

ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--mute-audio"]
STYLES = STYLESHEET.read_text(encoding="utf-8") + STYLESHEET.with_name("practice.css").read_text(encoding="utf-8")
LOCAL = ("file:", "blob:", "data:")

RENDER = """
async (options) => {
  const samples = await tabtools.render(tabtools.practice.score, options);
  const bytes = new Uint8Array(samples.buffer);
  let text = "";
  for (let at = 0; at < bytes.length; at += 32768) text += String.fromCharCode(...bytes.subarray(at, at + 32768));
  return btoa(text);
}
"""


@contextmanager
def chromium() -> Iterator[Browser]:
    """A browser of the system, or the test is skipped; where tests run for everyone, it fails."""
    path = shutil.which("chromium")
    if path is None:
        if os.environ.get("CI"):
            pytest.fail("chromium is not installed")
        pytest.skip("chromium is not installed")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        yield browser
        browser.close()


@lru_cache(maxsize=8)
def page_html(text: str) -> str:
    """A page with the controls and the tab of a solo, as the site joins them."""
    timed = timeline(text)
    return (
        '<!doctype html><html lang="en"><meta charset="utf-8"><title>Practice</title>'
        '<meta name="viewport" content="width=device-width">'
        f"<style>html {{ font-size: 20px }} body {{ margin: 10px; font: 16px sans-serif }} {STYLES}</style>"
        f'<article class="md-typeset"><h1>A solo</h1>{controls(timed)}{tab_html(timed)[0]}</article>'
        f"<script>{script()}</script></html>"
    )


class Desk:
    """A page to practise on: its faults, its player, its sound."""

    def __init__(self, browser: Browser, folder: Path, text: str, **context: Any) -> None:
        self.timeline: Timeline = timeline(text)
        self.faults: list[str] = []
        self.folder = folder
        file = folder / "solo.html"
        file.write_text(page_html(text), encoding="utf-8")
        self.context = browser.new_context(**{"viewport": {"width": 1000, "height": 800}, **context})
        self.page: Page = self.context.new_page()
        self.page.on("console", lambda message: self._note(message.type in ("error", "warning"), message.text))
        self.page.on("pageerror", lambda error: self._note(True, str(error)))
        self.page.on("request", lambda request: self._note(not request.url.startswith(LOCAL), request.url))
        self.page.goto(file.as_uri())

    def _note(self, is_fault: bool, text: str) -> None:
        if is_fault:
            self.faults.append(text)

    def __enter__(self) -> Desk:
        return self

    def __exit__(self, *fault: object) -> None:
        self.context.close()
        if fault[0] is None and self.faults:
            pytest.fail("\n".join(self.faults[:5]))

    def player(self, what: str) -> Any:
        """A value of the player."""
        return self.page.evaluate(f"tabtools.practice.player.{what}")

    @property
    def place(self) -> float:
        """The place that sounds, in milliseconds of the score."""
        return self.player("place")

    @property
    def said(self) -> str:
        return self.page.inner_text(".tt-said")

    def press(self, keys: str) -> None:
        """Press keys with the focus on the tab."""
        self.page.focus(".tt-tab")
        self.page.keyboard.press(keys)

    def open_settings(self) -> None:
        self.page.evaluate("document.querySelector('.tt-settings').open = true")

    def field(self, name: str) -> str:
        return f'.tt-practice [name="{name}"]'

    def button(self, does: str) -> str:
        return f'.tt-practice [data-do="{does}"]'

    def play(self, **settings: str) -> None:
        """Play, without a count-in unless `countin` says so."""
        self.page.evaluate(
            "(counting) => tabtools.practice.player.counting = counting", settings.get("countin", "none")
        )
        self.page.click(self.button("play"))
        self.page.wait_for_function("tabtools.practice.player.rounds.length > 0")

    def wait_for_place(self, milliseconds: float) -> None:
        self.page.wait_for_function("(ms) => tabtools.practice.player.place >= ms", arg=milliseconds)

    def rendered(self, **options: Any) -> Samples:
        """The solo as samples, made offline."""
        data = base64.b64decode(self.page.evaluate(RENDER, options))
        return np.frombuffer(data, "<f4").astype(float)


def write_tones(path: Path, tones: list[tuple[float, float]]) -> None:
    """A sound file of (hertz, seconds), one after the other."""
    phase, parts = 0.0, []
    for hertz, seconds in tones:
        turns = phase + 2 * np.pi * hertz * np.arange(round(seconds * RATE)) / RATE
        parts.append(np.sin(turns))
        phase = float(turns[-1]) + 2 * np.pi * hertz / RATE
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes((np.concatenate(parts) * 16_000).astype("<i2").tobytes())
