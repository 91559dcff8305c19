"""The page for programmers: its examples run, and it names all that may be called and all that is raised."""

from __future__ import annotations

import doctest
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from doc_pages import ROOT, codes, fences, page_text, table

import tabtools
from tabtools import api

PAGE = page_text("programming.md")


def test_the_examples_run(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    text = "\n".join(fence.text for fence in fences(PAGE, "pycon"))
    examples = doctest.DocTestParser().get_doctest(text, {}, "programming.md", None, 0)
    said: list[str] = []
    result = doctest.DocTestRunner().run(examples, out=said.append)
    assert result.attempted > 15
    assert "".join(said) == ""


def test_the_package_names_what_the_module_holds() -> None:
    assert sorted(tabtools.__all__) == sorted([*api.__all__, "__version__"])
    assert all(getattr(tabtools, name) is getattr(api, name) for name in api.__all__)


def test_what_is_not_there_is_told_as_python_does() -> None:
    with pytest.raises(AttributeError, match="module 'tabtools' has no attribute 'reed'"):
        _ = tabtools.reed


def test_nothing_is_loaded_before_it_is_asked_for() -> None:
    code = "import sys, tabtools; print([name for name in sys.modules if name.startswith('tabtools.')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout == "[]\n"


FUNCTIONS = (tabtools.annotate, tabtools.from_text, tabtools.lint, tabtools.read)


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda function: function.__name__)
def test_the_page_says_what_is_raised(function: Callable[..., object]) -> None:
    rows = {codes(raised)[0].removeprefix("tabtools."): codes(by) for raised, by, _ in table(PAGE, "What can go wrong")}
    told = {raised for raised, by in rows.items() if function.__name__ in by}
    assert told == set(re.findall(r"`(\w+Error)`", function.__doc__ or ""))
    assert told <= set(tabtools.__all__)


def test_the_page_names_every_field_of_a_problem() -> None:
    section = PAGE[PAGE.index("The fields are those of") :]
    named = codes(section.partition(". Lines")[0])[1:]
    assert named == [*tabtools.PlacedProblem.__dataclass_fields__]


def test_a_lesson_and_solos_in_folders_are_linted_too(tmp_path: Path) -> None:
    text = "title: A\nplayer: B\nrights: CC0-1.0\nmeter: 4/4\n\nbar 1  Am\n1-4  3:5\n"
    for name in ("one", "two"):
        (tmp_path / f"{name}.solo").write_text(text, encoding="utf-8")
    (tmp_path / "one.md").write_text("It begins with `@1.1.1 G4`.\n", encoding="utf-8")
    found = tabtools.lint(tmp_path)
    assert [(Path(one.path).name, one.line, one.check) for one in found] == [("one.md", 1, "claim")]
    with pytest.raises(tabtools.MissingPathError):
        tabtools.lint(tmp_path / "three.solo")


def test_a_file_that_is_no_text_is_a_problem_of_lint_and_an_error_of_read(tmp_path: Path) -> None:
    path = tmp_path / "one.solo"
    path.write_bytes(b"title: \xff\n")
    assert [(one.check, one.line, one.column) for one in tabtools.lint(path)] == [("unreadable-file", 1, 8)]
    for function in (tabtools.read, tabtools.annotate):
        with pytest.raises(tabtools.SourceError, match="is not UTF-8"):
            function(path)
