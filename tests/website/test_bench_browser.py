"""Writing at the bench: what is saved is seen on the open page, and nothing that was set there is lost."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from accessible import violations
from at_the_bench import Bench, at_the_bench
from browser import watched
from playwright.sync_api import Browser, Page
from practised import write_tones
from sites import PLAIN_CONFIG, write_site
from thoroughness import share

pytestmark = [pytest.mark.build, pytest.mark.browser]

HEAD = "title: Tide\nplayer: B\nrecording: C\nrights: CC0-1.0\nkey: A minor\nmeter: 4/4\ntempo: 60\n"
BARS = 24


def solo(frets: dict[int, int] | None = None, bars: int = BARS) -> str:
    """A solo of one note a bar, on the fret given for the bar, else on the seventh."""
    frets = frets or {}
    return HEAD + "".join(f"\nbar {bar}  Am\n1-4  3:{frets.get(bar, 7)}\n" for bar in range(1, bars + 1))


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    folder = tmp_path_factory.mktemp("bench")
    config = write_site(folder, {"tide.solo": solo(), "other.solo": solo().replace("Tide", "Other")}, PLAIN_CONFIG)
    with at_the_bench(config) as bench:
        yield bench


@pytest.fixture
def page(browser: Browser, bench: Bench) -> Iterator[Page]:
    bench.save("tide.solo", solo())
    bench.save("tide.md", "# Tide\n\nAs it began.\n")
    bench.wait_for("solos/tide/", "As it began.")
    with watched(browser, f"http://{bench.address}/") as page:
        page.goto(f"http://{bench.address}/solos/tide/")
        page.wait_for_function("globalThis.tabtools?.practice")
        page.evaluate("globalThis.isSamePage = true")
        yield page


def fret(page: Page, bar: int) -> str:
    return page.text_content(f"#b{bar} .fret") or ""


def wait_for_fret(page: Page, bar: int, fret: int) -> None:
    page.wait_for_function(
        "([bar, fret]) => document.querySelector(`#b${bar} .fret`).textContent === `${fret}`", arg=[bar, fret]
    )


def test_a_saved_bar_is_seen_on_the_open_page(page: Page, bench: Bench) -> None:
    assert fret(page, 3) == "7"
    bench.save("tide.solo", solo({3: 9}))
    wait_for_fret(page, 3, 9)
    assert page.evaluate("isSamePage")
    assert page.inner_text(".tt-bench-changed") == "Saved: bar 3 changed."
    assert page.locator(".tt-has-changed").count() == 1
    assert fret(page, 4) == "7"
    bench.save("tide.md", "# Tide\n\nAs it goes on.\n")
    page.get_by_text("As it goes on.").wait_for()
    assert page.evaluate("isSamePage")


def test_recording_place_settings_and_scroll_survive_many_saves(page: Page, bench: Bench, tmp_path: Path) -> None:
    field = '.tt-practice [name="{}"]'.format
    write_tones(tmp_path / "tape.wav", [(440.0, 120.0)])
    page.evaluate("document.querySelector('.tt-settings').open = true")
    page.set_input_files(field("file"), tmp_path / "tape.wav")
    page.wait_for_function("tabtools.practice.player.recording.isLoaded")
    page.fill(field("tempo"), "50")
    page.fill(field("recording"), "33")
    page.fill(field("guitar"), "21")
    page.check(field("metronome"))
    page.select_option(field("countin"), "none")
    page.select_option('[name="under"]', "name")
    page.evaluate("tabtools.practice.setBars(9, 20)")
    page.evaluate("tabtools.practice.goTo(42000)")
    page.evaluate("document.querySelector('#b12').scrollIntoView({ block: 'center', behavior: 'instant' })")
    page.click('.tt-practice [data-do="play"]')
    page.wait_for_function("tabtools.practice.player.place > 42300")
    page.evaluate("document.querySelector('[name=\"scroll\"]').checked = false")
    page.evaluate("globalThis.audio = tabtools.practice.player.recording.audio; audio.pauses = 0")
    page.evaluate("audio.addEventListener('pause', () => (audio.pauses += 1))")
    top = page.evaluate("document.querySelector('#b12').getBoundingClientRect().top")
    before = page.evaluate("audio.currentTime")
    for save in range(share(20)):
        bench.save("tide.solo", solo({3: 8 + save % 5}, BARS + save % 3))
        wait_for_fret(page, 3, 8 + save % 5)
    assert page.evaluate("isSamePage")
    assert page.evaluate("tabtools.practice.player.recording.audio === audio && !audio.paused && audio.pauses === 0")
    assert page.evaluate("audio.currentTime") > before
    assert page.evaluate("audio.playbackRate") == 0.5
    assert page.evaluate("Math.round(audio.volume * 100)") == 33
    place, heard = page.evaluate("[tabtools.practice.player.place, audio.currentTime]")
    assert place / 1000 == pytest.approx(heard, abs=0.15)
    names = ("loops", "stretch", "hear", "metronome", "volume")
    player = {name: page.evaluate(f"tabtools.practice.player.{name}") for name in names}
    assert player == {
        "loops": True,
        "stretch": {"from": 36000, "to": 84000},
        "hear": "recording",
        "metronome": True,
        "volume": {"guitar": 0.21, "clicks": 0.5, "drone": 0.5, "recording": 0.33},
    }
    for name, value in (("tempo", "50"), ("recording", "33"), ("countin", "none"), ("from", "10"), ("to", "21")):
        assert page.input_value(field(name)) == value
    assert page.input_value('[name="under"]') == "name"
    assert page.text_content("#b12 .degree") == "D"
    assert page.evaluate("document.querySelector('.tt-settings').open") is True
    assert page.evaluate("document.querySelector('#b12').getBoundingClientRect().top") == pytest.approx(top, abs=2)
    page.focus(".tt-tab")
    page.keyboard.press("Space")
    page.wait_for_function("audio.paused")
    assert page.locator(".tt-cursor").count() == 1
    assert page.locator(".tt-suggest-hint").count() == 1


def test_errors_come_and_go_on_the_page_while_the_tab_stays(page: Page, bench: Bench) -> None:
    bench.save("tide.solo", solo({5: 5}).replace("\nbar 6  Am\n1-4", "\nbar 6  Am\n1-3"))
    page.locator(".tt-bench li.tt-error").wait_for()
    assert page.inner_text(".tt-bench summary") == "1 error"
    assert page.inner_text(".tt-bench h3") == "Bar 6"
    said = page.inner_text(".tt-bench li")
    assert "count 4 of 4/4 is missing" in said
    assert "^" in said
    assert page.locator("#b6.tt-is-wrong").count() == 1
    assert (fret(page, 5), fret(page, 24)) == ("5", "7")
    bench.save("tide.solo", solo({5: 8}).replace("\nbar 6  Am\n1-4  3:7", "\nbar 6  Am\n1-4  3:7x"))
    wait_for_fret(page, 5, 8)
    assert page.inner_text(".tt-bench h3") == "Bar 6"
    assert "Shown as before, until it can be read: bar 6." in page.inner_text(".tt-bench")
    assert fret(page, 6) == "7"
    bench.save("tide.solo", solo({5: 5}))
    page.wait_for_function("!document.querySelector('.tt-bench li')")
    assert page.locator(".tt-is-wrong").count() == 0
    assert page.evaluate("isSamePage")


def test_many_open_notes_are_counted_in_one_row_and_their_bars_marked(page: Page, bench: Bench) -> None:
    bench.save("tide.solo", re.sub(r"3:7$", "=D4", solo(), flags=re.MULTILINE))
    page.locator(".tt-bench li.tt-note").wait_for(state="attached")
    assert page.inner_text(".tt-bench summary") == f"{BARS} remarks"
    assert page.locator(".tt-bench li").count() == 1
    assert page.locator(".tt-bar.tt-is-open").count() == BARS


def test_a_new_solo_appears_on_the_open_index_while_an_open_solo_stays(
    page: Page, bench: Bench, browser: Browser
) -> None:
    home = f"http://{bench.address}/"
    with watched(browser, home) as index:
        index.goto(f"{home}solos/")
        bench.save("newcomer.solo", solo().replace("Tide", "Newcomer"))
        index.get_by_role("link", name="Newcomer").wait_for()
        index.get_by_role("link", name="Newcomer").click()
        index.locator("#b1 .fret").wait_for()
        index.goto(f"{home}solos/")
        (bench.folder / "transcriptions" / "newcomer.solo").unlink()
        index.get_by_role("link", name="Newcomer").wait_for(state="detached")
        index.get_by_role("link", name="Tide").wait_for()
    assert page.evaluate("isSamePage")
    assert fret(page, 1) == "7"
    assert "whole site" not in bench.told


@pytest.mark.parametrize("scheme", ["default", "slate"])
def test_what_the_bench_says_is_accessible(page: Page, bench: Bench, scheme: str) -> None:
    bench.save("tide.solo", solo({5: 5}).replace("\nbar 6  Am\n1-4", "\nbar 6  Am\n1-3"))
    page.locator(".tt-bench li.tt-error").wait_for()
    page.evaluate("(scheme) => document.body.setAttribute('data-md-color-scheme', scheme)", scheme)
    page.evaluate("for (const one of document.querySelectorAll('.tt-bench details')) one.open = true")
    assert [found for found in violations(page) if "tt-bench" in str(found) or scheme == "default"] == []
