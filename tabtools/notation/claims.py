"""Claims: found in the Markdown of a lesson, read by claim.lark."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from tabtools.model.claims import (
    ChordClaim,
    ChromaticClaim,
    Claim,
    CountClaim,
    DegreeClaim,
    PitchClaim,
    PositionClaim,
    ScaleClaim,
    Statement,
)
from tabtools.model.harmony import Degree, parse_degree
from tabtools.model.pitch import parse_pitch, parse_tone
from tabtools.model.solo import NOWHERE, Address, AddressRange
from tabtools.notation.lesson_text import text_lines
from tabtools.notation.read import Children, Grammar, MisreadError, Token
from tabtools.source import SourceText, Span

_CODE = re.compile(r"(?<!`)(`+)(?!`)(.*?[^`])\1(?!`)")
_DEGREES = frozenset(range(1, 14))


class ClaimError(Exception):
    """A claim that cannot be read: `offset` within its text, what is wrong, what to write."""

    def __init__(self, offset: int, message: str, advice: str):
        super().__init__(message)
        self.offset = offset
        self.message = message
        self.advice = advice


def read_claim(text: str, span: Span = NOWHERE) -> Claim:
    """The text of a code span that begins with `@` as a claim. Raises `ClaimError`."""
    try:
        addresses, statements = _grammar().read(text, "claim")
    except MisreadError as misread:
        raise _explained(text, misread) from None
    for statement in statements:
        if isinstance(statement, DegreeClaim) and any(degree.number not in _DEGREES for degree in statement.degrees):
            raise ClaimError(
                0, f"“{statement.text}” names a degree there is none of", "degrees are 1 to 13, like b3 or #11"
            )
    return Claim(addresses, statements, text, span)


def spans_of_claims(lesson: SourceText) -> Iterator[tuple[str, Span]]:
    """(text, span) of every inline code span of a lesson that begins with `@`, fenced code left out."""
    for line in text_lines(lesson):
        for match in _CODE.finditer(line.text):
            text = match[2].strip()
            if text.startswith("@"):
                start = line.start + match.start(2) + match[2].index("@")
                yield text, Span(start, start + len(text))


class _ClaimCallbacks:
    """One method a rule of claim.lark."""

    def claim(self, children: Children) -> tuple[AddressRange, tuple[Statement, ...]]:
        return children[1], tuple(children[2:])

    def range(self, children: list[Token]) -> AddressRange:
        addresses = [Address(*map(int, token.split("."))) for token in children]
        return AddressRange(addresses[0], addresses[-1])

    def statement(self, children: list[Statement]) -> Statement:
        return children[0]

    def pitch(self, children: list[Token]) -> PitchClaim:
        return PitchClaim(parse_pitch(children[0]), str(children[0]))

    def degrees(self, children: list[Token]) -> DegreeClaim:
        *steps, over = children
        chord = None if over.type == "KEY" else str(over)
        text = f"{' > '.join(steps)} of {over}"
        return DegreeClaim(tuple(_degree(step) for step in steps), chord, text)

    def triad(self, children: list[Token]) -> ChordClaim:
        return ChordClaim(str(children[0]), f"{children[0]} triad")

    def arpeggio(self, children: list[Token]) -> ChordClaim:
        return ChordClaim(str(children[0]), f"{children[0]} arpeggio")

    def scale(self, children: list[Token]) -> ScaleClaim:
        name = " ".join(children[1].split())
        return ScaleClaim(parse_tone(children[0]), name, f"{children[0]} {name}")

    def chromatic(self, children: list[Token]) -> ChromaticClaim:
        return ChromaticClaim()

    def notes(self, children: list[Token]) -> CountClaim:
        return CountClaim(int(children[0]), f"{children[0]} {children[1]}")

    def position(self, children: list[Token]) -> PositionClaim:
        return PositionClaim(int(children[1]), f"position {children[1]}")


def _degree(text: str) -> Degree:
    try:
        return parse_degree(text)
    except ValueError:
        return parse_degree("1")._replace(number=0)


@lru_cache(maxsize=1)
def _grammar() -> Grammar:
    return Grammar("claim.lark", ("claim",), _ClaimCallbacks())


def _explained(text: str, misread: MisreadError) -> ClaimError:
    at = min(misread.offset, len(text))
    here = text[at:].strip()
    if "ADDRESS" in misread.awaited:
        return ClaimError(at, "the claim names no place", "write @ and an address: bar, count, stroke, like @5.2.3")
    if not here:
        return ClaimError(at, "the claim breaks off", _EXAMPLES)
    if "CHORD" in misread.awaited:
        return ClaimError(
            at, f"“{here.split()[0]}” is no chord", "write the degree's chord, like 3 of G9 or 5 of the key"
        )
    if re.match(r"(?:bb|b|#)?[0-9]", text[at:]) or "_OF" in misread.awaited:
        return ClaimError(at, "the claim does not say of which chord", "write it like 3 of G9, or 5 of the key")
    return ClaimError(at, f"“{here[:40]}” is nothing a claim can say", _EXAMPLES)


_EXAMPLES = (
    "a claim says a pitch (B3), degrees (3 of G9, 1 > 2 of Dm7), F triad, Dm7 arpeggio, D minor pentatonic, "
    "chromatic, 7 notes or position 5"
)
