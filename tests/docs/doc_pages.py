"""The hand-written pages as data: fenced blocks, tables, and sessions that are played again.

A session page tells a story: its `solo` blocks are what the reader types into one file, its `markdown` blocks the
lesson beside it, its `console` blocks commands and what they print. Run as a program, this file writes the real
output into the session pages.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from contextlib import chdir
from pathlib import Path
from typing import NamedTuple

from click.testing import CliRunner

from tabtools.cli import main

ROOT = Path(__file__).parents[2]
PAGES = ROOT / "site_docs"
README = "../README.md"
SESSION_PAGES = ("index.md", "writing.md", "not-sure.md", "finding.md", "exporting.md", "corrections.md", README)
SOLO = Path("transcriptions/gull-on-the-mast.solo")

_FENCE = re.compile(r"^(```+)[ \t]*(\{[^}\n]*\}|[\w-]*)\n(.*?)^\1$", re.MULTILINE | re.DOTALL)
_COMMAND = re.compile(r"^\$ ((?:.*\\\n)*.*)$", re.MULTILINE)
_BAR = re.compile(r"bar (\d+)\b")
_DAY = "2026-03-01T12:00:00+00:00"
_CLEAN_GIT = {
    "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_CONFIG_SYSTEM": os.devnull,
    "GIT_PAGER": "cat",
    "GIT_EDITOR": "true",
    "LC_ALL": "C",
    "GIT_AUTHOR_DATE": _DAY,
    "GIT_COMMITTER_DATE": _DAY,
    "GIT_AUTHOR_NAME": "Ida Marlow",
    "GIT_AUTHOR_EMAIL": "ida@slipway.example",
    "GIT_COMMITTER_NAME": "Ida Marlow",
    "GIT_COMMITTER_EMAIL": "ida@slipway.example",
}
_COMMIT = re.compile(r"\b[0-9a-f]{8}(?=  2026-03-01  )")
_SHOWN_COMMITS = ("5d1c7e02", "a94f3b6e")
"""What commits are called on the pages: their real names depend on every file of the folder."""


class Fence(NamedTuple):
    """A fenced block: its words (`solo`, `solo fails`), and its text. `start` is its offset in the page."""

    words: tuple[str, ...]
    text: str
    start: int


def page_text(page: str) -> str:
    return (PAGES / page).read_text(encoding="utf-8")


def fences(text: str, language: str) -> list[Fence]:
    """The fenced blocks of a language, in order."""
    found = [_fence(match) for match in _FENCE.finditer(text)]
    return [fence for fence in found if fence.words[:1] == (language,)]


def prose(text: str) -> str:
    """A page without its fenced blocks."""
    return _FENCE.sub("", text)


def _fence(match: re.Match[str]) -> Fence:
    return Fence(tuple(word.lstrip(".") for word in match[2].strip("{}").split()), match[3], match.start())


def table(text: str, heading: str) -> list[list[str]]:
    """The cells of the first table under a heading, its own heading row left out."""
    _, found, rest = re.split(rf"^(#+ {re.escape(heading)})$", text, maxsplit=1, flags=re.MULTILINE)
    section = re.split(r"^#+ ", rest, maxsplit=1, flags=re.MULTILINE)[0]
    rows = re.search(r"(?:^\|.*\n)+", section, re.MULTILINE)
    assert found and rows, f"no table under {heading}"
    cells = [[cell.strip() for cell in row.strip("|").split("|")] for row in rows[0].splitlines()]
    return cells[2:]


def codes(cell: str) -> list[str]:
    """The code spans of a cell."""
    return re.findall(r"`([^`]+)`", cell)


class Session:
    """A folder, and a reader at a prompt in it."""

    def __init__(self, folder: Path):
        self.folder = folder
        self._commits: dict[str, str] = {}

    @property
    def solo(self) -> Path:
        return self.folder / SOLO

    def run(self, command: str) -> str:
        """What a command prints."""
        name, *words = _words(command)
        if name == "cd":
            self.folder = self.folder / words[0]
            return ""
        if name == "git":
            environment = {
                name: value for name, value in os.environ.items() if not name.startswith("GIT_")
            } | _CLEAN_GIT
            done = subprocess.run(["git", *words], cwd=self.folder, env=environment, capture_output=True, text=True)
            return done.stdout + done.stderr
        assert name == "tabtools", command
        with chdir(self.folder):
            said = CliRunner().invoke(main, words, catch_exceptions=False).output
        return _COMMIT.sub(lambda found: self._shown(found.group()), said)

    def _shown(self, commit: str) -> str:
        return self._commits.setdefault(commit, _SHOWN_COMMITS[len(self._commits) % len(_SHOWN_COMMITS)])

    def type_in(self, text: str) -> None:
        """Bars take the place of bars of the same number, other lines go to the end."""
        blocks = self.solo.read_text(encoding="utf-8").rstrip("\n").split("\n\n")
        for block in text.rstrip("\n").split("\n\n"):
            bar = _BAR.match(block)
            here = [at for at, old in enumerate(blocks) if bar and (found := _BAR.match(old)) and found[1] == bar[1]]
            if here:
                blocks[here[0]] = block
            else:
                blocks.append(block)
        self.solo.write_text("\n\n".join(blocks) + "\n", encoding="utf-8")

    def errors(self) -> str:
        """The lint report of the solo, empty while it has no errors."""
        with chdir(self.folder):
            result = CliRunner().invoke(main, ["lint", str(SOLO)], catch_exceptions=False)
        return result.output if result.exit_code else ""


def _words(command: str) -> list[str]:
    """The words of a command, quotes taken off; a backslash continues it on the next line."""
    return [quoted or bare for quoted, bare in re.findall(r'"([^"]*)"|(\S+)', command.replace("\\\n", " "))]


def played(text: str, session: Session) -> str:
    """A session page with what really happens in place of what it says: outputs, and the file where it is shown."""
    return _FENCE.sub(lambda match: _played_fence(match, session), text)


def _played_fence(match: re.Match[str], session: Session) -> str:
    fence = _fence(match)
    body = fence.text
    if fence.words == ("console",):
        body = "".join(f"$ {command}\n{session.run(command)}" for command in _COMMAND.findall(body))
    elif not session.solo.exists():
        pass
    elif fence.words[:1] == ("solo",) and body.startswith("title:"):
        body = session.solo.read_text(encoding="utf-8")
    elif fence.words[:1] == ("solo",):
        session.type_in(body)
        assert bool(session.errors()) == ("fails" in fence.words), f"{session.errors() or 'no errors'} after:\n{body}"
    elif fence.words == ("markdown",):
        session.solo.with_suffix(".md").write_text(body, encoding="utf-8")
    return f"{match[0][: match.start(3) - match.start()]}{body}{match[1]}"


def session_for(page: str, folder: Path) -> Session:
    """Where the story of a page begins: some in this repository, some where the tutorial has ended."""
    if page in ("index.md", "finding.md"):
        return Session(ROOT)
    session = Session(folder)
    if page in ("not-sure.md", "exporting.md", "corrections.md"):
        played(page_text("writing.md"), session)
    if page == "corrections.md":
        for command in ("-c init.defaultBranch=main init --quiet", "add .", "commit --quiet -m Solos"):
            session.run(f"git {command}")
    return session


def refresh() -> None:
    """Write the real output into the session pages."""
    for page in SESSION_PAGES:
        with tempfile.TemporaryDirectory() as folder:
            old = page_text(page)
            new = played(old, session_for(page, Path(folder)))
        if new != old:
            (PAGES / page).write_text(new, encoding="utf-8")
            print(f"{page}: refreshed", file=sys.stderr)


if __name__ == "__main__":
    refresh()
