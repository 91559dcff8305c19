"""A patch is copied, saved, or sent to where corrections are taken."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import parse_qs, unquote, urlsplit

import pytest
from corrections import FORGE, Reader, reading
from git_repositories import DUSK, SOLO
from playwright.sync_api import Browser

from tabtools.review.patch import read_patch

pytestmark = pytest.mark.browser

MAIL = "mailto:ida@slipway.example?subject={title}&body={body}"


def test_a_patch_is_copied(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO, permissions=["clipboard-read", "clipboard-write"]) as reader:
        reader.choose("Bar 2")
        reader.replace("2:6 2:8", "2:6 2:10")
        patch = reader.make()
        reader.press("Copy")
        reader.page.wait_for_function(
            "document.querySelector('.tt-suggest-said').textContent !== 'The patch is ready.'"
        )
        assert reader.said == "Copied."
        assert reader.page.evaluate("navigator.clipboard.readText()") == patch


@pytest.mark.parametrize(
    ("is_copied", "said"),
    [(True, "Copied."), (False, "The browser did not copy it. Choose the text below and copy it yourself.")],
)
def test_without_a_clipboard_the_text_is_chosen(browser: Browser, tmp_path: Path, is_copied: bool, said: str) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.page.evaluate("Object.defineProperty(navigator, 'clipboard', {value: undefined})")
        reader.page.evaluate("(done) => { document.execCommand = () => done; }", is_copied)
        reader.choose("Bar 2")
        reader.replace("2:6 2:8", "2:6 2:10")
        patch = reader.make()
        reader.press("Copy")
        reader.page.wait_for_function(
            "document.querySelector('.tt-suggest-said').textContent !== 'The patch is ready.'"
        )
        assert reader.said == said
        chosen = "one => [one.selectionStart, one.selectionEnd]"
        assert reader.page.locator(".tt-suggest-patch").evaluate(chosen) == [0, len(patch)]


def test_a_patch_is_saved(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, "transcriptions/dämmerung.solo") as reader:
        reader.choose("Bar 2")
        reader.replace("2:6 2:8", "2:6 2:10")
        reader.say(reason="Höher.")
        patch = reader.make()
        with reader.page.expect_download() as found:
            reader.press("Download")
        assert found.value.suggested_filename == "dämmerung-bar-2.patch"
        assert found.value.path().read_bytes().decode() == patch
        assert reader.said == "Saved as dämmerung-bar-2.patch."


def test_what_was_taken_is_not_in_the_next_correction(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.choose("Bar 2")
        reader.replace("2:6 2:8", "2:6 2:10")
        reader.say(reason="It is higher.")
        reader.make()
        reader.choose("Bar 1")
        reader.choose("Bar 2")
        assert "2:10" in reader.make(), "not taken yet: it is still there"
        with reader.page.expect_download():
            reader.press("Download")
        reader.choose("Bar 1")
        assert reader.said == "This is a new correction; the one you took is not in it."
        assert not reader.page.locator(".tt-suggest-result").is_visible()
        text = reader.page.locator("#suggest-text")
        text.fill(text.input_value() + "\n# listened again")
        patch = reader.make()
        assert "# listened again" in patch and "2:10" not in patch and "higher" not in patch


def test_a_line_under_the_tab_leads_to_the_form(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        reader.page.get_by_role("link", name="Say what you hear").click()
        assert reader.page.url.endswith("#suggest")
        assert reader.page.locator("#suggest").is_visible()


def send(reader: Reader, reason: str = "The tape has it.") -> tuple[str, str]:
    """What the link says and where it leads; nothing where there is none."""
    reader.choose("Bar 2")
    reader.replace("2:6 2:8", "2:6 2:10")
    reader.say(reason=reason)
    assert reader.make()
    link = reader.page.locator("[data-suggest=send]")
    return (link.inner_text(), link.get_attribute("href") or "") if link.count() else ("", "")


def test_without_an_address_nothing_is_offered_to_be_sent(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO) as reader:
        assert send(reader) == ("", "")
        assert reader.page.get_by_text("Send it to whoever keeps these solos, as a file.").is_visible()


def test_an_issue_is_filled_in(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO, FORGE) as reader:
        said, href = send(reader, "``` and ````\n$& {title} {body}")
        patch = reader.patch
        assert reader.page.get_by_text("What opens is filled in already").is_visible()
        assert reader.page.locator("[data-suggest=send]").get_attribute("rel") == "noopener noreferrer"
    assert said == "Send it as an issue (new tab)"
    asked = parse_qs(urlsplit(href).query)
    assert asked["title"] == ["Correction for Ferry at Dusk: bar 2"]
    assert asked["body"] == [f"`````diff\n{patch}`````\n"]
    assert read_patch(asked["body"][0].encode(), "transcriptions").files[0].hunks in patch


@pytest.mark.parametrize("address", [MAIL, MAIL.replace("mailto", "MailTo")])
def test_a_mail_is_filled_in(browser: Browser, tmp_path: Path, address: str) -> None:
    with reading(browser, tmp_path, DUSK, SOLO, address) as reader:
        said, href = send(reader)
        patch = reader.patch
        assert reader.page.locator("[data-suggest=send]").get_attribute("target") is None
    assert said == "Send it by mail"
    assert "%0D%0A" in href
    assert unquote(href.partition("&body=")[2]).replace("\r\n", "\n") == patch


def test_an_address_that_cannot_be_filled_in_is_left_as_it_is(browser: Browser, tmp_path: Path) -> None:
    with reading(browser, tmp_path, DUSK, SOLO, "https://forge.example/new") as reader:
        assert send(reader)[1] == "https://forge.example/new"
        assert reader.page.get_by_text("Copy or download it first").is_visible()


@pytest.mark.parametrize(("address", "most"), [(FORGE, 6000), (MAIL, 1800)])
def test_what_is_too_long_for_a_link_is_attached(browser: Browser, tmp_path: Path, address: str, most: int) -> None:
    attached = f"{address.partition('{body}')[0]}The patch is attached."
    with reading(browser, tmp_path, DUSK, SOLO, address) as reader:
        _, shortest = send(reader, "a")
        room = most - len(shortest)
        assert room > 300
        for more, is_filled_in in (("a", True), ("aa", False)):
            reader.say(reason="ä" * (room // 6) + "a" * (room % 6) + more)
            assert reader.make()
            href = reader.page.locator("[data-suggest=send]").get_attribute("href") or ""
            assert (len(href) == most) == is_filled_in
            assert reader.page.get_by_text("What opens is filled in already").is_visible() == is_filled_in
            assert reader.page.get_by_text("download it, and attach the file").is_visible() != is_filled_in
    assert unquote(href) == attached.replace("{title}", "Correction for Ferry at Dusk: bar 2")
