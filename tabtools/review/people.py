"""People as the repository's `.mailmap` calls them: gitmailmap(5)."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from tabtools.review.git import output
from tabtools.source import visible

_CONTACT = re.compile(r"[^<>]*<[^<>]+>\Z")


def people_of(contacts: Iterable[str], folder: Path) -> dict[str, str]:
    """The names of people by how a commit names them: `Nell Quayle <nell@quay.example>`, or a name alone.

    Empty where there is none. Raises `GitError`.
    """
    given = list(dict.fromkeys(contacts))
    plain = {one: " ".join(one.split()) for one in given}
    known = [one for one in given if _CONTACT.match(plain[one])]
    if known:
        asked = "".join(f"{plain[one]}\n" for one in known).encode("utf-8", "surrogateescape")
        answered = output(["check-mailmap", "--stdin"], folder, asked).removesuffix("\n")
        plain.update(zip(known, answered.split("\n"), strict=True))
    return {one: name_of(contact) for one, contact in plain.items()}


def name_of(contact: str) -> str:
    """The name in a contact, without controls."""
    return readable(contact.partition("<")[0]).strip()


def readable(text: str) -> str:
    """What git printed, with signs for controls and for bytes that are no text."""
    return visible(text.encode("utf-8", "surrogateescape").decode("utf-8", "replace"))
