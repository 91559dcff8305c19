"""The card of signs that a new repository has, on paper."""

from __future__ import annotations

import re

import pytest
from browser import opened
from playwright.sync_api import Browser

from tabtools.starter.repository import starter_files
from tabtools.website.build import build_site

pytestmark = [pytest.mark.browser, pytest.mark.build]


@pytest.fixture(scope="module")
def card(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("new")
    for name, text in starter_files().items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return (build_site(folder / "mkdocs.yml") / "format-card.html").as_uri()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_is_one_page(browser: Browser, card: str, paper: str) -> None:
    with opened(browser, card) as page:
        printed = page.pdf(format=paper, prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b", printed)) == 1
