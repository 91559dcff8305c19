"""Real git repositories for the tests: nobody's settings but their own, always the same people and dates."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
SOLO = "transcriptions/dusk.solo"

ENVIRONMENT = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")} | {
    "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_CONFIG_NOSYSTEM": "1",
    "GIT_AUTHOR_NAME": "Ida Marlow",
    "GIT_AUTHOR_EMAIL": "ida@slipway.example",
    "GIT_COMMITTER_NAME": "Ida Marlow",
    "GIT_COMMITTER_EMAIL": "ida@slipway.example",
    "GIT_AUTHOR_DATE": "2026-03-01T12:00:00+00:00",
    "GIT_COMMITTER_DATE": "2026-03-01T12:00:00+00:00",
    "GIT_EDITOR": "true",
    "GIT_MERGE_AUTOEDIT": "no",
    "PYTHONPATH": str(ROOT),
    "LC_ALL": "C.UTF-8",
}

DUSK = """\
title:        Ferry at Dusk
player:       Ida Marlow
recording:    slipway tape
rights:       CC0-1.0
meter:        4/4
tempo:        126

bar 1  Dm7
1    3:5 3:7
2    2:5 2:8
3    1:5 -
4    1:8 1:7

bar 2  G7
1    3:7 3:9
2    2:6 2:8
3    1:7 -
4    1:10 1:8
"""
"""A solo of two bars."""
BETTER = DUSK.replace("2    2:6 2:8", "2    2:6 2:10")
"""The same with one note mended."""


@dataclass
class GitRepository:
    """A repository in a folder of its own."""

    folder: Path

    def git(self, *arguments: str, fine: tuple[int, ...] = (0,)) -> str:
        done = subprocess.run(
            ["git", *arguments], cwd=self.folder, env=ENVIRONMENT, capture_output=True, text=True, check=False
        )
        assert done.returncode in fine, f"git {' '.join(arguments)}: {done.stdout}{done.stderr}"
        return done.stdout + done.stderr

    def status(self, *arguments: str) -> int:
        return subprocess.run(
            ["git", *arguments], cwd=self.folder, env=ENVIRONMENT, capture_output=True, check=False
        ).returncode

    def write(self, text: str, name: str = SOLO) -> None:
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")

    def read(self, name: str = SOLO) -> str:
        return (self.folder / name).read_text(encoding="utf-8")

    def commit(self, text: str | None = None, message: str = "a correction", name: str = SOLO) -> str:
        """Commit everything, the solo with this text where one is given; returns the commit."""
        if text is not None:
            self.write(text, name)
        self.git("add", "--all")
        self.git("commit", "--quiet", "--allow-empty", "-m", message)
        return self.git("rev-parse", "HEAD").strip()

    def branch(self, name: str, text: str, start: str = "main") -> None:
        """A branch with one correction."""
        self.git("checkout", "--quiet", "-b", name, start)
        self.commit(text, f"{name} corrects")

    def set(self, name: str, value: str) -> None:
        self.git("config", "--local", name, value)


def new_repository(folder: Path, text: str | None = None) -> GitRepository:
    """A repository, on `main`, with one solo where a text is given."""
    folder.mkdir(parents=True, exist_ok=True)
    repository = GitRepository(folder)
    repository.git("init", "--quiet", "--template=", "-b", "main")
    if text is not None:
        repository.commit(text, "the first transcription")
    return repository


def tabtools(folder: Path, *arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """A command of tabtools as a process of its own."""
    return subprocess.run(
        [sys.executable, "-P", "-m", "tabtools", *arguments],
        cwd=folder,
        env=ENVIRONMENT | environment,
        capture_output=True,
        text=True,
        check=False,
    )
