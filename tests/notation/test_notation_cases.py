"""The format, row by row: what each way of writing means, and what is said of its invalid neighbours.

A case file has cases: `== name`, the text of a solo, then what is expected of it. `-- ` lines are what is reported,
`line:column check: message | advice`; they are all of it. `.. ` lines are what was read, in the words of
`described.py`; where one kind of thing is named, all things of that kind are.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from case_files import Case, cases_in
from described import described

from tabtools.notation.build import Reading, read_solo
from tabtools.notation.write import FormatError, formatted
from tabtools.source import from_text

FOLDER = Path(__file__).parent / "cases"


def reported(reading: Reading) -> list[str]:
    lines = []
    for problem in reading.problems:
        line, column = reading.source.locate(problem.span.start)
        lines.append(f"{line}:{column} {problem.check}: {problem.message} | {problem.advice}")
    return lines


CASES = cases_in(FOLDER, "--", "..")


@pytest.mark.parametrize("case", CASES, ids=str)
def test_case(case: Case) -> None:
    reading = read_solo(from_text(case.text))
    assert reported(reading) == case.said["--"]
    kinds = {fact.split()[0] for fact in case.said[".."]}
    assert [fact for fact in described(reading.solo) if fact.split()[0] in kinds] == case.said[".."]
    assert case.said["--"] or case.said[".."], "a case expects something"


@pytest.mark.parametrize("case", [case for case in CASES if case.said[".."]], ids=str)
def test_what_is_read_is_kept_by_the_formatter(case: Case) -> None:
    reading = read_solo(from_text(case.text))
    if reading.unreadable:
        with pytest.raises(FormatError, match=r"line \d+ cannot be read"):
            formatted(reading.source)
    else:
        assert list(described(read_solo(from_text(formatted(reading.source))).solo)) == list(described(reading.solo))


def test_names_of_cases_are_told_apart() -> None:
    names = [str(case) for case in CASES]
    assert len(names) == len(set(names))


def test_at_least_sixty_malformed_lines_are_explained() -> None:
    explained = {case.text for case in CASES if any(" syntax: " in problem for problem in case.said["--"])}
    assert len(explained) >= 60


@pytest.mark.parametrize("case", [case for case in CASES if case.said["--"]], ids=str)
def test_one_bad_line_hides_nothing_after_it(case: Case) -> None:
    """Each faulty text once more, with a sound bar and a faulty line behind it."""
    behind = "bar 63\n1    6:3\nbar 64\n1    nonsense here\n"
    reading = read_solo(from_text(case.text + behind))
    line = case.text.count("\n") + 4
    message = "“nonsense” is no note, hold or rest"
    assert [entry for entry in reported(reading) if entry.startswith(f"{line}:6 syntax: {message}")]
    assert [bar.number for bar in reading.solo.bars][-2:] == [63, 64]
