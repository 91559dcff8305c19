"""A solo on paper: every sheet is well filled but the last one, which is not nearly empty."""

from __future__ import annotations

import re

import pytest
from browser import opened
from drawn import SOLOS
from playwright.sync_api import Browser
from printed_sheets import feet_of
from thoroughness import IS_THOROUGH

pytestmark = [pytest.mark.browser, pytest.mark.build]

HEADER = 44.0
"""Points at the edges of a sheet that hold its title and number."""
PAPERS = {"A4": 0.6, "Letter": 0.5}
"""How far down every sheet but the last is printed at least: Letter is too low for three systems and a heading."""
SHORT = ("seven-piles", "A4")
"""What is printed with every push."""
PRINTED = [(path.stem, paper) for path in SOLOS for paper in PAPERS if IS_THOROUGH or (path.stem, paper) == SHORT]


@pytest.mark.parametrize(("slug", "paper"), PRINTED)
def test_every_sheet_is_well_filled_or_ends_the_solo(browser: Browser, served_demo: str, slug: str, paper: str) -> None:
    with opened(browser, f"{served_demo}/solos/{slug}.html") as page:
        feet = feet_of(page.pdf(format=paper, prefer_css_page_size=True), HEADER)
        page.emulate_media(media="print")
        fonts = page.locator("article :is(h1, h2, h3)").evaluate_all(
            "(all) => all.filter((one) => one.checkVisibility()).map((one) => getComputedStyle(one).fontFamily)"
        )
        said = page.locator("article").inner_text()
        last = page.locator(".tt-gist li:nth-last-child(2)").evaluate(
            "(one) => getComputedStyle(one, '::after').content"
        )
        masks = page.locator(".tt-side").evaluate("(side) => getComputedStyle(side).maskImage")
    assert len(feet) > 1
    assert all(foot > PAPERS[paper] for foot in feet[:-1]), feet
    assert len(feet) == 2 or (slug, paper) != SHORT
    assert feet[-1] > 0.1, feet
    assert len(set(fonts)) == 1
    assert said.count("Rights") == 1 and re.findall(r"\s[,.;]", said) == []
    assert (masks, last) == ("none", "none")
