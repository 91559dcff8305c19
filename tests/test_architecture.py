"""The house rules that a machine can see: imports run one way, modules stay small, names say what is inside."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "tabtools"
MODULES = sorted(PACKAGE.rglob("*.py"))
TEST_MODULES = sorted((ROOT / "tests").rglob("*.py"))

LEVELS = (
    {"source"},
    {"problem"},
    {"model"},
    {"notation"},
    {"timeline"},
    {"harmony", "hand"},
    {"checks", "study", "review"},
    {"search"},
    {"linting", "finding", "exchange", "reports", "files", "settings", "starter"},
    {"website"},
    {"cli"},
)
"""The parts of the package from the bottom up. A part imports from the parts below it, never from its siblings."""

NEIGHBOURS = {("linting", "files"), ("finding", "files")}
"""Parts of one level that may know each other: what is linted or searched has been found and read."""

EVERYWHERE = {"__version__"}
MOST_LINES = 400
VAGUE_NAMES = {"utils", "util", "common", "helpers", "misc"}


class Import(NamedTuple):
    """What a module imports, at its top or within a function, and on which line."""

    name: str
    line: int


def imports_of(path: Path) -> Iterator[Import]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield Import(alias.name, node.lineno)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: relative import"
            for alias in node.names:
                yield Import(f"{node.module}.{alias.name}", node.lineno)


def named(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def part_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported_parts(path: Path) -> Iterator[tuple[str, int]]:
    for one in imports_of(path):
        first, *rest = one.name.split(".")
        if first == "tabtools" and rest and rest[0] not in EVERYWHERE:
            yield rest[0], one.line


def level(part: str) -> int:
    return next(number for number, parts in enumerate(LEVELS) if part in parts)


@pytest.mark.parametrize("path", MODULES, ids=named)
def test_imports_run_one_way(path: Path) -> None:
    own = part_of(path)
    if own in ("__init__", "__main__"):
        assert {part for part, _ in imported_parts(path)} <= {"cli"}
        return
    for part, line in imported_parts(path):
        is_fine = part == own or level(part) < level(own) or (own, part) in NEIGHBOURS
        assert is_fine, f"{named(path)}:{line}: {own} may not import {part}"


def test_every_part_has_its_level() -> None:
    parts = {part_of(path) for path in MODULES} - {"__init__", "__main__"}
    assert parts <= set().union(*LEVELS)


def importers(library: str, modules: list[Path]) -> set[str]:
    return {
        path.relative_to(PACKAGE).as_posix()
        for path in modules
        if any(one.name.split(".")[0] == library for one in imports_of(path))
    }


def test_one_module_imports_lark() -> None:
    assert importers("lark", MODULES) == {"notation/read.py"}


def test_at_most_one_bridge_imports_music21() -> None:
    assert len(importers("music21", MODULES)) <= 1


def test_only_the_thin_plugin_and_what_it_hands_over_know_mkdocs() -> None:
    """What draws and what writes pages is free of it; see DEVELOPERS.md."""
    assert importers("mkdocs", MODULES) <= {"website/plugin.py", "website/site.py", "website/build.py"}


def test_only_the_commands_know_click() -> None:
    assert all(name.startswith("cli/") for name in importers("click", MODULES))


@pytest.mark.parametrize("path", MODULES + TEST_MODULES, ids=named)
def test_modules_stay_small(path: Path) -> None:
    lines = len(path.read_text(encoding="utf-8").splitlines())
    assert lines < MOST_LINES, f"{named(path)} has {lines} lines"


@pytest.mark.parametrize("path", MODULES, ids=named)
def test_names_say_what_is_inside(path: Path) -> None:
    assert path.stem not in VAGUE_NAMES


@pytest.mark.parametrize("path", [path for path in MODULES if path.name == "__init__.py"], ids=named)
def test_packages_only_name_what_is_public(path: Path) -> None:
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        is_data = isinstance(node, ast.Expr | ast.Import | ast.ImportFrom | ast.Assign | ast.AnnAssign)
        assert is_data, f"{named(path)}:{node.lineno}: code"


def printing_calls(path: Path) -> Iterator[int]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and ast.unparse(node.func) in ("print", "sys.exit", "exit", "click.echo"):
            yield node.lineno


@pytest.mark.parametrize("path", [path for path in MODULES if part_of(path) != "cli"], ids=named)
def test_only_the_commands_print_and_exit(path: Path) -> None:
    assert list(printing_calls(path)) == []
