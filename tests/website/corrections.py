"""Pages on which a reader suggests a correction, opened from the disk without the theme; repositories to take it."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from browser import watched
from click.testing import CliRunner
from drawn import STYLESHEET
from git_repositories import DUSK, ENVIRONMENT, SOLO, GitRepository, new_repository
from playwright.sync_api import Browser, Page

from tabtools.checks.subject import subject_of
from tabtools.cli import main
from tabtools.source import decode
from tabtools.study import study_of
from tabtools.website.links import Links
from tabtools.website.scripts import SOLO_PAGE, joined
from tabtools.website.solo_page import practice
from tabtools.website.solo_page.correction_form import correction_form_html, written_bars
from tabtools.website.solo_page.sections import sections_of
from tabtools.website.solo_page.tab import tab_html
from tabtools.website.theme import STYLESHEETS

ASSETS = STYLESHEET.parent
STYLES = "".join((ASSETS.parent / name).read_text(encoding="utf-8") for name in STYLESHEETS)

FORGE = "https://forge.example/new?title={title}&body={body}"
REPEATED = f"{DUSK}\nbars 3-4 like 1-2\n\nbar 5\n1-4  .\n"


def form_html(data: bytes, path: str, issues: str = "") -> str:
    """The form for a file as its page has it."""
    source = decode(data, path)
    subject = subject_of(source)
    title = subject.solo.header.title
    return correction_form_html(written_bars(source, subject.timeline), data, title, path, issues)


def page_html(data: bytes, path: str, issues: str = "") -> str:
    """A page with all that the form works with: the controls, the tab, the panel of the chosen note."""
    subject = subject_of(decode(data, path))
    study = study_of(subject.timeline, "plain")
    tab, anchors = tab_html(subject.timeline, "plain", study)
    known = sections_of(study, subject.hand, Links(True, anchors=anchors))
    return (
        '<!doctype html><html lang="en"><meta charset="utf-8"><title>A solo</title>'
        '<meta name="viewport" content="width=device-width">'
        f"<style>html {{ font-size: 20px }} body {{ margin: 10px; font: 16px sans-serif }} {STYLES}</style>"
        f'<main class="md-typeset"><h1>A solo</h1>{practice.controls(subject.timeline, known.view)}{tab}{known.under}'
        f'{known.study.html()}<div class="tt-side"></div>'
        f"{form_html(data, path, issues)}</main><script>{joined(SOLO_PAGE)}</script></html>"
    )


class Reader:
    """Somebody who hears something else."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.text = page.get_by_label("As it is written")

    @property
    def patch(self) -> str:
        return self.page.locator(".tt-suggest-patch").input_value()

    @property
    def fault(self) -> str:
        return self.page.get_by_role("alert").inner_text()

    @property
    def said(self) -> str:
        return self.page.locator(".tt-suggest-said").inner_text()

    @property
    def focused(self) -> str:
        """The id or the text of what has the focus."""
        return self.page.evaluate("document.activeElement.id || document.activeElement.textContent")

    def choose(self, label: str) -> None:
        """Choose a place by its name in the list."""
        self.page.locator("[name=place]").select_option(label=label)
        self.press("Correct it")

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).click()

    def replace(self, old: str, new: str) -> None:
        """Change one part of the text."""
        text = self.text.input_value()
        assert text.count(old) == 1, text
        self.text.fill(text.replace(old, new))

    def paste(self, text: str) -> None:
        """Put in a long text, which would take long to type."""
        self.text.evaluate(
            "(one, text) => { one.value = text; one.dispatchEvent(new Event('input', {bubbles: true})) }", text
        )

    def say(self, **fields: str) -> None:
        """Fill in `reason`, `at`, `credit`."""
        for name, words in fields.items():
            self.page.locator(f".tt-suggest [name={name}]").fill(words)

    def make(self) -> str:
        """The patch as it is made; empty where there is none."""
        self.press("Make the patch")
        return self.patch if self.page.locator(".tt-suggest-result").is_visible() else ""


@contextmanager
def reading(
    browser: Browser, folder: Path, data: str | bytes, path: str, issues: str = "", **settings: object
) -> Iterator[Reader]:
    """A reader of the page of a solo, whose file has this path from the top of its repository."""
    file = folder / "page.html"
    file.write_text(page_html(data.encode() if isinstance(data, str) else data, path, issues), encoding="utf-8")
    with watched(browser, "file:", **settings) as page:
        page.set_default_timeout(10_000)
        page.goto(file.as_uri())
        yield Reader(page)


def repository_of(folder: Path, text: str = DUSK, path: str = SOLO) -> GitRepository:
    """A repository with this solo."""
    found = new_repository(folder / "solos", text if path == SOLO else DUSK)
    if path != SOLO:
        found.commit(text, "another", path)
    found.set("user.name", "Ida Marlow")
    found.set("user.email", "ida@slipway.example")
    return found


def git_takes(repository: GitRepository, patch: str, *arguments: str) -> None:
    """Apply a patch with git alone."""
    done = subprocess.run(
        ["git", "apply", *arguments], cwd=repository.folder, env=ENVIRONMENT, input=patch.encode(),
        capture_output=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, (patch, done.stderr)


def taken(repository: GitRepository, patch: str, monkeypatch: pytest.MonkeyPatch) -> str:
    """The message of the commit that `tabtools apply` makes of a patch that git would take too."""
    git_takes(repository, patch, "--check")
    monkeypatch.chdir(repository.folder)
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
        monkeypatch.setenv(name, ENVIRONMENT[name])
    done = CliRunner().invoke(main, ["apply", "-", "--yes"], input=patch.encode(), catch_exceptions=False)
    assert done.exit_code == 0, done.stderr
    return repository.git("log", "-1", "--format=%B")
