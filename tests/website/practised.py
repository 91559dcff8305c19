"""Pages to practise on, opened from the disk in a real browser without the theme, and what they let be heard."""

from __future__ import annotations

import base64
import wave
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from browser import watched
from drawn import STYLESHEET, timeline
from heard import RATE, Samples
from playwright.sync_api import Browser, Page

from tabtools.timeline import Timeline
from tabtools.website.scripts import SOLO_PAGE, joined
from tabtools.website.solo_page.practice import controls
from tabtools.website.solo_page.tab import tab_html

SHEETS = ("tabtools.css", "frame.css", "tab.css", "practice.css", "solo_page.css", "print.css")
STYLES = "".join(STYLESHEET.with_name(name).read_text(encoding="utf-8") for name in SHEETS)

RENDER = """
async (options) => {
  const samples = await tabtools.render(tabtools.practice.score, options);
  const bytes = new Uint8Array(samples.buffer);
  let text = "";
  for (let at = 0; at < bytes.length; at += 32768) text += String.fromCharCode(...bytes.subarray(at, at + 32768));
  return btoa(text);
}
"""


@lru_cache(maxsize=8)
def page_html(text: str) -> str:
    """A page with the controls and the tab of a solo, as the site joins them."""
    timed = timeline(text)
    return (
        '<!doctype html><html lang="en"><meta charset="utf-8"><title>Practice</title>'
        '<meta name="viewport" content="width=device-width">'
        f"<style>html {{ font-size: 20px }} body {{ margin: 10px; font: 16px sans-serif }} {STYLES}</style>"
        f'<article class="md-typeset"><h1>A solo</h1>{controls(timed)}{tab_html(timed)[0]}</article>'
        f"<script>{joined(SOLO_PAGE)}</script></html>"
    )


class Desk:
    """A page to practise on: its player, its sound."""

    def __init__(self, browser: Browser, folder: Path, text: str, **settings: Any) -> None:
        self.timeline: Timeline = timeline(text)
        self.folder = folder
        self._file = folder / "solo.html"
        self._file.write_text(page_html(text), encoding="utf-8")
        self._watched = watched(browser, "file:", **{"viewport": {"width": 1000, "height": 800}, **settings})

    def __enter__(self) -> Desk:
        self.page: Page = self._watched.__enter__()
        self.page.goto(self._file.as_uri())
        return self

    def __exit__(self, *fault: Any) -> None:
        self._watched.__exit__(*fault)

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
