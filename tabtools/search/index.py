"""Strokes kept from one search to the next, so that only solos that changed are read again.

One line a solo: the digest of its text, the digest of the rest of the line, and a JSON list of strings, numbers and
lists. The first line names the maker: the version of tabtools and the digest of the modules that an entry depends on.
An index of another maker is as good as none, and so is a line that is damaged or has the wrong shape. Nothing in an
index can do more than give wrong answers to a search.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import astuple, fields
from hashlib import blake2b
from typing import Any

from tabtools.cache.maker import made_by
from tabtools.search.columns import is_showable
from tabtools.search.strokes import CHORD_PARTS, Strokes
from tabtools.source import SourceText

MAKERS = ("source.py", "model", "notation", "timeline", "harmony", "checks", "study", "search")
"""The parts of tabtools that decide what an entry holds."""

_TIMES = ("beats", "lengths", "proportions", "closings")
_COLUMNS = ("steps", "pitches", "degrees", "starts", "chords", "plays", *_TIMES, "phrases")
_SHOWN = ("title", "player", "addresses", "texts")
_TABLES = ("chord_table", "play_table", "time_table")
_FIELDS = tuple(field.name for field in fields(Strokes))
_DIGEST_BYTES = 16


class Index:
    """Strokes by the text of their solos. `build` makes those that are not there yet."""

    def __init__(self, data: bytes, build: Callable[[SourceText], Strokes]):
        """`data` is the content of an index, possibly old, foreign, damaged or empty."""
        self._build = build
        self._lines = _lines(data)
        self._used: dict[bytes, bytes] = {}
        self._has_news = False

    def strokes(self, source: SourceText) -> Strokes:
        """The strokes of a solo, made where the index does not have it."""
        key = digest(source.text.encode())
        line = self._lines.get(key, b"")
        strokes = _read(line)
        if strokes is None:
            self._has_news = True
            strokes = self._build(source)
            line = self._lines[key] = _written(strokes)
        self._used[key] = line
        return strokes

    def is_outdated(self, is_complete: bool) -> bool:
        """Whether `content` would differ from what was loaded."""
        return self._has_news or (is_complete and len(self._used) < len(self._lines))

    def content(self, is_complete: bool) -> bytes:
        """The index to keep. `is_complete` says that all solos were asked for: what was not is forgotten."""
        lines = self._used if is_complete else self._lines
        return b"\n".join([made_by(*MAKERS).encode(), *(key + b" " + line for key, line in lines.items()), b""])


def _lines(data: bytes) -> dict[bytes, bytes]:
    """The lines of an index by the digests of the solos; none of one made by another tabtools."""
    head, *lines = data.split(b"\n")
    if head != made_by(*MAKERS).encode():
        return {}
    return {key: line for key, gap, line in (line.partition(b" ") for line in lines) if gap}


def _written(strokes: Strokes) -> bytes:
    record = json.dumps(astuple(strokes), ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()
    return digest(record) + b" " + record


def _read(line: bytes) -> Strokes | None:
    """The strokes a line holds, None where it holds no such thing."""
    own_digest, _, record = line.partition(b" ")
    if not record or own_digest != digest(record):
        return None
    try:
        values = json.loads(record)
    except (ValueError, RecursionError):
        return None
    if not isinstance(values, list) or len(values) != len(_FIELDS):
        return None
    known = dict(zip(_FIELDS, values, strict=True))
    if not _is_sound(known):
        return None
    for name in (*_TABLES, "unreadable_lines"):
        known[name] = tuple(known[name])
    return Strokes(**known)


def _is_sound(known: dict[str, Any]) -> bool:
    """Whether the values have the shape of `Strokes`, so that nothing that is done with one can fail."""
    columns, shown = [known[name] for name in _COLUMNS], [known[name] for name in _SHOWN]
    tables = {name: known[name] for name in _TABLES}
    if not all(type(value) is str for value in (*columns, *shown, known["devices"])):
        return False
    if not all(type(table) is list and all(type(entry) is str for entry in table) for table in tables.values()):
        return False
    count = len(known["steps"])
    return (
        type(known["unreadable_lines"]) is list
        and all(type(number) is int for number in known["unreadable_lines"])
        and all(len(column) == count for column in columns)
        and is_showable("".join((*shown, *tables["chord_table"])))
        and known["addresses"].count(" ") == known["texts"].count(" ") == max(0, count - 1)
        and all(entry.count(" ") == CHORD_PARTS - 1 for entry in tables["chord_table"])
    )


def digest(data: bytes) -> bytes:
    """What tells one text, or one entry, from another."""
    return blake2b(data, digest_size=_DIGEST_BYTES).hexdigest().encode()
