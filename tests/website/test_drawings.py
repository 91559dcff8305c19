"""Drawings are kept from the search, and stand on the finished page."""

from __future__ import annotations

from tabtools.website.drawings import Drawings

PAGE = '<p>bar 5</p><svg class="a"><text>13</text></svg><p>bar 6</p>\n<svg>\n<path/></svg>'


def test_a_page_is_read_without_its_drawings_and_shown_with_them() -> None:
    drawings = Drawings()
    assert drawings.taken_out("by/bend.md", PAGE) == "<p>bar 5</p><p>bar 6</p>\n"
    assert drawings.put_back("by/bend.md", "<p>bar 5</p><p>bar 6</p>\n") == PAGE


def test_a_page_without_drawings_stays_as_others_make_it() -> None:
    drawings = Drawings()
    assert drawings.taken_out("index.md", "<p>home</p>") == "<p>home</p>"
    assert drawings.put_back("index.md", "<p>home, shortened</p>") == "<p>home, shortened</p>"
