"""A claim in a lesson that the tab does not bear out.

In the Markdown beside a solo, an inline code span that begins with `@` says something about the music: an address
or a stretch, then a pitch (`@5.2.3 B3`), degrees (`@5.2.3 3 of G9`, `@1.1 1 > 2 of Dm7`, `@5.2.3 5 of the key`), a
triad or arpeggio (`@5.1-5.2 F triad`: all of its tones and no others), a scale (`@7.1-8.4 D minor pentatonic`: no
tones but its own), `chromatic` (every step a semitone), a number of notes (`@2.1-2.2 7 notes`), or the position of
the hand (`@3.1 position 5`: first finger at fret 5, a finger a fret, one fret of stretch either way; a warning where
the fingers that are worked out stand in another position, which a finger in the tab settles, `[lh 1]`). What is said
of single notes has to hold of one note of the stretch. A correction of the tab that makes the text wrong is found
here. What the tab does not know yet, the place of `=D4` or the pitch of `?`, makes no text wrong: it is a note.

Passes:

    bar 1  G7
    1-4  4:9

    lesson: The B, `@1.1.1 B3, 3 of G7`.

Fails:

    bar 1  G7
    1-4  4:10

    lesson: The B, `@1.1.1 B3, 3 of G7`.
"""

from collections.abc import Iterator, Sequence

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.truth import HeardNotes, falsehood, fingered_elsewhere, holds, left_open
from tabtools.hand.position import positions_at
from tabtools.model.claims import Claim, PositionClaim
from tabtools.model.solo import Address, AddressRange
from tabtools.notation.claims import ClaimError, read_claim, spans_of_claims
from tabtools.problem import Severity
from tabtools.source import SourceText, Span
from tabtools.timeline import TimedNote
from tabtools.timeline.places import PlaceError, notes_at

NAME = "claim"
SEVERITY = Severity.ERROR
SEARCH_BARS = 2


def check_lesson(lesson: SourceText, subject: Subject) -> Iterator[Finding]:
    """Claims that cannot be read, that name no place, or that are not true."""
    timeline = subject.timeline
    for text, span in spans_of_claims(lesson):
        try:
            claim = read_claim(text, span)
            notes = notes_at(timeline, claim.range)
        except ClaimError as fault:
            start = span.start + fault.offset
            yield Finding(Span(min(start, span.end - 1), span.end), fault.message, fault.advice)
            continue
        except PlaceError as fault:
            yield Finding(span, str(fault), _whereabouts(claim, subject), str(claim.range))
            continue
        if subject.unclear_bars & {note.address.bar for note in notes}:
            continue
        heard = _heard(claim, notes, subject)
        said = ", ".join(statement.text for statement in claim.statements)
        if (truth := falsehood(claim, heard)) is not None:
            advice = _whereabouts(claim, subject) or "mend the text or the tab"
            yield Finding(span, f"{truth}; the text says {said}", advice, str(claim.range))
        elif (unknown := left_open(claim, heard)) is not None:
            advice = "settle it in the tab; then what the text says can be checked"
            yield Finding(span, f"{unknown}; the text says {said}", advice, str(claim.range), Severity.NOTE)
        elif (position := fingered_elsewhere(claim, heard)) is not None:
            advice = "mend the text, or write the finger into the tab, like [lh 3]"
            message = f"by the fingers that are worked out {position}; the text says {said}"
            yield Finding(span, message, advice, str(claim.range), Severity.WARNING)


def _heard(claim: Claim, notes: Sequence[TimedNote], subject: Subject) -> HeardNotes:
    """The notes a claim speaks of, with the positions of the hand if it speaks of these."""
    header = subject.solo.header
    speaks_of_hand = any(isinstance(statement, PositionClaim) for statement in claim.statements)
    positions = positions_at(subject.hand, [note.index for note in notes]) if speaks_of_hand else ()
    return HeardNotes(notes, header.key, header.instrument, positions)


def _whereabouts(claim: Claim, subject: Subject) -> str:
    """Where what a claim says of single strokes holds now, in a bar nearby: the text may have been left behind."""
    first, timeline = claim.range.first, subject.timeline
    if claim.range.first != claim.range.last or first.stroke is None or not claim.statements:
        return ""
    nearby: dict[Address, list[TimedNote]] = {}
    for number in range(first.bar - SEARCH_BARS, first.bar + SEARCH_BARS + 1):
        if number in timeline.bar_indices:
            bar = Address(number)
            for note in notes_at(timeline, AddressRange(bar, bar)):
                nearby.setdefault(note.address, []).append(note)
    nearby.pop(first, None)
    for address in sorted(nearby, key=lambda address: _distance(address, first)):
        if holds(claim, _heard(claim, nearby[address], subject)):
            return f"it holds at {address} now"
    return ""


def _distance(address: Address, other: Address) -> tuple[int, ...]:
    return tuple(abs((one or 0) - (two or 0)) for one, two in zip(address, other, strict=True))
