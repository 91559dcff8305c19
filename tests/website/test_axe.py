"""Every kind of page against the rules of axe-core, an independent checker of WCAG, in both schemes.

axe-core comes from the npm registry: `npm install --no-save --prefix FOLDER axe-core@4.10.3`; the variable AXE_CORE
names its `axe.min.js`. Nothing is fetched while testing.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from browser import opened, unavailable
from playwright.sync_api import Browser
from sites import ROOT

pytestmark = [pytest.mark.browser, pytest.mark.build]

LEVELS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa")
PAGES = {
    "a solo": "solos/lantern-on-the-slip.html",
    "a dense solo": "solos/rigging-lines.html",
    "the index": "solos/",
    "a technique": "by/technique/bend.html",
    "a device": "by/device/arpeggio.html",
    "a chord type": "by/chord/m7.html",
    "a written page": "",
}
RUN = """
async levels => (await axe.run(document, {runOnly: {type: 'tag', values: levels}})).violations.map(
  found => [found.id, found.help, found.nodes.slice(0, 3).map(node => `${node.target}: ${node.failureSummary}`)])
"""


@pytest.fixture(scope="module")
def axe() -> str:
    named = os.environ.get("AXE_CORE")
    path = Path(named) if named else ROOT / "node_modules" / "axe-core" / "axe.min.js"
    if not path.is_file():
        unavailable("axe-core is not installed: set AXE_CORE to its axe.min.js")
    return path.read_text(encoding="utf-8")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("kind", PAGES)
def test_axe_finds_no_violation(browser: Browser, served_demo: str, axe: str, kind: str, scheme: str) -> None:
    with opened(browser, f"{served_demo}/{PAGES[kind]}", color_scheme=scheme) as page:
        page.evaluate("for (const folded of document.querySelectorAll('.md-content details')) folded.open = true")
        note = page.locator(".tt-tab .note .fret")
        if note.count():
            note.nth(3).click(force=True)
            assert page.locator(".tt-known").is_visible()
        page.evaluate(axe)
        assert page.evaluate(RUN, list(LEVELS)) == []
