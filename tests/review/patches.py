"""A repository to which patches are applied, by the command as it is used."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from git_repositories import BETTER, DUSK, ENVIRONMENT, SOLO, GitRepository, new_repository

from tabtools.cli import main
from tabtools.review.patch import suggestion

LESSON = "transcriptions/dusk.md"
PATCH = suggestion(DUSK, BETTER, SOLO, "Nell Quayle", "The tape has the higher note.", "0:42.3")


def repository_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> GitRepository:
    """A repository with a solo and its lesson, which is also where commands run."""
    found = new_repository(tmp_path / "solos", DUSK)
    found.commit("Ends on `@2.4 8 notes`.\n", "a lesson", LESSON)
    found.set("user.name", "Ida Marlow")
    found.set("user.email", "ida@slipway.example")
    monkeypatch.chdir(found.folder)
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
        monkeypatch.setenv(name, ENVIRONMENT[name])
    return found


def saved(repository: GitRepository, patch: str | bytes) -> Path:
    path = repository.folder.parent / "a.patch"
    path.write_bytes(patch.encode() if isinstance(patch, str) else patch)
    return path


def applied(repository: GitRepository, patch: str | bytes, *arguments: str, text: str = "") -> Result:
    command = ["apply", str(saved(repository, patch)), *arguments]
    return CliRunner().invoke(main, command, input=text, catch_exceptions=False)


def state(repository: GitRepository) -> tuple[str, ...]:
    """All that a refused patch must leave alone."""
    files = sorted(path for path in repository.folder.rglob("*") if path.is_file() and ".git" not in path.parts)
    contents = tuple(f"{path}: {path.read_bytes()!r}" for path in files)
    outside = tuple(sorted(path.name for path in repository.folder.parent.iterdir()))
    asked = (("rev-parse", "HEAD"), ("status", "--porcelain"), ("stash", "list"), ("ls-files", "--stage"))
    return (*contents, *outside, *(repository.git(*one) for one in asked))


def refuse_commits(repository: GitRepository) -> None:
    """Give a repository a hook that refuses every commit."""
    hook = repository.folder / ".git" / "hooks" / "pre-commit"
    hook.parent.mkdir(exist_ok=True)
    hook.write_text("#!/bin/sh\nexit 1\n", encoding="utf-8")
    hook.chmod(0o755)
