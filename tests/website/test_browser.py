"""The watch over the pages: what it has to notice, it notices."""

from __future__ import annotations

from pathlib import Path

import pytest
from browser import opened, watched
from playwright.sync_api import Browser

pytestmark = pytest.mark.browser

WRONG = {
    "console.error('a')": "a",
    "console.warn('b')": "b",
    "setTimeout(() => { throw Error('c') })": "c",
    "alert('d')": "dialog: d",
    "new Image().src = 'https://elsewhere.example/e.png'": "asked for https://elsewhere.example/e.png",
}


def write_page(folder: Path, script: str) -> str:
    file = folder / "page.html"
    file.write_text(f"<!doctype html><title>Page</title><script>{script}</script>", encoding="utf-8")
    return file.as_uri()


@pytest.mark.parametrize("script", WRONG)
def test_a_fault_on_a_page_fails_the_test(browser: Browser, tmp_path: Path, script: str) -> None:
    with pytest.raises(pytest.fail.Exception) as failure, opened(browser, write_page(tmp_path, script)):
        pass
    assert WRONG[script] in str(failure.value)


def test_a_page_without_fault_passes(browser: Browser, tmp_path: Path) -> None:
    with opened(browser, write_page(tmp_path, "console.log('a'); new Image().src = 'data:image/gif,x'")) as page:
        assert page.title() == "Page"


def test_homes_are_only_those_named(browser: Browser, tmp_path: Path) -> None:
    address = write_page(tmp_path, "")
    with pytest.raises(pytest.fail.Exception), watched(browser, address + "/") as page:
        page.goto(address)
