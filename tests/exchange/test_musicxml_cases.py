"""What stands in the MusicXML of small solos.

Behind `.. ` stands what `written.in_words` says of each measure; bars alone stand under 4/4 in C major.
"""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from case_files import Case, cases_in
from exported import timeline
from written import in_words

from tabtools.exchange import musicxml

FOLDER = Path(__file__).parent / "cases"
HEADER = "meter: 4/4\nkey: C major\n\n"


def shown(text: str) -> list[str]:
    """The measures of a solo in words; the first tempo and chordless bars say nothing."""
    root = ElementTree.fromstring(musicxml(timeline(text), "plain" if "degrees" in text else None))
    lines = [line for measure in root.iter("measure") for line in in_words(measure)]
    return [line for line in lines if line != "direction quarter=120 tempo=120"]


@pytest.mark.parametrize("case", cases_in(FOLDER, ".."), ids=str)
def test_case(case: Case) -> None:
    header = "" if re.match(r"[a-z]+:", case.text) else HEADER
    assert shown(header + case.text) == case.said[".."]
