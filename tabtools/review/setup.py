"""What git is told about solos: attributes for everybody, settings for this clone, what can be wrong with either."""

from __future__ import annotations

import os
import shlex
import sys
import tempfile
from collections.abc import Iterator, Sequence
from enum import Enum
from functools import partial
from pathlib import Path
from typing import NamedTuple

from tabtools.review.driver_status import CONFLICTS
from tabtools.review.git import OLDEST, output, run, version
from tabtools.review.revisions import Repository
from tabtools.writing import holds, write_atomically

ATTRIBUTES_FILE = ".gitattributes"
ATTRIBUTES = "*.solo text eol=lf diff=solo merge=solo"
"""Versioned, for everybody. Who installed nothing still has hunk headers that name the bar, since git takes the last
line that begins with a letter, and merges line by line, since git takes its own merge where no driver is set."""

EXPECTED_ATTRIBUTES = {"text": "set", "eol": "lf", "diff": "solo", "merge": "solo"}


def program() -> str:
    """How git is to call this tabtools, for its shell. `-P`: nothing is imported from the folder git runs it in."""
    return f"{shlex.quote(Path(sys.executable).as_posix())} -P -m tabtools"


def settings() -> dict[str, str]:
    """The settings of a clone in which everything is set up.

    A program that is gone or breaks off must not cost anybody a merge or a diff: then git's own merge of texts is
    done, with markers, and the text itself is shown.
    """
    call = program()
    return {
        "diff.solo.textconv": f'f() {{ {call} git textconv "$1" 2>/dev/null || cat "$1"; }}; f',
        "diff.solo.xfuncname": "^(bars?[ \t]+[0-9].*|section[ \t].*)$",
        "diff.solo.wordRegex": "[^ \t]+",
        "merge.solo.name": "solos by bar, beat line and header field",
        "merge.solo.driver": (
            f"{call} git merge-driver %O %A %B %L %P; s=$?; "
            f"case $s in 0) exit 0;; {CONFLICTS}) exit 1;; esac; "
            "git merge-file -L ours -L base -L theirs --marker-size=%L %A %O %B"
        ),
        "difftool.tabtools.cmd": f'{call} diff --name "$MERGED" "$LOCAL" "$REMOTE"',
    }


class Installed(NamedTuple):
    """What was written: whether the attributes were, and the names of the settings that were."""

    attributes: bool
    settings: tuple[str, ...]


def install(repository: Repository) -> Installed:
    """Set this clone up; what is there already is left. Raises `GitError`, and for the
    attributes file what `write_atomically` raises."""
    written = []
    for name, value in settings().items():
        if _setting(repository, name) != value:
            output(["config", "--local", "--replace-all", name, value], repository.top)
            written.append(name)
    return Installed(_add_attributes(repository), tuple(written))


def _add_attributes(repository: Repository) -> bool:
    path = repository.top / ATTRIBUTES_FILE
    before = path.read_bytes() if path.is_file() else None
    if _attributes(repository) == EXPECTED_ATTRIBUTES:
        return False
    lines = before or b""
    if lines and not lines.endswith(b"\n"):
        lines += b"\n"
    lines += f"{ATTRIBUTES}\n".encode()
    write_atomically(path, lines, may_replace=before is not None, is_still=partial(holds, path, before))
    return True


def uninstall(repository: Repository) -> tuple[str, ...]:
    """Take the settings of this clone back; the attributes belong to everybody and stay. Names what was removed."""
    removed = []
    for section in ("diff.solo", "merge.solo", "difftool.tabtools"):
        if run(["config", "--local", "--remove-section", section], repository.top, fine=(0, 1, 128)).returncode == 0:
            removed.append(section)
    return tuple(removed)


def _setting(repository: Repository, name: str) -> str | None:
    done = run(["config", "-z", "--get", name], repository.top, fine=(0, 1))
    return None if done.returncode else done.stdout.decode("utf-8", "replace").rstrip("\x00")


def _attributes(repository: Repository) -> dict[str, str]:
    """The attributes of a solo in this repository."""
    names = list(EXPECTED_ATTRIBUTES)
    words = output(["check-attr", "-z", *names, "--", "transcriptions/any.solo"], repository.top).split("\x00")
    return dict(zip(words[1::3], words[2::3], strict=False))


# ---- what can be wrong


class Trouble(NamedTuple):
    """Something that does not work here: what follows from it, and what to do."""

    message: str
    advice: str


INSTALL = "run tabtools git install"


def troubles(repository: Repository) -> Iterator[Trouble]:
    """Everything about this clone that keeps solos from being shown and merged as music."""
    found = version(repository.top)
    if found < OLDEST:
        yield Trouble(
            f"git {'.'.join(map(str, found))} is too old: some commands of tabtools will fail",
            f"use git {'.'.join(map(str, OLDEST))} or newer",
        )
    yield from _attribute_troubles(repository)
    yield from _setting_troubles(repository)
    driver = _setting(repository, "merge.solo.driver")
    if driver:
        yield from _driver_troubles(driver)


def _attribute_troubles(repository: Repository) -> Iterator[Trouble]:
    found = _attributes(repository)
    if found != EXPECTED_ATTRIBUTES:
        said = ", ".join(f"{name}={found.get(name, 'unspecified')}" for name in EXPECTED_ATTRIBUTES)
        yield Trouble(
            f"git does not know solos by the attributes “{ATTRIBUTES}” here, but by {said}",
            f"{INSTALL}; if that does not help, another line of {ATTRIBUTES_FILE} or .git/info/attributes wins",
        )
        return
    tracked = run(["ls-files", "--error-unmatch", "--", ATTRIBUTES_FILE], repository.top, fine=(0, 1))
    if tracked.returncode:
        yield Trouble(
            f"{ATTRIBUTES_FILE} is not committed: nobody else has it", f"git add {ATTRIBUTES_FILE}, and commit"
        )


def _setting_troubles(repository: Repository) -> Iterator[Trouble]:
    for name, wanted in settings().items():
        found = _setting(repository, name)
        if found is None and name in _WITHOUT:
            yield Trouble(f"{name} is not set in this clone: {_WITHOUT[name]}", INSTALL)
        elif found not in (None, wanted):
            yield Trouble(f"{name} was set by another installation, or by hand", f"{INSTALL} to set it anew")


_WITHOUT = {
    "diff.solo.textconv": "git diff shows changes of layout too",
    "diff.solo.xfuncname": "hunk headers name the nearest line that begins with a letter, as a rule the bar",
    "diff.solo.wordRegex": "git diff --word-diff splits notes",
    "merge.solo.driver": "git merges solos line by line",
    "difftool.tabtools.cmd": "git difftool -t tabtools does not work",
}


class Probe(Enum):
    """What git makes of two corrections of neighbouring beats."""

    MERGES = "merged"
    LINE_BY_LINE = "conflict between markers"
    DROPS_A_SIDE = "conflict without markers"


def _driver_troubles(driver: str) -> Iterator[Trouble]:
    outcome = probe(driver)
    if outcome is Probe.LINE_BY_LINE:
        yield Trouble(
            "the merge driver does not work: git merges solos line by line",
            f"{INSTALL} with the tabtools you use; its program may have moved or lost a package",
        )
    elif outcome is Probe.DROPS_A_SIDE:
        yield Trouble(
            "the merge driver does not work, and git leaves your side without markers where it fails",
            f"{INSTALL} before the next merge; after one, look at both sides with tabtools diff",
        )


_BASE = "title: probe\n\nbar 1\n1    3:5\n2    3:7\n"


def probe(driver: str) -> Probe:
    """Merge two corrections with this driver, in a repository made for it."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        solo = folder / "probe.solo"

        def git(*arguments: str, fine: Sequence[int] = (0,)) -> None:
            run(arguments, folder, fine=fine, anew=True)

        git("init", "--quiet", "--template=", ".")
        for key, value in (
            ("user.name", "probe"),
            ("user.email", "probe@localhost"),
            ("commit.gpgSign", "false"),
            ("core.hooksPath", os.devnull),
            ("merge.solo.driver", driver),
        ):
            git("config", "--local", key, value)
        (folder / ATTRIBUTES_FILE).write_text(f"{ATTRIBUTES}\n", encoding="utf-8")
        for branch, text in (
            ("base", _BASE),
            ("theirs", _BASE.replace("3:7", "3:8")),
            ("ours", _BASE.replace("3:5", "3:4")),
        ):
            git("checkout", "--quiet", "-b", branch, *([] if branch == "base" else ["base"]), "--")
            solo.write_text(text, encoding="utf-8")
            git("add", "--all", "--", ".")
            git("commit", "--quiet", "--message", branch)
        git("merge", "--quiet", "--no-edit", "theirs", fine=range(256))
        text = solo.read_text(encoding="utf-8", errors="replace")
    if "<<<<<<<" in text:
        return Probe.LINE_BY_LINE
    return Probe.MERGES if "3:4" in text and "3:8" in text else Probe.DROPS_A_SIDE
