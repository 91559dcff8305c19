"""HTML that is safe by its type: what is no markup is escaped, and no page is put together in another way."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markupsafe import Markup

import tabtools.website
from tabtools.cache.records import packed, unpacked
from tabtools.website.markup import html, trusted
from tabtools.website.records import inlined

WEBSITE = Path(tabtools.website.__file__).parent
OTHERS = {"feed.py", "plugin.py", "theme.py", "placing.py", "check_reference.py", "markup.py", "searched.py"}
"""Modules that write XML or Markdown, look at pages of the theme, or write words for the search."""
TRUSTING = {
    "records.py": 1,  # JSON in which no `<` is left
    "review_page.py": 3,  # our script, our style, and the policy that names the script
    "specimens.py": 1,  # what was cut out of a finished page
    "used_glyphs.py": 2,  # glyphs
    "wrong_address.py": 2,  # our style and our script
    "solo_page/lesson.py": 1,  # what the sanitiser lets through
    "solo_page/tab.py": 1,  # our script
}
TAG = re.compile(r"</?[a-z][a-z0-9]*[\s>]|<!--")


def test_text_is_escaped_and_markup_stands() -> None:
    made = html('<p title="{title}">{text}{more}</p>', title="\"'<&", text="<b>", more=Markup("<i>x</i>"))
    assert made == Markup('<p title="&#34;&#39;&lt;&amp;">&lt;b&gt;<i>x</i></p>')
    assert type(made) is Markup


def test_numbers_take_their_format() -> None:
    assert html("{:g}|{height:.1f}|{count}", 2.0, height=0.25, count=3) == Markup("2|0.2|3")


def test_what_is_put_in_is_never_a_template() -> None:
    assert html("{a}{b}", a="{b}", b="{a.__class__}") == Markup("{b}{a.__class__}")


@given(st.text())
def test_no_text_opens_a_tag_or_ends_an_attribute(text: str) -> None:
    assert not re.search("[<>\"']", str(html("{text}", text=text)))


@given(st.recursive(st.text() | st.integers(), lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner)))
def test_json_within_a_script_cannot_end_it(data: object) -> None:
    assert "<" not in inlined(data)


def test_markup_is_kept_as_markup() -> None:
    assert type(unpacked(packed(html("<p>{a}</p>", a="<")))) is Markup


def modules() -> list[str]:
    paths = (path.relative_to(WEBSITE).as_posix() for path in sorted(WEBSITE.rglob("*.py")))
    return [path for path in paths if path not in OTHERS]


def calls(tree: ast.AST, *names: str) -> Iterator[ast.Call]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in names:
            yield node


@pytest.mark.parametrize("path", modules())
def test_pages_are_put_together_by_html_alone(path: str) -> None:
    """Templates are written out where they are used, and no other text of the module has tags."""
    tree = ast.parse((WEBSITE / path).read_text(encoding="utf-8"))
    written = {id(call.args[0]) for call in calls(tree, "html", "Markup") if call.args}
    docstrings = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    computed = [call.lineno for call in calls(tree, "html", "Markup") if call.args and not is_written_out(call.args[0])]
    tagged = [
        node.lineno
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and TAG.search(node.value)
        and id(node) not in written | docstrings
        and node.value not in ("<tt-tab></tt-tab>", "<tt-study></tt-study>")
    ]
    assert computed == [] == [line for line in tagged if "re.compile" not in source_line(path, line)]


def is_written_out(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def source_line(path: str, line: int) -> str:
    return (WEBSITE / path).read_text(encoding="utf-8").splitlines()[line - 1]


def test_who_is_trusted() -> None:
    found = {
        path: len(list(calls(ast.parse((WEBSITE / path).read_text(encoding="utf-8")), "trusted"))) for path in modules()
    }
    assert {path: count for path, count in found.items() if count} == TRUSTING
    assert trusted("<p>") == Markup("<p>")
