"""Which heads show an accidental.

An accidental holds for its own line or space until the bar ends, and a tie takes it over the bar line for the tied
note alone. One that only reminds is shown where a reader would be in doubt: after a tie has brought another
alteration into the bar, where the bar before or another octave of the same bar has altered the tone, and on both of
two tones that share a line in one chord. Quarter tones have signs of their own, which hold as others do (Elaine Gould,
Behind Bars, 2011, chapter 3, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence

from tabtools.model.harmony import Key
from tabtools.model.pitch import LETTERS, Tone
from tabtools.score.spelling import signature
from tabtools.score.staff_places import StaffPlace

SHARPS = "FCGDAEB"
"""The order in which a signature takes them; flats come the other way."""

Line = tuple[str, int]
"""A letter and its octave."""


def signed_tones(key: Key | None) -> tuple[Tone, ...]:
    """The altered tones of a key's signature, in the order they are written; none without a key."""
    count = signature(key)[0] if key is not None else 0
    order = SHARPS if count > 0 else SHARPS[::-1]
    rounds, rest = divmod(abs(count), len(order))
    sign = 1 if count > 0 else -1
    altered = {letter: sign * (rounds + (place < rest)) for place, letter in enumerate(order)}
    return tuple([Tone(letter, alteration) for letter, alteration in altered.items() if alteration])


class Accidentals:
    """Reads a voice in order, and says of each head whether its accidental is shown."""

    def __init__(self, key: Key | None):
        self._signed = dict.fromkeys(LETTERS, 0) | {tone.letter: tone.alteration for tone in signed_tones(key)}
        self._here: dict[Line, float] = {}
        self._tied: set[Line] = set()
        self._before: set[str] = set()

    def signed(self, letter: str) -> int:
        """The alteration that the signature gives a letter."""
        return self._signed[letter]

    def open_bar(self) -> None:
        """A new bar begins: the signature holds again."""
        altered = {line[0] for line, alteration in self._here.items() if alteration != self._signed[line[0]]}
        self._before = altered
        self._here, self._tied = {}, set()

    def shown(self, column: Sequence[tuple[StaffPlace, bool]]) -> list[bool]:
        """For what is struck together, in any order, whether each shows its accidental; with each, if it is tied in."""
        lines: dict[Line, set[float]] = {}
        for place, _ in column:
            lines.setdefault((place.tone.letter, place.octave), set()).add(place.alteration)
        return [self._is_shown(place, is_tied, lines) for place, is_tied in column]

    def _is_shown(self, place: StaffPlace, is_tied: bool, lines: dict[Line, set[float]]) -> bool:
        letter, alteration = place.tone.letter, place.alteration
        line, signed = (letter, place.octave), self._signed[letter]
        if is_tied:
            if line not in self._here and alteration != signed:
                self._tied.add(line)
            return False
        holds = self._here.get(line, signed)
        is_first = line not in self._here
        reminds = is_first and (line in self._tied or letter in self._before or self._is_other(letter, alteration))
        self._here[line] = alteration
        self._tied.discard(line)
        if is_first:
            self._before.discard(letter)
        return alteration != holds or reminds or len(lines[line]) > 1

    def _is_other(self, letter: str, alteration: float) -> bool:
        """Whether the tone has another alteration in another octave of the bar."""
        return any(one[0] == letter and other != alteration for one, other in self._here.items())
