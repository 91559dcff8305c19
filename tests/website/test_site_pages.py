"""Pages and lessons as HTML: what contributors write arrives as text, or not at all."""

from __future__ import annotations

import re
from collections.abc import Collection
from html.parser import HTMLParser

import pytest

from tabtools.checks import ALL_CHECKS
from tabtools.checks.run import lint
from tabtools.checks.subject import Subject, subject_of
from tabtools.source import from_text
from tabtools.study.labels import labels_of
from tabtools.website.check_reference import check_page, checks_index
from tabtools.website.facets import facets_of
from tabtools.website.index_page import solos_index
from tabtools.website.links import Links
from tabtools.website.solo_page.lesson import LessonError, render_lesson
from tabtools.website.solo_page.page import TAB_HERE, SoloPage, solo_page
from tabtools.website.solo_page.tab import late_bars
from tabtools.website.solo_page.tab_in_words import bar_in_words, note_in_words

HOSTILE = "<img src=x onerror=alert(1)><script>alert(2)</script><svg onload=alert(3)>\"'&amp;{{ 7*7 }}"
SOLO = """title: {title}
player: {title}
recording: {title}
rights: {title}
summary: {title}
tags: {title}, rock
tuning: drop D
capo: 2
key: Bb major
meter: 12/8 in 4
tempo: 96
feel: swing 2:1
reference: 442

section A  {title}

bar 1  Am
1-4  3:5 h7 3:9?4:14

passage 1.1-1.2  {title}
"""
FORBIDDEN = ("script", "style", "img", "iframe", "object", "embed", "form", "input", "link", "base")
CONTROLS = ("form", "input")
LINKS = Links(directory_urls=True, solos=frozenset({"other"}))


class Elements(HTMLParser):
    """The elements of a page and their attributes."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


def subject(text: str = SOLO, title: str = "A Title") -> Subject:
    return subject_of(from_text(text.replace("{title}", title), "case.solo"))


def page(title: str = "A Title", lesson: str | None = None, text: str = SOLO) -> SoloPage:
    source = None if lesson is None else from_text(lesson, "case.md")
    return solo_page("case", subject(text, title), source, [], LINKS)


def rendered(lesson: str) -> str:
    return render_lesson(from_text(lesson, "case.md"), lambda text: None, LINKS.seen_from("solos/dusk"))


RUNNING_TITLE = (
    r'<style media="print">@page\{@top-left\{color:#444;content:"[A-Za-z0-9\\ ]*";font:8pt sans-serif\}\}'
    r'@page:first\{@top-left\{content:""\}\}</style>'
)


def assert_harmless(html: str, ours: Collection[str] = ()) -> None:
    """No element or attribute that could run or fetch anything; `ours` are elements the page brings itself.

    A script element that holds data is never run, the one style is the rule for the title on paper, and the one script
    is ours.
    """
    html = re.sub(RUNNING_TITLE, "", html, count=1).replace(str(late_bars()), "", 1)
    for tag, attributes in Elements(html).found:
        assert tag in ours or tag not in FORBIDDEN or attributes.get("type") in ("application/json", "image/svg+xml")
        for name, value in attributes.items():
            assert not name.startswith("on")
            assert name != "src"
            if name == "href" and tag != "use":
                assert not re.match(r"\s*(javascript|data|vbscript):", value or "", re.IGNORECASE)


def test_facts_of_a_solo() -> None:
    text = re.sub(r"<[^>]+>", " ", page().body)
    for fact in (
        "Tuning drop D (D2 A2 D3 G3 B3 E4)",
        "Capo fret 2, frets counted from it",
        "Key B♭ major",
        "Meter 12/8 in 4",
        "Tempo 96 dotted quarters a minute",
        "Feel swing 2:1",
        "Reference A4 = 442 Hz",
        "Still open 1 uncertain reading",
        "Length 1 bar, 0:02",
    ):
        assert fact in " ".join(text.split()), fact
    assert TAB_HERE in page().body


def test_hostile_titles_names_and_summaries_arrive_as_text() -> None:
    found = page(HOSTILE)
    whole = found.body + found.controls + found.tab
    assert_harmless(whole, ours=CONTROLS)
    assert "&lt;script&gt;" in whole
    listed = solos_index([facets_of("case", subject(title=HOSTILE))], LINKS)
    assert_harmless(listed, ours=CONTROLS)


def test_hostile_chords_arrive_as_text() -> None:
    found = page(text=SOLO.replace("bar 1  Am", "bar 1  A<script>alert(1)</script>"))
    assert_harmless(found.tab, ours=CONTROLS)
    assert "A&lt;script&gt;" in found.tab


@pytest.mark.parametrize(
    "lesson",
    [
        HOSTILE,
        "[a](javascript:alert(1))",
        "[a](JaVaScRiPt:alert(1))",
        "[a](data:text/html,<script>alert(1)</script>)",
        "![a](https://example.org/a.png)",
        "![a](a.png)",
        '<a href="javascript:alert(1)">a</a>',
        '<a href="//example.org" onclick="alert(1)">a</a>',
        "<style>body{display:none}</style>",
        '<p style="position:fixed">a</p>',
        '<div id="b1.1" class="tt-tab">a</div>',
        "<iframe src=https://example.org></iframe>",
        '<form action="https://example.org"><input></form>',
        "<base href=https://example.org>",
        "`@1.1 <img src=x onerror=alert(1)>`",
        "<math><mtext><table><mglyph><style><img src=x onerror=alert(1)>",
        "```\n<script>alert(1)</script>\n```",
        "# <script>alert(1)</script>",
        "[a]: javascript:alert(1)\n\n[a]",
        "<code>@1.1 </code><script>alert(1)</script>",
    ],
)
def test_hostile_lessons_are_harmless(lesson: str) -> None:
    html = rendered(lesson)
    assert_harmless(html)
    assert 'id="b1' not in html
    assert "style" not in html.replace("&lt;style", "")


def test_links_of_a_lesson() -> None:
    assert 'href="https://example.org"' in rendered("[a](https://example.org)")
    assert 'href="../other/"' in rendered("[a](other.md)")
    assert 'href="../other/#b1.1"' in rendered("[a](other.solo#b1.1)")
    assert "href" not in rendered("[a](missing.md)")
    assert "href" not in rendered("[a](../../secret)")
    assert 'href="#b1.2"' in rendered("[a](#b1.2)")


def test_headings_of_a_lesson_stand_below_its_own() -> None:
    html = rendered("# The Title\n\nText.\n\n## A part\n\n### Smaller\n")
    assert "The Title" not in html
    assert '<h2 id="lesson-a-part">A part</h2>' not in html
    assert '<h3 id="lesson-a-part">A part</h3>' in html
    assert '<h4 id="lesson-smaller">Smaller</h4>' in html


@pytest.mark.parametrize("lesson", ["[" * 20_000, "<a " * 20_000, "a" * 70_000, "\n" * 6_000, "+ " * 4_000])
def test_a_lesson_beyond_reason_is_refused(lesson: str) -> None:
    with pytest.raises(LessonError):
        rendered(lesson)


def test_claims_become_links_into_the_tab() -> None:
    body = page(lesson="First `@1.1.2 D4, 4 of Am`, then `@1 7 notes` and `@1.1`; `@1.2 as 1.1 an octave higher`.").body
    links = re.findall(r'<a class="tt-claim" href="#([^"]+)" data-notes="[^"]+">(.*?)</a>', body)
    text = [(href, re.sub(r"<[^>]+>", "", words).replace("&nbsp;", " ")) for href, words in links]
    assert text == [
        ("b1.1.2", "D4, 4 of Am bar 1"),
        ("b1", "7 notes bar 1"),
        ("b1.1", "bar 1, count 1"),
        ("b1.1", "as bar 1 up an octave bar 1"),
    ]
    anchors = page().anchors.values()
    assert all(href in anchors for href, _ in links)


@pytest.mark.parametrize("claim", ["@9.1 B3", "@1.1.9 B3", "@nonsense", "@"])
def test_a_claim_that_leads_nowhere_stays_code(claim: str) -> None:
    assert "tt-claim" not in page(lesson=f"See `{claim}` here.").body


def test_a_draft_lists_what_is_to_be_mended() -> None:
    text = SOLO.replace("bar 1  Am", "bar 1  A&lt;").replace("meter:", "draft: yes\nmeter:")
    own = subject(text)
    found = solo_page("case", own, None, lint([own]), LINKS)
    assert "Draft" in found.body
    assert 'line 18, <a class="tt-place-link" href="#b1">bar 1</a>: ' in found.body


def test_a_draft_says_at_its_bars_what_it_cannot_draw() -> None:
    bars = "bar 1\n1-2  3:5\n3-4  !!\n\nbar 2\n1-4  3:7\n\nbar 3 like 1\n\nbar 4\n1-3  4:5\n"
    own = subject(f"draft: yes\nttle: A\nmeter: 4/4\n\n{bars}")
    found = solo_page("case", own, None, lint([own]), LINKS)
    assert re.findall(r'class="word from">([^<]+)<', found.tab) == ["incomplete"] * 2
    assert re.findall(r'aria-label="(Bar [^"]+)"', found.tab) == [
        "Bar 1, incomplete",
        "Bar 2",
        "Bar 3, incomplete",
        "Bar 4",
    ]
    lines = dict(re.findall(r"<li>line (\d+)(.*?): ", found.body))
    assert lines["2"] == ""
    assert lines["7"] == ', <a class="tt-place-link" href="#b1">bar 1</a>'
    assert lines["14"] == ', <a class="tt-place-link" href="#b4">bar 4</a>'


def test_bars_and_notes_in_words() -> None:
    bar = "bar 1  Am\n1-2  3:7b9 -\n3  4:<12>?5:7 h5\n4  5:x 2:0\n"
    timeline = subject(f"title: A\nkey: C major\nmeter: 4/4\n\n{bar}").timeline
    known = list(zip(timeline.notes, labels_of(timeline), strict=True))
    assert bar_in_words(timeline.bars[0], known) == (
        "Bar 1, Am",
        "Count 1: string 3 fret 7 bent to 9, E4, the fifth. "
        "Count 3: string 4 harmonic at fret 12 (not sure; perhaps string 5 fret 7), D4, the fourth; "
        "string 4 hammered to fret 5, G3, the flat seventh. "
        "Count 4: string 5 dead note; string 2 open, B3, the second.",
    )
    assert note_in_words(*known[0]) == "string 3 fret 7 bent to 9, E4, 4 to 5 of Am, 2 to 3 of the key"


def test_every_check_has_its_page() -> None:
    index = checks_index(ALL_CHECKS)
    for check in ALL_CHECKS:
        assert f"[{check.NAME}]({check.NAME}.md)" in index
        text = check_page(check)
        assert text.startswith(f"# {check.NAME}\n")
        assert "\nFails" in text or "Severity: remark" in text


def test_an_index_without_solos_says_so() -> None:
    assert "no solos yet" in solos_index([], LINKS)


@pytest.mark.parametrize(
    ("claim", "loops"),
    [("@1.1.1 C4", []), ("@1.1", []), ("@1.1-1.2", ["#b1.1-b1.2"]), ("@1", ["#b1-b1"])],
)
def test_what_a_lesson_says_of_a_passage_can_be_looped(claim: str, loops: list[str]) -> None:
    html = page(lesson=f"Listen: `{claim}`.").body
    assert re.findall(r'class="tt-loop" href="([^"]*)"', html) == loops
