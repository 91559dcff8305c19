"""The house rules that a machine can see: imports run one way, modules stay small, names say what is inside."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "tabtools"
MODULES = sorted(PACKAGE.rglob("*.py"))
TEST_MODULES = sorted((ROOT / "tests").rglob("*.py"))

LEVELS = (
    {"source", "cache", "parallel", "writing", "wording", "lock"},
    {"problem", "files"},
    {"model"},
    {"notation"},
    {"timeline"},
    {"harmony", "hand"},
    {"score", "performance", "placing"},
    {"study"},
    {"checks", "review", "transposing"},
    {"renumbering"},
    {"search"},
    {"linting", "exchange", "engraving", "reports", "settings", "starter"},
    {"website", "api"},
    {"cli"},
)
"""The parts of the package from the bottom up. A part imports from the parts below it, never from its siblings."""

EVERYWHERE = {"__version__"}
OUTSIDE = {"__init__": {"api"}, "__main__": {"cli"}}
"""What the package shows to programs, and to `python -m`."""
MOST_LINES = 400
VAGUE_NAMES = {"utils", "util", "common", "helpers", "misc"}


class Import(NamedTuple):
    """What a module imports, at its top or within a function, and on which line."""

    name: str
    line: int


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def imports_of(path: Path) -> tuple[Import, ...]:
    return tuple(_imports(tree_of(path), path))


def _imports(tree: ast.Module, path: Path) -> Iterator[Import]:
    for node in ast.walk(tree):
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


def forbidden_imports(path: Path) -> Iterator[str]:
    own = part_of(path)
    for part, line in imported_parts(path):
        if own in OUTSIDE:
            is_fine = part in OUTSIDE[own]
        else:
            is_fine = part == own or level(part) < level(own)
        if not is_fine:
            yield f"{named(path)}:{line}: {own} may not import {part}"


def test_imports_run_one_way() -> None:
    assert [fault for path in MODULES for fault in forbidden_imports(path)] == []


def test_every_part_has_its_level() -> None:
    parts = {part_of(path) for path in MODULES} - set(OUTSIDE)
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


def test_only_the_plugin_and_what_calls_mkdocs_know_mkdocs() -> None:
    """Pages, drawing and practice are free of it, so that they outlive it; see DEVELOPERS.md."""
    assert importers("mkdocs", MODULES) == {
        f"website/{name}.py" for name in ("plugin", "generated", "build", "live_build")
    }
    assert importers("properdocs", MODULES) == {"website/build.py"}


def test_only_the_commands_know_click() -> None:
    assert all(name.startswith("cli/") for name in importers("click", MODULES))


def test_modules_stay_small() -> None:
    lines = {named(path): len(path.read_text(encoding="utf-8").splitlines()) for path in MODULES + TEST_MODULES}
    assert {name: count for name, count in lines.items() if count >= MOST_LINES} == {}


def test_names_say_what_is_inside() -> None:
    assert [named(path) for path in MODULES if path.stem in VAGUE_NAMES] == []


def test_a_class_name_stands_once() -> None:
    names = Counter(
        node.name.lstrip("_") for path in MODULES for node in ast.walk(tree_of(path)) if isinstance(node, ast.ClassDef)
    )
    assert [name for name, count in names.items() if count > 1] == []


def test_packages_only_name_what_is_public() -> None:
    data = ast.Expr | ast.Import | ast.ImportFrom | ast.Assign | ast.AnnAssign
    assert [
        f"{named(path)}:{node.lineno}: code"
        for path in MODULES
        if path.name == "__init__.py"
        for node in tree_of(path).body
        if not isinstance(node, data) and not (path.parent == PACKAGE and loads_late(node))
    ] == []


def loads_late(node: ast.stmt) -> bool:
    """What lets `tabtools.lint` be called without a start of the commands paying for it."""
    for_types = isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING" and not node.orelse
    return for_types or (isinstance(node, ast.FunctionDef) and node.name == "__getattr__")


def printing_calls(path: Path) -> Iterator[str]:
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Call) and ast.unparse(node.func) in ("print", "sys.exit", "exit", "click.echo"):
            yield f"{named(path)}:{node.lineno}"


def test_only_the_commands_print_and_exit() -> None:
    assert [call for path in MODULES if part_of(path) != "cli" for call in printing_calls(path)] == []


def test_what_is_written_as_json_is_json() -> None:
    """`Infinity` and `NaN`, which Python would write, are in no JSON (RFC 8259, 6)."""
    assert [
        f"{named(path)}:{node.lineno}"
        for path in MODULES
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Call) and ast.unparse(node.func) in ("json.dumps", "json.dump")
        if "allow_nan=False" not in map(ast.unparse, node.keywords)
    ] == []


def test_figures_are_those_from_0_to_9() -> None:
    r"""Python's `\d` and `isdigit` take the figures of every script, some of which are no numbers even for `int`."""
    words = re.compile(r"\\d|\.(?:isdigit|isdecimal|isnumeric)\b|\bstr\.is(?:digit|decimal|numeric)")
    grammars = sorted(PACKAGE.rglob("*.lark"))
    found = {named(path) for path in [*MODULES, *grammars] if words.search(path.read_text(encoding="utf-8"))}
    assert found == {"tabtools/source.py"}


def test_nouns_beside_numbers_are_put_into_words_in_one_place() -> None:
    joined = re.compile(r"""['"]s['"] (?:\*|if .*\b1\b)""")
    verbs = {"tabtools/checks/too_many_fingers.py"}
    assert {named(path) for path in MODULES if joined.search(path.read_text(encoding="utf-8"))} == verbs


WRITERS = {
    "tabtools/cache/single.py": "a result in the user's cache folder, which can be made anew",
    "tabtools/writing.py": "all that is written for the user",
    "tabtools/review/setup.py": "a repository of its own in a temporary folder, to try a merge in",
    "tabtools/website/generated.py": "the pages of a site, which can be made anew",
    "tabtools/website/site_staging.py": "a whole site, which replaces nothing but a site",
}
WRITING_CALLS = {"write_text", "write_bytes", "mkstemp", "NamedTemporaryFile", "TemporaryFile", "fdopen", "rename"}


def writing_calls(path: Path) -> Iterator[str]:
    for node in ast.walk(tree_of(path)):
        if not isinstance(node, ast.Call):
            continue
        name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        modes = [
            one.value for one in (*node.args, *(key.value for key in node.keywords)) if isinstance(one, ast.Constant)
        ]
        is_opened = name == "open" and any(set("wax+") & set(mode) for mode in modes if isinstance(mode, str))
        if name in WRITING_CALLS or is_opened:
            yield named(path)


def test_files_are_written_in_one_place() -> None:
    """There they are whole or not at all, and replace nothing but plain files."""
    assert {name for path in MODULES for name in writing_calls(path)} == set(WRITERS)


def test_test_modules_have_names_of_their_own() -> None:
    """Folders of tests are no packages: two modules of one name would hide one another."""
    names = [path.name for path in (ROOT / "tests").rglob("*.py") if path.name != "conftest.py"]
    assert sorted(names) == sorted(set(names))


def test_how_many_cases_are_made_up_is_decided_in_one_place() -> None:
    """A bare number would be tried in full with every push: `max_examples=share(200)`, from tests/thoroughness.py."""
    assert [
        f"{named(path)}:{node.value.lineno}"
        for path in TEST_MODULES
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.keyword) and node.arg == "max_examples" and isinstance(node.value, ast.Constant)
    ] == []
