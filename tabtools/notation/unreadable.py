"""Lines that cannot be read: reported, and blanked so that the rest of the file can be.

Offsets stay what they are, so every later report points at the right place.
"""

from __future__ import annotations

from tabtools.notation.explain import explain
from tabtools.notation.explanation import leading
from tabtools.notation.limits import MAX_LINE
from tabtools.notation.lines import solo_grammar
from tabtools.notation.read import MisreadError
from tabtools.problem import Problem, Severity
from tabtools.source import SourceText, Span, is_number

MAX_UNREADABLE = 200


def without_overlong_lines(source: SourceText, problems: list[Problem], bad: list[Span]) -> str:
    """The text with lines over the limit blanked; the faults go to `problems`, the spans to `bad`."""
    text = source.text
    offset = 0
    for line in source.lines():
        if len(line) > MAX_LINE:
            span = Span(offset, offset + len(line))
            bad.append(span)
            message = f"the line has {len(line):,} characters; the most is {MAX_LINE:,}"
            is_beat = is_number(line.lstrip(" \t")[:1])
            advice = "put each beat on a line of its own" if is_beat else "write it shorter, or on several lines"
            problems.append(syntax_problem(source, Span(span.start + MAX_LINE, span.end), message, advice))
            text = _blanked(text, span)
        offset += len(line) + 1
    return text


def without_unreadable_lines(source: SourceText, text: str, problems: list[Problem], bad: list[Span]) -> str:
    """Each line read on its own; those that cannot be are reported, and blanked so that offsets stay.

    What has more than 200 of them is no solo: the rest is left out, and that is said.
    """
    grammar = solo_grammar()
    pieces = []
    found = offset = 0
    for line in text.split("\n"):
        piece = line
        if line.strip(" \t"):
            try:
                grammar.read(line + "\n", "line")
            except MisreadError as misread:
                piece = " " * len(line)
                found += 1
                if found > MAX_UNREADABLE:
                    message = f"{MAX_UNREADABLE} lines cannot be read; from here on nothing was looked at"
                    advice = "mend the lines above first; a solo file holds one solo and nothing else"
                    problems.append(syntax_problem(source, Span(offset, offset + len(line)), message, advice))
                    bad.append(Span(offset, len(text)))
                    pieces.append(" " * len(line))
                    return "\n".join(pieces) + "\n"
                problems.append(_explained(source, line, offset, misread))
                bad.append(Span(offset, offset + len(line)))
        pieces.append(piece)
        offset += len(line) + 1
    return "\n".join(pieces)


def _explained(source: SourceText, line: str, offset: int, misread: MisreadError) -> Problem:
    message, advice, at, check = explain(line, misread)
    if at is None:
        at = min(misread.offset, len(line))
    word = leading(r"\S*", line[at:])
    return syntax_problem(source, Span(offset + at, offset + at + max(1, len(word))), message, advice, check)


def _blanked(text: str, span: Span) -> str:
    return text[: span.start] + " " * (span.end - span.start) + text[span.end :]


def syntax_problem(source: SourceText, span: Span, message: str, advice: str, check: str = "syntax") -> Problem:
    return Problem(check, Severity.ERROR, source.path, span, message, advice)
