"""A reader's correction as a patch: written for them, and read with suspicion when it comes back.

A patch is what `git apply` takes: a head of `Name: value` lines, then one unified diff of a solo, of its lesson, or of
both. What is read is kept in parts, and only what we put together again from them is ever given to git.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from pathlib import PurePosixPath
from typing import NamedTuple

from tabtools.review.hunks import HEAD, NO_NEWLINE, lines_of
from tabtools.review.sender import said_in
from tabtools.source import LESSON_SUFFIX, MAX_BYTES, SUFFIX, cut, is_number, visible

CONTEXT = 3
LONGEST_PATH, LONGEST_NAME = 1_000, 255
"""Characters of a path, bytes of a name in it. Common practice: more than 255 bytes few file systems can hold."""

_EMPTY = " "
"""An empty line of context. Mail programs take its space away; git reads it all the same."""
_MODE = re.compile(r"index [0-9a-f]{4,64}\.\.[0-9a-f]{4,64}(?: ([0-9]{6}))?\Z")
_ESCAPES = {"a": 7, "b": 8, "t": 9, "n": 10, "v": 11, "f": 12, "r": 13, '"': 34, "\\": 92}
_ESCAPED = re.compile(rb'\\([0-3][0-7]{2}|[abtnvfr"\\])')

_REFUSED = (
    (("old mode", "new mode"), "it changes the mode of a file", "a correction changes text only"),
    (("deleted file",), "it deletes a file", "a correction changes a file that is there"),
    (("new file",), "it makes a new file", "a correction changes a file that is there"),
    (("rename ", "similarity ", "dissimilarity "), "it renames a file", "a correction leaves the name as it is"),
    (("copy ",), "it copies a file", "a correction changes one file"),
    (("GIT binary patch", "Binary files", "literal ", "delta "), "it is binary", "a solo is text"),
)


class PatchError(Exception):
    """A patch that is not applied: what is wrong with it, and what to do."""

    def __init__(self, message: str, advice: str = "ask for it anew, made from the page of the solo"):
        super().__init__(message)
        self.message = message
        self.advice = advice


class PatchedFile(NamedTuple):
    """What a patch does to one file: `path` is from the top of the repository, `hunks` the diff from its first `@@`."""

    path: str
    hunks: str


@dataclass(frozen=True)
class Patch:
    """A correction of one solo, of its lesson, or of both.

    `credit` (who suggests it), `at` (where in the recording) and `reason` are what the sender wrote, as it can be
    shown, empty where there is nothing.
    """

    files: tuple[PatchedFile, ...]
    credit: str = ""
    at: str = ""
    reason: str = ""

    @property
    def path(self) -> str:
        """The file it is named by: the solo, where it changes that."""
        return min((one.path for one in self.files), key=lambda path: not path.endswith(SUFFIX))

    @property
    def text(self) -> str:
        """The patch as it is sent: what the sender says, then the changed lines."""
        head = _headed(self.path, self.credit, self.reason, self.at)
        return head + "".join(_names(one.path) + one.hunks for one in self.files)


# ---- writing


def suggestion(old_text: str, new_text: str, path: str, credit: str = "", reason: str = "", at: str = "") -> str:
    """A patch from one text of a file to another. Raises `ValueError` where they do not differ.

    `path` is from the top of the repository, with `/` between folders. Every line of the head starts with a known
    name or a space, so that nothing in it can pass for a part of the diff.
    """
    if old_text == new_text:
        raise ValueError("the texts are the same")
    hunks = "\n".join(_hunks(lines_of(old_text), lines_of(new_text)))
    return f"{_headed(path, credit, reason, at)}{_names(path)}{hunks}\n"


def _headed(path: str, credit: str, reason: str, at: str) -> str:
    said = ("Suggested-by", " ".join(credit.split())), ("Recording", " ".join(at.split())), ("Reason", reason)
    head = [f"Correction for {visible(path)}"]
    head += [f"{name}: {_folded(text)}" for name, text in said if text.strip()]
    return "\n".join(head) + "\n\n"


def _folded(text: str) -> str:
    """Several lines as the first and those that go on, each with a space before it."""
    return "\n ".join(visible(line).strip() for line in text.strip().splitlines())


def _names(path: str) -> str:
    old, new = _quoted(f"a/{path}"), _quoted(f"b/{path}")
    tab = "\t" if " " in path else ""
    return f"diff --git {old} {new}\n--- {old}{tab}\n+++ {new}{tab}\n"


def _quoted(name: str) -> str:
    """A name as git writes it: in quotes where it holds quotes, backslashes or controls."""
    if not re.search(r'["\\\x00-\x1f\x7f]', name):
        return name
    return '"' + re.sub(r'["\\\x00-\x1f\x7f]', lambda found: f"\\{ord(found.group()):03o}", name) + '"'


def _hunks(old: list[str], new: list[str]) -> Iterator[str]:
    for group in SequenceMatcher(None, old, new, autojunk=False).get_grouped_opcodes(CONTEXT):
        first, last = group[0], group[-1]
        yield f"@@ -{_range(first[1], last[2])} +{_range(first[3], last[4])} @@"
        for what, i, i_end, j, j_end in group:
            if what == "equal":
                yield from _signed(" ", old[i:i_end])
            else:
                yield from _signed("-", old[i:i_end])
                yield from _signed("+", new[j:j_end])


def _range(start: int, end: int) -> str:
    return f"{start + 1 if end > start else start},{end - start}"


def _signed(sign: str, lines: Sequence[str]) -> Iterator[str]:
    for line in lines:
        yield sign + line.removesuffix("\n")
        if not line.endswith("\n"):
            yield NO_NEWLINE


# ---- reading


def read_patch(data: bytes, folder: str) -> Patch:
    """A patch from anybody, for a solo or lesson below `folder` (from the top of the repository; empty: anywhere).

    Raises `PatchError` for everything but changed lines of one such file, or of a solo and its own lesson.
    """
    if len(data) > MAX_BYTES:
        raise PatchError(f"it has more than {MAX_BYTES:,} bytes (1 MiB)", "a correction is a few lines")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise PatchError(f"byte {error.start} is not UTF-8 text", "a solo is text in UTF-8") from None
    lines = text.replace("\r\n", "\n").removesuffix("\n").split("\n")
    start = next((at for at, line in enumerate(lines) if line.startswith(("diff ", "--- ", "@@ "))), None)
    if start is None:
        raise PatchError("it holds no changed lines")
    files: list[PatchedFile] = []
    end = start
    while not files or (end < len(lines) and lines[end].startswith(("diff ", "--- "))):
        found, at = _file_names(lines, end)
        path = _path(found, folder)
        _check_together([one.path for one in files], path)
        end = _end_of_hunks(lines, at)
        hunks = "\n".join(line or _EMPTY for line in lines[at:end])
        files.append(PatchedFile(path, f"{hunks}\n"))
    _nothing_more(lines[end:])
    return Patch(tuple(files), **said_in(lines[:start]))


def _check_together(before: list[str], path: str) -> None:
    """A second file is the lesson of the first, or the solo of that lesson. Raises `PatchError`."""
    if path in before:
        raise PatchError("it changes one file twice")
    stems = {PurePosixPath(one).with_suffix("") for one in (*before, path)}
    if len(stems) > 1:
        raise PatchError("it changes more than one solo", "send one patch for each solo and its lesson")


def _file_names(lines: list[str], start: int) -> tuple[str, int]:
    """The name of the file, and where its first hunk starts."""
    named: list[str] = []
    claimed = ""
    for at in range(start, len(lines)):
        line = lines[at]
        if line.startswith("@@ "):
            break
        for signs, message, advice in _REFUSED:
            if line.startswith(signs):
                raise PatchError(message, advice)
        if line.startswith("diff --git ") and not claimed and not named:
            claimed = line.removeprefix("diff --git ")
        elif line.startswith("diff "):
            raise PatchError("it says twice which file it changes")
        elif line.startswith("index "):
            mode = _MODE.match(line)
            if mode is None or mode[1] not in (None, "100644", "100755"):
                raise PatchError("it changes something that is no plain file, such as a link", "a solo is a file")
        elif line.startswith("--- " if not named else "+++ ") and len(named) < 2:
            named.append(_name(line[4:]))
        else:
            raise PatchError(f"the line “{cut(line)}” belongs to no plain change of text")
    else:
        raise PatchError("it holds no changed lines")
    if len(named) != 2:
        raise PatchError("it does not say which file it changes")
    return _one_name(named, claimed), at


def _one_name(named: list[str], claimed: str) -> str:
    old, new = named
    if "/dev/null" in named:
        what = "makes a new file" if old == "/dev/null" else "deletes a file"
        raise PatchError(f"it {what}", "a correction changes a file that is there")
    if not old.startswith("a/") or not new.startswith("b/"):
        raise PatchError(f"“{cut(old)}” and “{cut(new)}” are no names of the form a/… and b/…")
    path = old[2:]
    if path != new[2:]:
        raise PatchError("it renames a file, or changes more than one", "a correction changes one file")
    if claimed and claimed not in (f"a/{path} b/{path}", f"{_quoted(old)} {_quoted(new)}"):
        both = re.match(r'("(?:[^"\\]|\\.)*") ("(?:[^"\\]|\\.)*")\Z', claimed)
        if both is None or [_name(both[1]), _name(both[2])] != named:
            raise PatchError("its first line names another file than the rest", "a correction changes one file")
    return path


def _name(text: str) -> str:
    """A name as git writes it, which ends at a tab."""
    text = text.partition("\t")[0]
    if not (len(text) > 1 and text[0] == text[-1] == '"'):
        return text
    data = _ESCAPED.sub(_unescaped, text[1:-1].encode())
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        raise PatchError("the name of its file is not UTF-8 text") from None


def _unescaped(found: re.Match[bytes]) -> bytes:
    sign = found[1].decode("ascii")
    return bytes([int(sign, 8) if is_number(sign) else _ESCAPES[sign]])


def _path(path: str, folder: str) -> str:
    """A path below the folder that can do no harm. Raises `PatchError`."""
    shown = cut(path)
    if visible(path) != path:
        raise PatchError(f"the name “{shown}” has characters that cannot be shown")
    if path.startswith("/") or "\\" in path or ":" in path:
        raise PatchError(f"“{shown}” is no path within the repository")
    parts = path.split("/")
    if len(path) > LONGEST_PATH or any(len(part.encode()) > LONGEST_NAME for part in parts):
        raise PatchError(f"“{shown}” is too long a name for a file")
    if any(part in ("", ".", "..") or part.lower().startswith(".git") for part in parts):
        raise PatchError(f"“{shown}” leads astray", "a path names folders and a file, without . and ..")
    if folder and not path.startswith(f"{folder}/"):
        raise PatchError(f"“{shown}” lies outside {folder}/", "only solos and their lessons are corrected this way")
    if PurePosixPath(path).suffix not in (SUFFIX, LESSON_SUFFIX):
        raise PatchError(f"“{shown}” is neither a solo nor a lesson", "their names end with .solo and .md")
    return path


def _end_of_hunks(lines: list[str], at: int) -> int:
    """The line after the last hunk, each of which must hold as many lines as it says. Raises `PatchError`."""
    changed = 0
    while at < len(lines) and lines[at].startswith("@@ "):
        found = HEAD.match(lines[at])
        if found is None:
            raise PatchError(f"“{cut(lines[at])}” is no head of a hunk")
        old, new = (1 if found[group] is None else int(found[group]) for group in (2, 4))
        at += 1
        while old or new:
            sign = (lines[at] or _EMPTY)[0] if at < len(lines) else ""
            if sign not in (" ", "-", "+", "\\") or (sign == "\\" and lines[at] != NO_NEWLINE):
                raise PatchError("it is cut off, or damaged on its way", "send it as a file, not in a mail's text")
            old -= sign in (" ", "-")
            new -= sign in (" ", "+")
            changed += sign in ("-", "+")
            at += 1
            if old < 0 or new < 0:
                raise PatchError("a hunk holds other lines than it says")
        if at < len(lines) and lines[at] == NO_NEWLINE:
            at += 1
    if not changed:
        raise PatchError("it changes nothing")
    return at


def _nothing_more(lines: list[str]) -> None:
    """After the hunks only what mail programs add may follow. Raises `PatchError`."""
    for line in lines:
        if line.startswith(("diff ", "--- ", "+++ ", "@@ ")):
            raise PatchError("something follows its changed lines", "send one patch for each solo and its lesson")
        if any(line.startswith(signs) for signs, _, _ in _REFUSED):
            raise PatchError("something follows its changed lines that is no text")
