"""Claims: found in the Markdown of a lesson, read by claim.lark."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from typing import Any

from tabtools.model.claims import Claim, Statement
from tabtools.model.solo import NOWHERE, AddressRange, Passage
from tabtools.notation.claim_callbacks import ClaimCallbacks, PassageName
from tabtools.notation.lesson_text import text_lines
from tabtools.notation.read import Grammar, MisreadError, RefusedError
from tabtools.source import SourceText, Span
from tabtools.wording import several

CODE = re.compile(r"(?<!`)(`+)(?!`)(.*?[^`])\1(?!`)")
_MOST_NAMED = 6


class ClaimError(Exception):
    """A claim that cannot be read: `offset` within its text, what is wrong, what to write."""

    def __init__(self, offset: int, message: str, advice: str):
        super().__init__(message)
        self.offset = offset
        self.message = message
        self.advice = advice


def read_claim(text: str, span: Span = NOWHERE, passages: Sequence[Passage] = ()) -> Claim:
    """The text of a code span that begins with `@` as a claim that may name `passages`. Raises `ClaimError`."""
    try:
        place, statements = _grammar().read(text, "claim")
    except RefusedError as refused:
        raise ClaimError(refused.offset, refused.message, refused.advice) from None
    except MisreadError as misread:
        raise _explained(text, misread) from None
    name = place.text if isinstance(place, PassageName) else ""
    found = tuple(_with_places(statement, passages) for statement in statements)
    return Claim(_found(place, passages), found, text, span, name)


def spans_of_claims(lesson: SourceText) -> Iterator[tuple[str, Span]]:
    """(text, span) of every inline code span of a lesson that begins with `@`, fenced code left out."""
    for line in text_lines(lesson):
        for match in CODE.finditer(line.text):
            text = match[2].strip()
            if text.startswith("@"):
                start = line.start + match.start(2) + match[2].index("@")
                yield text, Span(start, start + len(text))


# ---- passages by their names


def _found(place: AddressRange | PassageName, passages: Sequence[Passage]) -> AddressRange:
    """The stretch that is meant. Raises `ClaimError` for a name that no passage has, or several have."""
    if isinstance(place, AddressRange):
        return place
    wanted = _loosely(place.text)
    found = [passage for passage in passages if _loosely(passage.name) == wanted]
    if len(found) == 1:
        return found[0].range
    if found:
        ranges = ", ".join(str(passage.range) for passage in found)
        message = f"{several(len(found), 'passage')} are called “{place.text}”: {ranges}"
        raise ClaimError(place.offset, message, "write the address of the one that is meant")
    named = [f"“{passage.name}”" for passage in passages if passage.name][:_MOST_NAMED]
    advice = f"the passages are {', '.join(named)}" if named else "write an address: the solo names no passages"
    raise ClaimError(place.offset, f"no passage is called “{place.text}”", advice)


def _loosely(name: str) -> str:
    return " ".join(name.casefold().split())


def _with_places(statement: Any, passages: Sequence[Passage]) -> Statement:
    """A statement in which the names of passages have become stretches."""
    changes = {
        name: _found(value, passages) for name, value in statement._asdict().items() if isinstance(value, PassageName)
    }
    changed: Statement = statement._replace(**changes) if changes else statement
    return changed


# ---- what is wrong with a claim


@lru_cache(maxsize=1)
def _grammar() -> Grammar:
    return Grammar("claim.lark", ("claim",), ClaimCallbacks())


def _explained(text: str, misread: MisreadError) -> ClaimError:
    at = min(misread.offset, len(text))
    here = text[at:].strip()
    for rule in _RULES:
        if (found := rule(text, at, here, misread.awaited)) is not None:
            return ClaimError(at, *found)
    return ClaimError(at, f"“{here[:40]}” is nothing a claim can say", EXAMPLES)


_Words = tuple[str, str]


def _no_place(text: str, at: int, here: str, awaited: frozenset[str]) -> _Words | None:
    if "ADDRESS" not in awaited:
        return None
    if here.startswith(('"', "“")):
        return "the name of a passage is not closed", 'put it in quotation marks, like @"The call"'
    if at <= 1:
        return "the claim names no place", "write @ and an address: bar, count, stroke, like @5.2.3"
    return "the claim does not say which place it means", "write an address, like 5.1-5.3, or the name of a passage"


def _breaks_off(text: str, at: int, here: str, awaited: frozenset[str]) -> _Words | None:
    return None if here else ("the claim breaks off", EXAMPLES)


def _capital(text: str, at: int, here: str, awaited: frozenset[str]) -> _Words | None:
    """Words that are written in small letters: `Sequence`, `Third of G7`."""
    word = here.split()[0]
    if "NAME" in awaited and re.fullmatch(r"[A-Z][a-z]{2,}[a-z-]*,?", word):
        return f"“{word.rstrip(',')}” is written in small letters here", f"write {word.rstrip(',').lower()}"
    return None


def _no_chord(text: str, at: int, here: str, awaited: frozenset[str]) -> _Words | None:
    if "CHORD" not in awaited:
        return None
    return f"“{here.split()[0]}” is no chord", "write the degree's chord, like 3 of G9 or 5 of the key"


def _number_alone(text: str, at: int, here: str, awaited: frozenset[str]) -> _Words | None:
    if re.match(r"(?:bb|b|#)?[0-9]", here) or "_OF" in awaited:
        return "the claim does not say of which chord", "write it like 3 of G9, or 5 of the key"
    return None


_RULES: tuple[Callable[[str, int, str, frozenset[str]], _Words | None], ...] = (
    _no_place,
    _breaks_off,
    _capital,
    _no_chord,
    _number_alone,
)

EXAMPLES = (
    "a claim says a pitch (B3), degrees (3 of G9, 1 > 2 of Dm7), F triad, D minor pentatonic, chromatic, 7 notes, "
    "position 5, as 5.1-5.3 an octave higher, on the beat, or what the annotator finds: sequence, enclosure, slide"
)
