"""A claim in a lesson that the tab does not bear out.

In the Markdown beside a solo, an inline code span that begins with `@` says something about the music: an address
or a stretch, then a pitch (`@5.2.3 B3`), degrees (`@5.2.3 3 of G9`, `@1.1 1 > 2 of Dm7`, `@5.2.3 5 of the key`), a
triad or arpeggio (`@5.1-5.2 F triad`: all of its tones and no others), a scale (`@7.1-8.4 D minor pentatonic`: no
tones but its own), `chromatic` (every step a semitone), a number of notes (`@2.1-2.2 7 notes`), or the position of
the hand (`@3.1 position 5`: first finger at fret 5, a finger a fret, one fret of stretch either way). What is said
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

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.truth import HeardNotes, falsehood, holds, left_open
from tabtools.model.claims import Claim
from tabtools.model.solo import Address, AddressRange
from tabtools.notation.claims import ClaimError, read_claim, spans_of_claims
from tabtools.problem import Severity
from tabtools.source import SourceText, Span
from tabtools.timeline import TimedNote, Timeline
from tabtools.timeline.places import PlaceError, notes_at

NAME = "claim"
SEVERITY = Severity.ERROR
SEARCH_BARS = 2


def check_lesson(lesson: SourceText, subject: Subject) -> Iterator[Finding]:
    """Claims that cannot be read, that name no place, or that are not true."""
    timeline, header = subject.timeline, subject.solo.header
    for text, span in spans_of_claims(lesson):
        try:
            claim = read_claim(text, span)
            notes = notes_at(timeline, claim.range)
        except ClaimError as fault:
            start = span.start + fault.offset
            yield Finding(Span(min(start, span.end - 1), span.end), fault.message, fault.advice)
            continue
        except PlaceError as fault:
            yield Finding(span, str(fault), _whereabouts(claim, timeline), str(claim.range))
            continue
        if subject.unclear_bars & {note.address.bar for note in notes}:
            continue
        heard = HeardNotes(notes, header.key, header.instrument)
        said = ", ".join(statement.text for statement in claim.statements)
        if (truth := falsehood(claim, heard)) is not None:
            advice = _whereabouts(claim, timeline) or "mend the text or the tab"
            yield Finding(span, f"{truth}; the text says {said}", advice, str(claim.range))
        elif (unknown := left_open(claim, heard)) is not None:
            advice = "settle it in the tab; then what the text says can be checked"
            yield Finding(span, f"{unknown}; the text says {said}", advice, str(claim.range), Severity.NOTE)


def _whereabouts(claim: Claim, timeline: Timeline) -> str:
    """Where what a claim says of single strokes holds now, in a bar nearby: the text may have been left behind."""
    first = claim.range.first
    if claim.range.first != claim.range.last or first.stroke is None or not claim.statements:
        return ""
    nearby: dict[Address, list[TimedNote]] = {}
    for number in range(first.bar - SEARCH_BARS, first.bar + SEARCH_BARS + 1):
        if number in timeline.bar_indices:
            bar = Address(number)
            for note in notes_at(timeline, AddressRange(bar, bar)):
                nearby.setdefault(note.address, []).append(note)
    nearby.pop(first, None)
    header = timeline.solo.header
    for address in sorted(nearby, key=lambda address: _distance(address, first)):
        if holds(claim, HeardNotes(nearby[address], header.key, header.instrument)):
            return f"it holds at {address} now"
    return ""


def _distance(address: Address, other: Address) -> tuple[int, ...]:
    return tuple(abs((one or 0) - (two or 0)) for one, two in zip(address, other, strict=True))
