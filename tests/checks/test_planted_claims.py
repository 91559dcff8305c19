"""Every claim of every demo lesson, made false in the text and then in the tab, is reported at its place."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import pytest

from tabtools.checks.claim import check_lesson
from tabtools.checks.subject import Subject, subject_of
from tabtools.model.claims import (
    ChordClaim,
    ChromaticClaim,
    Claim,
    CountClaim,
    GroupsClaim,
    LikeClaim,
    NamedClaim,
    PitchClaim,
    PositionClaim,
    ScaleClaim,
)
from tabtools.notation.claims import read_claim, spans_of_claims
from tabtools.source import SourceText, Span, from_text, read_source
from tabtools.timeline import TimedNote
from tabtools.timeline.places import notes_at

SOLOS = Path(__file__).parents[2] / "transcriptions"
OTHER_PITCH = dict.fromkeys("ABCDEFG", "G9")


@dataclass(frozen=True)
class Lesson:
    subject: Subject
    text: SourceText

    @property
    def claims(self) -> list[Claim]:
        return [read_claim(text, span, self.subject.solo.passages) for text, span in spans_of_claims(self.text)]


def lesson_of(slug: str) -> Lesson:
    return Lesson(subject_of(read_source(SOLOS / f"{slug}.solo")), read_source(SOLOS / f"{slug}.md"))


def found(lesson: SourceText, subject: Subject) -> list[Span]:
    return [finding.span for finding in check_lesson(lesson, subject)]


def in_text(claim: Claim) -> str:
    """The claim with its first statement made false."""
    statement = claim.statements[0]
    head, _, rest = claim.text.partition(" ")
    if isinstance(statement, PitchClaim):
        return f"{head} {rest.replace(statement.text, OTHER_PITCH[statement.text[0]], 1)}"
    if isinstance(statement, ChordClaim):
        return f"{head} {rest.replace(statement.symbol, 'Gbmaj7', 1)}"
    if isinstance(statement, ScaleClaim):
        return f"{head} {rest.replace(statement.text, 'Gb major pentatonic', 1)}"
    if isinstance(statement, ChromaticClaim | GroupsClaim | LikeClaim | NamedClaim):
        return f"{head} 99 notes"
    if isinstance(statement, CountClaim | PositionClaim):
        return f"{head} {re.sub(r'[0-9]+', lambda number: str(int(number.group()) + 9), rest, count=1)}"
    first = statement.degrees[0]
    other = f"{'b' if first.alteration >= 0 else ''}{first.number}"
    return f"{head} {re.sub(r'[b#]*[0-9]+', other, rest, count=1)}"


def in_tab(claim: Claim, subject: Subject) -> SourceText:
    """The solo with the notes of the claim moved, or one of them held, so that the claim is false."""
    notes = [note for note in notes_at(subject.timeline, claim.range) if not note.note.dead]
    kinds = {type(statement) for statement in claim.statements}
    if kinds & {CountClaim, ChromaticClaim, GroupsClaim}:
        changed = {notes[len(notes) // 2].note.span: "-"}
    else:
        changed = {note.note.span: _moved(note, subject.source) for note in notes}
    text = subject.source.text
    for span in sorted(changed, reverse=True):
        text = text[: span.start] + changed[span] + text[span.end :]
    return from_text(text, subject.source.path)


def _moved(note: TimedNote, source: SourceText) -> str:
    written = source.text[slice(*note.note.span)].partition("=")[0]
    body, bracket, marks = written.partition("[")
    return re.sub(r"[0-9.]+(?!:)(?![0-9.])", lambda fret: str(round(float(fret.group())) + 6), body) + bracket + marks


SLUGS = sorted(path.stem for path in SOLOS.glob("*.md"))
EVERY = [(slug, index) for slug in SLUGS for index in range(len(lesson_of(slug).claims))]


@pytest.mark.parametrize("slug", SLUGS)
def test_without_a_change_nothing_is_reported(slug: str) -> None:
    lesson = lesson_of(slug)
    assert lesson.claims
    assert found(lesson.text, lesson.subject) == []


@pytest.mark.parametrize(("slug", "index"), EVERY)
def test_made_false_in_the_text(slug: str, index: int) -> None:
    lesson = lesson_of(slug)
    claim = lesson.claims[index]
    false = in_text(claim)
    assert false != claim.text
    span = claim.span
    text = lesson.text.text[: span.start] + false + lesson.text.text[span.end :]
    assert found(from_text(text, lesson.text.path), lesson.subject) == [Span(span.start, span.start + len(false))]


@pytest.mark.parametrize(("slug", "index"), EVERY)
def test_made_false_in_the_tab(slug: str, index: int) -> None:
    lesson = lesson_of(slug)
    claim = lesson.claims[index]
    assert claim.span in found(lesson.text, subject_of(in_tab(claim, lesson.subject)))


def test_there_are_as_many_as_there_should_be() -> None:
    assert len(EVERY) >= 90
