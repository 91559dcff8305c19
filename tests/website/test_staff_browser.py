"""The standard staff over the tab, as a browser shows and hides it."""

from __future__ import annotations

from pathlib import Path

import pytest
from browser import watched
from drawn import HEADER, ROOT, STYLESHEET
from playwright.sync_api import Browser, Page

from tabtools.checks.subject import subject_of
from tabtools.source import from_text
from tabtools.study import study_of
from tabtools.website.links import Links
from tabtools.website.scripts import SOLO_PAGE, joined
from tabtools.website.solo_page.note_records import in_words, known_html, label_switch
from tabtools.website.solo_page.page import CONTROLS_HERE, STUDY_HERE, TAB_HERE, solo_page
from tabtools.website.solo_page.paper import running_title
from tabtools.website.solo_page.practice import controls
from tabtools.website.solo_page.tab import tab_html

pytestmark = pytest.mark.browser

SHEETS = ("tabtools.css", "tab.css", "print.css")
STYLES = "".join(STYLESHEET.with_name(name).read_text(encoding="utf-8") for name in SHEETS)
BAR = "bar {number}  Am\n1  3:5 3:7 3:8\n2  2:5 1:5\n3-4  1:{fret}\n"
SOLO = HEADER.format(meter="4/4") + "\n".join(BAR.format(number=one, fret=8 + one) for one in range(1, 9))
"""Eight bars, each wide enough that four fill a line."""


def page_of(shows_staff: bool = False, text: str = SOLO) -> str:
    """The tab of a solo with its switches, as the site joins them, without the theme."""
    subject = subject_of(from_text(text, "case.solo"))
    timed = subject.timeline
    study = study_of(timed)
    tab, _ = tab_html(timed, study=study, shows_staff=shows_staff)
    return (
        f'<!doctype html><html lang="en"><meta charset="utf-8"><title>Staff</title><style>{STYLES}</style>'
        f'<article class="md-typeset">{controls(timed, label_switch(study))}{tab}{known_html(study, subject.hand)}'
        f"{in_words()}</article><script>{joined(SOLO_PAGE)}</script></html>"
    )


def seen(page: Page, part: str) -> int:
    """How many of these are seen."""
    return page.locator(part).locator("visible=true").count()


@pytest.mark.parametrize("shows_staff", [False, True])
def test_the_staff_is_shown_and_hidden_and_the_choice_is_kept(
    browser: Browser, tmp_path: Path, shows_staff: bool
) -> None:
    """With the staff the tab has no rhythm of its own; what the site shows at first, a reader's choice outdoes."""
    file = tmp_path / "solo.html"
    file.write_text(page_of(shows_staff), encoding="utf-8")
    with watched(browser, "file:") as page:
        for expected in (shows_staff, not shows_staff, not shows_staff):
            page.goto(file.as_uri())
            box = page.get_by_label("Staff", exact=True)
            if expected != box.is_checked():
                box.click()
            assert box.is_checked() == expected
            assert seen(page, ".tt-standard") == (8 if expected else 0)
            assert seen(page, ".tt-staff .rhythm") == (0 if expected else 8)
        page.reload()
        assert page.get_by_label("Staff", exact=True).is_checked() != shows_staff
        page.emulate_media(media="print")
        assert seen(page, ".tt-standard") == (0 if shows_staff else 8)


@pytest.mark.parametrize("width", [1280, 700, 390])
def test_heads_stand_over_their_frets_and_staves_of_a_line_at_one_height(browser: Browser, width: int) -> None:
    with watched(browser, viewport={"width": width, "height": 900}) as page:
        page.set_content(page_of(shows_staff=True))
        heads = page.locator(".tt-standard use[href^='#tt-note']").evaluate_all(
            "(all) => all.map((one) => { const box = one.getBoundingClientRect(); return box.x + box.width / 2; })"
        )
        frets = page.locator(".tt-staff .fret").evaluate_all(
            "(all) => all.map((one) => { const box = one.getBoundingClientRect(); return box.x + box.width / 2; })"
        )
        assert len(heads) == len(frets) == 48
        assert all(abs(head - fret) < 1.5 for head, fret in zip(heads, frets, strict=True))
        top = "(all) => all.map((one) => Math.round(one.getBoundingClientRect().top))"
        lines, bars = (page.locator(one).evaluate_all(top) for one in (".tt-standard use[href='#tt-lines']", ".tt-bar"))
        assert len(set(zip(bars, lines, strict=True))) == len(set(bars))


@pytest.mark.parametrize("width", [1280, 700, 320])
def test_one_line_at_the_left_joins_both_staves(browser: Browser, width: int) -> None:
    """It reaches from the top line of the staff to the lowest string, at the left end of both."""
    with watched(browser, viewport={"width": width, "height": 900}) as page:
        page.set_content(page_of(shows_staff=True))
        off = page.locator(".tt-piece").evaluate_all(
            """(all) => all.flatMap((piece) => {
              const line = getComputedStyle(piece, "::before"), own = piece.getBoundingClientRect();
              const [left, top, bottom] = [line.left, line.top, line.bottom].map(parseFloat);
              const at = (part) => piece.querySelector(part).getBoundingClientRect();
              const strings = [...piece.querySelectorAll(".tt-staff .string")];
              const lowest = Math.max(...strings.map((one) => one.getBoundingClientRect().top));
              const lines = at(".tt-standard [href='#tt-lines']"), head = at(".tt-standard [href='#tt-head']");
              return [own.left + left - head.left, own.top + top - lines.top, own.bottom - bottom - lowest];
            })"""
        )
    assert len(off) >= 24
    assert all(abs(one) < 1.6 for one in off), off


@pytest.mark.parametrize("shows_staff", [False, True])
def test_the_narrowest_page_need_not_be_moved_sideways(browser: Browser, shows_staff: bool) -> None:
    """320 pixels (WCAG 2.2, 1.4.10). This solo has four sharps and wide bars."""
    text = (ROOT / "transcriptions" / "becalmed.solo").read_text(encoding="utf-8")
    with watched(browser, viewport={"width": 320, "height": 900}) as page:
        page.set_content(page_of(shows_staff, text))
        assert page.locator(".tt-tab").evaluate("(tab) => tab.scrollWidth - tab.clientWidth") <= 0


@pytest.mark.parametrize("width", [1280, 390])
def test_nothing_of_the_music_lies_over_the_controls(browser: Browser, width: int) -> None:
    bars = "\n".join(BAR.format(number=one, fret=8 + one % 8) for one in range(1, 33))
    shown = STYLES + "".join(
        STYLESHEET.with_name(f"{name}.css").read_text("utf-8") for name in ("practice", "solo_page")
    )
    with watched(browser, viewport={"width": width, "height": 500}) as page:
        page.set_content(page_of(True, HEADER.format(meter="4/4") + bars).replace(STYLES, shown))
        on_top = page.evaluate(
            """() => Array.from({ length: 20 }, (_, turn) => {
              scrollTo({ top: turn * 37, behavior: "instant" });
              const play = document.querySelector(".tt-transport button");
              const { left, top, width, height } = play.getBoundingClientRect();
              return document.elementFromPoint(left + width / 2, top + height / 2)?.closest("button") === play;
            })"""
        )
        assert page.evaluate("scrollY") == 19 * 37
    assert on_top == [True] * 20


def test_every_line_begins_with_one_clef(browser: Browser) -> None:
    """Each piece brings a clef, and those within a line lie under the piece before."""
    with watched(browser, viewport={"width": 700, "height": 3000}) as page:
        page.set_content(page_of(shows_staff=True))
        on_top = page.locator(".tt-bar").evaluate_all(
            """(all) => all.map((bar) => {
              const { left, top } = bar.querySelector(".tt-standard").getBoundingClientRect();
              return document.elementFromPoint(left - 12, top + 16)?.closest(".tt-bar") ?? null;
            }).map((covering, place) => covering !== null && covering !== all[place])"""
        )
        starts = page.locator(".tt-bar").evaluate_all(
            "(all) => all.map((bar) => bar.getBoundingClientRect().top).map((top, at, all) => !at || top > all[at - 1])"
        )
        assert on_top == [not start for start in starts]
        assert 1 < starts.count(True) < 8


@pytest.mark.parametrize("shows_staff", [False, True])
def test_figures_can_be_read_on_paper(browser: Browser, shows_staff: bool) -> None:
    """Frets from 8 points on, all that is smaller from 6.5 on."""
    with watched(browser, viewport={"width": 718, "height": 900}) as page:
        page.set_content(page_of(shows_staff=shows_staff))
        page.emulate_media(media="print")
        sizes = page.locator(".tt-tab").evaluate(
            """(tab) => {
              const zoom = parseFloat(getComputedStyle(tab).zoom), found = {};
              for (const one of tab.querySelectorAll(".tt-bar text")) {
                const size = parseFloat(getComputedStyle(one).fontSize) * zoom * 0.75;
                const kind = one.classList[0];
                found[kind] = Math.min(found[kind] ?? 99, size);
              }
              return found;
            }"""
        )
    assert sizes["fret"] >= 8
    assert min(sizes.values()) >= 6.5, sizes
    assert {"degree", "count", "number", "chord", "tempo"} <= set(sizes)


def test_a_sheet_tells_its_number_and_the_title(browser: Browser, tmp_path: Path) -> None:
    """The title stands at the head of all sheets but the first, and cannot leave its quotation marks."""
    title = 'A "quoted" </style> \\ ♭'
    with watched(browser) as page:
        page.set_content(str(running_title(title)))
        rules = page.evaluate(
            "[...document.styleSheets[0].cssRules].map((page) => [...page.cssRules ?? []].map((one) => one.cssText))"
        )
        assert page.locator("body > *:not(style)").count() == 0
        assert page.evaluate("document.body.textContent").count("content") <= 2
    assert len(rules) == 2


def test_a_passage_is_printed_alone_and_large(browser: Browser) -> None:
    """Its bars and no others, nothing of the rest of the page but the title; after that the page is whole again."""
    text = SOLO + "\npassage 3.1-4.2  Middle\n"
    subject = subject_of(from_text(text, "case.solo"))
    page_of_solo = solo_page("case", subject, None, [], Links(directory_urls=False))
    body = str(page_of_solo.body)
    own = page_of_solo.controls, page_of_solo.tab, page_of_solo.study.html()
    for place, part in zip((CONTROLS_HERE, TAB_HERE, STUDY_HERE), own, strict=True):
        body = body.replace(place, part)
    with watched(browser, viewport={"width": 718, "height": 900}) as page:
        page.set_content(
            f'<!doctype html><html lang="en"><meta charset="utf-8"><title>Staff</title><style>{STYLES}</style>'
            f'<article class="md-content__inner md-typeset">{body}</article><script>{joined(SOLO_PAGE)}</script></html>'
        )
        page.emulate_media(media="print")
        whole = page.locator(".tt-bar").locator("visible=true").count()
        before = page.locator(".tt-bar#b3 .fret").first.bounding_box()
        page.evaluate("globalThis.print = () => {}")
        page.locator(".tt-print").evaluate("(button) => button.click()")
        seen_bars = page.locator(".tt-bar").locator("visible=true").evaluate_all("(all) => all.map((one) => one.id)")
        assert (whole, seen_bars) == (8, ["b3", "b4"])
        assert page.locator("h1").is_visible()
        assert seen(page, "h2") == 0
        after = page.locator(".tt-bar#b3 .fret").first.bounding_box()
        assert before is not None and after is not None
        assert after["height"] > 1.3 * before["height"]
        page.evaluate("dispatchEvent(new Event('afterprint'))")
        assert page.locator(".tt-bar").locator("visible=true").count() == 8
