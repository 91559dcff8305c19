"""Tab of what is not known yet, as a browser lays it out."""

from __future__ import annotations

import pytest
from browser import watched
from drawn import STYLESHEET, timeline
from playwright.sync_api import Browser

from tabtools.website.solo_page.tab import tab_html

pytestmark = pytest.mark.browser

UNHEARD = "\n\n".join(f"bar {number}\n1-4  ??" for number in range(1, 5)) + "\n"


def page_of(text: str) -> str:
    tab, _ = tab_html(timeline(text), shows_staff=True)
    return f"<!doctype html><style>{STYLESHEET.read_text(encoding='utf-8')}</style>{tab}"


def test_the_staves_of_a_system_stand_at_one_height_without_chords_as_well(browser: Browser) -> None:
    """The first bar has the tempo over it, the others have nothing."""
    with watched(browser) as page:
        page.set_content(page_of(UNHEARD))
        tops = page.locator(".tt-staff .string:first-of-type").evaluate_all(
            "lines => lines.map((line) => Math.round(line.getBoundingClientRect().top))"
        )
        assert len(tops) == 4
        assert len(set(tops)) == 1


def test_a_hatching_and_a_wave_end_where_they_should(browser: Browser) -> None:
    """Both are longer than any bar, and cut off, those of the staff as those of the tab."""
    with watched(browser) as page:
        page.set_content(page_of("bar 1\n1-2  3:5~\n3-4  ??\n"))
        clipped = page.locator(".unheard, .wavy").evaluate_all(
            "all => all.map((one) => getComputedStyle(one).overflow)"
        )
        assert clipped == ["hidden"] * 4
        assert page.evaluate("document.documentElement.scrollWidth") == 1280
