"""A claim in a lesson that the tab does not bear out.

In the Markdown beside a solo, an inline code span that begins with `@` says something about the music: an address, a
stretch or the name of a passage in quotation marks, then what is true there: a pitch (`@5.2.3 B3`), degrees
(`@5.2.3 3 of G9`, `@5.2.3 third of Cm7`, `@1.1 1 > 2 of Dm7`), a triad or arpeggio (`@5.1-5.2 F triad`: all of its
tones and no others), a scale (`@7.1-8.4 A minor pent`: no tones but its own), `chromatic` (every step a semitone), a
number of notes (`@2.1-2.2 7 notes`), the position of the hand (`@3.1 position 5`: first finger at fret 5, a finger a
fret, one fret of stretch either way; a warning where the fingers that are worked out stand in another position, which a
finger in the tab settles, `[lh 1]`), what a stretch is to another (`@9.1 as 5.1 an octave higher`), when notes begin
(`@5.2.3 off the beat`), or anything the annotator finds (`@5.1-5.3 sequence`, `@5.1 enclosure of C`, `@1.1 slide`).
What is said of single notes has to hold of one note of the stretch. Where all pitches that the lesson names are as far
from what sounds, as after another tuning, that is said once. A correction of the tab that makes the text wrong
is found here. What the tab does not know yet, the place of `=D4` or the pitch of `?`, makes no text wrong: it is a
note.

Passes:

    bar 1  G7
    1-4  4:9

    lesson: The B, `@1.1.1 B3, 3 of G7`.

Fails:

    bar 1  G7
    1-4  4:10

    lesson: The B, `@1.1.1 B3, 3 of G7`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from tabtools.checks.pitches_away import PitchesAway
from tabtools.checks.subject import Finding, Subject
from tabtools.hand.position import positions_at
from tabtools.model.claims import ChromaticClaim, Claim, PositionClaim, ScaleClaim
from tabtools.model.solo import Address, AddressRange
from tabtools.notation.claims import EXAMPLES, ClaimError, read_claim, spans_of_claims
from tabtools.problem import Severity
from tabtools.source import SourceText, Span
from tabtools.timeline import TimedNote
from tabtools.timeline.places import PlaceError, notes_at

if TYPE_CHECKING:
    from tabtools.study import Study
    from tabtools.study.truth.heard import HeardNotes

NAME = "claim"
SEVERITY = Severity.ERROR
SEARCH_BARS = 2
MOST_LEFT_OUT = 8
"""Strokes at one end of a stretch without which what is said of it is tried."""
_OF_EVERY_NOTE = (PositionClaim, ScaleClaim, ChromaticClaim)
"""What is said of each note of a stretch, so that it may hold of a part of it."""


def check_lesson(lesson: SourceText, subject: Subject) -> list[Finding]:
    """Claims that cannot be read, that name no place, or that are not true."""
    judged = _Judged(subject)
    away = PitchesAway()
    found = []
    for text, span in spans_of_claims(lesson):
        try:
            claim = read_claim(text, span, subject.solo.passages)
            notes = notes_at(subject.timeline, claim.range)
        except ClaimError as fault:
            start = span.start + fault.offset
            found.append(Finding(Span(min(start, span.end - 1), span.end), fault.message, fault.advice))
            continue
        except PlaceError as fault:
            found.append(Finding(span, str(fault), judged.whereabouts(claim), str(claim.range)))
            continue
        if claim.statements and not subject.unclear_bars & {note.address.bar for note in notes}:
            away.look_at(claim, span, notes)
            found += judged.findings(claim, span, notes)
    return away.told_in_one(found)


class _Judged:
    """The claims of one lesson before the solo they are about. Only claims need the solo studied, which takes time."""

    def __init__(self, subject: Subject):
        self.subject = subject

    @cached_property
    def study(self) -> Study:
        from tabtools.study import study_of

        return study_of(self.subject.timeline, hand=self.subject.hand)

    def findings(self, claim: Claim, span: Span, notes: tuple[TimedNote, ...]) -> Iterator[Finding]:
        from tabtools.study.truth.heard import SaysNothing
        from tabtools.study.truth.named import means_nothing
        from tabtools.study.truth.verdict import falsehood, fingered_elsewhere, left_open

        heard = self.heard(claim, notes)
        if name := means_nothing(claim, lambda: self.study):
            start = span.start + max(0, claim.text.find(name))
            yield Finding(Span(start, span.end), f"“{name}” is nothing a claim can say", EXAMPLES)
            return
        said = ", ".join(statement.text for statement in claim.statements)
        if (truth := falsehood(claim, heard)) is not None:
            advice = self.whereabouts(claim) or "mend the text or the tab"
            if isinstance(truth, SaysNothing):
                advice = "say what is special about these notes, or leave the claim out"
            yield Finding(span, f"{truth}; the text says {said}", advice, str(claim.range))
        elif (unknown := left_open(claim, heard)) is not None:
            advice = "settle it in the tab; then what the text says can be checked"
            yield Finding(span, f"{unknown}; the text says {said}", advice, str(claim.range), Severity.NOTE)
        elif (position := fingered_elsewhere(claim, heard)) is not None:
            advice = "mend the text, or write the finger into the tab, like [lh 3]"
            message = f"by the fingers that are worked out {position}; the text says {said}"
            yield Finding(span, message, advice, str(claim.range), Severity.WARNING)

    def heard(self, claim: Claim, notes: Sequence[TimedNote]) -> HeardNotes:
        """The notes a claim speaks of, with the positions of the hand if it speaks of these."""
        from tabtools.study.truth.heard import HeardNotes

        speaks_of_hand = any(isinstance(statement, PositionClaim) for statement in claim.statements)
        positions = positions_at(self.subject.hand, [note.index for note in notes]) if speaks_of_hand else ()
        return HeardNotes(notes, self.subject.timeline, lambda: self.study, positions)

    def whereabouts(self, claim: Claim) -> str:
        """Where what a claim says holds: in most of its stretch, or in a bar nearby, if the text was left behind."""
        if not claim.statements or claim.passage:
            return ""
        if (part := self._part(claim)) is not None:
            return f"it holds at {part}, which is most of it"
        for stretch in self._nearby(claim.range):
            try:
                notes = notes_at(self.subject.timeline, stretch)
            except PlaceError:
                continue
            if notes and self.is_known_to_hold(claim, notes):
                return f"it holds at {stretch}"
        return ""

    def is_known_to_hold(self, claim: Claim, notes: Sequence[TimedNote]) -> bool:
        from tabtools.study.truth.verdict import fingered_elsewhere, holds

        heard = self.heard(claim, notes)
        return holds(claim, heard) and fingered_elsewhere(claim, heard) is None

    def _part(self, claim: Claim) -> AddressRange | None:
        """The greatest part of a stretch, from its beginning or to its end, in which what is said of it is so."""
        if not all(isinstance(one, _OF_EVERY_NOTE) for one in claim.statements):
            return None
        try:
            notes = notes_at(self.subject.timeline, claim.range)
        except PlaceError:
            return None
        strokes = list(dict.fromkeys(note.address for note in notes))
        for left_out in range(1, min((len(strokes) - 1) // 2, MOST_LEFT_OUT) + 1):
            ends = (strokes[left_out], strokes[-1]), (strokes[0], strokes[-left_out - 1])
            for part in map(AddressRange._make, ends):
                if self.is_known_to_hold(claim, notes_at(self.subject.timeline, part)):
                    return part
        return None

    def _nearby(self, stretch: AddressRange) -> Iterator[AddressRange]:
        """Single strokes of the bars around, the nearest first; of a stretch the same counts some bars away."""
        first, last = stretch
        if first == last and first.stroke is not None:
            addresses = {
                note.address
                for number in range(first.bar - SEARCH_BARS, first.bar + SEARCH_BARS + 1)
                if number in self.subject.timeline.bar_indices
                for note in notes_at(self.subject.timeline, AddressRange(Address(number), Address(number)))
            }
            for address in sorted(addresses - {first}, key=lambda address: (_distance(address, first), address)):
                yield AddressRange(address, address)
            return
        for away in sorted((*range(-SEARCH_BARS, 0), *range(1, SEARCH_BARS + 1)), key=lambda away: (abs(away), -away)):
            yield AddressRange(first._replace(bar=first.bar + away), last._replace(bar=last.bar + away))


def _distance(address: Address, other: Address) -> tuple[int, ...]:
    return tuple(abs((one or 0) - (two or 0)) for one, two in zip(address, other, strict=True))
