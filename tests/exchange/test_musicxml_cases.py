"""What stands in the MusicXML of small solos.

A case file has cases: `== name`, the lines of a solo (bars alone stand under 4/4 in C major), then `.. ` lines: what
`written.in_words` says of each measure. A line that starts with `#` before the first case is a remark.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

import pytest
from exported import timeline
from written import in_words

from tabtools.exchange import musicxml

FOLDER = Path(__file__).parent / "cases"
HEADER = "meter: 4/4\nkey: C major\n\n"


class Case(NamedTuple):
    name: str
    text: str
    expected: list[str]


def cases() -> Iterator[Case]:
    for path in sorted(FOLDER.glob("*.txt")):
        for chunk in re.split(r"^== ", path.read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]:
            name, *lines = chunk.rstrip("\n").split("\n")
            text = "".join(f"{line}\n" for line in lines if not line.startswith(".. "))
            header = "" if re.match(r"[a-z]+:", text) else HEADER
            yield Case(f"{path.stem}: {name}", header + text, [line[3:] for line in lines if line.startswith(".. ")])


def shown(text: str) -> list[str]:
    """The measures of a solo in words; the first tempo and chordless bars say nothing."""
    root = ElementTree.fromstring(musicxml(timeline(text), "plain" if "degrees" in text else None))
    lines = [line for measure in root.iter("measure") for line in in_words(measure)]
    return [line for line in lines if line != "direction quarter=120 tempo=120"]


@pytest.mark.parametrize("case", list(cases()), ids=lambda case: case.name)
def test_case(case: Case) -> None:
    assert shown(case.text) == case.expected
