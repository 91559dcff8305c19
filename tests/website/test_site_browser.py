"""The built demo site in a real browser: nothing fails, nothing leaves the site, nothing overlaps or overflows."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from browser import opened
from drawn import ROOT, SLACK, SOLOS, timeline
from playwright.sync_api import Browser, Page
from sites import GOOD, built, served
from thoroughness import crossed

pytestmark = [pytest.mark.browser, pytest.mark.build]

LARGE = {"width": 1600, "height": 900}
"""Four ordinary bars beside a lesson."""
SLUGS = [path.stem for path in SOLOS]
CONTRAST = 4.5
"""WCAG 2.2, 1.4.3: text of ordinary size."""

INK_BOXES = """
() => [...document.querySelectorAll('.tt-bar')].map(bar => [...bar.querySelectorAll('text')].map(text => {
  const size = parseFloat(getComputedStyle(text).fontSize), box = text.getBBox(), at = text.getScreenCTM();
  const base = parseFloat(text.getAttribute('y') || 0), low = /[gjpqyQ(),/|]/.test(text.textContent) ? 0.2 : 0;
  return {text: text.textContent, bar: bar.id, left: box.x + at.e, right: box.x + box.width + at.e,
          top: base - 0.73 * size + at.f, bottom: base + low * size + at.f};
}))
"""

ROOM_OFF = """
() => [...document.querySelectorAll(".tt-bars")].map(one => {
  const high = isThere => one.classList.toggle("tt-there", isThere) === isThere && one.offsetHeight;
  return high(false) - high(true);
})
"""

COLOURS = """
() => {
  const paper = getComputedStyle(document.body).backgroundColor;
  const shown = new Set();
  for (const text of document.querySelectorAll('.tt-bar text, .tt-facts dt, .tt-facts dd, .tt-lesson p, .tt-claim'))
    shown.add(text instanceof SVGElement ? getComputedStyle(text).fill : getComputedStyle(text).color);
  return [paper, ...shown];
}
"""


WAYS = ((1280, "light"), (320, "dark"))


@pytest.fixture(scope="module")
def solo(browser: Browser, served_demo: str, request: pytest.FixtureRequest) -> Iterator[Page]:
    """The page of a solo, opened once in a width and a scheme."""
    slug, (width, scheme) = request.param
    view = {"width": width, "height": 900}
    with opened(
        browser, f"{served_demo}/solos/{slug}.html", viewport=view, color_scheme=scheme, reduced_motion="reduce"
    ) as page:
        yield page


of_every_solo = pytest.mark.parametrize("solo", crossed(SLUGS, WAYS), indirect=True, ids=lambda given: given[0])


@of_every_solo
def test_a_page_loads_without_faults_fits_and_overlaps_nowhere(solo: Page) -> None:
    assert solo.evaluate("document.documentElement.scrollWidth <= innerWidth")
    measured = solo.evaluate(INK_BOXES)
    overlaps = []
    assert sum(map(len, measured)) > 100
    for boxes in measured:
        for place, one in enumerate(boxes):
            for other in boxes[place + 1 :]:
                across = min(one["right"], other["right"]) - max(one["left"], other["left"])
                down = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
                if across > SLACK and down > SLACK:
                    overlaps.append((one["bar"], one["text"], other["text"]))
    assert overlaps == []


@of_every_solo
def test_everything_printed_can_be_told_from_the_paper(solo: Page) -> None:
    paper, *inks = solo.evaluate(COLOURS)
    assert (luminance(paper) < 0.2) == solo.evaluate("matchMedia('(prefers-color-scheme: dark)').matches")
    assert [ink for ink in inks if contrast(ink, paper) < CONTRAST] == []


@of_every_solo
def test_every_demo_solo_can_be_played(solo: Page, request: pytest.FixtureRequest) -> None:
    slug, _ = request.node.callspec.params["solo"]
    bars = len(timeline((ROOT / "transcriptions" / f"{slug}.solo").read_text(encoding="utf-8")).bars)
    assert solo.locator(".tt-tab .tt-bar").count() == bars
    solo.evaluate("Object.assign(tabtools.practice.player, { metronome: true, counting: 'none' })")
    solo.locator('.tt-practice [data-do="play"]').click()
    solo.wait_for_function("tabtools.practice.player.place >= 400")
    for bar in range(0, bars, 5):
        solo.evaluate("(bar) => tabtools.practice.goTo(tabtools.practice.score.bars[bar].start)", bar)
        assert solo.locator(".tt-tab .tt-bar").nth(bar).locator(".tt-cursor").count() == 1


DRESS = """
() => {
  const style = one => getComputedStyle(document.querySelector(one));
  return [style("body").backgroundColor, style("h1").fontFamily, style("h1").color, style(".md-header").borderBottom,
          style(".md-header").backgroundColor, style(".md-header").boxShadow,
          style("article a[href]:not(.headerlink)").color,
          document.querySelector("link[rel=icon]").href.split("/").at(-1)];
}
"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_all_kinds_of_pages_wear_one_dress(browser: Browser, served_demo: str, scheme: str) -> None:
    with opened(browser, f"{served_demo}/solos/becalmed.html", color_scheme=scheme) as page:
        dress = page.evaluate(DRESS)
        for other in ("", "solos/", "by/chord/m7.html", "format.html", "checks/"):
            page.goto(f"{served_demo}/{other}")
            assert page.evaluate(DRESS) == dress


@pytest.mark.parametrize("path", ["", "solos/"])
def test_the_other_pages_load_without_faults_and_fit(browser: Browser, served_demo: str, path: str) -> None:
    with opened(browser, f"{served_demo}/{path}") as page:
        for width in (1280, 320):
            page.set_viewport_size({"width": width, "height": 900})
            assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.fixture(scope="module")
def large(browser: Browser, served_demo: str) -> Iterator[Page]:
    with opened(browser, f"{served_demo}/solos/lantern-on-the-slip.html", viewport=LARGE) as page:
        yield page


def test_systems_are_as_wide_as_the_page(large: Page) -> None:
    rows = large.evaluate(
        "() => [...document.querySelectorAll('.tt-bars')].map(bars => {"
        " const rows = {}; for (const bar of bars.querySelectorAll('.tt-bar')) {"
        "  const box = bar.getBoundingClientRect(); (rows[box.top] ??= []).push(box); }"
        " const whole = bars.getBoundingClientRect();"
        " return Object.values(rows).map(row => [row.length, row.at(-1).right - whole.left, whole.width]); })"
    )
    for system in (row for section in rows for row in section):
        bars, reached, width = system
        assert bars == 4
        assert width - 4 < reached <= width


def test_systems_come_after_the_scripts_into_room_that_was_kept(browser: Browser, served_demo: str) -> None:
    with opened(browser, f"{served_demo}/solos/lantern-on-the-slip.html", viewport=LARGE) as page:
        page.wait_for_function("!document.querySelector('.tt-later .tt-bars:not(.tt-there)')")
        for at, width in enumerate((1600, 700, 390)):
            page.set_viewport_size({"width": width, "height": 900})
            off = page.evaluate(ROOM_OFF)
            assert len(off) > 2
            assert all(-2 <= one <= (2, 30, 70)[at] for one in off), (width, off)
        assert page.locator(".tt-piece > script").count() > 8
        assert page.locator(".tt-standard").count() == 0


def test_a_claim_leads_to_its_note(large: Page) -> None:
    claim = large.locator(".tt-claim").first
    target = claim.get_attribute("href")
    claim.click()
    assert target is not None
    note = large.locator(f"[id='{target[1:]}']")
    assert note.evaluate("element => element.matches(':target')")
    box = note.bounding_box()
    assert box is not None
    assert 60 < box["y"] < 900


def test_the_tab_can_be_reached_and_read(large: Page) -> None:
    bar = large.get_by_role("group", name="Bar 1, Am", exact=True)
    assert bar.locator(".tt-reading").inner_text().startswith("Count 1: string 3 fret 7 bent to 9, E4, the fifth;")
    assert large.get_by_role("region", name="Tab", exact=True).count() == 1


def test_hostile_text_runs_nowhere(browser: Browser, tmp_path: Path) -> None:
    hostile = "<img src=x onerror=alert(1)><svg onload=alert(2)><script>alert(3)</script>"
    solo = "draft: yes\n" + GOOD.format(title=hostile).replace("player: B", f"player: {hostile}")
    solo = solo.replace("bar 1  Am", f"section A  {hostile}\n\nbar 1  A<script>alert(4)</script>")
    lesson = f"{hostile}\n\n[a](javascript:alert(5))\n\n`@1.1 {hostile}`\n"
    with served(built(tmp_path, {"one.solo": solo, "one.md": lesson})) as address:
        for path in ("solos/one/", "solos/"):
            with opened(browser, f"{address}/{path}") as page:
                assert "<script>alert(3)" in page.locator("main").inner_text()


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    values = [float(part) for part in colour[colour.index("(") + 1 : -1].replace("/", ",").split(",")][:3]
    shares = [value / 255 for value in values]
    linear = [share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares]
    return sum(weight * share for weight, share in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


A4, LETTER = 718, 741
"""What is printed across, in pixels: 210 and 215.9 millimetres less 10 on either side."""


@pytest.mark.parametrize(
    ("slug", "across", "width"),
    [
        (slug, across, width)
        for (slug, across), width in crossed(
            [("foghorn-shuffle", 2), ("lantern-on-the-slip", 2), ("rigging-lines", 1)], (A4, LETTER)
        )
    ],
)
def test_paper_has_two_ordinary_bars_across(
    browser: Browser, served_demo: str, slug: str, across: int, width: int
) -> None:
    with opened(browser, f"{served_demo}/solos/{slug}.html", color_scheme="dark") as page:
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(media="print", color_scheme="dark")
        rows = page.evaluate(
            "() => { const rows = {}; for (const bar of document.querySelectorAll('.tt-tab .tt-bar')) {"
            " const box = bar.getBoundingClientRect(); (rows[Math.round(box.bottom)] ??= []).push(box); }"
            " return Object.values(rows).map(row => [row.length, row.at(-1).right]); }"
        )
        assert {bars for bars, _ in rows} <= {across, 2}
        assert rows[0][0] == across
        assert max(right for _, right in rows) <= width
        assert page.evaluate("getComputedStyle(document.querySelector('.tt-bar .fret')).fill") == "rgb(0, 0, 0)"
        for gone in (
            ".tt-transport",
            ".tt-cursor",
            ".tt-known",
            ".tt-strain",
            ".tt-in-words",
            ".tt-history",
            ".tt-suggest",
        ):
            assert page.locator(gone).first.is_hidden()
