"""The page of a solo as it is written: what it says at each commit is open, draws as a gap, and remembers."""

from __future__ import annotations

import re
from html import unescape
from itertools import takewhile
from pathlib import Path

import pytest
from case_files import Case
from git_repositories import ENVIRONMENT, SOLO, new_repository
from test_unfinished_solo import FIRST, STEPS, texts

from tabtools.cache.results import KEEPING_NOTHING
from tabtools.checks.run import lint
from tabtools.checks.subject import subject_of
from tabtools.files import read_all
from tabtools.hand import DEFAULT_PROFILE
from tabtools.source import SourceText, from_text
from tabtools.website.history_page import history_of_solos
from tabtools.website.links import Links
from tabtools.website.page_build import Material, PageSetting, prepare_all
from tabtools.website.solo_page.page import SoloPage, solo_page

LINKS = Links(directory_urls=True, solos=frozenset(["dusk"]))
SETTING = PageSetting("plain", DEFAULT_PROFILE, LINKS)
COMMITS = [FIRST, *STEPS]


def words(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", "", html)).split())


def page(text: str) -> SoloPage:
    subject = subject_of(from_text(text, "dusk.solo"))
    return solo_page("dusk", subject, None, lint([subject]), LINKS)


def told(found: SoloPage) -> list[str]:
    """What a page says is open, and in which bars it draws that nothing can be made out."""
    (fact,) = re.findall(r"<dt>Still open</dt><dd>(.*?)</dd>", found.body)
    bars = re.findall(
        r'<div class="tt-bar" id="b(\d+)"(.*?)(?=<div class="tt-bar"|<ul class="tt-legend|\Z)', found.tab, re.DOTALL
    )
    gaps = [number for number, bar in bars if 'class="unheard"' in bar]
    return [f"open: {words(fact)}", f"gaps in bars {' '.join(gaps)}" if gaps else "no gaps"]


@pytest.mark.parametrize("number", range(len(COMMITS)), ids=[step.name for step in COMMITS])
def test_the_page_says_at_each_commit_what_is_open(number: int) -> None:
    text = texts()[number]
    found = page(text)
    assert told(found) == COMMITS[number].said["::"]
    assert "tt-draft" not in found.body
    counted = told(found)[0].removeprefix("open: ")
    sections = re.findall(r'<section class="tt-open".*?</section>', found.study.html(), re.DOTALL)
    assert [f"certain yet: {counted}." in words(one) for one in sections] == [True] * (counted != "nothing")


@pytest.mark.parametrize("number", range(len(COMMITS)), ids=[step.name for step in COMMITS])
def test_as_a_draft_it_says_so_and_repeats_nothing_of_what_is_open(number: int) -> None:
    draft = page(texts()[number].replace("\n\n", "\ndraft:        yes\n\n", 1))
    (notice,) = re.findall(r'<section class="tt-draft".*?>(<h2>.*?)</section>', draft.body, re.DOTALL)
    is_open = COMMITS[number].said["::"][0] != "open: nothing"
    rest = "What is not certain yet is listed below." if is_open else "The linter finds nothing."
    assert words(notice) == f"DraftThis transcription is unfinished.{rest}"
    assert told(draft) == COMMITS[number].said["::"]


def test_its_history_tells_at_each_commit_what_the_commit_did(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
        monkeypatch.setenv(name, ENVIRONMENT[name])
    repository = new_repository(tmp_path / "solos")
    path = repository.folder / SOLO
    for number, (step, text) in enumerate(zip(COMMITS, texts(), strict=True)):
        repository.commit(text, step.name)
        (source,) = read_all([path])
        assert isinstance(source, SourceText)
        (solo,) = prepare_all([Material("dusk", source, None)], SETTING, KEEPING_NOTHING)
        history = history_of_solos(path.parent, {"dusk": solo}, LINKS)
        rows = re.findall(r"<li><time[^>]*>[^<]*</time>: (.*?), by Ida Marlow", history.by_slug["dusk"], re.DOTALL)
        assert [words(row) for row in rows] == [_told_by(one) for one in reversed(COMMITS[: number + 1])]


def _told_by(step: Case) -> str:
    """What the history says of a step: its words and what it did; of the first, that it was."""
    did = " ".join(row.strip() for row in takewhile(bool, step.said["--"]))
    return f"“{step.name}”: {did or 'first transcribed'}"
