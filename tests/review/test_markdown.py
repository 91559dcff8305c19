"""Prose in Markdown: readable in a terminal as it stands, and never read as a sign of Markdown or of a host."""

from __future__ import annotations

from html import unescape

import pytest

from tabtools.reports.comparison import escaped


@pytest.mark.parametrize(
    "text",
    [
        "place decided: F#4 at 2:7",
        "at 0:50.7",
        "bar 3: C#m7 over F#",
        "place in the recording (bars 4 and 9)",
    ],
)
def test_prose_is_read_as_it_stands_in_markdown(text: str) -> None:
    assert escaped(text) == text


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("#12", "&#35;12"),
        ("see #9", "see &#35;9"),
        ("F#12", "F&#35;12"),
        ("ida/A#1", "ida/A&#35;1"),
        ("BADGE#1", "BADGE&#35;1"),
        ("# big", "&#35; big"),
        (":bug:", "&#58;bug:"),
        ("a 2:100: b", "a 2&#58;100: b"),
        ("1:+1:", "1&#58;+1:"),
        ("::1::", "&#58;&#58;1&#58;:"),
        ("http://a", "http&#58;//a"),
        ("mailto:ida", "mailto&#58;ida"),
        ("1://a", "1&#58;//a"),
        ("@ida <b> [x](y) ![] ~a~ $x$ a|b _c_ *d* `e` \\ &amp; {f}", None),
    ],
)
def test_what_markdown_would_read_otherwise_is_escaped(text: str, said: str | None) -> None:
    assert unescape(escaped(text)) == unescape(text.replace("&", "&amp;"))
    if said is None:
        assert not set("\\`*_{}[]<>@!|~$") & set(escaped(text))
    else:
        assert escaped(text) == said
