"""Running git: fixed arguments, no shell, no pager, no helper programs, a time limit, and a cleaned environment."""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

from tabtools.source import is_number, visible

TIMEOUT = 60
OLDEST = (2, 25)
"""Debian 11, Ubuntu 20.04 and everything younger has a git that knows `--end-of-options`."""

_OF_THE_USER = frozenset(
    {
        "GIT_CONFIG_GLOBAL",
        "GIT_CONFIG_SYSTEM",
        "GIT_CONFIG_NOSYSTEM",
        "GIT_AUTHOR_NAME",
        "GIT_AUTHOR_EMAIL",
        "GIT_COMMITTER_NAME",
        "GIT_COMMITTER_EMAIL",
    }
)
_OF_THE_REPOSITORY = frozenset(
    {
        "GIT_DIR",
        "GIT_WORK_TREE",
        "GIT_COMMON_DIR",
        "GIT_INDEX_FILE",
        "GIT_OBJECT_DIRECTORY",
        "GIT_ALTERNATE_OBJECT_DIRECTORIES",
        "GIT_QUARANTINE_PATH",
        "GIT_CEILING_DIRECTORIES",
        "GIT_DISCOVERY_ACROSS_FILESYSTEM",
    }
)
"""What says who the user is, and where the repository and its settings are, as git tells its hooks. The rest (an
external diff, a pager, traces, settings of one call, other rules for paths) would change what git answers, or start
programs."""

_SETTINGS = (
    "--no-pager",
    "--literal-pathspecs",
    "-c",
    "core.quotePath=false",
    "-c",
    "core.fsmonitor=false",
    "-c",
    "log.showSignature=false",
    "-c",
    "log.showRoot=true",
    "-c",
    "log.follow=false",
    "-c",
    "color.ui=false",
)


class GitError(Exception):
    """git is not there, or could not do what it was asked: what is wrong, and what to do."""

    def __init__(self, message: str, advice: str = ""):
        super().__init__(message)
        self.message = message
        self.advice = advice


class NoGitError(GitError):
    """git is not installed."""


class NoRepository(GitError):
    """The folder belongs to no git repository."""


class NoCommits(GitError):
    """Nothing is committed in this repository yet."""


def environment(anew: bool = False) -> dict[str, str]:
    """The environment git is run in: plain answers, no questions, nothing started on the side.

    `anew` leaves out what says where the repository is: git looks for one where it is run.
    """
    known = _OF_THE_USER if anew else _OF_THE_USER | _OF_THE_REPOSITORY
    kept = {name: value for name, value in os.environ.items() if not name.startswith("GIT_") or name in known}
    return kept | {"LC_ALL": "C", "GIT_TERMINAL_PROMPT": "0", "GIT_OPTIONAL_LOCKS": "0", "GIT_NO_LAZY_FETCH": "1"}


def run(
    arguments: Sequence[str],
    folder: Path,
    given: bytes = b"",
    timeout: float = TIMEOUT,
    fine: Sequence[int] = (0,),
    anew: bool = False,
) -> subprocess.CompletedProcess[bytes]:
    """Run git in a folder. Raises `GitError` for statuses that are not `fine`, `NoRepository` outside of one."""
    program = shutil.which("git")
    if program is None:
        raise NoGitError("git is not installed", "install it")
    try:
        done = subprocess.run(
            [program, *_SETTINGS, *arguments],
            cwd=folder,
            input=given,
            capture_output=True,
            env=environment(anew),
            timeout=timeout,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise GitError(f"git {arguments[0]} took longer than {timeout:g} seconds", "try again") from None
    except OSError as error:
        raise GitError(f"git could not be started: {(error.strerror or str(error)).lower()}") from None
    if done.returncode not in fine:
        raise _fault(arguments[0], done.stderr.decode("utf-8", "replace"))
    return done


def output(arguments: Sequence[str], folder: Path, given: bytes = b"", timeout: float = TIMEOUT) -> str:
    """What git prints, as text; bytes that are not UTF-8 survive as surrogates. Raises `GitError`."""
    return run(arguments, folder, given, timeout).stdout.decode("utf-8", "surrogateescape")


def version(folder: Path) -> tuple[int, ...]:
    """The version of git, `(2, 39, 5)`. Raises `GitError`."""
    words = output(["version"], folder).split()
    parts = words[2].split(".") if len(words) > 2 else []
    return tuple(int(part) for part in parts if is_number(part))


def _fault(command: str, said: str) -> GitError:
    lines = [line for line in said.splitlines() if line.strip()]
    line = next((line for line in lines if line.startswith("fatal: ")), lines[0] if lines else "")
    line = line.removeprefix("fatal: ")
    if "not a git repository" in line:
        return NoRepository("this folder belongs to no git repository", "run this where your solos are kept with git")
    if "does not have any commits yet" in line:
        return NoCommits("nothing is committed here yet", "git commit keeps the first version")
    if "dubious ownership" in line or "unsafe repository" in line:
        folder = line.partition("'")[2].partition("'")[0]
        return GitError(
            "this repository belongs to another user, so git does not read it",
            f"if you trust it: git config --global --add safe.directory {visible(shlex.quote(folder))}",
        )
    if ".lock': File exists" in line:
        name = line.partition("'")[2].partition("'")[0]
        return GitError(
            f"another git is at work here, or one was broken off: there is {visible(name)}",
            "wait for it; if none is running, delete that file",
        )
    return GitError(f"git {command} failed: {visible(line)}" if line else f"git {command} failed")
