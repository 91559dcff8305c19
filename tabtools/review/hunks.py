"""A patch's changed lines put into a file's bytes, line ends and byte-order mark kept, without git and without files.

Where a hunk stands is decided as `git apply` does it, only more strictly: at the line it names, or else at the one
other place that reads as it says. What names the first line must stand there, what no line of context follows at the
end.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import SequenceMatcher
from typing import NamedTuple

NO_NEWLINE = "\\ No newline at end of file"
HEAD = re.compile(r"@@ -(\d{1,7})(?:,(\d{1,7}))? \+(\d{1,7})(?:,(\d{1,7}))? @@.*\Z", re.DOTALL)

_BYTE_ORDER_MARK = b"\xef\xbb\xbf"


class Hunk(NamedTuple):
    """Lines, each with its newline where it has one, that stand in place of others; `start` counts from 0.

    `is_first` and `is_last` say that it can only stand at the beginning, or at the end.
    """

    start: int
    old: tuple[str, ...]
    new: tuple[str, ...]
    is_first: bool
    is_last: bool


def patched(hunks: str, old: bytes, backward: bool = False) -> bytes | None:
    """The file after its hunks, from the first `@@` on; None where they do not fit. `backward` takes them out again.

    A last line without its newline may have one in the hunks: the text on a page always ends with one. Raises
    `UnicodeDecodeError` where the file is not UTF-8.
    """
    mark = _BYTE_ORDER_MARK if old.startswith(_BYTE_ORDER_MARK) else b""
    before = lines_of(old.removeprefix(mark).decode("utf-8"))
    wanted = _hunks(hunks, backward)
    after = _applied(wanted, [_plain(line) for line in before])
    if after is None and before and not before[-1].endswith("\n"):
        before[-1] += "\r\n" if _ends_as_on_windows(before) else "\n"
        after = _applied(wanted, [_plain(line) for line in before])
    return None if after is None else mark + "".join(_with_ends(before, after)).encode("utf-8")


def lines_of(text: str) -> list[str]:
    """Lines with their newlines; only a newline ends one."""
    return re.findall(r"[^\n]*\n|[^\n]+\Z", text)


def _plain(line: str) -> str:
    return f"{line[:-2]}\n" if line.endswith("\r\n") else line


def _hunks(text: str, backward: bool) -> list[Hunk]:
    signs = "+-" if backward else "-+"
    found: list[Hunk] = []
    rows = text.removesuffix("\n").split("\n")
    starts = [at for at, row in enumerate(rows) if row.startswith("@@ ")]
    for start, end in zip(starts, [*starts[1:], len(rows)], strict=True):
        head = HEAD.match(rows[start])
        signed: list[tuple[str, str]] = []
        for row in rows[start + 1 : end]:
            if row == NO_NEWLINE and signed:
                signed[-1] = signed[-1][0], signed[-1][1].removesuffix("\n")
            else:
                signed.append((row[:1], f"{row[1:]}\n"))
        old, new = (tuple(line for own, line in signed if own in (" ", sign)) for sign in signs)
        first = int(head[3 if backward else 1]) if head else 0
        found.append(Hunk(max(0, first - bool(old)), old, new, first <= 1, signed[-1][0] != " "))
    return found


def _applied(hunks: Sequence[Hunk], lines: Sequence[str]) -> list[str] | None:
    after: list[str] = []
    done = moved = 0
    for hunk in hunks:
        at = _place(hunk, lines, done, hunk.start + moved)
        if at is None:
            return None
        moved = at - hunk.start
        after += [*lines[done:at], *hunk.new]
        done = at + len(hunk.old)
    return [*after, *lines[done:]]


def _place(hunk: Hunk, lines: Sequence[str], done: int, expected: int) -> int | None:
    """Where the hunk fits, from the line `done` on."""
    last = len(lines) - len(hunk.old)
    places = range(max(done, last if hunk.is_last else 0), min(last, 0 if hunk.is_first else last) + 1)
    fitting = [at for at in places if tuple(lines[at : at + len(hunk.old)]) == hunk.old]
    if expected in fitting:
        return expected
    return fitting[0] if len(fitting) == 1 and hunk.old else None


def _ends_as_on_windows(lines: Sequence[str]) -> bool:
    """Whether most lines end with CRLF."""
    return 2 * sum(line.endswith("\r\n") for line in lines) > len(lines) - (not lines[-1:][0].endswith("\n"))


def _with_ends(before: Sequence[str], after: Sequence[str]) -> list[str]:
    """The new lines, those that stood there with the end they had, the others with that of most."""
    plain = [_plain(line) for line in before]
    if plain == before:
        return list(after)
    is_windows = _ends_as_on_windows(before)
    found: list[str] = []
    for what, i, i_end, j, j_end in SequenceMatcher(None, plain, after, autojunk=False).get_opcodes():
        if what == "equal":
            found += before[i:i_end]
        else:
            found += [f"{line[:-1]}\r\n" if is_windows and line.endswith("\n") else line for line in after[j:j_end]]
    return found
