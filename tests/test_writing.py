"""Files are written whole or not at all, over nothing but plain files."""

from __future__ import annotations

import os
import socket
import stat
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from tabtools import writing
from tabtools.writing import PREFIX, STALE_SECONDS, SUFFIX, ChangedError, holds, write_atomically

LONGEST_NAME = 255
"""Bytes in one name: `NAME_MAX` of every filesystem in common use."""


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


# ---- what it writes


@pytest.mark.parametrize("content", ["tab\n", b"MThd\x00\xff\r\n", "", "\u00c9bb\n"])
def test_a_new_file(tmp_path: Path, content: str | bytes) -> None:
    path = tmp_path / "deeper" / "still" / "dusk.txt"
    write_atomically(path, content)
    assert path.read_bytes() == (content.encode() if isinstance(content, str) else content)
    assert names(path.parent) == ["dusk.txt"]


@pytest.mark.parametrize("mask", [0o022, 0o077, 0o002])
def test_a_new_file_has_the_mode_the_user_gives_to_files(tmp_path: Path, mask: int) -> None:
    before = os.umask(mask)
    try:
        for may_replace in (True, False):
            path = tmp_path / f"{may_replace}"
            write_atomically(path, "", may_replace=may_replace)
            assert stat.S_IMODE(path.stat().st_mode) == 0o666 & ~mask
    finally:
        os.umask(before)


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664, 0o755])
def test_a_file_that_is_replaced_keeps_its_mode(tmp_path: Path, mode: int) -> None:
    path = tmp_path / "dusk.solo"
    path.write_text("old", encoding="utf-8")
    path.chmod(mode)
    write_atomically(path, "new")
    assert (path.read_text(encoding="utf-8"), stat.S_IMODE(path.stat().st_mode)) == ("new", mode)


@pytest.mark.skipif(os.geteuid() != 0, reason="only root may give files away")
def test_a_file_that_is_replaced_keeps_its_owner_and_group(tmp_path: Path) -> None:
    path = tmp_path / "dusk.solo"
    path.write_text("old", encoding="utf-8")
    os.chown(path, 54321, 54322)
    path.chmod(0o640)
    write_atomically(path, "new")
    facts = path.stat()
    assert (facts.st_uid, facts.st_gid, stat.S_IMODE(facts.st_mode)) == (54321, 54322, 0o640)


def test_an_owner_that_cannot_be_kept_keeps_nothing_from_being_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    path = tmp_path / "dusk.solo"
    path.write_text("old", encoding="utf-8")
    monkeypatch.setattr(writing.os, "chown", refuse)
    write_atomically(path, "new")
    assert path.read_text(encoding="utf-8") == "new"


@pytest.mark.parametrize("length", [200, 245, LONGEST_NAME])
@pytest.mark.parametrize("may_replace", [True, False])
def test_names_as_long_as_they_can_be(tmp_path: Path, length: int, may_replace: bool) -> None:
    name = "x" * (length - 5) + ".solo"
    write_atomically(tmp_path / name, "new", may_replace=may_replace)
    assert names(tmp_path) == [name]


def test_a_name_that_is_too_long(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="File name too long"):
        write_atomically(tmp_path / ("x" * (LONGEST_NAME + 1)), "new")
    assert names(tmp_path) == []


# ---- links


def test_through_a_link_the_file_is_written_and_the_link_stays(tmp_path: Path) -> None:
    file, link, second = tmp_path / "solos" / "dusk.solo", tmp_path / "dusk.solo", tmp_path / "again.solo"
    file.parent.mkdir()
    file.write_text("old", encoding="utf-8")
    link.symlink_to("solos/dusk.solo")
    second.symlink_to("dusk.solo")
    write_atomically(second, "new")
    assert (link.readlink(), second.readlink()) == (Path("solos/dusk.solo"), Path("dusk.solo"))
    assert (file.is_symlink(), file.read_text(encoding="utf-8")) == (False, "new")


@pytest.mark.parametrize("may_replace", [True, False])
def test_a_link_to_nothing_is_left_alone(tmp_path: Path, may_replace: bool) -> None:
    link = tmp_path / "dusk.solo"
    link.symlink_to("elsewhere.solo")
    with pytest.raises(OSError, match="it is a link to nothing"):
        write_atomically(link, "new", may_replace=may_replace)
    assert (names(tmp_path), link.readlink()) == (["dusk.solo"], Path("elsewhere.solo"))


def test_a_link_to_itself_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "dusk.solo").symlink_to("dusk.solo")
    with pytest.raises(OSError, match="symbolic links"):
        write_atomically(tmp_path / "dusk.solo", "new")
    assert names(tmp_path) == ["dusk.solo"]


# ---- what is no file


@contextmanager
def _folder(path: Path) -> Iterator[None]:
    path.mkdir()
    yield


@contextmanager
def _pipe(path: Path) -> Iterator[None]:
    os.mkfifo(path)
    yield


@contextmanager
def _socket(path: Path) -> Iterator[None]:
    with closing(socket.socket(socket.AF_UNIX)) as one:
        before = Path.cwd()
        os.chdir(path.parent)
        try:
            one.bind(path.name)
        finally:
            os.chdir(before)
        yield


@contextmanager
def _device(path: Path) -> Iterator[None]:
    if os.geteuid() != 0:
        pytest.skip("only root makes devices")
    os.mknod(path, 0o600 | stat.S_IFCHR, os.makedev(1, 3))
    yield


NO_FILES = {"folder": _folder, "pipe": _pipe, "socket": _socket, "device": _device}


@pytest.mark.parametrize("kind", NO_FILES)
@pytest.mark.parametrize("through_a_link", [False, True], ids=["itself", "link"])
@pytest.mark.parametrize("may_replace", [True, False])
def test_what_is_no_plain_file_is_left_alone(
    tmp_path: Path, kind: str, through_a_link: bool, may_replace: bool
) -> None:
    there = tmp_path / "there"
    with NO_FILES[kind](there):
        before = there.lstat()
        path = tmp_path / "link" if through_a_link else there
        if through_a_link:
            path.symlink_to("there")
        found = names(tmp_path)
        with pytest.raises(OSError, match=f"it is a {kind}"):
            write_atomically(path, "new", may_replace=may_replace)
        after = there.lstat()
    assert names(tmp_path) == found
    assert (after.st_ino, after.st_mode, after.st_rdev) == (before.st_ino, before.st_mode, before.st_rdev)


# ---- what may not be replaced


def test_what_is_there_is_replaced_only_where_that_is_allowed(tmp_path: Path) -> None:
    path = tmp_path / "dusk.txt"
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(FileExistsError):
        write_atomically(path, "new", may_replace=False)
    assert (names(tmp_path), path.read_text(encoding="utf-8")) == (["dusk.txt"], "mine")


@pytest.mark.parametrize("knows_two_names", [True, False])
def test_what_comes_in_between_is_not_replaced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, knows_two_names: bool
) -> None:
    """Not even on a disk whose format knows one name of a file alone, such as FAT."""
    path = tmp_path / "dusk.txt"
    link = os.link

    def come_in_between(source: Path, target: Path) -> None:
        path.write_text("mine", encoding="utf-8")
        if not knows_two_names:
            raise PermissionError(1, "Operation not permitted")
        link(source, target)

    monkeypatch.setattr(writing.os, "link", come_in_between)
    with pytest.raises(FileExistsError):
        write_atomically(path, "new", may_replace=False)
    assert (names(tmp_path), path.read_text(encoding="utf-8")) == (["dusk.txt"], "mine")


def test_a_new_file_on_a_disk_that_knows_one_name_of_a_file_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(writing.os, "link", refuse)
    write_atomically(tmp_path / "dusk.txt", "new", may_replace=False)
    assert names(tmp_path) == ["dusk.txt"]


# ---- what changed in between


@pytest.mark.parametrize("content", [b"old", None])
def test_what_is_still_the_same_is_written(tmp_path: Path, content: bytes | None) -> None:
    path = tmp_path / "dusk.solo"
    if content is not None:
        path.write_bytes(content)
    write_atomically(path, "new", is_still=lambda: holds(path, content))
    assert path.read_text(encoding="utf-8") == "new"


def _save(path: Path) -> None:
    path.write_text("saved meanwhile", encoding="utf-8")


def _save_another(path: Path) -> None:
    other = path.with_suffix(".new")
    other.write_text("saved meanwhile", encoding="utf-8")
    other.replace(path)


@pytest.mark.parametrize("there", [True, False])
@pytest.mark.parametrize("save", [_save, _save_another])
def test_a_save_in_between_stays(tmp_path: Path, there: bool, save: Callable[[Path], None]) -> None:
    path = tmp_path / "dusk.solo"
    before = b"old" if there else None
    if before is not None:
        path.write_bytes(before)

    def is_still() -> bool:
        save(path)
        return holds(path, before)

    with pytest.raises(ChangedError):
        write_atomically(path, "new", is_still=is_still)
    assert (names(tmp_path), path.read_text(encoding="utf-8")) == (["dusk.solo"], "saved meanwhile")


def test_what_somebody_else_has_written_just_so_is_no_change(tmp_path: Path) -> None:
    path = tmp_path / "dusk.solo"
    path.write_text("old", encoding="utf-8")

    def is_still() -> bool:
        path.write_text("new", encoding="utf-8")
        return holds(path, b"old")

    write_atomically(path, "new", is_still=is_still)
    assert (names(tmp_path), path.read_text(encoding="utf-8")) == (["dusk.solo"], "new")


@pytest.mark.parametrize("make", [_folder, _pipe])
def test_what_is_no_file_holds_nothing(tmp_path: Path, make: Callable[[Path], Iterator[None]]) -> None:
    path = tmp_path / "there"
    assert holds(path, None) and not holds(path, b"")
    with make(path):
        assert not holds(path, b"") and not holds(path, None)


# ---- what fails


@pytest.mark.parametrize("failing", ["fsync", "replace", "chmod", "write"])
@pytest.mark.parametrize("there", [True, False])
def test_a_write_that_fails_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: str, there: bool
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    class Full:
        def __init__(self, descriptor: int, _: str):
            self.descriptor = descriptor

        def __enter__(self) -> Full:
            return self

        def __exit__(self, *_: object) -> None:
            os.close(self.descriptor)

        write = fail

    path = tmp_path / "deeper" / "dusk.solo"
    if there:
        path.parent.mkdir()
        path.write_text("old", encoding="utf-8")
    where, name, stub = {"fsync": (writing.os, "fsync", fail), "write": (writing.os, "fdopen", Full)}.get(
        failing, (writing.Path, failing, fail)
    )
    monkeypatch.setattr(where, name, stub)
    with pytest.raises(OSError, match="No space left on device"):
        write_atomically(path, "new")
    monkeypatch.undo()
    assert names(tmp_path) == (["deeper"] if there else [])
    assert not there or (names(path.parent), path.read_text(encoding="utf-8")) == (["dusk.solo"], "old")


def test_what_a_killed_write_left_is_deleted_once_it_is_old(tmp_path: Path) -> None:
    old, young = tmp_path / f"{PREFIX}abc{SUFFIX}", tmp_path / f"{PREFIX}def{SUFFIX}"
    others = [tmp_path / ".tabtools", tmp_path / f"{PREFIX}folder{SUFFIX}", tmp_path / f"x{PREFIX}abc{SUFFIX}"]
    for path in (old, young, others[0], others[2]):
        path.touch()
    others[1].mkdir()
    long_ago = young.stat().st_mtime - STALE_SECONDS - 60
    for path in (old, *others):
        os.utime(path, (long_ago, long_ago))
    write_atomically(tmp_path / "dusk.solo", "new")
    assert names(tmp_path) == sorted(["dusk.solo", young.name, *(path.name for path in others)])
