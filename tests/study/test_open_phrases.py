"""Where phrases end beside what is not known: silence and length count only as far as they are certain."""

from __future__ import annotations

import pytest
from study_cases import timeline_of_text

from tabtools.study import study_of

CASES = {
    "a rest of a pulse ends it": ("1    3:5\n2    3:7\n3    .\n4    3:5", ["1.1-1.2", "1.4"]),
    "a rest somewhere within a doubtful count does not": ("1-4? 3:5 3:7 . 3:5", ["1.1"]),
    "a rest behind a doubtful count does": ("1-2? 3:5 3:7\n3    .\n4    3:5", ["1.1", "1.4"]),
    "a rest before a doubtful count does": ("1    3:5 3:7\n2    .\n3-4? 3:5 3:7", ["1.1", "1.3"]),
    "a note as long as a doubtful count may be short": ("1    3:5 3:7\n2-3? 2:8\n4    3:5", ["1.1-1.4"]),
    "a long note before a doubtful count": ("1    3:5 3:7\n2-3  2:8\n4?   3:5 3:7", ["1.1-1.2", "1.4"]),
    "what is not heard is no silence": ("1    3:5\n2-3  ??\n4    3:5", ["1.1-1.4"]),
    "where a bar or more is not heard, nobody knows": (
        "1    3:5\n2-4  ??\n\nbar 2\n1    ??\n2-4  3:5",
        ["1.1", "2.2"],
    ),
    "nor is a note whose pitch is not known": ("1    3:5\n2    ?\n3    ?\n4    3:5", ["1.1-1.4"]),
}


@pytest.mark.parametrize("name", CASES)
def test_case(name: str) -> None:
    lines, ends = CASES[name]
    study = study_of(timeline_of_text(f"key: A minor\nmeter: 4/4\n\nbar 1  Am\n{lines}\n"))
    assert [str(phrase.range) for phrase in study.phrases] == ends
