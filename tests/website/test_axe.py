"""Every kind of page against the rules of axe-core, an independent checker of WCAG, in both schemes.

axe-core comes from the npm registry: `npm install --no-save --prefix FOLDER axe-core@4.10.3`; the variable AXE_CORE
names its `axe.min.js`. Nothing is fetched while testing.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright
from sites import ROOT, served, write_demo

from tabtools.website.build import build_site

pytestmark = [pytest.mark.browser, pytest.mark.build]

ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
LEVELS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa")
PAGES = {
    "a solo": "solos/lantern-on-the-slip/",
    "a dense solo": "solos/rigging-lines/",
    "the index": "solos/",
    "a technique": "by/technique/bend/",
    "a device": "by/device/arpeggio/",
    "a chord type": "by/chord/m7/",
    "a written page": "",
}
RUN = """
async levels => (await axe.run(document, {runOnly: {type: 'tag', values: levels}})).violations.map(
  found => [found.id, found.help, found.nodes.slice(0, 3).map(node => `${node.target}: ${node.failureSummary}`)])
"""


def missing(what: str) -> None:
    """Stops where the tests have to run, passes them over elsewhere."""
    if os.environ.get("CI"):
        pytest.fail(what)
    pytest.skip(what)


@pytest.fixture(scope="module")
def axe() -> str:
    named = os.environ.get("AXE_CORE")
    path = Path(named) if named else ROOT / "node_modules" / "axe-core" / "axe.min.js"
    if not path.is_file():
        missing("axe-core is not installed: set AXE_CORE to its axe.min.js")
    return path.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def browser(axe: str) -> Iterator[Browser]:
    chromium = shutil.which("chromium")
    if chromium is None:
        missing("chromium is not installed")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def site(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served(build_site(write_demo(tmp_path_factory.mktemp("demo")))) as address:
        yield address


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("kind", PAGES)
def test_axe_finds_no_violation(browser: Browser, site: str, axe: str, kind: str, scheme: str) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 900}, color_scheme=scheme)
    page = context.new_page()
    page.goto(f"{site}/{PAGES[kind]}")
    page.wait_for_load_state("networkidle")
    page.evaluate("for (const folded of document.querySelectorAll('.md-content details')) folded.open = true")
    note = page.locator(".tt-tab .note .fret")
    if note.count():
        note.nth(3).click(force=True)
        assert page.locator(".tt-known").is_visible()
    page.evaluate(axe)
    assert page.evaluate(RUN, list(LEVELS)) == []
    context.close()
