"""Claims whose pitches are all as far from what sounds: a tuning, a capo or an octave, and not so many mistakes."""

from __future__ import annotations

from collections.abc import Sequence

from tabtools.checks.subject import Finding
from tabtools.model.claims import Claim, PitchClaim
from tabtools.model.pitch import nearest_semitone
from tabtools.source import Span
from tabtools.timeline import TimedNote
from tabtools.wording import several

FEWEST = 4
"""So many pitches all as far away are no accident."""


class PitchesAway:
    """How far the pitches that claims name are from what sounds."""

    def __init__(self) -> None:
        self._away: dict[Span, int | None] = {}

    def look_at(self, claim: Claim, span: Span, notes: Sequence[TimedNote]) -> None:
        """Take in a claim: it counts where it names one pitch of one note."""
        named = [one.midi for one in claim.statements if isinstance(one, PitchClaim)]
        if not named:
            return
        sounding = {nearest_semitone(note.midi) for note in notes if note.midi is not None}
        is_clear = len(sounding) == 1 and len(named) == 1
        self._away[span] = named[0] - sounding.pop() if is_clear else None

    def told_in_one(self, found: list[Finding]) -> list[Finding]:
        """The findings; those of pitches that are all as far away are one, where the first of them stands."""
        far = set(self._away.values()) - {None}
        if len(far) != 1 or far == {0}:
            return found
        (away,) = (one for one in far if one is not None)
        spans = {span for span, one in self._away.items() if one is not None}
        alike = [finding for finding in found if finding.span in spans]
        if len(alike) < FEWEST:
            return found
        how = f"{several(abs(away), 'semitone')} {'higher' if away > 0 else 'lower'} than what sounds"
        first = alike[0]._replace(
            message=f"this and {several(len(alike) - 1, 'claim')} more name pitches {how}",
            advice="compare tuning, capo and octave with the recording; if they are right, move chords, key and claims",
        )
        return [first if finding is alike[0] else finding for finding in found if finding not in alike[1:]]
