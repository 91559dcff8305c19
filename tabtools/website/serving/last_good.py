"""What is drawn of a solo while some of its lines cannot be read: there, the bars as they were when they last could.

Somebody who is typing has an unfinished line most of the time, and the rest of what is typed is to be seen.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from typing import NamedTuple

from tabtools.checks.subject import subject_of
from tabtools.hand import DEFAULT_PROFILE, HandProfile
from tabtools.notation.build import read_solo
from tabtools.source import SourceText

_BAR = re.compile(r"^bars?[ \t]+([0-9]+)", re.MULTILINE)
_HEAD = "head"


class WithKept(NamedTuple):
    """The text that is drawn, and the numbers of its bars that are from an earlier one."""

    source: SourceText
    kept: tuple[str, ...] = ()


def drawn(source: SourceText, good: SourceText | None, profile: HandProfile = DEFAULT_PROFILE) -> WithKept:
    """A solo with the bars of an earlier, `good` text where its own lines cannot be read; as it is where that has
    none. Of a file that is empty, all of the earlier text: it is being saved."""
    if good is not None and not source.text.strip():
        return WithKept(good)
    unreadable = subject_of(source, profile).reading.unreadable
    if not unreadable or good is None:
        return WithKept(source)
    new, old = _blocks(source.text), _blocks(good.text)
    names, starts = list(new), [block.start for block in new.values()]
    wrong = {names[bisect_right(starts, span.start) - 1] for span in unreadable}
    kept: list[str] = []
    text = []
    for name, block in new.items():
        if name in wrong and name in old:
            lost = _with_lost(name, old, new)
            kept += [one for one in lost if one != _HEAD]
            text.append("".join(old[one].text for one in lost))
        else:
            text.append(block.text)
    mended = SourceText(source.path, "".join(text))
    is_better = len(read_solo(mended).unreadable) < len(unreadable)
    return WithKept(mended, tuple(kept)) if is_better else WithKept(source)


def bar_at(text: str, offset: int) -> str:
    """The number of the bar that a place in a text belongs to; empty before the first."""
    return max(((one.start(), one[1]) for one in _BAR.finditer(text) if one.start() <= offset), default=(0, ""))[1]


class _Block(NamedTuple):
    start: int
    text: str


def _blocks(text: str) -> dict[str, _Block]:
    """The head and the bars by number, with all that follows each; a number that comes again belongs to the first."""
    marks = [(_HEAD, 0)]
    for found in _BAR.finditer(text):
        if found[1] not in dict(marks):
            marks.append((found[1], found.start()))
    ends = [*(start for _, start in marks[1:]), len(text)]
    return {name: _Block(start, text[start:end]) for (name, start), end in zip(marks, ends, strict=True)}


def _with_lost(name: str, old: dict[str, _Block], new: dict[str, _Block]) -> list[str]:
    """A bar, and those behind it whose own bar lines are among what cannot be read."""
    names = list(old)
    at = names.index(name)
    behind = names[at + 1 :]
    return [name, *behind[: next((place for place, one in enumerate(behind) if one in new), len(behind))]]
