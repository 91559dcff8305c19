"""A real browser for tests: launched once for all of them, and pages that tell what went wrong on them.

The fixture `browser` stands in tests/conftest.py:

    def test_the_index_sorts(browser: Browser, site: str) -> None:
        with opened(browser, f"{site}/solos/") as page:
            page.get_by_role("button", name="Tempo").click()

A test fails when the console showed a warning or an error, a dialog appeared, an answer was 400 or above, or something
was asked for from outside.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

PROGRAMS = ("chromium-headless-shell", "chromium")
"""The first opens a page for an eighth of what the second needs, which makes a window with all its buttons for each."""

ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--mute-audio"]
VIEW = {"width": 1280, "height": 900}
IN_THE_PAGE = ("data:", "blob:")


def unavailable(what: str) -> None:
    """Fail where the tests have to run, pass over elsewhere."""
    if os.environ.get("CI"):
        pytest.fail(what)
    pytest.skip(what)


@contextmanager
def chromium() -> Iterator[Browser]:
    """The system's chromium."""
    path = next(filter(None, map(shutil.which, PROGRAMS)), None)
    if path is None:
        unavailable("neither chromium-headless-shell nor chromium is installed")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        yield browser
        browser.close()


@contextmanager
def watched(browser: Browser, *homes: str, **settings: Any) -> Iterator[Page]:
    """An empty page in a context of its own with these settings of playwright's `new_context`, 1280 by 900 unless said.

    Everything asked for has to begin with one of `homes`, or be part of the page itself.
    """
    faults: list[str] = []
    context = browser.new_context(**{"viewport": VIEW, **settings})
    try:
        _watch(context, (*homes, *IN_THE_PAGE), faults)
        yield context.new_page()
        if faults:
            pytest.fail("\n".join(faults))
    finally:
        context.close()


@contextmanager
def opened(browser: Browser, address: str, **settings: Any) -> Iterator[Page]:
    """The page at an address, when all it asks for has arrived; it may ask for what its own server or disk has."""
    home = urlsplit(address)
    with watched(browser, f"{home.scheme}://{home.netloc}/", **settings) as page:
        page.goto(address)
        page.wait_for_load_state("networkidle")
        yield page


def _watch(context: BrowserContext, homes: tuple[str, ...], faults: list[str]) -> None:
    def note(is_fault: bool, text: str) -> None:
        if is_fault:
            faults.append(text)

    context.on(
        "console",
        lambda said: note(said.type in ("error", "warning"), f"{said.text} {said.location.get('url', '')}".strip()),
    )
    context.on("weberror", lambda found: note(True, str(found.error)))
    context.on("request", lambda asked: note(not asked.url.startswith(homes), f"asked for {asked.url}"))
    context.on("response", lambda got: note(got.status >= 400, f"{got.status} {got.url}"))
    context.on("dialog", lambda dialog: (note(True, f"dialog: {dialog.message}"), dialog.dismiss()))
