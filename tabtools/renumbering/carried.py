"""What lessons and comments say of bars by their numbers, carried along to the new ones."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from tabtools.model.solo import Address, AddressRange, Solo
from tabtools.notation.claim_addresses import ClaimAddresses
from tabtools.notation.claims import CODE
from tabtools.notation.lesson_text import text_lines
from tabtools.renumbering.plan import Plan
from tabtools.source import SourceText, Span

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


@dataclass(frozen=True, slots=True)
class Carried:
    """A lesson with its addresses written anew; how many claims and links that were, and what was left as it is."""

    text: str
    claims: int
    links: int
    left: tuple[Left, ...]


def carried_lesson(lesson: SourceText, slug: str, is_own: bool, plan: Plan) -> Carried:
    """A lesson that speaks of bars of the solo `slug`: its own one, whose claims are of that solo, or another."""
    edits: list[tuple[Span, str]] = []
    left: list[Left] = []
    claims = links = 0
    reader = ClaimAddresses()
    own = r"|(?<![\w./-])(?=#b)" if is_own else ""
    link = re.compile(_LINK.format(slug=re.escape(slug), own=own))
    for line in text_lines(lesson):
        codes = list(CODE.finditer(line.text))
        for code in codes if is_own else ():
            said = code[2].strip()
            if not said.startswith("@"):
                continue
            start = line.start + code.start(2) + code[2].index("@")
            found = _claim(said, reader, plan)
            left += [Left(line.number, said, why) for why in found.left]
            edits += [(Span(start + span.start, start + span.end), new) for span, new in found.edits]
            claims += bool(found.edits)
        prose = _without(line.text, codes)
        for match in link.finditer(prose):
            old = Address(*map(int, match["address"].split(".")))
            now = plan.address(old)
            if old.bar not in plan.numbers and old.bar not in plan.taken:
                continue
            if now is None:
                left.append(Left(line.number, match[0], f"bar {old.bar} is gone"))
            elif now != old:
                at = line.start + match.start("address")
                edits.append((Span(at, at + len(match["address"])), str(now)))
                links += 1
        if is_own:
            left += [Left(line.number, *words) for words in named_in_words(prose, plan)]
    return Carried(_edited(lesson.text, edits), claims, links, tuple(left))


def named_in_words(text: str, plan: Plan) -> Iterator[tuple[str, str]]:
    """(words, what is true now) of bars that a text names in plain words and that have other numbers now."""
    for match in _WORDS.finditer(text):
        bars = [int(number) for number in re.findall("[0-9]+", match[0])]
        changed = [bar for bar in bars if (bar in plan.numbers or bar in plan.taken) and plan.numbers.get(bar) != bar]
        if changed:
            yield match[0], "; ".join(_fate(bar, plan) for bar in dict.fromkeys(changed))


def words_of_solo(solo: Solo, source: SourceText, plan: Plan) -> list[Left]:
    """Bars that the comments of a solo, its summary, or the names of its parts speak of in words."""
    spans = [comment.span for comment in solo.remarks]
    for field in solo.fields:
        spans += [comment.span for comment in field.comments.all()]
        if field.name == "summary":
            spans.append(field.value_span)
    for item in solo.items:
        spans += [comment.span for comment in item.comments.all()]
        spans += [comment.span for line in getattr(item, "lines", ()) for comment in line.comments.all()]
    found = []
    for span in sorted(spans):
        line, _ = source.locate(span.start)
        found += [Left(line, *words) for words in named_in_words(source.text[span.start : span.end], plan)]
    return found


class _Claim(NamedTuple):
    edits: list[tuple[Span, str]]
    left: list[str]


def _claim(text: str, reader: ClaimAddresses, plan: Plan) -> _Claim:
    """The addresses of a claim that are others now; none of them where one cannot be carried."""
    addresses = reader.of(text)
    if addresses is None:
        return _Claim([], ["the claim cannot be read"])
    edits: list[tuple[Span, str]] = []
    left = []
    for span, old in addresses:
        if not all(end.bar in plan.numbers or end.bar in plan.taken for end in old):
            continue
        now = plan.stretch(old)
        if now is None:
            left.append(_why_not(old, plan))
        elif now != old:
            edits.append((span, str(now)))
            if cut := [end.bar for end in old if end.bar not in plan.numbers]:
                left.append(f"without bar {cut[0]} it is {now} now")
            elif any(old.first.bar < bar <= old.last.bar for bar in _put_before(plan)):
                left.append(f"it is {now} now, new bars among it")
    if any(plan.stretch(old) is None for _, old in addresses if _is_known(old, plan)):
        return _Claim([], left)
    return _Claim(edits, left)


def _is_known(stretch: AddressRange, plan: Plan) -> bool:
    return all(end.bar in plan.numbers or end.bar in plan.taken for end in stretch)


def _put_before(plan: Plan) -> tuple[int, ...]:
    """The old bar before which new bars were put, where there are any."""
    if not plan.new or plan.beside is None:
        return ()
    return (plan.beside if plan.side == "before" else plan.beside + 1,)


def _why_not(old: AddressRange, plan: Plan) -> str:
    bars = sorted({end.bar for end in old})
    if all(bar not in plan.numbers for bar in bars):
        return f"{_named(bars)} {'is' if len(bars) == 1 else 'are'} gone"
    return "its bars do not stand together any more: " + "; ".join(_fate(bar, plan) for bar in bars)


def _named(bars: list[int]) -> str:
    return f"bar {bars[0]}" if len(bars) == 1 else f"bars {bars[0]}-{bars[-1]}"


def _fate(bar: int, plan: Plan) -> str:
    return f"bar {bar} is bar {plan.numbers[bar]} now" if bar in plan.numbers else f"bar {bar} is gone"


def _without(line: str, codes: list[re.Match[str]]) -> str:
    """A line with blanks in place of its code."""
    for code in codes:
        line = line[: code.start()] + " " * len(code[0]) + line[code.end() :]
    return line


def _edited(text: str, edits: list[tuple[Span, str]]) -> str:
    for span, new in sorted(edits, reverse=True):
        text = text[: span.start] + new + text[span.end :]
    return text
