"""The scripts of the pages: modules in `assets/`, joined into one plain script for each kind of page.

Browsers load no modules from a disk, where a site has to work too. Each module becomes a function that gives what it
exports, after those that it imports from; its text is left as it is but for two kinds of line, which have to be
written so:

    import { one, another } from "./folder/file.js";
    export const one = …            (or function, async function, class)
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from posixpath import dirname, join, normpath
from typing import NamedTuple

ASSETS = Path(__file__).parent / "assets"
SOLO_PAGE, INDEX_PAGE, REVIEW_PAGE = "solo_page.js", "index_page.js", "review_page.js"
WRONG_ADDRESS = "wrong_address.js"
BENCH = "bench.js"
"""What pages are given when they are served while one writes, and only then."""

_IMPORT = re.compile(r'import \{ (\w+(?:, \w+)*) \} from "(\.{1,2}/[\w/]+\.js)";')
_EXPORT = re.compile(r"export (?=(?:const|function|async function|class) (\w+))")


class ScriptError(ValueError):
    """A module that cannot be joined; says where and why."""


class Module(NamedTuple):
    """A module by its path in `assets/`: what it imports, by path, what it exports, and its text as a function has
    it."""

    path: str
    imports: dict[str, tuple[str, ...]]
    exports: tuple[str, ...]
    text: str


@cache
def joined(entry: str) -> str:
    """The script that begins with a module of `assets/`; it leaves no name behind that it does not set itself.

    Raises `ScriptError` for a module that is written in another way, imports what is not there, or imports itself.
    """
    modules = {one.path: one for one in _in_order(entry, ())}
    for one in modules.values():
        for path, names in one.imports.items():
            if missing := set(names) - set(modules[path].exports):
                raise ScriptError(f"{one.path}: {path} does not export {', '.join(sorted(missing))}")
    *parts, begun = modules.values()
    functions = "".join(f"const {_name(one.path)} = (() => {{\n{one.text}{_given(one)}}})();\n" for one in parts)
    return f'(() => {{\n"use strict";\n{functions}{begun.text}}})();\n'


def module(path: str) -> Module:
    """The module at a path in `assets/`. Raises `ScriptError`."""
    imports: dict[str, tuple[str, ...]] = {}
    exports: list[str] = []
    lines = []
    for number, line in enumerate((ASSETS / path).read_text("utf-8").splitlines(keepends=True), 1):
        text = line
        if found := _IMPORT.match(line):
            source = normpath(join(dirname(path), found[2]))
            imports[source] = tuple(found[1].split(", "))
            text = f"const {{ {found[1]} }} = {_name(source)};\n"
        elif found := _EXPORT.match(line):
            exports.append(found[1])
            text = line[found.end() :]
        elif line.startswith(("import", "export")):
            raise ScriptError(f"{path}:{number}: write it as the others do: {line.strip()}")
        lines.append(text)
    return Module(path, imports, tuple(exports), "".join(lines))


def _in_order(path: str, importers: tuple[str, ...]) -> Iterator[Module]:
    """A module behind all that it imports; some may come several times."""
    if path in importers:
        raise ScriptError(f"{path} imports itself, by way of {', '.join(importers)}")
    found = module(path)
    for other in found.imports:
        yield from _in_order(other, (*importers, path))
    yield found


def _name(path: str) -> str:
    """What holds the exports of a module."""
    return "$" + path.removesuffix(".js").replace("/", "_")


def _given(one: Module) -> str:
    return f"return {{ {', '.join(one.exports)} }};\n" if one.exports else ""
