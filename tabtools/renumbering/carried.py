"""What lessons and comments say of bars by their numbers, carried along to the new ones."""

from __future__ import annotations

import re
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import NamedTuple

from tabtools.model.solo import Address, AddressRange, Bar, Solo
from tabtools.notation.claim_addresses import ClaimAddresses
from tabtools.notation.claims import CODE, spans_of_claims
from tabtools.notation.lesson_text import text_lines
from tabtools.renumbering.plan import Plan
from tabtools.source import SourceText, Span

Edit = tuple[Span, str]
"""A stretch of a text, and what stands there afterwards."""
_WORDS = re.compile(
    r"(?<![\w#])[Bb]ars?\s+[0-9]{1,6}(?:\s*(?:-|–|,|&|\bto\b|\band\b|\bor\b)\s*[0-9]{1,6})*(?![\w.]*[0-9])"
)
"""Bars named in plain words: `bar 16`, `bars 9 and 10`, `Bars 9–12`."""
_LINK = r"(?:(?<![\w-]){slug}\.(?:md|solo){own})#b(?P<address>[0-9]{{1,6}}(?:\.[0-9]{{1,6}}){{0,2}})(?!\w)"


class Left(NamedTuple):
    """What could not be carried along: the line it stands on, its text, and why."""

    line: int
    text: str
    why: str
    is_words: bool = False


class NamedBars(NamedTuple):
    """Bars that a text names in plain words and that have others now; `now` is None where one of them is gone."""

    line: int
    span: Span
    words: str
    now: str | None
    why: str


@dataclass(frozen=True, slots=True)
class Carried:
    """A lesson with its bars under their new numbers; how many claims, links and words that were, and what was left."""

    text: str
    claims: int
    links: int
    words: int
    left: tuple[Left, ...]


def carried_lesson(
    lesson: SourceText,
    slug: str,
    is_own: bool,
    plan: Plan,
    lines: Container[int] | None = None,
    with_words: bool = False,
) -> Carried:
    """A lesson that speaks of bars of the solo `slug`: its own one, whose claims are of that solo, or another.

    `lines` are the numbers of the lines that still speak of the old bars; None is all of them. `with_words` has bars
    that are named in plain words go along too.
    """
    prose = _prose(lesson, lines)
    claims: list[list[Edit]] = []
    links: list[Edit] = []
    left: list[Left] = []
    for line, said, start, found in _claims(lesson, plan, lines) if is_own else ():
        left += [Left(line, said, why) for why in found.left]
        if found.edits:
            claims.append([(Span(start + span.start, start + span.end), new) for span, new in found.edits])
    own = r"|(?<![\w./-])(?=#b)" if is_own else ""
    for match in re.finditer(_LINK.format(slug=re.escape(slug), own=own), prose):
        old = Address(*map(int, match["address"].split(".")))
        now = plan.address(old)
        if not plan.changes(old.bar):
            continue
        if now is None:
            left.append(Left(lesson.locate(match.start())[0], match[0], f"bar {old.bar} is gone"))
        else:
            links.append((Span(*match.span("address")), str(now)))
    named = tuple(_in_words(lesson, prose, 0, plan)) if is_own else ()
    renamed = [(one.span, one.now) for one in named if with_words and one.now is not None]
    left += left_of(named, with_words)
    text = _edited(lesson.text, [*chain.from_iterable(claims), *links, *renamed])
    return Carried(text, len(claims), len(links), len(renamed), tuple(sorted(left)))


def _prose(lesson: SourceText, lines: Container[int] | None) -> str:
    """A lesson with blanks in place of all its code, and of the lines that are not among these."""
    prose = [" " * len(line) for line in lesson.lines()]
    for line in text_lines(lesson):
        if lines is None or line.number in lines:
            prose[line.number - 1] = CODE.sub(lambda code: " " * len(code[0]), line.text)
    return "\n".join(prose)


def _claims(
    lesson: SourceText, plan: Plan, lines: Container[int] | None
) -> Iterator[tuple[int, str, int, _CarriedClaim]]:
    """(line, text, where it begins, what becomes of it) of the claims on these lines."""
    reader = ClaimAddresses()
    for said, span in spans_of_claims(lesson):
        line, _ = lesson.locate(span.start)
        if lines is None or line in lines:
            yield line, said, span.start, _claim(said, reader, plan)


def left_of(named: Sequence[NamedBars], with_words: bool) -> list[Left]:
    """The bars named in words that are left as they are: all of them, or those that are gone."""
    return [Left(one.line, one.words, one.why, True) for one in named if one.now is None or not with_words]


def words_of_solo(
    solo: Solo, source: SourceText, plan: Plan, lines: Container[int] | None = None
) -> tuple[NamedBars, ...]:
    """Bars that the comments of a solo and its summary name in words; `lines` as in `carried_lesson`."""
    spans = [comment.span for comment in solo.remarks]
    for field in solo.fields:
        spans += [comment.span for comment in field.comments.all()]
        if field.name == "summary":
            spans.append(field.value_span)
    for item in solo.items:
        spans += [comment.span for comment in item.comments.all()]
        if isinstance(item, Bar):
            spans += [comment.span for line in item.lines for comment in line.comments.all()]
    found: list[NamedBars] = []
    for start, end in sorted(spans):
        if lines is None or source.locate(start)[0] in lines:
            found += _in_words(source, source.text[start:end], start, plan)
    return tuple(found)


def in_words_anew(text: str, named: Sequence[NamedBars]) -> str:
    """A text with the bars that it names in words under their new numbers, as far as they are there."""
    return _edited(text, [(one.span, one.now) for one in named if one.now is not None])


def _in_words(source: SourceText, text: str, start: int, plan: Plan) -> Iterator[NamedBars]:
    """The bars that a part of a source names in plain words, and that have other numbers now; it begins at `start`."""
    for match in _WORDS.finditer(text):
        bars = [int(number) for number in re.findall("[0-9]+", match[0])]
        if not any(map(plan.changes, bars)):
            continue
        is_there = all(bar in plan.numbers or not plan.changes(bar) for bar in bars)
        now = re.sub("[0-9]+", lambda number: str(plan.numbers.get(int(number[0]), number[0])), match[0])
        why = "; ".join(_fate(bar, plan) for bar in dict.fromkeys(bars) if plan.changes(bar))
        span = Span(start + match.start(), start + match.end())
        yield NamedBars(source.locate(span.start)[0], span, " ".join(match[0].split()), now if is_there else None, why)


def carried_claim(text: str, reader: ClaimAddresses, plan: Plan) -> str | None:
    """A claim with its bars under their new numbers; None where they are the old ones, or cannot be carried."""
    edits, left = _claim(text, reader, plan)
    return _edited(text, edits) if edits and not left else None


class _CarriedClaim(NamedTuple):
    edits: list[Edit]
    left: list[str]


def _claim(text: str, reader: ClaimAddresses, plan: Plan) -> _CarriedClaim:
    """The addresses of a claim that are others now; none of them where one cannot be carried."""
    addresses = reader.of(text)
    if addresses is None:
        return _CarriedClaim([], ["the claim cannot be read"])
    edits: list[Edit] = []
    left = []
    for span, old in addresses:
        if not plan.knows(old):
            continue
        now = plan.stretch(old)
        if now is None:
            left.append(_why_not(old, plan))
        elif now != old:
            edits.append((span, str(now)))
            if plan.loses(old):
                left.append(f"it is {now} now, without bars that are gone")
            elif any(now.first.bar < bar < now.last.bar for bar in plan.made):
                left.append(f"it is {now} now, new bars among it")
    if any(plan.stretch(old) is None for _, old in addresses if plan.knows(old)):
        return _CarriedClaim([], left)
    return _CarriedClaim(edits, left)


def _why_not(old: AddressRange, plan: Plan) -> str:
    bars = sorted({end.bar for end in old})
    if all(bar not in plan.numbers for bar in bars):
        return f"{_named(bars)} {'is' if len(bars) == 1 else 'are'} gone"
    fates = [_fate(bar, plan) for bar in bars if plan.changes(bar)]
    return ": ".join(filter(None, ("its bars do not stand together any more", "; ".join(fates))))


def _named(bars: list[int]) -> str:
    return f"bar {bars[0]}" if len(bars) == 1 else f"bars {bars[0]}-{bars[-1]}"


def _fate(bar: int, plan: Plan) -> str:
    return f"bar {bar} is bar {plan.numbers[bar]} now" if bar in plan.numbers else f"bar {bar} is gone"


def _edited(text: str, edits: Sequence[Edit]) -> str:
    """A text with stretches of it replaced; none of them overlap."""
    for span, new in sorted(edits, reverse=True):
        text = text[: span.start] + new + text[span.end :]
    return text
