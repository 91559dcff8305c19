"""Chords, notes and degrees are written in one way on every page that is read."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from tabtools.website.typography import in_prose, in_prose_of

TYPED = re.compile(r"(?<![\w:.#/-])(?:bb?[2-7]|[A-G][b#](?![a-z])\d?)(?![\w:])|[A-G][♯♭]?dim7?\b")
PRINTED = re.compile(r"[♯♭]|[A-G]°")
AS_TYPED = frozenset({"code", "pre", "kbd", "script", "style", "textarea", "option"})
VOID = frozenset({"input", "br", "meta", "link", "img", "hr"})


class Read(HTMLParser):
    """What somebody reads or hears of a page, but for what is shown as one types it."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.texts: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in VOID:
            self.open.append(tag)
        self.texts += [value for name, value in attrs if name in ("aria-label", "title", "alt") and value]

    def handle_endtag(self, tag: str) -> None:
        if tag in self.open:
            del self.open[len(self.open) - 1 - self.open[::-1].index(tag) :]

    def handle_data(self, data: str) -> None:
        if AS_TYPED.isdisjoint(self.open):
            self.texts.append(data)


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("the b3 of F#m7, 2:7b9 and Bb/D", "the ♭3 of F♯m7, 2:7b9 and B♭/D"),
        ("Take #2 of Ebb and Flow, A and B", "Take #2 of Ebb and Flow, A and B"),
        ("D#dim7 and Am7b5, G7(b9,#11)", "D♯°7 and Am7♭5, G7(♭9,♯11)"),
        ("3:11=F#4 at A-b3", "3:11=F♯4 at A-b3"),
    ],
)
def test_names_are_printed_within_other_words(typed: str, printed: str) -> None:
    assert in_prose(typed) == printed


def test_code_and_tags_stay_as_they_are() -> None:
    assert in_prose_of('<a href="#b3" title="b3">b3 <code>b3 of F#7</code> b3</a>') == (
        '<a href="#b3" title="b3">♭3 <code>b3 of F#7</code> ♭3</a>'
    )


@pytest.mark.build
def test_no_page_writes_a_name_in_two_ways(demo: Path) -> None:
    mixed, typed = [], []
    for path in sorted(demo.rglob("*.html")):
        texts = Read(path.read_text(encoding="utf-8")).texts
        found = [text for text in texts if TYPED.search(text)]
        page = path.relative_to(demo)
        if found and any(PRINTED.search(text) for text in texts):
            mixed.append((str(page), found[:3]))
        if found and page.parts[0] in ("solos", "by"):
            typed.append((str(page), found[:3]))
    assert mixed == [] == typed
