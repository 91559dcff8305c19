"""Syntax errors in musicians' words.

The reader knows what it awaited and where; this module looks at the line as a person would and says what is
probably meant. Rules are tried in order; the first whose pattern fits the line wins.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from difflib import get_close_matches
from typing import NamedTuple

from tabtools.notation.header import FIELD_NAMES
from tabtools.notation.read import Misread


class Explanation(NamedTuple):
    """What is wrong and what to write; `offset` is the place on the line, where the reader stopped too late."""

    message: str
    advice: str
    offset: int | None = None
    check: str = "syntax"


_CONFLICT = re.compile(r"(<{7}|={7}|>{7}|\|{7})(\s|$)")


def explain(line: str, misread: Misread) -> Explanation:
    """Explain why `line` (with its offset within the line in `misread`) could not be read."""
    at = min(misread.offset, len(line))
    here = line[at:]
    before = line[:at]
    for rule in _RULES:
        if (explanation := rule(line, before, here, misread.awaited)) is not None:
            return explanation
    found = f"“{here.split()[0]}”" if here.split() else "the end of the line"
    return Explanation(f"{found} cannot stand here", _what_fits(misread.awaited))


def _conflict(line: str, *_: object) -> Explanation | None:
    if _CONFLICT.match(line):
        return Explanation(
            "a conflict marker left by a merge",
            "decide between the two sides, then delete the markers",
            0,
            "conflict-marker",
        )
    return None


def _start_of_line(line: str, before: str, here: str, awaited: frozenset[str]) -> Explanation | None:
    if before.strip():
        return None
    word = re.match(r"[^\s:]*", here).group()
    if re.match(r"(bar|bars|section|passage)$", word.lower()):
        return _bare_keyword(word)
    if re.match(r"bar\d", word):
        return Explanation(f"“{word}” needs a space", f"write bar {word[3:]}")
    if re.match(r"[-.(<\[]|[hptbrwx/\\]\d|\d+:", here):
        return Explanation("a beat line starts with its count", "write the count first, like 1 or 3-4, then the slots")
    near = get_close_matches(word.lower(), ("bar", "bars", "section", "passage", *FIELD_NAMES), 1, 0.75)
    if near:
        colon = ":" if near[0] in FIELD_NAMES else ""
        return Explanation(f"“{word}” starts no line of a solo", f"did you mean {near[0]}{colon}?")
    return Explanation(
        f"a line cannot start with “{word[:40]}”",
        "a line is a header field (title: …), section, bar, bars, passage, a count with its notes, or a # comment",
    )


def _bare_keyword(word: str) -> Explanation:
    examples = {
        "bar": "bar 5  Dm7",
        "bars": "bars 9-12 like 1-4",
        "section": "section A  Verse",
        "passage": "passage 1.1-2.4  First phrase",
    }
    plain = word.lower()
    if word != plain:
        return Explanation(f"“{word}” is written in small letters here", f"write it like {examples[plain]}")
    missing = {"bar": "the bar's number", "bars": "the numbers of the bars"}
    missing |= {"section": "the section's letter", "passage": "the addresses of the passage"}
    return Explanation(f"{missing[plain]} is missing after {plain}", f"write it like {examples[plain]}")


def _count(line: str, before: str, here: str, awaited: frozenset[str]) -> Explanation | None:
    if not re.fullmatch(r"\s*\d+", before) or "_GAP" not in awaited:
        return None
    if here.startswith(":"):
        return Explanation(
            "a beat line starts with its count",
            f"write the count, a space, then the notes, like 1 {line.strip()[:20]}",
            len(before) - len(before.lstrip()),
        )
    if not here.strip():
        return Explanation(
            "the count has no notes behind it", "write what is played, - for a held note or . for a rest"
        )
    return Explanation(f"“{before.strip()}{here.split()[0]}” is no count", "a count is a number or two, like 2 or 3-4")


def _bar_line(line: str, before: str, here: str, awaited: frozenset[str]) -> Explanation | None:
    words = line.split()
    if not words or words[0] not in ("bar", "bars"):
        return None
    if "INT" in awaited and re.fullmatch(r"\s*bars?\s*", before):
        return _bare_keyword(words[0])
    if words[0] == "bars" and "like" not in words:
        return Explanation("bars repeats music already written", "write it like bars 9-12 like 1-4")
    if "CLOCK" in awaited:
        return Explanation("the place in the recording is not readable", "write minutes and seconds, like at 0:42.3")
    if "SIGNATURE" in awaited:
        return Explanation("the meter is not readable", "write it like meter 7/8")
    if "NUMBER" in awaited:
        return Explanation("the tempo is not readable", "write beats a minute, like tempo 96")
    if "SECONDS" in awaited:
        return Explanation("the length of the free bar is not readable", "write seconds with an s, like free 4.5s")
    if "@" in here[:1]:
        return Explanation(f"“{here.split()[0]}” is no count", "write the count a chord holds from, like A7@3 or A7@4&")
    if "CHORD" in awaited and here.strip():
        word = here.split()[0]
        hint = f"write {word[0].upper()}{word[1:]}" if re.match(r"[a-g]", word) else "write it like bar 5  Dm7@1 G7@3"
        return Explanation(
            f"“{word}” is neither a chord nor at, meter, tempo or free",
            f"{hint}; the notes stand on the lines below",
        )
    return None


def _note(line: str, before: str, here: str, awaited: frozenset[str]) -> Explanation | None:
    if not re.match(r"\s*\d", line):
        return None
    slot_expected = "HOLD" in awaited or "STRING" in awaited
    if slot_expected and (bare := re.match(r"x(?![\w:])|\d+(?:\.\d+)?(?=[\s)(~*?=[+hptbrw/\\]|$)", here)):
        fret = bare.group()
        return Explanation(f"“{fret}” names no string", f"write string and fret, like 3:{fret}")
    if here.startswith("(") and "OPEN" not in awaited and slot_expected:
        return Explanation(
            "groups nest more than three deep", "divide the time on fewer levels; weights (3:5*2) may help"
        )
    if here.startswith(("(",)) and not slot_expected:
        return Explanation("a group is a slot of its own", "put a space before the (")
    if "FRET" in awaited and re.search(r"(pb|[hptbrw])$", before):
        return Explanation(f"the move “{before[-1]}” does not say to which fret", f"write it like {before[-1]}7")
    if "FRET" in awaited and re.search(r"\d:$", before):
        return Explanation(
            f"“{here[:1]}” is no fret" if here.strip() else "the fret is missing after the string",
            "write a number, x for a dead note or <12> for a harmonic, like 3:7",
        )
    if re.match(r"-?\d*:", here) and re.search(r"\d$", before):
        return Explanation("two notes run together", "a space makes them follow each other, a + sound together")
    for rule in _NOTE_RULES:
        if re.match(rule[0], here):
            return Explanation(rule[1], rule[2])
    if before.count("[") > before.count("]"):
        return Explanation("the marks are not closed", "write them like [pm] or [accent, down]", before.rindex("["))
    if line.count("(") > line.count(")") and not here.strip():
        return Explanation("a group is not closed", "write the missing )", line.rindex("("))
    if not here.strip() and slot_expected:
        return Explanation("the line breaks off", "write what is played, - for a held note or . for a rest")
    if slot_expected and (word := here.split()):
        return Explanation(
            f"“{word[0][:30]}” is no note, hold or rest",
            "a slot is string:fret (3:7), a move on the same string (h9), - for a hold, . for a rest, or a ( group )",
        )
    return None


_NOTE_RULES = (
    (r"\)", "there is a ) without its (", "open the group with ( or delete the )"),
    (r"=", "what was heard is not readable", "write a pitch with its octave, last in the note, like 3:7=D4"),
    (r"\?", "the other reading is not readable", "write ? alone, or ? with another place, like 3:9?4:14"),
    (r"[hptbrw/\\]|pb", "moves come before =, ? and marks", "write moves first, like 3:7b9=E4[accent]"),
    (r"\*\s|\*$|\*\D", "the weight is not readable", "write how many shares the slot takes, like 3:9*3"),
    (r"\+", "the + joins nothing", "write the notes that sound together without spaces, like 3:7+2:8"),
    (r"\d", "a fret has at most two figures and a decimal", "write it like 3:12 or b9.5"),
    (r"\[", "marks cannot stand here", "write them behind the note, like 3:7[pm], or last on the line"),
)


def _passage(line: str, before: str, here: str, awaited: frozenset[str]) -> Explanation | None:
    if line.split()[:1] == ["passage"] or "ADDRESS" in awaited:
        return Explanation("the passage's addresses are not readable", "write them like passage 1.1-2.4  First phrase")
    return None


_RULES: tuple[Callable[..., Explanation | None], ...] = (_conflict, _start_of_line, _count, _bar_line, _note, _passage)

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
