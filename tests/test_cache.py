"""Results kept between runs: right ones or none, and never anything that could run."""

from __future__ import annotations

import contextlib
import os
import pickle
import shutil
import sqlite3
import stat
import subprocess
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing
from fractions import Fraction
from hashlib import blake2b
from pathlib import Path
from typing import Any

import platformdirs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tabtools.cache import maker
from tabtools.cache import results as keeping_module
from tabtools.cache.folder import DAYS
from tabtools.cache.records import packed, unpacked
from tabtools.cache.results import KEEPING_NOTHING, Keeping, users_keeping
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


def store(path: Path, key: bytes, content: object, day: object = 99_999) -> None:
    """Put something where a result belongs."""
    Keeping(path).keep({b"other": 1})
    with sqlite3.connect(path) as kept:
        kept.execute("INSERT OR REPLACE INTO result VALUES (?, ?, ?)", (key, content, day))
    kept.close()


def sealed(key: bytes, content: bytes) -> bytes:
    """A forged result, the digest before it being right."""
    return blake2b(content, digest_size=16, key=key).digest() + content


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
    assert Keeping(path).known([b"k", b"missing"], object) == {b"k": result}
    assert unpacked(packed(result)) == result


def test_many_results_come_back(path: Path) -> None:
    results = {number.to_bytes(4, "big"): number for number in range(1_234)}
    Keeping(path).keep(results)
    assert Keeping(path).known(results, object) == results


@given(st.lists(TEXTS, max_size=4), st.lists(TEXTS, max_size=4), TEXTS, TEXTS)
def test_keys_tell_apart_whatever_differs(one: list[str], other: list[str], kind: str, other_kind: str) -> None:
    is_same = (kind, one) == (other_kind, other)
    assert (KEEPING_NOTHING.key(kind, *one) == KEEPING_NOTHING.key(other_kind, *other)) == is_same


def test_another_tabtools_makes_other_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    before = KEEPING_NOTHING.key("page", "text")
    monkeypatch.setattr("tabtools.__version__", "0.0.9")
    maker._made_by.cache_clear()
    try:
        assert KEEPING_NOTHING.key("page", "text") != before
    finally:
        monkeypatch.undo()
        maker._made_by.cache_clear()


def test_the_users_own_folder_is_private(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    keeping = users_keeping()
    keeping.keep({b"k": 1})
    assert stat.S_IMODE((tmp_path / "tabtools").stat().st_mode) == 0o700
    assert keeping.known([b"k"], object) == {b"k": 1}


# ---- what is forgotten


def test_what_nobody_asks_for_is_forgotten(path: Path) -> None:
    Keeping(path).keep({b"old": 1, b"used": 2})
    age(path, DAYS)
    assert Keeping(path).known([b"used"], object) == {b"used": 2}
    age(path, 1)
    Keeping(path).keep({b"new": 3})
    assert Keeping(path).known([b"old", b"used", b"new"], object) == {b"used": 2, b"new": 3}


def test_a_store_that_grows_too_large_keeps_what_was_used_today(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    Keeping(path).keep({b"old": "x" * 500})
    age(path, 1)
    monkeypatch.setattr(keeping_module, "MOST_BYTES", 600)
    Keeping(path).keep({b"new": "y" * 500})
    assert Keeping(path).known([b"old", b"new"], object) == {b"new": "y" * 500}


# ---- damage and malice


def test_nothing_is_kept_where_there_is_no_place(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way", encoding="utf-8")
    for keeping in (KEEPING_NOTHING, Keeping(blocked / "results.sqlite")):
        keeping.keep({b"k": 1})
        assert keeping.known([b"k"], object) == {}


def test_a_closed_folder_is_no_failure(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(self: Path) -> bool:
        raise PermissionError

    monkeypatch.setattr(Path, "exists", refuse)
    assert Keeping(path).known([b"k"], object) == {}


def test_what_cannot_be_noted_as_used_is_used_all_the_same(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    Keeping(path).keep({b"k": 1})
    age(path, 1)
    monkeypatch.setattr(keeping_module, "_SECONDS_OF_PATIENCE", 0)
    other = sqlite3.connect(path)
    other.execute("BEGIN IMMEDIATE")
    try:
        assert Keeping(path).known([b"k"], object) == {b"k": 1}
    finally:
        other.close()


@pytest.mark.parametrize("content", [b"", b"no store at all " * 100, b"SQLite format 3\x00 and then nonsense" * 50])
def test_a_damaged_store_is_replaced(path: Path, content: bytes) -> None:
    path.parent.mkdir()
    path.write_bytes(content)
    assert Keeping(path).known([b"k"], object) == {}
    Keeping(path).keep({b"k": 1})
    assert Keeping(path).known([b"k"], object) == {b"k": 1}


@pytest.mark.parametrize(
    "schema",
    [
        "CREATE TABLE result (key BLOB, made BLOB)",
        "CREATE TABLE result (key BLOB PRIMARY KEY, made BLOB, day INTEGER, more TEXT)",
        "CREATE TABLE result (key BLOB PRIMARY KEY, made BLOB, day INTEGER CHECK (day < 0))",
        "CREATE VIEW result AS SELECT x'6b' AS key, x'00' AS made, 1 AS day",
        "CREATE TABLE other (x); CREATE INDEX result ON other (x)",
    ],
)
def test_a_store_of_another_kind_is_begun_anew(path: Path, schema: str) -> None:
    path.parent.mkdir()
    with sqlite3.connect(path) as kept:
        kept.executescript(schema)
    kept.close()
    keeping = Keeping(path)
    assert keeping.known([b"k"], object) == {}
    keeping.keep({b"k": 1})
    assert Keeping(path).known([b"k"], object) == {b"k": 1}


def test_what_belongs_to_a_damaged_store_goes_with_it(path: Path) -> None:
    path.parent.mkdir()
    for suffix in ("", "-journal", "-wal", "-shm"):
        path.with_name(path.name + suffix).write_bytes(b"no store at all " * 100)
    Keeping(path).keep({b"k": 1})
    assert Keeping(path).known([b"k"], object) == {b"k": 1}
    assert not path.with_name(path.name + "-journal").exists()


def test_a_store_damaged_in_the_middle_is_begun_anew(path: Path) -> None:
    Keeping(path).keep({b"%d" % number: "x" * 3_000 for number in range(50)})
    content = bytearray(path.read_bytes())
    content[4096:] = b"\xff" * (len(content) - 4096)
    path.write_bytes(content)
    keeping = Keeping(path)
    assert keeping.known([b"1"], object) == {}
    keeping.keep({b"k": 1})
    assert Keeping(path).known([b"k"], object) == {b"k": 1}


# ---- a store that cannot be used


def test_a_locked_store_is_given_up_after_one_wait(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert keeping_module._SECONDS_OF_PATIENCE <= 1
    Keeping(path).keep({b"k": 1})
    monkeypatch.setattr(keeping_module, "_SECONDS_OF_PATIENCE", 0)
    keeping = Keeping(path)
    with closing(sqlite3.connect(path)) as other:
        other.execute("BEGIN EXCLUSIVE")
        assert keeping.known([b"k"], object) == {}
    assert keeping.known([b"k"], object) == {}
    keeping.keep({b"new": 1})
    assert Keeping(path).known([b"k", b"new"], object) == {b"k": 1}


def _is_a_folder(path: Path) -> None:
    path.mkdir(parents=True)


def _is_a_pipe(path: Path) -> None:
    path.parent.mkdir()
    os.mkfifo(path)


def _leads_nowhere(path: Path) -> None:
    path.parent.mkdir()
    path.symlink_to(path.parent / "nowhere" / "file")


def _is_in_a_file(path: Path) -> None:
    path.parent.write_text("in the way", encoding="utf-8")


@pytest.mark.parametrize("hinder", [_is_a_folder, _is_a_pipe, _leads_nowhere, _is_in_a_file])
def test_it_goes_on_without_a_store(path: Path, hinder: Callable[[Path], None]) -> None:
    hinder(path)
    keeping = Keeping(path)
    assert keeping.known([b"k"], object) == {}
    keeping.keep({b"k": 1})
    assert keeping.known([b"k"], object) == {}


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 64 kB."""
    folder = tmp_path / "disk"
    folder.mkdir()
    if shutil.which("mount") is None or os.geteuid():
        pytest.skip("only root can make a disk")
    made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", folder], capture_output=True, check=False)
    if made.returncode:
        pytest.skip("no disk can be made here")
    try:
        yield folder
    finally:
        subprocess.run(["umount", folder], check=True)


def test_a_full_disk_keeps_what_it_has(small_disk: Path) -> None:
    path = small_disk / "results.sqlite"
    Keeping(path).keep({b"k": 1})
    Keeping(path).keep({b"large": bytes(range(256)) * 1_000})
    assert Keeping(path).known([b"k", b"large"], object) == {b"k": 1}
    (small_disk / "filler").write_bytes(b"")
    with contextlib.suppress(OSError), (small_disk / "filler").open("wb", buffering=0) as filler:
        while True:
            filler.write(b"x" * 1_024)
    Keeping(path).keep({b"new": 1})
    assert Keeping(path).known([b"k"], object) == {b"k": 1}
    Keeping(small_disk / "folder" / "results.sqlite").keep({b"k": 1})


def test_without_a_home_nothing_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(platformdirs, "user_cache_path", lambda name: Path("~/.cache") / name)
    monkeypatch.chdir(tmp_path)
    users_keeping().keep({b"k": 1})
    assert not list(tmp_path.iterdir())


# ---- forged results


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
    store(path, b"k", sealed(b"k", content))
    assert Keeping(path).known([b"k", b"other"], object) == {b"other": 1}


def test_a_forged_record_that_makes_no_harm_is_taken(path: Path) -> None:
    store(path, b"k", sealed(b"k", pickle.dumps(RECORD)))
    assert Keeping(path).known([b"k"], Problem) == {b"k": RECORD}


@pytest.mark.parametrize(
    "content",
    [
        pickle.dumps(RECORD),
        sealed(b"another", pickle.dumps(RECORD)),
        sealed(b"k", pickle.dumps("another kind")),
        sealed(b"k", pickle.dumps(RECORD))[:-1],
        5,
        2.5,
        None,
        "words",
        "",
    ],
)
def test_a_wrong_row_is_passed_over_and_replaced(path: Path, content: object) -> None:
    store(path, b"k", content)
    assert Keeping(path).known([b"k"], Problem) == {}
    Keeping(path).keep({b"k": RECORD})
    assert Keeping(path).known([b"k", b"other"], Problem) == {b"k": RECORD}


@pytest.mark.parametrize("day", [None, "yesterday", b"\xff", -1, 2**60])
def test_a_day_that_is_none_hurts_nobody(path: Path, day: object) -> None:
    store(path, b"k", sealed(b"k", pickle.dumps(RECORD)), day)
    assert Keeping(path).known([b"k"], Problem) == {b"k": RECORD}
    Keeping(path).keep({b"new": RECORD})
    assert Keeping(path).known([b"k"], Problem) == {b"k": RECORD}


def test_words_that_are_no_text_are_passed_over(path: Path) -> None:
    store(path, b"k", "words")
    with sqlite3.connect(path) as kept:
        kept.execute("UPDATE result SET made = CAST(x'ff' AS TEXT) WHERE key = ?", (b"k",))
    kept.close()
    assert Keeping(path).known([b"k", b"other"], int) == {b"other": 1}


def test_a_packed_record_may_not_run_anything() -> None:
    with pytest.raises(pickle.UnpicklingError, match="is no record"):
        unpacked(packed(Runs()))


def test_two_runs_at_once_lose_nothing(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(keeping_module, "_SECONDS_OF_PATIENCE", 30)
    runs = [
        threading.Thread(target=lambda run=run: [Keeping(path).keep({b"%d.%d" % (run, at): at}) for at in range(20)])
        for run in range(4)
    ]
    for one in runs:
        one.start()
    for one in runs:
        one.join()
    keys = [b"%d.%d" % (run, at) for run in range(4) for at in range(20)]
    assert Keeping(path).known(keys, object).keys() == set(keys)
