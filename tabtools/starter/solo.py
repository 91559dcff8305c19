"""A new solo: its header from a few answers, and bars to fill, in which nothing is made out yet."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping

from tabtools.notation.build import read_solo
from tabtools.notation.header import FieldValueError, read_meter
from tabtools.notation.write import FormatError, formatted
from tabtools.source import SourceError, from_text

FIELDS = ("title", "player", "recording", "rights", "tuning", "key", "meter", "tempo")
DEFAULTS = {"meter": "4/4"}


class StartError(Exception):
    """An answer that cannot go into a solo; the text says which and why."""


def slug(title: str) -> str:
    """The file name a title gives: `Low Tide` → `low-tide`. Raises `StartError` where nothing is left."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode()
    name = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")
    if not name:
        raise StartError("a solo needs a title with letters or figures: --title")
    return name[:80]


def start_solo(answers: Mapping[str, str | None], bars: int) -> str:
    """The canonical text of a new solo with so many bars that are not heard yet. Raises `StartError`."""
    fields = {name: answers.get(name) or DEFAULTS.get(name, "") for name in FIELDS}
    if not fields["rights"]:
        raise StartError(
            "a solo needs its rights: --rights with a licence, “public domain” or whose permission you have"
        )
    for name, value in fields.items():
        if re.search(r"[\r\n]|(^|\s)#", value):
            raise StartError(f"{name}: a line break, or a # after a space (it starts a comment), cannot stand here")
    try:
        meter = read_meter(fields["meter"])
    except FieldValueError as fault:
        raise StartError(f"meter: {fault.message}; {fault.advice}") from None
    counts = f"1-{meter.counts}" if meter.counts > 1 else "1"
    head = "".join(f"{name}: {value}\n" for name, value in fields.items() if value)
    body = "".join(f"\nbar {number}\n{counts} ??\n" for number in range(1, bars + 1))
    try:
        reading = read_solo(from_text(head + body))
    except SourceError as error:
        raise StartError(f"{error.message}; {error.advice}") from None
    if reading.problems:
        problem = reading.problems[0]
        raise StartError(f"{problem.message}; {problem.advice}")
    try:
        return formatted(reading.source)
    except FormatError as refusal:
        raise StartError(f"{refusal.message}; {refusal.advice}") from None
