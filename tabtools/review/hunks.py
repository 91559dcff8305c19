"""A patch's changed lines put into a file's bytes, line ends and byte-order mark kept, without git and without files.

Where a hunk stands is decided as `git apply` does it, only more strictly: at the line it names, or else at the one
other place that reads as it says. What names the first line must stand there, what no line of context follows at the
end.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import chain, islice, repeat
from typing import NamedTuple

NO_NEWLINE = "\\ No newline at end of file"
HEAD = re.compile(r"@@ -([0-9]{1,7})(?:,([0-9]{1,7}))? \+([0-9]{1,7})(?:,([0-9]{1,7}))? @@.*\Z", re.DOTALL)

_BYTE_ORDER_MARK = b"\xef\xbb\xbf"


_FEW = 8


class Misfit(NamedTuple):
    """The first line of a file (counted from 1) that is not as a hunk says: what the hunk has there, and the file.

    Behind the file's end `found` is empty. Both are empty where the lines are right, but the place or an end is not.
    """

    line: int
    wanted: str
    found: str


@dataclass(frozen=True)
class Hunk:
    """Lines with their signs (` `, `-`, `+`), each with its newline where it has one; `named` is the line it names."""

    named: int
    rows: tuple[tuple[str, str], ...]

    @cached_property
    def old(self) -> list[str]:
        """The lines that must stand there."""
        return [line for sign, line in self.rows if sign != "+"]

    @property
    def start(self) -> int:
        """The line it names, counted from 0; of lines that are only added it is the one they follow."""
        return max(0, self.named - bool(self.old))


def patched(hunks: str, old: bytes, backward: bool = False) -> bytes | None:
    """The file after its hunks, from the first `@@` on; None where they do not fit. `backward` takes them out again.

    A last line without its newline may have one in the hunks: the text on a page always ends with one. Raises
    `UnicodeDecodeError` where the file is not UTF-8.
    """
    mark = _BYTE_ORDER_MARK if old.startswith(_BYTE_ORDER_MARK) else b""
    before = lines_of(old.removeprefix(mark).decode("utf-8"))
    wanted = list(_hunks(hunks, backward))
    after = _applied(wanted, before)
    if after is None and before and not before[-1].endswith("\n"):
        before[-1] += _end_of_most(before)
        after = _applied(wanted, before)
    return None if after is None else mark + "".join(after).encode("utf-8")


def misfit(hunks: str, old: bytes) -> Misfit | None:
    """What keeps the hunks from fitting a file; None where they do fit. Raises `UnicodeDecodeError`."""
    plain = [_plain(line) for line in lines_of(old.removeprefix(_BYTE_ORDER_MARK).decode("utf-8"))]
    places = _places(plain)
    for hunk, at, expected in _placed(_hunks(hunks, backward=False), plain, places):
        if at is None:
            start = _likely(hunk, expected, places)
            there = chain(plain[start : start + len(hunk.old)], repeat(""))
            pairs = enumerate(zip(hunk.old, there, strict=False), start + 1)
            differ = (Misfit(number, *pair) for number, pair in pairs if pair[0].rstrip("\n") != pair[1].rstrip("\n"))
            return next(differ, Misfit(start + 1, "", ""))
    return None


def lacks_context(hunks: str) -> bool:
    """Whether some hunk has no lines but those that come and go."""
    return any(all(sign != " " for sign, _ in hunk.rows) for hunk in _hunks(hunks, backward=False))


def _likely(hunk: Hunk, expected: int, places: Mapping[str, Sequence[int]]) -> int:
    """Where most of the lines that are there but a few times say that a hunk stands, or else where it names."""
    starts = Counter(
        at - k
        for k, line in enumerate(hunk.old)
        if len(places.get(line, ())) <= _FEW
        for at in places.get(line, ())
        if at >= k
    )
    return max(starts, key=lambda start: (starts[start], -abs(start - expected)), default=expected)


def lines_of(text: str) -> list[str]:
    """Lines with their newlines; only a newline ends one."""
    return re.findall(r"[^\n]*\n|[^\n]+\Z", text)


def _plain(line: str) -> str:
    return f"{line[:-2]}\n" if line.endswith("\r\n") else line


def _end_of_most(lines: Sequence[str]) -> str:
    """How most lines end."""
    windows = sum(line.endswith("\r\n") for line in lines)
    return "\r\n" if 2 * windows > sum(line.endswith("\n") for line in lines) else "\n"


def _hunks(text: str, backward: bool) -> Iterator[Hunk]:
    signs = {"-": "+", "+": "-"} if backward else {}
    rows = text.removesuffix("\n").split("\n")
    starts = [at for at, row in enumerate(rows) if row.startswith("@@ ")]
    for start, end in zip(starts, [*starts[1:], len(rows)], strict=True):
        head = HEAD.match(rows[start])
        signed: list[tuple[str, str]] = []
        for row in rows[start + 1 : end]:
            if row == NO_NEWLINE and signed:
                signed[-1] = signed[-1][0], signed[-1][1].removesuffix("\n")
            else:
                signed.append((signs.get(row[:1], row[:1]), f"{row[1:]}\n"))
        named = int(head[3 if backward else 1]) if head else 0
        yield Hunk(named, tuple(_without_mark(signed) if named <= 1 else signed))


def _without_mark(rows: Sequence[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    """A file's first rows without the byte-order mark that a patch of a file with one has there, before and after."""
    firsts = {next((at for at, (sign, _) in enumerate(rows) if sign in (" ", side)), None) for side in "-+"}
    for at, (sign, line) in enumerate(rows):
        yield sign, line.removeprefix("\ufeff") if at in firsts else line


def _applied(hunks: Sequence[Hunk], before: Sequence[str]) -> list[str] | None:
    """The lines after the hunks; those that stay keep the end they had, new ones have that of most."""
    plain = [_plain(line) for line in before]
    end = _end_of_most(before)
    after: list[str] = []
    done = 0
    for hunk, at, _ in _placed(hunks, plain, _places(plain)):
        if at is None:
            return None
        after += before[done:at]
        done = at
        for sign, line in hunk.rows:
            if sign == "+":
                after.append(f"{line[:-1]}{end}" if line.endswith("\n") else line)
            else:
                after += [before[done]] if sign == " " else []
                done += 1
    return [*after, *before[done:]]


def _places(lines: Sequence[str]) -> Mapping[str, Sequence[int]]:
    places: defaultdict[str, list[int]] = defaultdict(list)
    for at, line in enumerate(lines):
        places[line].append(at)
    return places


def _placed(
    hunks: Iterable[Hunk], lines: Sequence[str], places: Mapping[str, Sequence[int]]
) -> Iterator[tuple[Hunk, int | None, int]]:
    """Each hunk with the place where it fits and the one it is expected at; the first that fits nowhere is the last."""
    done = moved = 0
    for hunk in hunks:
        at = _place(hunk, lines, places, done, moved)
        yield hunk, at, hunk.start + moved
        if at is None:
            return
        moved = at - hunk.start
        done = at + len(hunk.old)


def _place(hunk: Hunk, lines: Sequence[str], places: Mapping[str, Sequence[int]], done: int, moved: int) -> int | None:
    """Where the hunk fits, from the line `done` on; earlier ones stood `moved` lines further down than they said."""
    old = hunk.old
    last = len(lines) - len(old)
    is_last = bool(hunk.rows) and hunk.rows[-1][0] != " "
    fine = range(max(done, last if is_last else 0), min(last, 0 if hunk.named <= 1 else last) + 1)
    expected = hunk.start + moved
    if expected in fine and lines[expected : expected + len(old)] == old:
        return expected
    candidates = places.get(old[0], ()) if old else ()
    fitting = list(islice((at for at in candidates if at in fine and lines[at : at + len(old)] == old), 2))
    return fitting[0] if len(fitting) == 1 else None
