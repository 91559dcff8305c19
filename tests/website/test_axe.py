"""Every kind of page against axe-core, an independent checker of WCAG, and by keyboard, wide and narrow."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from accessible import violations
from browser import opened
from playwright.sync_api import Browser, Page
from thoroughness import IS_THOROUGH, crossed

pytestmark = [pytest.mark.browser, pytest.mark.build]

WIDTHS = (1280, 320)
"""A desk, and the width at which WCAG 2.2, 1.4.10 asks for a page without scrolling sideways."""

SCHEMES = ("light", "dark")
"""Tab leads through a light page on a desk, through a dark one where it is narrow."""

MOST_STOPS = 400
PAGES = {
    "a solo": "solos/lantern-on-the-slip.html",
    "a dense solo": "solos/rigging-lines.html",
    "the index": "solos/",
    "a technique": "by/technique/bend.html",
    "a device": "by/device/arpeggio.html",
    "a chord type": "by/chord/m7.html",
    "home": "",
    "a written page": "format.html",
    "the checks": "checks/",
    "a wrong address": "404.html",
}
OF_CORRECTED = {
    "a history": "solos/becalmed.html",
    "the corrections": "by/time/corrections.html",
    "a draft": "solos/dusk.html",
}
"""Pages of the small site with corrections and a draft."""

KINDS = (*PAGES, *OF_CORRECTED)
NOT_ALONE = ("a solo",)
"""With a push, what the dense solo, the history and the draft have as well is not looked at once more."""

CUT_OFF = """
() => {
  const scrolls = one => /auto|scroll/.test(getComputedStyle(one).overflowX);
  const isRegion = one => one.matches('[role=region][aria-label]') && scrolls(one);
  const inRegion = one => one && (isRegion(one) || inRegion(one.parentElement));
  const isClipped = one => one.matches('.tt-bar g, .tt-bar .wavy, .tt-bar .wavy *');
  const out = [...document.querySelectorAll('.md-content *')].filter(one => {
    if (isClipped(one)) return false;
    const box = one.getBoundingClientRect();
    return box.width > 1 && box.height > 1 && (box.right > innerWidth + 1 || box.left < -1) && !inRegion(one);
  });
  return out.map(one => `${one.tagName} ${one.getAttribute('class')} ${one.textContent.slice(0, 20)}`);
}
"""
FOCUSED = """
async () => {
  const one = document.activeElement;
  if (one === document.body) return null;
  const after = one.nextElementSibling, showing = [one];
  if (one.type === "radio" && after?.matches("label")) showing.push(after);
  const look = () => showing.map(part => {
    const style = getComputedStyle(part);
    return [style.outlineStyle, style.outlineWidth, style.boxShadow, style.backgroundColor, style.color].join();
  }).join(';');
  const isThere = part => {
    const box = part.getClientRects()[0] ?? part.getBoundingClientRect();
    const left = Math.max(box.left, 0), right = Math.min(box.right, innerWidth);
    const top = Math.max(box.top, 0), bottom = Math.min(box.bottom, innerHeight);
    return [0.1, 0.5, 0.9].some(across => [0.1, 0.5, 0.9].some(down => {
      const found = document.elementFromPoint(left + across * (right - left), top + down * (bottom - top));
      return found && part.contains(found);
    }));
  };
  if (!showing.some(isThere)) await new Promise(resolve => setTimeout(resolve, 300));
  const isSeen = showing.some(isThere), focused = look(), hasCaret = one.matches("input[type=text]");
  one.blur();
  return [one.outerHTML.slice(0, 100), hasCaret || focused !== look(), isSeen];
}
"""
LEFT_OPEN = """
document.querySelectorAll('.md-toggle:checked, .md-content details[open], .tt-known:not([hidden])').length
"""
AT_ONCE = "*, *::before, *::after { transition: none !important }"
BROKEN = """<!doctype html><html lang="en"><title>Broken</title>
<div role="dialog">No name</div><img src="data:,"><p style="color: #aaa; background: #fff">Pale</p>
<button style="width: 9px; height: 9px">a</button><button style="width: 9px; height: 9px">b</button>
<p>Words and a <a href="#" style="text-decoration: none; color: #333">link</a> among them.</p>
"""


OPENED = [pair for pair in crossed(KINDS, SCHEMES) if IS_THOROUGH or pair[0] not in NOT_ALONE]
"""Kinds of pages, each in both schemes; with a push in one of them."""


@pytest.fixture(scope="module")
def page(browser: Browser, request: pytest.FixtureRequest) -> Iterator[Page]:
    """A page of a kind in the colours of a scheme, opened once."""
    kind, scheme = request.param
    if kind in OF_CORRECTED:
        address = f"{request.getfixturevalue('served_corrected')}/{OF_CORRECTED[kind]}"
    else:
        address = f"{request.getfixturevalue('served_demo')}/{PAGES[kind]}"
    with opened(browser, address, color_scheme=scheme) as page:
        page.add_style_tag(content=AT_ONCE)
        yield page


def test_axe_finds_what_is_broken(browser: Browser, tmp_path: Path) -> None:
    file = tmp_path / "broken.html"
    file.write_text(BROKEN, encoding="utf-8")
    with opened(browser, file.as_uri()) as page:
        found = {rule for rule, *_ in violations(page)}
    assert found == {"aria-dialog-name", "color-contrast", "image-alt", "link-in-text-block", "target-size"}


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("a history", "suggested by Nell Quayle"),
        ("the corrections", "suggested by Nell Quayle"),
        ("a draft", "What is still to be mended"),
    ],
)
def test_what_is_looked_at_is_there(corrected: Path, kind: str, words: str) -> None:
    assert words in (corrected / OF_CORRECTED[kind]).read_text(encoding="utf-8")


@pytest.mark.parametrize("page", OPENED, indirect=True, ids="-".join)
def test_tab_leads_visibly_through_the_page(page: Page, request: pytest.FixtureRequest) -> None:
    """WCAG 2.2: no keyboard trap (2.1.2), focus visible (2.4.7) and not obscured (2.4.11)."""
    _, scheme = request.node.callspec.params["page"]
    page.set_viewport_size({"width": WIDTHS[SCHEMES.index(scheme)], "height": 700})
    left_open = page.evaluate(LEFT_OPEN)
    stops = []
    for _ in range(MOST_STOPS):
        page.keyboard.press("Tab")
        stop = page.evaluate(FOCUSED)
        if stop is None:
            break
        stops.append(stop)
    else:
        pytest.fail(f"Tab does not leave the page: {stops[-3:]}")
    assert len(stops) > 3
    assert [name for name, is_marked, is_seen in stops if not (is_marked and is_seen)] == []
    assert page.evaluate(LEFT_OPEN) == left_open


@pytest.mark.parametrize("page", OPENED, indirect=True, ids="-".join)
def test_a_page_breaks_no_rule_wide_or_narrow(page: Page, request: pytest.FixtureRequest) -> None:
    kind, _ = request.node.callspec.params["page"]
    note = page.locator(".tt-tab .note .fret")
    if note.count():
        note.nth(3).click(force=True)
        assert page.locator(".tt-known").is_visible()
    page.evaluate("for (const folded of document.querySelectorAll('.md-content details')) folded.open = true")
    for width in WIDTHS if IS_THOROUGH else WIDTHS[KINDS.index(kind) // 2 % 2 :][:1]:
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.evaluate(CUT_OFF) == []
        assert violations(page) == []
