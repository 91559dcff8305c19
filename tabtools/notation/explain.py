"""Syntax errors in musicians' words.

The reader knows what it awaited and where; this module looks at the line as a person would and says what is
probably meant. Rules are tried in order; the first whose pattern fits the line wins. Each is given the line and
says nothing where it does not apply.
"""

from __future__ import annotations

import re
import unicodedata
from difflib import get_close_matches

from tabtools.notation.conflicts import ADVICE, MESSAGE, is_marker
from tabtools.notation.explain_bar import BAR_RULES, bare_keyword
from tabtools.notation.explain_beat import BEAT_RULES
from tabtools.notation.explanation import Explanation, ReadingStop, Rule, leading, quoted
from tabtools.notation.header import FIELD_NAMES
from tabtools.notation.read import MisreadError, RefusedError
from tabtools.source import has_other_figures

_DASHES = "\u2010\u2011\u2012\u2013\u2014\u2015\u2212"


def explain(line: str, misread: MisreadError) -> Explanation:
    """Explain why `line` (with its offset within the line in `misread`) could not be read."""
    if isinstance(misread, RefusedError):
        return Explanation(misread.message, misread.advice)
    at = min(misread.offset, len(line))
    stop = ReadingStop(line, line[:at], line[at:], misread.awaited)
    for rule in _RULES:
        if (explanation := rule(stop)) is not None:
            return explanation
    found = quoted(stop.here.split()[0]) if stop.here.split() else "the end of the line"
    return Explanation(f"{found} cannot stand here", _what_fits(misread.awaited))


def _conflict(stop: ReadingStop) -> Explanation | None:
    return Explanation(MESSAGE, ADVICE, 0, "conflict-marker") if is_marker(stop.line) else None


def _look_alike(stop: ReadingStop) -> Explanation | None:
    """Characters that look like those of the format, or like nothing at all."""
    sign = stop.here[:1]
    if sign.isascii():
        return None
    code = f"U+{ord(sign):04X}"
    kind = unicodedata.category(sign)
    if kind == "Zs":
        return Explanation(f"a special space ({code}) stands here", "type a plain space in its place")
    if kind in ("Cf", "Mn"):
        return Explanation(
            f"an invisible character ({code}) stands here", "delete it; such signs come along when text is pasted"
        )
    if sign in _DASHES:
        return Explanation(f"{quoted(sign)} is not the hyphen of this format", "type a plain -")
    if has_other_figures(sign):
        return Explanation(f"{quoted(sign)} is not a plain figure", "type the figures 0 to 9")
    return None


def _start_of_line(stop: ReadingStop) -> Explanation | None:
    if stop.before.strip():
        return None
    word = leading(r"[^\s:]*", stop.here)
    if re.fullmatch(r"bars?|section|passage", word.lower()):
        return bare_keyword(word)
    if match := re.match(r"(bars?|section|passage)([0-9].*)", word):
        return Explanation(f"{quoted(word)} needs a space", f"write {match[1]} {match[2]}")
    if re.search(r"\|?-{2,}[0-9hpb|/\\-]*\||^[A-Ga-g]#?b?\|", stop.here):
        advice = "write each note as string:fret on the line of its count, like 1  3:7 3:5"
        return Explanation("drawn tab cannot be read", advice)
    if re.match(r"//|;|%|!|[-=*_]{2,}|\*\s", stop.here):
        return Explanation(f"{quoted(word)} starts no line of a solo", "if this is a comment, write # in front of it")
    if re.match(r"[-.(<\[+*?=~/\\x]|[hptbrw/\\][0-9]", stop.here):
        return Explanation("a beat line starts with its count", "write the count first, like 1 or 3-4, then the slots")
    return _unknown_word(word)


def _unknown_word(word: str) -> Explanation:
    if word in ("at", "free", "like"):
        return Explanation(f"{quoted(word)} starts no line of a solo", f"it stands on a bar's line: {_ON_A_BAR[word]}")
    near = get_close_matches(word.lower(), ("bar", "bars", "section", "passage", *FIELD_NAMES), 1, 0.75)
    if near and near[0] in ("meter", "tempo"):
        advice = f"write {near[0]}: in the header, or put it on the bar's own line, like bar 5  {_ON_A_BAR[near[0]]}"
        return Explanation(f"{quoted(word)} starts no line of a solo", advice)
    if near:
        colon = ":" if near[0] in FIELD_NAMES else ""
        return Explanation(f"{quoted(word)} starts no line of a solo", f"did you mean {near[0]}{colon}?")
    if re.match(r"[A-G](#|b)?(m|maj|min|dim|sus|add|[0-9]|/|$)", word):
        return Explanation(f"the chord {quoted(word)} stands alone", f"write it on its bar's line, like bar 5  {word}")
    return Explanation(
        f"a line cannot start with {quoted(word)}",
        "a line is a header field (title: …), section, bar, bars, passage, a count with its notes, or a # comment",
    )


_ON_A_BAR = {
    "meter": "meter 7/8",
    "tempo": "tempo 96",
    "at": "bar 5  at 0:42.3",
    "free": "bar 5  free 4.5s",
    "like": "bars 9-12 like 1-4",
}


def _comment(stop: ReadingStop) -> Explanation | None:
    if stop.here.startswith("#") and stop.before[-1:].strip():
        return Explanation("a comment needs a space before its #", "put a space in front of the #")
    return None


def _section(stop: ReadingStop) -> Explanation | None:
    if re.match(r"\s*section\b", stop.line) and "LABEL" in stop.awaited:
        return bare_keyword("section")
    return None


def _passage(stop: ReadingStop) -> Explanation | None:
    if not re.match(r"\s*passage\b", stop.line):
        return None
    if not stop.here.strip() and stop.before.rstrip() == "passage":
        return bare_keyword("passage")
    return Explanation(
        "the passage's addresses are not readable",
        "write them without spaces, like passage 1.1-2.4  First phrase",
        len(leading(r"\s*passage\s*", stop.line)),
    )


_RULES: tuple[Rule, ...] = (
    _conflict,
    _look_alike,
    _comment,
    _start_of_line,
    _section,
    _passage,
    *BAR_RULES,
    *BEAT_RULES,
)

_FITS = {
    "LABEL": "the section's letter",
    "TEXT": "a text",
    "INT": "a number",
    "COMMENT": "a # comment after a space",
    "_EOL": "the end of the line",
}


def _what_fits(awaited: frozenset[str]) -> str:
    fits = [words for name, words in _FITS.items() if name in awaited]
    return f"here fits {' or '.join(fits)}" if fits else "see the format reference"
