"""A page against the rules of axe-core, an independent checker of WCAG.

axe-core comes from the npm registry: `npm install --no-save --prefix FOLDER axe-core@4.10.3`; the variable AXE_CORE
names its `axe.min.js`. Nothing is fetched while testing.
"""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path

from browser import unavailable
from playwright.sync_api import Page
from sites import ROOT

LEVELS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa")
BESIDES = ("target-size", "aria-dialog-name")
"""Rules of axe-core that have to be asked for: WCAG 2.2, 2.5.8, and names of dialogs, 4.1.2."""

TO_THE_TOP = """
async () => {
  scrollTo(0, 0);
  for (const panel of document.querySelectorAll('.tt-known')) panel.style.position = 'static';
  for (let frame = 0; frame < 4; frame++) {
    await new Promise(requestAnimationFrame);
    for (const one of document.getAnimations()) if (one.effect.getTiming().iterations !== Infinity) one.finish();
  }
}
"""

RUN = """
async ([within, levels, besides]) => (await axe.run(within, {
  resultTypes: ['violations'],
  runOnly: {type: 'tag', values: levels},
  rules: Object.fromEntries(besides.map(rule => [rule, {enabled: true}])),
})).violations.map(
  found => [found.id, found.help, found.nodes.slice(0, 3).map(node => `${node.target}: ${node.failureSummary}`)])
"""
BACK = "for (const panel of document.querySelectorAll('.tt-known')) panel.style.position = ''"


def violations(page: Page, within: str = "html") -> list[list[str]]:
    """What axe-core finds on a page as it stands, or in a part of it: rule, what it asks for, the first places.

    It looks from the top, so that no field lies half under the buttons that stay in sight while the page is scrolled,
    with the panel of a chosen note in its place and not over what lies at the foot of the window, and when nothing
    fades in or out any more.
    """
    page.evaluate(TO_THE_TOP)
    if not page.evaluate("'axe' in globalThis"):
        page.evaluate(_axe())
    found = page.evaluate(RUN, [within, LEVELS, BESIDES])
    page.evaluate(BACK)
    return found


@cache
def _axe() -> str:
    named = os.environ.get("AXE_CORE")
    path = Path(named) if named else ROOT / "node_modules" / "axe-core" / "axe.min.js"
    if not path.is_file():
        unavailable("axe-core is not installed: set AXE_CORE to its axe.min.js")
    return path.read_text(encoding="utf-8")
