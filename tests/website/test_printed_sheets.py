"""A solo on paper: no sheet is empty, none is nearly so but the last one."""

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
PAPERS = ("A4", "Letter")
SHORT = ("seven-piles", "A4")
"""What is printed with every push."""
PRINTED = [(path.stem, paper) for path in SOLOS for paper in PAPERS if IS_THOROUGH or (path.stem, paper) == SHORT]


@pytest.mark.parametrize(("slug", "paper"), PRINTED)
def test_every_sheet_is_printed_to_a_third_or_ends_the_solo(
    browser: Browser, served_demo: str, slug: str, paper: str
) -> None:
    with opened(browser, f"{served_demo}/solos/{slug}.html") as page:
        feet = feet_of(page.pdf(format=paper, prefer_css_page_size=True), HEADER)
        page.emulate_media(media="print")
        fonts = page.locator("article :is(h1, h2, h3)").evaluate_all(
            "(all) => all.filter((one) => one.checkVisibility()).map((one) => getComputedStyle(one).fontFamily)"
        )
        said = page.locator("article").inner_text()
        masks = page.locator(".tt-side").evaluate("(side) => getComputedStyle(side).maskImage")
    assert len(feet) > 1
    assert all(foot > 1 / 3 for foot in feet[:-1]), feet
    assert feet[-1] > 0.1, feet
    assert len(set(fonts)) == 1
    assert said.count("Rights") == 1 and re.findall(r"\s[,.;]", said) == []
    assert masks == "none"
