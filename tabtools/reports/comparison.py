"""What a correction changes, for a terminal, for a program, and as Markdown for a pull request."""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from tabtools.model.solo import Bar, Like, numbers_of
from tabtools.reports.change_summary import summary
from tabtools.reports.changes import ChangeTeller, ToldChange, groups_of, labels_for
from tabtools.reports.consequences import consequences_in_words, consequences_record, lint_in_short
from tabtools.reports.problems import Paint
from tabtools.review.change import Change, Comparison
from tabtools.review.consequences import Consequences
from tabtools.source import visible
from tabtools.timeline import TimedNote, Timeline
from tabtools.wording import bars_in_all

WIDTH = 80
WIDEST_PLACE = 13
NO_CONSEQUENCES = Consequences()


@dataclass(frozen=True)
class FileChange:
    """What changed in one solo and in the lesson beside it.

    `path` is its name now (or what it was, where it is gone), `old_path` its name before. `status` is `changed`,
    `new`, `gone` (then it is compared with an empty solo), `same`, or `unreadable`: then there is no comparison,
    `reason` says why, and `text` is how the texts differ. `mended` says which lines could not be read before.
    `broken` says which lines cannot be read now, whose bars are left out of the comparison; `text` has them then.
    `lesson` is how the lesson's texts differ. `is_renamed` says that its page has another address now.
    """

    path: str
    old_path: str
    status: str = "changed"
    comparison: Comparison | None = None
    consequences: Consequences = NO_CONSEQUENCES
    reason: str = ""
    mended: str = ""
    broken: str = ""
    text: tuple[str, ...] = ()
    lesson: tuple[str, ...] = ()
    is_renamed: bool = False

    @property
    def is_music(self) -> bool:
        """Whether more than layout and comments changed, as far as can be told."""
        if self.comparison is None:
            return self.status == "unreadable"
        return self.comparison.is_music or bool(self.broken)

    @property
    def is_anything(self) -> bool:
        if self.comparison is None:
            return self.is_renamed or self.status != "same"
        return bool(self.lesson or self.broken) or not self.comparison.is_empty


def as_text(files: Sequence[FileChange], style: Paint, width: int = WIDTH) -> str:
    """For a terminal: bar by bar, what was and what is, within `width` columns."""
    return "\n".join(row for file in files for row in [*_file(file, style, width), ""]).rstrip("\n")


def in_short(file: FileChange) -> str:
    """What changed in a file, in one line."""
    renamed = "another name, and on the site another address, to which the old one leads" if file.is_renamed else ""
    if file.comparison is None:
        return "; ".join(filter(None, [renamed, file.reason]))
    if file.status != "changed":
        solo = (file.comparison.before if file.status == "gone" else file.comparison.after).solo
        numbers = [number for item in solo.items if isinstance(item, Bar | Like) for number in numbers_of(item)]
        length = bars_in_all(sum(map(bool, numbers)), 0 in numbers)
        return f"{'a new solo' if file.status == 'new' else 'gone'}: {length}"
    said = summary(file.comparison.changes) if file.comparison.changes else ""
    mended = f"{file.mended}, told as added" if file.mended else ""
    return (
        "; ".join(filter(None, [renamed, file.broken, mended, said, "text of the lesson" if file.lesson else ""]))
        or "nothing changed"
    )


def _file(file: FileChange, style: Paint, width: int) -> Iterator[str]:
    renamed = f" (was {visible(file.old_path)})" if file.old_path != file.path else ""
    yield style(f"{visible(file.path)}{renamed}", "place")
    yield from _wrapped(in_short(file), "  ", width)
    if file.comparison is not None and file.status == "changed":
        for group in groups_of(file.comparison):
            yield ""
            yield from (style(row, "place") for row in _wrapped(group.title, "  ", width))
            column = min(WIDEST_PLACE, max(len(told.place) for told in group.told))
            for told in group.told:
                yield from _told(told, column, style, width)
    if file.consequences:
        yield ""
        yield from _consequences(file.consequences, style, width)
    if file.text:
        yield from ("", *_folded(file.text, "", width))
    if file.lesson:
        yield ""
        yield style("  lesson", "place")
        yield from _folded(file.lesson, "", width)


def _told(told: ToldChange, column: int, style: Paint, width: int) -> Iterator[str]:
    start = f"    {told.place:<{column}}  " if column else "    "
    margin = " " * len(start)
    kind = f"({told.what})"
    if len(start + told.text) <= width:
        said = told.text.removesuffix(kind).rstrip()
        yield f"{start}{style(said, 'note')} {style(kind, 'quiet')}" if said else f"{start}{style(kind, 'quiet')}"
    else:
        both = told.was and told.now and told.was != told.now
        rows = list(_wrapped(told.was if both else told.now or told.was, margin, width)) if told.now or told.was else []
        rows += _wrapped(f"→ {told.now}", margin, width) if both else []
        rows += _wrapped(kind, margin, width)
        rows[0] = start + rows[0].lstrip()
        yield from rows
    yield from _folded(told.block, margin, width)


def _wrapped(text: str, margin: str, width: int) -> Iterator[str]:
    yield from textwrap.wrap(
        visible(text), width, initial_indent=margin, subsequent_indent=f"{margin}  ", break_on_hyphens=False
    )


def _folded(rows: Iterable[str], margin: str, width: int) -> Iterator[str]:
    """Lines of text as they are, folded only where they are too long."""
    for row in rows:
        shown = margin + visible(row)
        indent = " " * (len(margin) + 4)
        yield from textwrap.wrap(shown, width, subsequent_indent=indent, break_on_hyphens=False) or [shown]


def _consequences(found: Consequences, style: Paint, width: int) -> Iterator[str]:
    for title, rows in consequences_in_words(found):
        yield style(f"  {title}", "place")
        for row in rows:
            yield from _wrapped(row, "    ", width)


# ---- for a pull request


def as_markdown(files: Sequence[FileChange]) -> str:
    """A summary fit for a comment. Whatever a contributor wrote stands in code or is escaped."""
    return "\n".join(row for file in files for row in [*_markdown(file), ""]).rstrip("\n")


def _markdown(file: FileChange) -> Iterator[str]:
    renamed = f" (was {code(file.old_path)})" if file.old_path != file.path else ""
    yield f"### {code(file.path)}{renamed}"
    yield ""
    yield escaped(in_short(file))
    if file.comparison is not None and file.status == "changed":
        for group in groups_of(file.comparison):
            yield from ("", f"**{escaped(group.title)}**", "")
            for told in group.told:
                yield from _markdown_told(told)
    for title, rows in consequences_in_words(file.consequences):
        yield from ("", f"**{title}**", "")
        yield from (f"- {escaped(row)}" for row in rows)
    if counts := lint_in_short(file.consequences):
        yield from ("", f"lint: {counts}")
    for title, lines in (("", file.text), ("lesson", file.lesson)):
        if lines:
            yield from ("", *([f"**{title}**", ""] if title else []), *_fenced(lines, "diff"))


def _markdown_told(told: ToldChange) -> Iterator[str]:
    place = f"{escaped(told.place)} " if told.place else ""
    if told.was and told.now and told.was != told.now:
        said = f"{code(told.was)} → {code(told.now)} "
    else:
        said = f"{code(told.now or told.was)} " if told.now or told.was else ""
    yield f"- {place}{said}({escaped(told.what)})"
    if told.block:
        yield from ("", *(f"  {row}" for row in _fenced(told.block, "diff")), "")


def code(text: str) -> str:
    """A code span that nothing in the text can leave."""
    text = visible(text)
    longest = max((len(run) for run in _BACKTICKS.findall(text)), default=0)
    fence = "`" * (longest + 1)
    room = " " if longest else ""
    return f"{fence}{room}{text}{room}{fence}"


def escaped(text: str) -> str:
    """Text that Markdown shows as it is: no link, no image, no HTML, no mention, no picture named between colons.

    Colons of `place decided: F#4 at 2:7` and sharps behind the letter of a note stand as they are.
    """
    return _SIGNS.sub(lambda found: f"&#{ord(found.group())};", visible(text))


_BACKTICKS = re.compile(r"`+")
_SIGNS = re.compile(
    r"[\\`*_{}\[\]<>&@!|~$]"
    r"|(?<![A-G])#|(?<=[\w/.-][A-G])#|#(?=[0-9]{2})"
    r"|(?<![0-9]):(?!\s|$)|:(?![\s0-9]|$)|:(?=[\w+-]*:)"
)
"""What means something in Markdown, or to those who host it: `#12`, `:name:`, the colon of a link."""


def _fenced(rows: Iterable[str], language: str) -> Iterator[str]:
    rows = [visible(row) for row in rows]
    longest = max((len(run) for row in rows for run in _BACKTICKS.findall(row)), default=0)
    fence = "`" * max(3, longest + 1)
    yield from (f"{fence}{language}", *rows, fence)


# ---- for a program


def as_json(files: Sequence[FileChange]) -> str:
    """A list with one object a file; addresses and musical time as text, as in the other reports."""
    return json.dumps([_record(file) for file in files], ensure_ascii=False, allow_nan=False, indent=2)


def _record(file: FileChange) -> dict[str, object]:
    comparison = file.comparison
    return {
        "path": file.path,
        "old_path": file.old_path,
        "status": file.status,
        "music": file.is_music,
        "summary": in_short(file),
        "reason": file.reason,
        "changes": _changes(comparison) if comparison else [],
        "consequences": consequences_record(file.consequences),
        "text": list(file.text),
        "lesson": list(file.lesson),
    }


def _changes(comparison: Comparison) -> list[dict[str, object]]:
    teller = ChangeTeller(comparison)
    return [_change(change, comparison, teller.what(change)) for change in comparison.changes]


def _change(change: Change, comparison: Comparison, what: str) -> dict[str, object]:
    return {
        "kinds": [str(kind) for kind in change.kinds],
        "what": what,
        "part": str(change.part),
        "name": change.name,
        "old": str(change.old) if change.old else None,
        "new": str(change.new) if change.new else None,
        "was": change.was,
        "now": change.now,
        "sounded": [_note(note, comparison.before.timeline) for note in change.sounded],
        "sounds": [_note(note, comparison.after.timeline) for note in change.sounds],
        "alike": list(change.alike),
        "follows": change.follows,
    }


def _note(note: TimedNote, timeline: Timeline) -> dict[str, object]:
    labels = labels_for(note, timeline)
    return {
        "address": str(note.address),
        "part": note.part,
        "placed": note.is_placed,
        "string": note.string or None,
        "midi": note.midi,
        "pitch": labels.pitch,
        "chord": note.chord,
        "degree": labels.degree,
        "key_degree": labels.key_degree,
    }
