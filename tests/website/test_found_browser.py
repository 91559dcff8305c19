"""The built demo site in a real browser: filters, sorting, figure search, labels, the chosen note, claims both ways."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from browser import watched
from playwright.sync_api import Browser, Page

pytestmark = [pytest.mark.browser, pytest.mark.build]


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    with watched(browser, "file:") as page:
        yield page


def opened(page: Page, demo: Path, path: str) -> Page:
    """A page opened from the disk, without a server."""
    page.goto((demo / f"{path}.html").as_uri())
    return page


def listed(page: Page) -> list[str]:
    return [title.split("\n")[0] for title in page.locator(".tt-index tbody tr:visible th").all_inner_texts()]


def test_filters_leave_the_solos_that_fit(page: Page, demo: Path) -> None:
    opened(page, demo, "solos/index")
    assert len(listed(page)) == 9
    page.locator("[name=technique]").select_option("tap")
    assert listed(page) == ["Rigging Lines"]
    assert page.locator(".tt-found").inner_text() == "1 of 9 solos"
    page.locator("[name=key]").select_option("A minor")
    assert listed(page) == []
    assert page.locator(".tt-found").inner_text() == "No solo fits. Without “Key A minor” there is 1 solo."
    page.get_by_role("button", name="Show all").click()
    page.wait_for_function("document.querySelector('.tt-found').textContent === ''")
    assert len(listed(page)) == 9


def test_what_is_listed_stands_in_the_address(page: Page, demo: Path) -> None:
    opened(page, demo, "solos/index")
    page.locator("[name=technique]").select_option("bend")
    page.get_by_role("columnheader", name="Tempo").get_by_role("button").click()
    fitting = listed(page)
    assert page.url.endswith("#technique=bend&sort=tempo")
    page.locator(".tt-index tbody tr:visible a").first.click()
    page.go_back()
    page.wait_for_function("document.querySelector('.tt-found').textContent")
    assert listed(page) == fitting
    page.reload()
    assert listed(page) == fitting
    page.go_back()
    page.wait_for_function("!location.hash.includes('sort')")
    assert listed(page) == sorted(fitting)


MOVED = """
window.moved = 0;
new PerformanceObserver(list => { for (const one of list.getEntries()) window.moved += one.value; })
  .observe({type: "layout-shift", buffered: true});
"""


@pytest.mark.parametrize("width", [1600, 1280, 820, 390, 320])
def test_the_index_fits_and_nothing_moves(page: Page, demo: Path, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 800})
    page.add_init_script(MOVED)
    opened(page, demo, "solos/index")
    table = page.locator(".tt-index")
    assert table.evaluate("one => one.scrollWidth - one.clientWidth") <= 0
    assert page.evaluate("window.moved") <= 0.02


def test_numbers_and_words_filter_too(page: Page, demo: Path) -> None:
    opened(page, demo, "solos/index")
    page.get_by_text("Tempo and what it asks of the hands").click()
    page.locator("[name=tempo-from]").fill("110")
    page.locator("[name=tempo-to]").fill("160")
    assert listed(page) == ["Tide Tables", "Winch House"]
    page.locator("[name=words]").fill("riff PALM")
    assert listed(page) == ["Winch House"]


def test_columns_sort_both_ways(page: Page, demo: Path) -> None:
    opened(page, demo, "solos/index")
    head = page.get_by_role("columnheader", name="Tempo")
    tempi = "() => [...document.querySelectorAll('.tt-index tbody tr')].map(row => Number(row.dataset.tempo))"
    head.get_by_role("button").click()
    up = page.evaluate(tempi)
    assert up == sorted(up)
    assert head.get_attribute("aria-sort") == "ascending"
    head.get_by_role("button").click()
    assert page.evaluate(tempi) == sorted(up, reverse=True)
    assert head.get_attribute("aria-sort") == "descending"


@pytest.mark.parametrize(("kind", "figure"), [("degrees", "b3 5 b7"), ("degrees", "♭3, 5, ♭7"), ("steps", "3 4")])
def test_a_figure_is_found_and_its_link_leads_to_it(page: Page, demo: Path, kind: str, figure: str) -> None:
    opened(page, demo, "solos/index")
    page.get_by_label("Look for").select_option(kind)
    page.get_by_role("textbox", name="Figure").fill(figure)
    page.get_by_role("button", name="Find", exact=True).click()
    link = page.locator(".tt-figures-found a").first
    link.wait_for()
    target = (link.get_attribute("href") or "").partition("#")
    note = (demo / "solos" / target[0]).read_text(encoding="utf-8")
    assert f'id="{target[2]}"' in note


@pytest.mark.parametrize(
    ("figure", "said"),
    [
        ("b3 5 b7 b2 b2 b2", "Nothing found. The first 3 alone are found "),
        ("H", "“H” cannot be looked for. Write degrees like b3 5 b7"),
        ("", "Write degrees like b3 5 b7"),
    ],
)
def test_where_nothing_is_found_it_says_what_to_try(page: Page, demo: Path, figure: str, said: str) -> None:
    opened(page, demo, "solos/index")
    page.get_by_role("textbox", name="Figure").fill(figure)
    page.get_by_role("button", name="Find", exact=True).click()
    page.wait_for_function("document.querySelector('.tt-figure-said').textContent !== ''")
    assert page.locator(".tt-figure-said").inner_text().startswith(said)
    assert page.locator(".tt-figures-found li").count() == 0


def test_the_labels_under_the_notes_change(page: Page, demo: Path) -> None:
    opened(page, demo, "solos/lantern-on-the-slip")
    first = page.locator("[id='b1.1.1'] .degree")
    assert first.all_text_contents() == ["4›5"]
    page.get_by_label("Under the notes").select_option("name")
    assert first.all_text_contents() == ["D›E"]
    page.get_by_label("Under the notes").select_option("fret")
    assert not first.first.is_visible()
    page.reload()
    assert page.get_by_label("Under the notes").input_value() == "fret"
    page.get_by_label("Under the notes").select_option("chord")
    assert first.all_text_contents() == ["4›5"]


def test_degrees_change_from_the_plain_style_to_the_extended(page: Page, demo: Path) -> None:
    opened(page, demo, "solos/tide-tables")
    degrees = page.locator("[id^='b4.4'] .degree")
    assert degrees.all_text_contents() == ["♭2", "1"]
    page.get_by_label("Under the notes").select_option(label="degree, extended (♯9, 9)")
    assert degrees.all_text_contents() == ["♭9", "1"]


def test_a_chosen_note_says_all_that_is_known_of_it(page: Page, demo: Path) -> None:
    opened(page, demo, "solos/lantern-on-the-slip")
    page.locator("[id='b1.2.1'] .fret").click(force=True)
    panel = page.get_by_label("The chosen note")
    said = panel.inner_text()
    for part in (
        "string 3 pulled to fret 5, C4, ♭3 of Am",
        "Chord tone",
        "rule: in the chord",
        "finger 1",
        "position V",
    ):
        assert part in said
    panel.get_by_role("link", name="C4, ♭3 of Am").click()
    assert page.locator(".tt-claim:target").count() == 1
    panel.get_by_role("button", name="Note after").click()
    assert panel.inner_text() != said
    page.keyboard.press("Escape")
    assert not panel.is_visible()


def test_a_note_is_chosen_with_the_keys(page: Page, demo: Path) -> None:
    opened(page, demo, "solos/lantern-on-the-slip")
    page.locator(".tt-tab").focus()
    page.keyboard.press("ArrowRight")
    panel = page.get_by_label("The chosen note")
    assert panel.is_visible()
    assert page.locator(".tt-now .tt-chosen").count() == 1
    said = panel.inner_text()
    page.keyboard.press("ArrowRight")
    assert panel.inner_text() != said


def test_a_claim_lights_its_notes(page: Page, demo: Path) -> None:
    opened(page, demo, "solos/lantern-on-the-slip")
    claim = page.locator(".tt-claim", has_text="A minor pentatonic").first
    first, last = map(int, (claim.get_attribute("data-notes") or "").split("-"))
    claim.focus()
    assert page.locator(".tt-lit").count() == last - first + 1
    claim.click()
    assert page.locator(".tt-lit").count() == last - first + 1
    assert page.get_by_label("The chosen note").is_visible()


def test_the_tab_in_words_is_there_on_demand(page: Page, demo: Path) -> None:
    opened(page, demo, "solos/lantern-on-the-slip")
    page.get_by_text("Every bar, note by note").click()
    bars = page.locator(".tt-in-words li")
    bars.first.wait_for()
    assert bars.count() == page.locator(".tt-bar").count()
    assert bars.first.inner_text().startswith("Bar 1, Am. Count 1: string 3 fret 7 bent to 9, E4, the fifth;")


@pytest.mark.parametrize("path", ["by/technique/bend", "by/device/arpeggio", "by/chord/m7"])
def test_links_of_gathered_pages_arrive(page: Page, demo: Path, path: str) -> None:
    opened(page, demo, path)
    for href in {link.get_attribute("href") or "" for link in page.locator(".tt-gathered a").all()}:
        target, _, anchor = href.partition("#")
        html = (demo / f"{path}.html").parent.joinpath(target).read_text(encoding="utf-8")
        assert not anchor or f'id="{anchor}"' in html


def test_home_shows_openings_that_can_be_played(page: Page, demo: Path) -> None:
    opened(page, demo, "index")
    assert page.locator(".tt-openings .tt-specimen:has(.tt-bar)").count() == 6
    page.get_by_role("link", name="Practise this opening of Becalmed").click()
    page.wait_for_function("document.querySelector('.tt-span:not([hidden])')")
    assert page.url.endswith("solos/becalmed.html#b1-b2")


def test_notes_are_buttons_that_the_arrows_lead_to(page: Page, demo: Path) -> None:
    """One of them is a stop of the Tab key, Enter plays from it, the bar is named and read before them."""
    opened(page, demo, "solos/foghorn-shuffle")
    assert page.locator(".tt-tab .note[tabindex='0']").count() == 1
    page.locator(".tt-tab").focus()
    page.keyboard.press("Tab")
    bar = page.get_by_role("group", name="Bar 1, A7", exact=True)
    first = bar.get_by_role("button").first
    assert first.evaluate("note => note === document.activeElement")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    second = bar.get_by_role("button", name="string 4 hammered to fret 7", exact=False)
    assert second.evaluate("note => note === document.activeElement && note.ariaCurrent === 'true'")
    assert page.locator(".tt-tab .note[tabindex='0']").count() == 1
    struck = page.get_by_role("group", name="Bar 5, D7", exact=True).locator(".stroke").first.get_by_role("button")
    struck.first.focus()
    page.keyboard.press("Enter")
    assert page.locator(".tt-place").inner_text() == "Bar 5, count 1"
    page.keyboard.press("ArrowUp")
    assert struck.nth(1).evaluate("note => note === document.activeElement")
    page.keyboard.press("ArrowDown")
    assert struck.nth(0).evaluate("note => note === document.activeElement")


def test_a_screen_reader_hears_bars_and_notes_and_no_loose_figures(page: Page, demo: Path) -> None:
    opened(page, demo, "solos/lantern-on-the-slip")
    tree = page.context.new_cdp_session(page).send("Accessibility.getFullAXTree")["nodes"]
    nodes = {node["nodeId"]: node for node in tree}
    bar = next(node for node in tree if named(node) == ("group", "Bar 1, Am"))
    heard = [named(node) for node in below(bar, nodes) if not node["ignored"]]
    said, *notes = [(role, name) for role, name in heard if role not in ("paragraph", "generic", "InlineTextBox")]
    assert said[1].startswith("Count 1: string 3 fret 7 bent to 9, E4, the fifth;")
    assert len(notes) == page.locator(".tt-bar").first.locator(".note").count()
    assert [one for one in notes if one[0] != "button" or not one[1].startswith("string ")] == []


def below(node: dict, nodes: dict[str, dict]) -> Iterator[dict]:
    """What stands below a node of the accessibility tree, but for what belongs to a button."""
    for child in (nodes[one] for one in node.get("childIds", ()) if one in nodes):
        yield child
        if named(child)[0] != "button":
            yield from below(child, nodes)


def named(node: dict) -> tuple[str, str]:
    """Role and name of a node of the accessibility tree."""
    return node.get("role", {}).get("value", ""), node.get("name", {}).get("value", "")
