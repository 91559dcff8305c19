r"""White space that the canonical form does not have: tabs, blanks at line ends, foreign line ends.

It changes nothing in the music. But editors show tabs differently, and white space nobody sees makes
differences between versions that mean nothing. `tabtools format` mends all of it. Tabs within a comment or a
text are left alone.

Passes:

    bar 1  Am
    1-4  3:7

Fails (`\u0009` stands for a tab):

    bar 1  Am
    1-4\u00093:7
"""

import re
from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.problem import Severity
from tabtools.source import Span

NAME = "white-space"
SEVERITY = Severity.NOTE

_BLANK_AT_LINE_END = re.compile(r"[ \t]\n")
_COMMENT = re.compile(r"(?:^|\s)#")
_BEFORE_TEXT = re.compile(r"[ \t]*(?:[A-Za-z][\w-]*[ \t]*:[ \t]*|(?:section|passage)[ \t]+\S+[ \t]*)")
_ADVICE = "tabtools format mends it"


def check(subject: Subject) -> Iterator[Finding]:
    """One finding for each kind, at its first place."""
    source = subject.source
    if source.had_bom:
        yield Finding(Span(0, 0), "the file starts with a byte-order mark", _ADVICE)
    if source.had_crlf:
        yield Finding(Span(0, 0), "the lines do not end in a line feed alone", _ADVICE)
    if found := _BLANK_AT_LINE_END.search(source.text):
        line = source.text[: found.end()].rpartition("\n")[0].rpartition("\n")[2]
        start = found.end() - 1 - (len(line) - len(line.rstrip(" \t")))
        yield Finding(Span(start, found.end() - 1), "white space at the end of a line", _ADVICE)
    if "\t" in source.text and (tab := _first_tab(source.lines())) is not None:
        yield Finding(Span(tab, tab + 1), "a tab where spaces are written", _ADVICE)


def _first_tab(lines: list[str]) -> int | None:
    """The offset of the first tab outside comments and texts and before the end of its line."""
    offset = 0
    for line in lines:
        if "\t" in line:
            comment = _COMMENT.search(line)
            layout = line[: comment.start() + 1] if comment else line.rstrip()
            text = _BEFORE_TEXT.match(layout)
            tab = layout.find("\t", 0, text.end() if text else None)
            if tab >= 0:
                return offset + tab
        offset += len(line) + 1
    return None
