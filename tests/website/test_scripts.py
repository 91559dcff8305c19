"""The scripts of the pages, joined from modules: what is refused, and what node says of the modules and their tests."""

from __future__ import annotations

from pathlib import Path

import pytest
from node import ROOT, node

from tabtools.website import scripts
from tabtools.website.scripts import (
    BENCH,
    INDEX_PAGE,
    REVIEW_PAGE,
    SOLO_PAGE,
    WRONG_ADDRESS,
    ScriptError,
    joined,
    module,
)

ENTRIES = (SOLO_PAGE, INDEX_PAGE, REVIEW_PAGE, WRONG_ADDRESS, BENCH)
PLAIN = {"calm_theme.js", "iframe-worker.js", "late_bars.js", "late_search.js"}
"""Scripts that are no modules."""
RECORDS = "records.js"
"""Its fields are asked for by the test of records."""


@pytest.fixture
def assets(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(scripts, "ASSETS", tmp_path)
    joined.cache_clear()
    return tmp_path


def write(folder: Path, **texts: str) -> None:
    for name, text in texts.items():
        path = folder / (name.replace("_", "/") + ".js")
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")


def test_a_module_is_a_function_that_gives_what_it_exports(assets: Path) -> None:
    write(
        assets,
        page='import { twice, SIX } from "./parts/more.js";\n\nconst kept = 1;\nconsole.log(twice(SIX) + kept);\n',
        parts_more='import { TWO } from "./two.js";\n\nconst kept = 3;\nexport const SIX = kept * TWO;\n'
        "export function twice(one) {\n  return one * TWO;\n}\n",
        parts_two="export const TWO = 2;\n",
    )
    script = joined("page.js")
    assert script.count('"use strict"') == 1
    assert script.index("const TWO") < script.index("function twice") < script.index("console.log")
    assert node("-", code=script) == "13\n"
    assert node("-", code=f'{script}\nconsole.log(typeof kept, typeof SIX, typeof $parts_two);') == (
        "13\nundefined undefined undefined\n"
    )  # fmt: skip


def test_what_several_modules_import_stands_once(assets: Path) -> None:
    write(
        assets,
        page='import { b } from "./b.js";\nimport { c } from "./c.js";\nconsole.log(b + c);\n',
        b='import { d } from "./d.js";\nexport const b = d;\n',
        c='import { d } from "./d.js";\nexport const c = d;\n',
        d="export const d = 1;\n",
    )
    assert joined("page.js").count("const d = 1;") == 1


@pytest.mark.parametrize(
    "line",
    [
        "import * as two from './two.js';",
        'import two from "./two.js";',
        'import { TWO as two } from "./two.js";',
        'import { TWO } from "two";',
        'import "./two.js";',
        "import { TWO } from './two.js';",
        "import {",
        "export default 3;",
        "export { TWO };",
        'export * from "./two.js";',
        "export const { a } = {};",
        "export let a = 1;",
    ],
)
def test_other_forms_are_refused_with_their_place(assets: Path, line: str) -> None:
    write(assets, page=f"const a = 1;\n{line}\n", two="export const TWO = 2;\n")
    with pytest.raises(ScriptError, match=r"^page\.js:2: write it as the others do"):
        joined("page.js")


def test_what_is_not_exported_cannot_be_imported(assets: Path) -> None:
    write(assets, page='import { TWO, three } from "./two.js";\n', two="export const TWO = 2;\nconst three = 3;\n")
    with pytest.raises(ScriptError, match=r"^page\.js: two\.js does not export three$"):
        joined("page.js")


def test_no_module_imports_itself(assets: Path) -> None:
    write(assets, page='import { a } from "./a.js";\n', a='import { b } from "./b.js";\nexport const a = b;\n')
    write(assets, b='import { a } from "./a.js";\nexport const b = a;\n')
    with pytest.raises(ScriptError, match=r"^a\.js imports itself, by way of page\.js, a\.js, b\.js$"):
        joined("page.js")


def reached(path: str) -> set[str]:
    return {path}.union(*(reached(other) for other in module(path).imports))


def test_every_module_belongs_to_a_page_and_every_export_is_asked_for() -> None:
    paths = {path.relative_to(scripts.ASSETS).as_posix() for path in scripts.ASSETS.rglob("*.js")} - PLAIN
    assert set().union(*map(reached, ENTRIES)) == paths
    modules = {path: module(path) for path in paths}
    asked = {(source, name) for one in modules.values() for source, names in one.imports.items() for name in names}
    tests = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "tests" / "scripts").glob("*.test.js"))
    spare = [(path, name) for path, one in modules.items() for name in one.exports if (path, name) not in asked]
    assert [(path, name) for path, name in spare if name not in tests and path != RECORDS] == []


@pytest.mark.parametrize("entry", ENTRIES)
def test_node_can_read_each_script(entry: str) -> None:
    node("--check", "-", code=joined(entry))


def test_what_the_scripts_reckon() -> None:
    tests = sorted(path.relative_to(ROOT).as_posix() for path in (ROOT / "tests" / "scripts").glob("*.test.js"))
    assert len(tests) >= 4
    node("--test", *tests)
