"""What a sender says in the head of a patch: who heard it, where in the recording, and why.

The page's form writes `Name: value` lines. A patch of `git format-patch` has the head of a mail instead (RFC 5322):
its author is who heard it, its subject and text are why.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from email.errors import MessageError
from email.header import decode_header, make_header
from email.utils import parseaddr

from tabtools.source import visible

LONGEST_CREDIT = 100
LONGEST_REASON = 4_000

_NAMES = {"suggested-by": "credit", "recording": "at", "reason": "reason"}
_FIELD = re.compile(r"([!-9;-~]+):[ \t]*(.*)")
_IN_BRACKETS = re.compile(r"(?:\s*\[[^\]]*\])+\s*")
_TRAILER = re.compile(r"[A-Za-z][A-Za-z-]*-by: .*")


def said_in(lines: Sequence[str]) -> dict[str, str]:
    """`credit`, `at` and `reason` of the lines before a diff, as they can be shown; what is not said is empty."""
    return _of_mail(lines) | {name: text for name, text in _of_form(lines).items() if text}


def _of_form(lines: Sequence[str]) -> dict[str, str]:
    """What stands behind our names for it. A reason goes on after empty lines if an indented one follows."""
    said: dict[str, list[str]] = {}
    current: list[str] | None = None
    empty = 0
    for line in lines:
        name, colon, rest = line.partition(":")
        if not line and current is not None and current is said.get("reason"):
            empty += 1
            continue
        passed, empty = empty, 0
        if line.startswith((" ", "\t")) and current is not None:
            current += [""] * passed + [line.strip()]
        elif colon and name.strip().lower() in _NAMES and _NAMES[name.strip().lower()] not in said:
            current = said.setdefault(_NAMES[name.strip().lower()], [])
            current.append(rest.strip())
        else:
            current = None
    shown = {name: [visible(line) for line in rows] for name, rows in said.items()}
    reason = "\n".join(shown.pop("reason", []))[:LONGEST_REASON].strip()
    return {name: " ".join(" ".join(rows).split())[:LONGEST_CREDIT] for name, rows in shown.items()} | {
        "reason": reason
    }


def _of_mail(lines: Sequence[str]) -> dict[str, str]:
    """What the head of a mail says; nothing where it is none."""
    fields, body = _mail(lines)
    if "from" not in fields or "subject" not in fields:
        return {}
    sender, body = fields["from"], body
    if body and (found := re.match(r"From:[ \t]*(.*)", body[0])):
        sender, body = found[1], body[1:]
    text = [visible(line) for line in body if not _TRAILER.fullmatch(line)]
    subject = _IN_BRACKETS.sub("", _decoded(fields["subject"]), count=1).strip()
    reason = "\n".join([subject, "", *text]).strip()
    name, address = parseaddr(_decoded(sender))
    credit = " ".join((name or address.partition("@")[0]).split())
    return {"credit": credit[:LONGEST_CREDIT], "reason": re.sub("\n{3,}", "\n\n", reason)[:LONGEST_REASON].strip()}


def _mail(lines: Sequence[str]) -> tuple[dict[str, str], list[str]]:
    """The fields of a mail by their names in small letters, the first of each, and its text up to the line `---`."""
    fields: dict[str, str] = {}
    last = ""
    at = 1 if lines and lines[0].startswith("From ") else 0
    while at < len(lines) and lines[at]:
        found = _FIELD.fullmatch(lines[at])
        if lines[at][0] in " \t" and last:
            fields[last] += " " + lines[at].strip()
        elif found:
            last = found[1].lower()
            fields.setdefault(last, found[2])
        else:
            return {}, []
        at += 1
    text = list(lines[at + 1 :])
    return fields, text[: text.index("---")] if "---" in text else text


def _decoded(text: str) -> str:
    """A field with its encoded words (RFC 2047) read, as it can be shown."""
    try:
        return visible(str(make_header(decode_header(text))))
    except (MessageError, LookupError, UnicodeError, ValueError):
        return visible(text)
