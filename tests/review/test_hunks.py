"""Changed lines put into a file: as git apply does it, line ends kept, and nowhere else than where they belong."""

from __future__ import annotations

import subprocess
import time
from collections.abc import Iterator

import pytest
from git_repositories import BETTER, DUSK, ENVIRONMENT, SOLO, GitRepository, new_repository
from hypothesis import given
from hypothesis import strategies as st

from tabtools.review.hunks import misfit, patched
from tabtools.review.patch import read_patch, suggestion


def hunks(old: str, new: str) -> str:
    return read_patch(suggestion(old, new, SOLO).encode(), "transcriptions").files[0].hunks


MENDED = hunks(DUSK, BETTER)


@pytest.fixture(scope="module")
def bare_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[GitRepository]:
    yield new_repository(tmp_path_factory.mktemp("applied"))


TEXTS = st.lists(st.sampled_from(["", "bar 1", "1  3:7", "-- ", "@@ -1 +1 @@", " x", "é"]), min_size=1, max_size=14)
LINES = st.builds(lambda lines, end: "\n".join(lines) + end, TEXTS, st.sampled_from(["", "\n"]))


@given(LINES, LINES, LINES)
def test_what_fits_git_applies_to_the_same(bare_folder: GitRepository, old: str, new: str, other: str) -> None:
    """Outside truth: git itself. What it was made from becomes what was meant; any other text what git makes of it."""
    if old == new or "" in (old, new):
        return
    made = hunks(old, new)
    assert patched(made, old.encode()) == new.encode()
    assert patched(made, new.encode(), backward=True) == old.encode()
    mine = patched(made, other.encode())
    assert (misfit(made, f"{other}\n".encode()) is None) == (patched(made, f"{other}\n".encode()) is not None)
    if mine is None or not other.endswith("\n") or made.count("\n@@ "):
        return
    path = bare_folder.folder / "a.solo"
    path.write_text(other, encoding="utf-8", newline="")
    done = subprocess.run(
        ["git", "apply", "--whitespace=nowarn"], cwd=bare_folder.folder, env=ENVIRONMENT, check=False,
        input=f"--- a/a.solo\n+++ b/a.solo\n{made}".encode(), capture_output=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert path.read_bytes() == mine


@given(LINES, LINES, st.lists(st.booleans(), min_size=30, max_size=30))
def test_lines_that_stay_keep_their_ends(old: str, new: str, windows: list[bool]) -> None:
    if old == new or "" in (old, new):
        return
    ends = iter(windows)
    mixed = "".join(f"{line[:-1]}\r\n" if line.endswith("\n") and next(ends) else line for line in old.splitlines(True))
    made = patched(hunks(old, new), mixed.encode())
    assert made is not None
    assert made.replace(b"\r\n", b"\n") == new.encode()
    crlf = mixed.count("\r\n")
    if 2 * crlf <= old.count("\n"):
        assert made.count(b"\r\n") <= crlf
    if crlf and crlf == old.count("\n"):
        assert made == new.replace("\n", "\r\n").encode()
    if crlf == 0:
        assert b"\r" not in made


def test_a_place_further_down_is_found_if_there_is_but_one() -> None:
    more = DUSK.replace("bar 1  Dm7", "bar 0  Am7\n1-4  2:5\n\nbar 1  Dm7")
    assert patched(MENDED, more.encode()) == more.replace("2    2:6 2:8", "2    2:6 2:10").encode()
    twice = DUSK + "\n" + DUSK[DUSK.index("bar 2") :]
    above = hunks(DUSK, BETTER)
    assert patched(above, twice.encode()) == twice.replace("2    2:6 2:8", "2    2:6 2:10", 1).encode()
    assert patched(above, ("\n" + twice).encode()) is None


@pytest.mark.parametrize(
    "text",
    [
        "@@ -13 +13 @@\n-2    2:6 2:8\n+2    2:6 2:10\n",
        "@@ -13,0 +14 @@\n+2    2:6 2:10\n",
        "@@ -1 +1 @@\n-title:        Ferry at Dawn\n+title:  x\n",
    ],
    ids=["changed without context", "added without context", "another beginning"],
)
def test_lines_without_context_fit_nowhere(text: str) -> None:
    assert patched(text, DUSK.encode()) is None


def test_byte_order_mark_and_missing_last_newline() -> None:
    mark = b"\xef\xbb\xbf"
    title = hunks(DUSK, DUSK.replace("Dusk", "Dawn"))
    assert patched(title, mark + DUSK.encode()) == mark + DUSK.replace("Dusk", "Dawn").encode()
    bare = DUSK.rstrip("\n")
    assert (
        patched(hunks(DUSK, DUSK.replace("1:10 1:8", "1:10 1:9")), bare.encode())
        == DUSK.replace("1:10 1:8", "1:10 1:9").encode()
    )
    windows = bare.replace("\n", "\r\n")
    assert patched(MENDED, windows.encode()) == BETTER.replace("\n", "\r\n").encode()


def test_large_files_and_patches_take_no_time() -> None:
    """Lines that are all alike, and hunks of which each stands one line further down than it says."""
    alike = "x\r\n" * 300_000
    assert patched("@@ -5,3 +5,3 @@\n x\n-x\n+y\n x\n", alike.encode()).count(b"y\r\n") == 1
    other = "@@ -5,3 +5,3 @@\n x\n-y\n+x\n x\n"
    assert patched(other, alike.encode()) is None
    assert misfit(other, alike.encode()) == (6, "y\n", "x\n")
    count = 20_000
    lines = [f"line {number}\n" for number in range(4 * count)]
    moved = "".join(lines[at : at + 3][0] + "new\n" + "".join(lines[at + 1 : at + 4]) for at in range(0, 4 * count, 4))
    made = "".join(
        f"@@ -{4 * at + 3},3 +{4 * at + 3},3 @@\n {lines[4 * at + 2]}-{lines[4 * at + 3]}+other\n {lines[4 * at + 4]}"
        for at in range(count - 1)
    )
    began = time.process_time()
    after = patched(made, moved.encode())
    assert after is not None and after.count(b"other\n") == count - 1
    assert time.process_time() - began < 5
