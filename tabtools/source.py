"""The text of one contributed file: decoding, limits, and places within it.

Everything downstream speaks of places as `Span`s (character offsets into `SourceText.text`) and asks the
`SourceText` for lines and columns only when a person has to read them.
"""

from __future__ import annotations

import re
import stat
from bisect import bisect_right
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import NamedTuple

MAX_BYTES = 1024 * 1024
SUFFIX = ".solo"
LESSON_SUFFIX = ".md"

_FORBIDDEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff]")
_FORBIDDEN_NAMES = {
    "\x00": "a NUL byte",
    "\ufeff": "a byte-order mark in the middle of the text",
    "\x1b": "a terminal escape",
    "\u2028": "a line separator",
    "\u2029": "a paragraph separator",
}


def visible(text: str) -> str:
    """Text that can be shown as it is: controls, which a terminal would obey, become signs of the same length."""
    return _FORBIDDEN.sub(lambda found: _sign(found.group()), text.replace("\n", "␊").replace("\t", "␉"))


def cut(text: str, most: int = 60) -> str:
    """Anybody's text as it can be shown in a message, at most so many characters of it."""
    shown = visible(text)
    return shown if len(shown) <= most else f"{shown[: most - 1]}…"


def is_number(text: str) -> bool:
    """Whether a text is a whole number in the figures 0 to 9; those of other scripts are no figures here."""
    return text.isascii() and text.isdigit()


def has_other_figures(text: str) -> bool:
    """Whether a figure of another script, or a raised one, stands in a text."""
    return any(sign.isdigit() and not sign.isascii() for sign in text)


def _sign(control: str) -> str:
    code = ord(control)
    return chr(0x2400 + code) if code < 0x20 else "␡" if code == 0x7F else "\N{REPLACEMENT CHARACTER}"


class Span(NamedTuple):
    """A stretch of text as character offsets: `start` inclusive, `end` exclusive, both from 0."""

    start: int
    end: int


class SourceError(Exception):
    """A file that cannot be taken as text at all.

    `offset` is the character offset of the offence in `source`, where there is one to show.
    """

    def __init__(self, message: str, advice: str, source: SourceText | None = None, offset: int = 0):
        super().__init__(message, advice, source, offset)
        self.message = message
        self.advice = advice
        self.source = source
        self.offset = offset

    def __str__(self) -> str:
        return self.message


@dataclass(frozen=True)
class SourceText:
    """A decoded file: LF line ends, no byte-order mark, always a newline at the end unless it is empty.

    `had_bom` and `had_crlf` remember what was tidied on the way in.
    """

    path: str
    text: str
    had_bom: bool = field(default=False, compare=False)
    had_crlf: bool = field(default=False, compare=False)

    @cached_property
    def _line_starts(self) -> list[int]:
        return [0, *(match.end() for match in re.finditer("\n", self.text))]

    def locate(self, offset: int) -> tuple[int, int]:
        """The 1-based line and column (in characters) of a character offset; what is behind the text is at its end."""
        starts = self._line_starts
        offset = max(0, min(offset, len(self.text)))
        line = bisect_right(starts, offset)
        if line > 1 and offset == len(self.text) and starts[-1] == offset:
            line -= 1
            offset -= 1
        return line, offset - starts[line - 1] + 1

    def line(self, number: int) -> str:
        """The text of the 1-based line, without its newline."""
        starts = self._line_starts
        if not 1 <= number <= len(starts):
            return ""
        end = starts[number] - 1 if number < len(starts) else len(self.text)
        return self.text[starts[number - 1] : end]

    def lines(self) -> list[str]:
        """All lines, without newlines."""
        return self.text.splitlines() if self.text else []

    def excerpt(self, span: Span, width: int = 78) -> tuple[str, str]:
        """The source line of `span` and a line of carets under it, both at most `width` characters."""
        number, column = self.locate(span.start)
        line = visible(self.line(number).replace("\t", " "))
        length = max(1, min(span.end, span.start + len(line) - column + 1) - span.start)
        first = column - 1
        if max(len(line), first + 1) > width:
            cut = max(0, min(first - width // 3, len(line) - width + 1))
            head = "…" if cut else ""
            line = head + line[cut + len(head) :]
            first -= cut
            if len(line) > width:
                line = line[: width - 1] + "…"
        length = min(length, max(1, width - first))
        return line, " " * first + "^" * length


def decode(data: bytes, path: str) -> SourceText:
    """Bytes of a contributed file as a `SourceText`.

    Raises `SourceError` for files over 1 MiB, bytes that are not UTF-8, and characters that a solo never
    needs and that can deceive a reader (NUL, control characters, bidirectional controls).
    """
    if len(data) > MAX_BYTES:
        raise SourceError(
            f"the file has {len(data):,} bytes; the most is {MAX_BYTES:,} (1 MiB)",
            "one file holds one solo: split it",
        )
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise SourceError("the file is in UTF-16", "save it as UTF-8")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8").removeprefix("\ufeff")
        source = SourceText(path, _unified(before + "\N{REPLACEMENT CHARACTER}"))
        raise SourceError(
            f"byte {data[error.start]:#04x} is not UTF-8 text",
            "save the file as UTF-8",
            source,
            len(source.text.rstrip("\n")) - 1,
        ) from None
    return from_text(text, path)


def from_text(text: str, path: str = "<text>") -> SourceText:
    """Text as a `SourceText`: byte-order mark dropped, CRLF read as LF. Raises `SourceError` as `decode` does."""
    had_bom = text.startswith("\ufeff")
    if had_bom:
        text = text[1:]
    had_crlf = "\r" in text
    source = SourceText(path, _unified(text), had_bom, had_crlf)
    if found := _FORBIDDEN.search(source.text):
        character = found.group()
        name = _FORBIDDEN_NAMES.get(character)
        if name is None:
            kind = "a bidirectional control" if character > "\x9f" else "a control character"
            name = f"{kind} (U+{ord(character):04X})"
        raise SourceError(f"{name} is not allowed in a solo file", "delete it", source, found.start())
    return source


def read_source(path: Path, shown_as: str | None = None) -> SourceText:
    """Read a file. Raises `SourceError` for what `decode` refuses and for files that cannot be read."""
    shown = shown_as or str(path)
    try:
        size, kind = path.stat().st_size, path.stat().st_mode
        if not stat.S_ISREG(kind):
            what = "a folder" if stat.S_ISDIR(kind) else "no file of text"
            raise SourceError(f"this is {what}", "a solo is a text file with the ending .solo")
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except FileNotFoundError:
        is_link = path.is_symlink()
        message = "the file is a link to nothing" if is_link else "the file is not there"
        raise SourceError(message, "delete the link, or put the solo there" if is_link else "check its name") from None
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise SourceError(f"the file cannot be read: {reason}", "check its permissions") from None
    if len(data) > MAX_BYTES:
        raise SourceError(
            f"the file has {max(size, len(data)):,} bytes; the most is {MAX_BYTES:,} (1 MiB)",
            "one file holds one solo: split it",
        )
    return decode(data, shown)


def _unified(text: str) -> str:
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    if text and not text.endswith("\n"):
        text += "\n"
    return text
