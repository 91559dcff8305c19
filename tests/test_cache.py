"""Results kept between runs: right ones or none, and never anything that could run."""

from __future__ import annotations

import os
import pickle
import sqlite3
import stat
import threading
from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tabtools import cache as keeping_module
from tabtools.cache import DAYS, KEEPING_NOTHING, Keeping, packed, unpacked, users_keeping
from tabtools.problem import Problem, Severity
from tabtools.source import Span, from_text

RECORD = Problem("bar-duration", Severity.ERROR, "a.solo", Span(3, 5), "too short", "add a rest", "5.2")
TEXTS = st.text(max_size=5)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "cache" / "results.sqlite"


class Ran(Exception):
    """Code from a store was run."""


def run() -> None:
    raise Ran


class Runs:
    """Pickled, it asks for a function to be called."""

    def __init__(self, function: Callable[..., Any] = run, *arguments: Any):
        self._asked = function, arguments

    def __reduce__(self) -> tuple[Callable[..., Any], tuple[Any, ...]]:
        return self._asked


def store(path: Path, key: bytes, content: bytes) -> None:
    """Put bytes where a result belongs."""
    Keeping(path).keep({b"other": 1})
    with sqlite3.connect(path) as kept:
        kept.execute("INSERT OR REPLACE INTO result VALUES (?, ?, ?)", (key, content, 99_999))
    kept.close()


def age(path: Path, days: int) -> None:
    with sqlite3.connect(path) as kept:
        kept.execute("UPDATE result SET day = day - ?", (days,))
    kept.close()


# ---- what comes back


@pytest.mark.parametrize(
    "result",
    [
        RECORD,
        from_text("title: A\n", "a.solo"),
        (1, 2.5, "words", b"bytes", None, True, Fraction(3, 8)),
        {"a": [frozenset({1}), {2}, Counter("aab")]},
    ],
)
def test_records_and_plain_values_come_back(path: Path, result: Any) -> None:
    Keeping(path).keep({b"k": result})
    assert Keeping(path).known([b"k", b"missing"]) == {b"k": result}
    assert unpacked(packed(result)) == result


def test_many_results_come_back(path: Path) -> None:
    results = {number.to_bytes(4, "big"): number for number in range(1_234)}
    Keeping(path).keep(results)
    assert Keeping(path).known(results) == results


@given(st.lists(TEXTS, max_size=4), st.lists(TEXTS, max_size=4), TEXTS, TEXTS)
def test_keys_tell_apart_whatever_differs(one: list[str], other: list[str], kind: str, other_kind: str) -> None:
    is_same = (kind, one) == (other_kind, other)
    assert (KEEPING_NOTHING.key(kind, *one) == KEEPING_NOTHING.key(other_kind, *other)) == is_same


def test_another_tabtools_makes_other_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    before = KEEPING_NOTHING.key("page", "text")
    monkeypatch.setattr("tabtools.__version__", "0.0.9")
    keeping_module._made_by.cache_clear()
    try:
        assert KEEPING_NOTHING.key("page", "text") != before
    finally:
        monkeypatch.undo()
        keeping_module._made_by.cache_clear()


def test_the_users_own_folder_is_private() -> None:
    keeping = users_keeping()
    keeping.keep({b"k": 1})
    folder = Path(os.environ["XDG_CACHE_HOME"], "tabtools")
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert keeping.known([b"k"]) == {b"k": 1}


# ---- what is forgotten


def test_what_nobody_asks_for_is_forgotten(path: Path) -> None:
    Keeping(path).keep({b"old": 1, b"used": 2})
    age(path, DAYS)
    assert Keeping(path).known([b"used"]) == {b"used": 2}
    age(path, 1)
    Keeping(path).keep({b"new": 3})
    assert Keeping(path).known([b"old", b"used", b"new"]) == {b"used": 2, b"new": 3}


def test_a_store_that_grows_too_large_keeps_what_was_used_today(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    Keeping(path).keep({b"old": "x" * 500})
    age(path, 1)
    monkeypatch.setattr(keeping_module, "MOST_BYTES", 600)
    Keeping(path).keep({b"new": "y" * 500})
    assert Keeping(path).known([b"old", b"new"]) == {b"new": "y" * 500}


# ---- damage and malice


def test_nothing_is_kept_where_there_is_no_place(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way", encoding="utf-8")
    for keeping in (KEEPING_NOTHING, Keeping(blocked / "results.sqlite")):
        keeping.keep({b"k": 1})
        assert keeping.known([b"k"]) == {}


def test_a_closed_folder_is_no_failure(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(self: Path) -> bool:
        raise PermissionError

    monkeypatch.setattr(Path, "exists", refuse)
    assert Keeping(path).known([b"k"]) == {}


def test_what_cannot_be_noted_as_used_is_used_all_the_same(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    Keeping(path).keep({b"k": 1})
    age(path, 1)
    monkeypatch.setattr(keeping_module, "_SECONDS_OF_PATIENCE", 0)
    other = sqlite3.connect(path)
    other.execute("BEGIN IMMEDIATE")
    try:
        assert Keeping(path).known([b"k"]) == {b"k": 1}
    finally:
        other.close()


@pytest.mark.parametrize("content", [b"", b"no store at all " * 100, b"SQLite format 3\x00 and then nonsense" * 50])
def test_a_damaged_store_is_replaced(path: Path, content: bytes) -> None:
    path.parent.mkdir()
    path.write_bytes(content)
    assert Keeping(path).known([b"k"]) == {}
    Keeping(path).keep({b"k": 1})
    assert Keeping(path).known([b"k"]) == {b"k": 1}


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"no pickle",
        pickle.dumps(Runs()),
        pickle.dumps(Runs(os.system, "true")),
        pickle.dumps(Runs(eval, "1 + 1")),
        pickle.dumps(Runs(getattr, RECORD, "check")),
        pickle.dumps(RECORD)[:-9],
        b"ctabtools.__main__\nmain\n(tR.",
        b"ctabtools.keeping\nKeeping\n(NtR.",
        b"ctabtools.keeping\nusers_keeping\n(tR.",
        b"ctabtools.keeping\npickle\n.",
        b"cbuiltins\nexec\n.",
        b"\x80\x04\x8c\x10tabtools.keeping\x94\x8c\x0esqlite3.connect\x94\x93.",
    ],
)
def test_what_is_no_record_is_not_read(path: Path, content: bytes) -> None:
    store(path, b"k", content)
    assert Keeping(path).known([b"k", b"other"]) == {b"other": 1}


def test_a_packed_record_may_not_run_anything() -> None:
    with pytest.raises(pickle.UnpicklingError, match="is no record"):
        unpacked(packed(Runs()))


def test_two_runs_at_once_lose_nothing(path: Path) -> None:
    runs = [
        threading.Thread(target=lambda run=run: [Keeping(path).keep({b"%d.%d" % (run, at): at}) for at in range(20)])
        for run in range(4)
    ]
    for one in runs:
        one.start()
    for one in runs:
        one.join()
    keys = [b"%d.%d" % (run, at) for run in range(4) for at in range(20)]
    assert Keeping(path).known(keys).keys() == set(keys)
