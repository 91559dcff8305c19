"""Case files: what a text means, in plain text beside the tests that read it.

A file has cases: `== name`, then lines of text, and lines of what is expected of it. These start with a sign and a
space (`.. `, `-- `); which signs there are, and what stands behind them, each test says. What stands before the first
case is a remark.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Case:
    """One case: its text, and the expected lines by sign."""

    file: str
    name: str
    text: str
    said: dict[str, list[str]]

    def __str__(self) -> str:
        return f"{self.file}: {self.name}"


def cases_in(place: Path, *signs: str) -> list[Case]:
    """The cases of a file, or of all files of a folder, in order. Two of one name in a file are an error."""
    paths = sorted(place.glob("*.txt")) if place.is_dir() else [place]
    found = [_case(path.stem, block, signs) for path in paths for block in _blocks(path)]
    names = [str(case) for case in found]
    assert len(names) == len(set(names)), f"{place}: a name stands twice"
    return found


def _blocks(path: Path) -> list[str]:
    return re.split(r"^== ", path.read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]


def _case(file: str, block: str, signs: tuple[str, ...]) -> Case:
    name, *lines = block.rstrip("\n").split("\n")
    text: list[str] = []
    said: dict[str, list[str]] = {sign: [] for sign in signs}
    for line in lines:
        sign = next((sign for sign in signs if line == sign or line.startswith(f"{sign} ")), None)
        if sign is None:
            text.append(line)
        else:
            said[sign].append(line[len(sign) + 1 :])
    return Case(file, name.strip(), "\n".join(text).rstrip("\n") + "\n", said)
