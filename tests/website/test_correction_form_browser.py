"""The form for corrections in a real browser: what it says, fills in and refuses, for eyes, fingers and keys."""

from __future__ import annotations

from pathlib import Path

import pytest
from accessible import violations
from browser import opened
from corrections import FORGE, REPEATED, Reader, reading, repository_of, taken
from drawn import SOLOS
from git_repositories import DUSK, SOLO
from playwright.sync_api import Browser, Page
from practised import write_tones

from tabtools.review.patch import read_patch

pytestmark = pytest.mark.browser

# ---- what is not sent


WRONG = [
    ("Bar 2", DUSK[DUSK.index("bar 2") :], "Nothing is changed yet."),
    ("Bar 2", DUSK[DUSK.index("bar 2") :].replace("\n", "  \n"), "Nothing is changed yet."),
    ("Bar 2", " \n", "There is nothing left."),
    ("The header", "", "There is nothing left."),
    ("Bar 2", "1-4  3:7", "The first line has to begin with “bar 2”"),
    ("Bar 2", "bar 3\n1-4  3:7", "The first line has to begin with “bar 2”"),
    ("Bar 2", "# bar 2\nbar 20\n1-4  3:7", "The first line has to begin with “bar 2”"),
    ("Bar 2", "bar 2\n1-4  3:7\nbar 5\n1-4  .", "Bar 5 stands in another place of the solo."),
    ("Bar 2", "bar 2\n1-4  3:7\nbars 6-7 like 1-2\nbar 7", "Bar 7 begins twice."),
    ("The header", "title: A\nbar 1\n1-4  .", "Bar 1 stands in another place of the solo."),
    ("Bar 4, like bar 2", "bar 4 like 2", "The first line has to begin with “bars 3-4”"),
    ("Bar 2", "bar 2\n1-4  3:\u202e7", "Line 2, behind “1-4  3:”, has a sign that cannot be seen and is not "
     "allowed (U+202E)."),
    ("Bar 2", "\u200ebar 2\n1-4  3:7", "Line 1 has a sign that cannot be seen and is not allowed (U+200E)."),
    ("Bar 2", f"bar 2\n1-4  3:7  # {'x' * 2000}", "Line 2 has 2012 characters; the most is 2000."),
    ("Bar 2", "bar 2\n" + f"# {'x' * 1990}\n" * 527 + "1-4  .", "The whole solo would be too long."),
]  # fmt: skip
"""A place, what is written there, what is said to it."""


def test_what_is_wrong_is_said_at_once(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, REPEATED, SOLO) as reader:
        alert = reader.page.get_by_role("alert")
        back = reader.page.get_by_role("button", name="Back to how it was")
        for place, text, said in WRONG:
            reader.choose(place)
            reader.paste(text)
            assert reader.make() == ""
            assert reader.fault.startswith(said)
            assert reader.focused == "suggest-text"
            assert reader.text.get_attribute("aria-invalid") == "true"
            described = reader.text.get_attribute("aria-describedby") or ""
            assert alert.get_attribute("id") in described.split()
            reader.paste(f"{text} ")
            assert reader.fault == ""
            if back.is_enabled():
                back.click()


def test_a_fault_in_another_bar_leads_there(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, REPEATED, SOLO) as reader:
        reader.choose("Bar 1")
        reader.text.fill("bar 2")
        reader.choose("Bar 5")
        reader.replace("1-4  .", "1-4  3:7")
        assert reader.make() == ""
        assert reader.page.get_by_role("heading", name="Bar 1").is_visible()
        assert reader.fault.startswith("The first line has to begin with “bar 1”")


def test_bars_split_out_of_a_repeat_are_taken(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, REPEATED, SOLO) as reader:
        reader.choose("Bar 3, like bar 1")
        reader.text.fill("bar 3\n1-4  3:7\n\nbar 4 like 2")
        assert "+bar 4 like 2\n" in reader.make()


# ---- what the page says


def test_a_repeated_bar_leads_to_the_bar_it_repeats(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, REPEATED, SOLO) as reader:
        reader.choose("Bar 4, like bar 2")
        assert reader.text.input_value() == "bars 3-4 like 1-2"
        said = reader.page.locator(".tt-suggest-repeats")
        assert "Bar 4 repeats bar 2: this is the line that says so. It stands for bars 3 to 4." in said.inner_text()
        reader.press("Correct bar 2 instead")
        assert reader.text.input_value().startswith("bar 2  G7")
        assert said.inner_text().strip() == "Bar 4 repeats this bar: what you correct here is corrected there too."
        reader.choose("Bar 5")
        assert said.is_hidden()


def test_the_bar_of_the_chosen_note_is_corrected(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.page.locator("[id='b2.2.1'] .fret").click(force=True)
        assert reader.page.locator("[name=place] option:checked").inner_text() == "Bar 2"
        reader.press("Suggest a correction")
        assert reader.focused == "suggest-place"
        assert reader.page.get_by_role("heading", name="Bar 2").is_visible()
        drawn = reader.page.locator(".tt-suggest-drawn .tt-bar")
        assert drawn.count() == 1 and drawn.locator(".fret").count() == 7
        for part_of_the_tab in ("[id], .tt-chosen, .tt-now, .tt-cursor", "[role=button], [tabindex], [aria-current]"):
            assert reader.page.locator(f".tt-tab :is({part_of_the_tab})").count() > 0
            assert drawn.locator(part_of_the_tab).count() == 0
        assert reader.page.locator("[id='b2.2.1']").count() == 1
        reader.page.locator(".tt-suggest").get_by_role("button", name="Close").click()
        assert reader.focused == "Suggest a correction"


@pytest.mark.parametrize(
    ("bar", "time"), [(1, "0:42.3"), (2, "0:46"), (4, "0:53"), (6, "1:00"), (7, "1:03.9"), (11, "1:12"), (12, "")]
)
def test_times_written_in_the_solo_are_filled_in(browser: Browser, tmp_path: Path, bar: int, time: str) -> None:
    """A bar lasts 3.6 seconds between the two times that are written, and 2 seconds, as its tempo says, behind them."""
    marks = {1: "  at 0:42.3", 7: "  at 1:03.9"}
    bars = "".join(f"\nbar {number}{marks.get(number, '')}\n1-4  3:7\n" for number in range(1, 13))
    marked = f"title: A\nmeter: 4/4\ntempo: 120\n{bars}"
    with reading(browser, tmp_path, marked, SOLO) as reader:
        reader.choose(f"Bar {bar}")
        at = reader.page.locator(".tt-suggest [name=at]")
        assert at.input_value() == time
        at.fill("second take, 0:03")
        reader.choose("Bar 1")
        assert at.input_value() == "second take, 0:03"


def test_nothing_is_filled_in_where_no_time_is_written(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.choose("Bar 1")
        assert reader.page.locator(".tt-suggest [name=at]").input_value() == ""
        assert reader.page.evaluate("[localStorage.length, document.cookie]") == [0, ""]


def test_the_place_in_an_opened_recording_is_filled_in(browser: Browser, tmp_path: Path) -> None:
    write_tones(tmp_path / "take.wav", [(220, 8)])
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.page.evaluate("document.querySelector('.tt-settings').open = true")
        reader.page.locator(".tt-practice [name=file]").set_input_files(tmp_path / "take.wav")
        reader.page.wait_for_function("tabtools.practice.player.recording.isLoaded")
        reader.page.evaluate("tabtools.practice.player.recording.shift = 2")
        reader.page.evaluate("tabtools.practice.player.move(3000)")
        reader.choose("Bar 2")
        assert reader.page.locator(".tt-suggest [name=at]").input_value() == "0:05"
        reader.choose("Bar 1")
        assert reader.page.locator(".tt-suggest [name=at]").input_value() == "0:02"


HOSTILE = "<img src=x onerror=alert(1)></script><script>alert(2)</script><!-- javascript:alert(3)"


def test_a_hostile_solo_arrives_as_text(browser: Browser, tmp_path: Path) -> None:
    text = DUSK.replace("Ferry at Dusk", HOSTILE).replace("3:7 3:9", f"3:7 3:9  # {HOSTILE}")
    with reading(browser, tmp_path, text, SOLO, FORGE) as reader:
        reader.choose("Bar 2")
        assert f"3:7 3:9  # {HOSTILE}" in reader.text.input_value()
        reader.text.fill(f"bar 2  G7\n1-4  3:7  # {HOSTILE}")
        reader.say(credit=HOSTILE, at=HOSTILE[:90], reason=f"{HOSTILE}\n--- a/x\n+++ b/x\ndiff --git a/x b/x")
        patch = reader.make()
        assert HOSTILE in reader.page.locator(".tt-suggest-change ins").last.inner_text()
        assert reader.page.locator(".tt-suggest :is(img, script:not([type='application/json']))").count() == 0
        href = reader.page.locator("[data-suggest=send]").get_attribute("href") or ""
    assert href.startswith("https://forge.example/new?title=Correction%20for%20%3Cimg")
    read = read_patch(patch.encode(), "transcriptions")
    assert (read.path, read.credit) == (SOLO, HOSTILE)


# ---- for everyone


def test_with_the_keys_alone(browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        keys = reader.page.keyboard
        reader.page.locator(".tt-tab").focus()
        keys.press("End")
        for _ in range(40):
            keys.press("Tab")
            if reader.focused == "Suggest a correction":
                break
        keys.press("Enter")
        assert reader.focused == "suggest-place"
        seen = []
        for _ in range(40):
            keys.press("Tab")
            seen.append(reader.focused)
            style = reader.page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
            assert style != "none", seen
            if seen[-1] == "suggest-text":
                keys.press("Control+End")
                keys.type("  # a sigh")
            elif seen[-1] == "suggest-credit":
                keys.type("Nell Quayle")
            elif seen[-1] == "Make the patch":
                keys.press("Enter")
                break
        assert reader.focused == "suggest-result"
        keys.press("Tab")
        assert reader.focused == "Copy"
        patch = reader.patch
    assert {"Back to how it was", "suggest-reason", "suggest-at"} <= set(seen)
    repository = repository_of(tmp_path)
    assert "Suggested-by: Nell Quayle" in taken(repository, patch, monkeypatch)
    assert repository.read() == DUSK.replace("1:10 1:8", "1:10 1:8  # a sigh")


def test_what_was_typed_is_taken_back(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.choose("Bar 2")
        back = reader.page.get_by_role("button", name="Back to how it was")
        assert back.is_disabled()
        reader.text.fill("bar 2")
        assert reader.page.get_by_role("heading", name="What changes").is_visible()
        back.click()
        assert reader.text.input_value() == DUSK[DUSK.index("bar 2") :].rstrip("\n")
        assert reader.page.get_by_role("heading", name="What changes").is_hidden()
        assert back.is_disabled() and reader.focused == "suggest-text"


def test_without_script_nothing_is_offered(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO, java_script_enabled=False) as reader:
        assert reader.page.locator(".tt-suggest").is_hidden()


def test_it_is_not_printed(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.choose("Bar 2")
        reader.page.emulate_media(media="print")
        assert reader.page.locator(".tt-suggest").is_hidden()


LEAST_TARGET = 24
"""WCAG 2.2, 2.5.8: pixels."""
TARGETS = """
() => [...document.querySelectorAll(".tt-suggest :is(button, input, select, textarea, summary, a)")]
  .filter((one) => one.checkVisibility())
  .map((one) => [one.dataset.suggest || one.name || one.tagName, ...["width", "height"].map(
    (side) => one.getBoundingClientRect()[side])])
"""


@pytest.mark.parametrize("width", [1280, 375, 320])
def test_it_fits_any_screen_and_any_finger(browser: Browser, tmp_path: Path, width: int) -> None:
    text = SOLOS[5].read_text(encoding="utf-8")
    with reading(browser, tmp_path, text, SOLO, FORGE, viewport={"width": width, "height": 700}) as reader:
        reader.choose("Bar 3")
        reader.text.fill(reader.text.input_value() + f"\n# {'wide' * 60}")
        reader.page.get_by_text("How a bar is written").click()
        reader.make()
        assert reader.page.evaluate("document.documentElement.scrollWidth") <= width
        targets = reader.page.evaluate(TARGETS)
        assert len(targets) >= 12
        assert [one for one in targets if min(one[1:]) < LEAST_TARGET] == []


def seen_both_ways(page: Page) -> list[list[str]]:
    """What axe-core finds in the form, in the light scheme and in the dark one."""
    found = []
    for scheme in ("slate", "default"):
        page.evaluate("(scheme) => { document.body.dataset.mdColorScheme = scheme }", scheme)
        found += violations(page, ".tt-suggest")
    return found


@pytest.mark.build
def test_axe_finds_no_violation_in_the_open_form(browser: Browser, served_demo: str) -> None:
    with opened(browser, f"{served_demo}/solos/letter-from-the-ferry.html") as page:
        reader = Reader(page)
        reader.choose("Bar 9, like bar 1")
        assert reader.make() == ""
        assert seen_both_ways(page) == []
        reader.choose("Bar 2")
        reader.text.fill(reader.text.input_value() + "  # heard")
        page.get_by_text("How a bar is written").click()
        assert reader.make()
        assert seen_both_ways(page) == []
