"""What a whole range of commits changes: one line, and a summary fit for a comment on a pull request."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tabtools.problem import Severity
from tabtools.reports.comparison import FileChange, as_markdown, code, escaped, in_short
from tabtools.reports.consequences import findings, open_things
from tabtools.wording import several

LONGEST_COMMENT = 60_000
"""Characters. Common practice: hosts take about 65,000 in a comment (from memory)."""
MOST_OTHERS = 20


@dataclass(frozen=True)
class Reviewed:
    """What a review shows: what was asked for, like `main..correction`, the solos that changed, the names of other
    files."""

    revisions: str
    files: tuple[FileChange, ...]
    others: tuple[str, ...] = ()


def headline(files: Sequence[FileChange]) -> str:
    """`2 solos changed, 1 of them in its music; 1 new error; 3 new findings, 2 mended`: errors among the findings.

    What is only open is no finding: `open things: 1 new, 77 settled`.
    """
    if not files:
        return "No solo changed."
    music = sum(file.is_music for file in files)
    said = [f"{several(len(files), 'solo')} changed{_in_the_music(music, len(files))}"]
    told = [file.consequences for file in files]
    for some, what in (
        ([one.no_longer_true for one in told], "no longer true"),
        ([one.turned_out_false for one in told], "turned out not true"),
        ([one.never_true for one in told], "not true (new)"),
    ):
        if claims := sum(map(len, some)):
            said.append(f"{several(claims, 'claim')} of the lessons {what}")
    appeared = [
        problem
        for file in files
        for problem in file.consequences.appeared
        if problem not in file.consequences.false_claims
    ]
    come, mended = findings(appeared), sum(len(findings(file.consequences.settled)) for file in files)
    for severity in (Severity.ERROR, Severity.WARNING):
        if count := sum(problem.severity is severity for problem in come):
            said.append(f"{several(count, f'new {severity}')}")
    if any(problem.severity is Severity.NOTE for problem in come):
        said.append(f"{several(len(come), 'new finding')}{f', {mended} mended' if mended else ''}")
    elif mended:
        said.append(f"{several(mended, 'finding')} mended")
    opened = len(open_things(appeared))
    settled = sum(len(open_things(file.consequences.settled)) for file in files)
    if opened or settled:
        counts = [f"{count} {what}" for count, what in ((opened, "new"), (settled, "settled")) if count]
        said.append(f"open things: {', '.join(counts)}")
    if unread := sum(file.status == "unreadable" for file in files):
        said.append(f"{several(unread, 'file')} that cannot be read as music")
    return "; ".join(said)


def _in_the_music(music: int, count: int) -> str:
    its = "its" if music == 1 or count == 1 else "their"
    if music == count:
        return f" in {its} music"
    if music:
        return f", {music} of them in {its} music"
    return f", but not in {its} music"


def review_markdown(reviewed: Reviewed) -> str:
    """For a pull request. Whatever a contributor wrote stands in code or is escaped; too long, it becomes a list."""
    head = [f"## Review of {code(reviewed.revisions)}", "", escaped(headline(reviewed.files))]
    tail: list[str] = []
    if reviewed.others:
        names = ", ".join(map(code, reviewed.others[:MOST_OTHERS]))
        more = len(reviewed.others) - MOST_OTHERS
        tail += ["", f"Changed too, not looked at here: {names}{f' and {more} more' if more > 0 else ''}"]
    whole = "\n".join([*head, "", as_markdown(reviewed.files), *tail]).rstrip("\n")
    if len(whole) <= LONGEST_COMMENT:
        return whole
    rows = [f"- {code(file.path)}: {escaped(in_short(file))}" for file in reviewed.files]
    said = ["", "The whole review is too long for a comment; in short:", ""]
    return "\n".join([*head, *said, *rows, *tail])[:LONGEST_COMMENT]
