"""What history costs when a site is built: `python tests/bench/history.py [SOLOS [COMMITS]]`.

Told are the calls of git, and the seconds of the processors (git's included) beside the bare Lark parse of every
version that has to be read: with nothing kept, with everything kept, and after one more correction.
"""

from __future__ import annotations

import os
import random
import re
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from lark import Lark
from lint import GRAMMAR
from solos import solo

from tabtools.cache.results import KEEPING_NOTHING, Keeping
from tabtools.reports.history import CollectionHistory, collection_history_of
from tabtools.review import git
from tabtools.review.repository_log import repository_log_of

FOLDER = "transcriptions"
PLAIN = {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1"}
WHO = ["-c", "user.name=nobody", "-c", "user.email=nobody@localhost", "-c", "maintenance.auto=false"]


def main(solos: int = 1000, commits: int = 200) -> None:
    os.environ.update(PLAIN)
    with tempfile.TemporaryDirectory() as name:
        top = Path(name)
        made = Made(top, solos)
        for _ in range(commits):
            made.correct()
        parse = Lark(GRAMMAR, parser="lalr", start="solo", maybe_placeholders=False).parse
        bare, _ = _cost(lambda: [parse(text) for text in made.versions])
        keeping = Keeping(top / "kept.sqlite")
        print(f"{solos} solos, {commits} commits; bare parse of {len(made.versions)} corrected versions {bare:.1f} s")
        for what, kept in (("nothing kept", KEEPING_NOTHING), ("to be kept", keeping), ("everything kept", keeping)):
            _tell(what, top, kept, bare)
        made.correct()
        _tell("one more correction", top, keeping, bare)


class Made:
    """A repository of solos. `versions` are all texts of those that were corrected."""

    def __init__(self, top: Path, solos: int):
        self._top, self._rng = top, random.Random(1)
        self._texts = {f"{FOLDER}/solo-{number}.solo": solo(number) for number in range(solos)}
        self.versions: set[str] = set()
        (top / FOLDER).mkdir()
        self._git("init", "--quiet", "--template=", "-b", "main")
        self._write(self._texts)

    def correct(self) -> None:
        """One commit that corrects a beat of one solo, or of two."""
        corrected = {}
        for name in self._rng.sample(sorted(self._texts), self._rng.choice((1, 1, 1, 2))):
            lines = self._texts[name].split("\n")
            at = self._rng.choice([at for at, line in enumerate(lines) if re.match(r"\d.*:5", line)])
            lines[at] = lines[at].replace(":5", ":6", 1)
            corrected[name] = "\n".join(lines)
            self.versions |= {self._texts[name], corrected[name]}
        self._texts |= corrected
        self._write(corrected)

    def _write(self, texts: dict[str, str]) -> None:
        for name, text in texts.items():
            (self._top / name).write_text(text, encoding="utf-8")
        self._git("add", "--all", "--", FOLDER)
        self._git(*WHO, "commit", "--quiet", "-m", "a correction")

    def _git(self, *arguments: str) -> None:
        subprocess.run(["git", *arguments], cwd=self._top, check=True)


def _tell(what: str, top: Path, keeping: Keeping, bare: float) -> None:
    cost, calls = _cost(lambda: _past(top, keeping))
    print(f"{what:20} {calls} calls of git, {cost:5.2f} s, {cost / bare:.2f} times the bare parse")


def _past(top: Path, keeping: Keeping) -> CollectionHistory:
    paths = {path.relative_to(top).as_posix(): path for path in (top / FOLDER).glob("*.solo")}
    return collection_history_of(
        repository_log_of(top / FOLDER), {name: path.read_text for name, path in paths.items()}, keeping
    )


def _cost(work: Callable[[], object]) -> tuple[float, int]:
    """Seconds of the processors, and how often git was called."""
    calls = 0
    popen = subprocess.Popen

    class Counted(popen):
        def __init__(self, *arguments: object, **more: object):
            nonlocal calls
            calls += 1
            super().__init__(*arguments, **more)

    git.subprocess.Popen = Counted
    try:
        before = os.times()
        work()
        after = os.times()
    finally:
        git.subprocess.Popen = popen
    return sum(after[:4]) - sum(before[:4]), calls


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
