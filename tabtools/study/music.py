"""What roles, devices and statistics are read from: the melody of a solo, its phrases, its lines and more."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any, NamedTuple

from tabtools.hand import Hand, hand_of
from tabtools.hand.position import Stay, stays_of
from tabtools.harmony.degrees import DegreeStyle
from tabtools.score.two_voices import RING, bass_notes
from tabtools.study.backing import Backing
from tabtools.study.devices.device import Device
from tabtools.study.melody import Melody, Struck, is_blue_third, melody_of
from tabtools.study.periods import Repeat, Taken, repeats
from tabtools.study.phrases import KnownStretch, Phrase, phrases_at, phrases_of, pulse_of
from tabtools.study.registers import FEWEST_BARS, bass_by_register
from tabtools.study.suspensions import Suspended, suspended_in
from tabtools.study.voices import bass_borders, held_until, part_of, tune_of
from tabtools.timeline import Timeline

MOST_IN_CELL = 12
WIDEST_STEP = 3
"""Semitones of a step in a run: those of a pentatonic scale."""


HALT = 3
"""How many times as long as the one before a note is on which a line stands still."""


class Line(NamedTuple):
    """Single notes one after another within a phrase: the stroke of the first, and the pitches."""

    first: int
    pitches: tuple[int, ...]


class Leg(NamedTuple):
    """A part of a line, places `start` to `end` both inclusive, that goes one way by one to three semitones.

    It does not stand still on the way.
    """

    line: Line
    start: int
    end: int

    @property
    def pitches(self) -> tuple[int, ...]:
        return self.line.pitches[self.start : self.end + 1]


@dataclass(frozen=True)
class Music:
    """A melody, and what is worked out from it once.

    `borders` are when its phrases begin, in ticks, where it is a voice of another; `fingered` is the solo as hands play
    it, where that is known.
    """

    melody: Melody
    borders: tuple[int, ...] | None = None
    fingered: Hand | None = None

    @cached_property
    def hand(self) -> Hand:
        """The solo as hands play it; by a medium hand where nothing else is said."""
        return self.fingered or hand_of(self.melody.timeline)

    @cached_property
    def phrases(self) -> tuple[Phrase, ...]:
        return phrases_of(self.melody) if self.borders is None else phrases_at(self.melody, self.borders)

    @cached_property
    def stays(self) -> tuple[Stay, ...]:
        """Where the fretting hand stands, in order."""
        return stays_of(self.hand)

    @cached_property
    def stretches(self) -> tuple[KnownStretch, ...]:
        """The phrases, cut where something sounds whose pitch is not known: nobody can say what leads to what there."""
        apart = [place for place, struck in enumerate(self.melody.strokes) if struck.is_apart]
        found: list[KnownStretch] = []
        for first, last, _ in self.phrases:
            cuts = apart[bisect_right(apart, first) : bisect_right(apart, last)]
            found += [KnownStretch(begin, end - 1, last) for begin, end in pairwise((first, *cuts, last + 1))]
        return tuple(found)

    @cached_property
    def lines(self) -> tuple[Line, ...]:
        """The longest stretches of single notes, in order; double stops, chords and the ends of phrases cut them."""
        strokes = self.melody.strokes
        lines = []
        for stretch in self.stretches:
            first, pitches = stretch.first, []
            for place in range(stretch.first, stretch.last + 1):
                if len(strokes[place].pitches) == 1:
                    pitches.append(strokes[place].top)
                    continue
                if pitches:
                    lines.append(Line(first, tuple(pitches)))
                first, pitches = place + 1, []
            if pitches:
                lines.append(Line(first, tuple(pitches)))
        return tuple(lines)

    @cached_property
    def legs(self) -> tuple[Leg, ...]:
        """The longest stretches of four notes or more that go up or down by one to three semitones at a time."""
        legs = []
        for line in self.lines:
            moves = [after - before for before, after in pairwise(line.pitches)]
            start = 0
            for place, move in enumerate((*moves, 0)):
                goes_on = 1 <= abs(move) <= WIDEST_STEP and (place == start or (move > 0) == (moves[place - 1] > 0))
                halts = goes_on and place > start and self._halts(line.first + place)
                if goes_on and not halts:
                    continue
                if place - start >= 3:
                    legs.append(Leg(line, start, place))
                start = place if 1 <= abs(move) <= WIDEST_STEP and not halts else place + 1
        return tuple(legs)

    def _halts(self, place: int) -> bool:
        """Whether a line stands still on a stroke: a pulse or longer, and thrice as long as on the one before.

        A voice of several waits for the others, and goes on.
        """
        if self.borders is not None:
            return False
        before, struck, after = self.melody.strokes[place - 1 : place + 2]
        lasts = after.onset - struck.onset
        is_timed = not (before.doubt or struck.doubt or after.doubt)
        return is_timed and lasts >= pulse_of(struck) and lasts >= HALT * (struck.onset - before.onset)

    @cached_property
    def goals(self) -> frozenset[int]:
        """The strokes whose highest note is bent up to where it arrives."""
        bent_to = self.melody.bent_to
        return frozenset([place for place, struck in enumerate(self.melody.strokes) if struck.notes[0] in bent_to])

    @cached_property
    def dips(self) -> frozenset[int]:
        """The strokes that only the bar leads to."""
        notes = self.melody.timeline.notes
        return frozenset(place for place, struck in enumerate(self.melody.strokes) if notes[struck.notes[0]].via == "w")

    @cached_property
    def blue(self) -> frozenset[int]:
        """The strokes whose highest note is a blue third: between the flat and the major third of a major chord."""
        notes = self.melody.timeline.notes
        return frozenset(
            [
                place
                for place, struck in enumerate(self.melody.strokes)
                if type(notes[struck.notes[0]].midi) is not int
                and is_blue_third(notes[struck.notes[0]], self.melody.backing(place))
            ]
        )

    @cached_property
    def cells(self) -> tuple[Repeat, ...]:
        """The figures that come again at once with the same pitches, by strokes; see `repeated_cell`."""
        cells: list[Repeat] = []
        for stretch in self.stretches:
            cells.extend(
                cell._replace(start=stretch.first + cell.start)
                for cell in _cells(self.melody.strokes[stretch.first : stretch.last + 1])
            )
        return tuple(cells)

    @cached_property
    def bass(self) -> frozenset[int]:
        """The notes of the bass, where there are two voices; empty where one line is all there is."""
        return bass_notes(self.melody.timeline) | self.unmarked_bass

    @cached_property
    def unmarked_bass(self) -> frozenset[int]:
        """The notes of a bass that is told by where it lies alone."""
        return bass_by_register(self.melody) if len(self.together) >= FEWEST_BARS else frozenset()

    @cached_property
    def together(self) -> tuple[int, ...]:
        """The strokes of two notes or more."""
        return tuple([place for place, struck in enumerate(self.melody.strokes) if len(struck.notes) > 1])

    @cached_property
    def marks(self) -> frozenset[str]:
        """The words of all marks."""
        return frozenset({mark.word for note in self.melody.timeline.notes if note.marks for mark in note.marks})

    @cached_property
    def has_ringing(self) -> bool:
        """Whether any note is left to ring."""
        return RING in self.marks

    @cached_property
    def held_until(self) -> tuple[float, ...]:
        """When each note ends for the hand that plucks, in seconds."""
        return held_until(self.melody.timeline, self.unmarked_bass)

    @cached_property
    def lower_voice(self) -> Music:
        """The bass by itself."""
        lower = part_of(self.melody, self.bass)
        return Music(lower, bass_borders(lower))

    @cached_property
    def upper_voice(self) -> Music:
        """All that stands above the bass."""
        return self._above(frozenset(range(len(self.melody.stroke_of))) - self.bass)

    @cached_property
    def tune(self) -> Music:
        """What is sung above the bass, without fill."""
        return self._above(tune_of(self.melody, self.bass, self.held_until))

    @cached_property
    def suspensions(self) -> tuple[Suspended, ...]:
        """What is suspended, in the line that is all there is, or above the bass."""
        line = self.upper_voice if self.bass else self
        return tuple(suspended_in(line.melody, line.stretches, is_line=not self.bass))

    def _above(self, notes: frozenset[int]) -> Music:
        strokes = self.melody.strokes
        return Music(part_of(self.melody, notes), tuple(strokes[phrase.first].onset for phrase in self.phrases))

    def backings(self, first: int, last: int) -> list[Backing]:
        """What these strokes are heard against, each chord once, in order."""
        return list(dict.fromkeys(self.melody.stroke_backings[first : last + 1]))

    def device(
        self, kind: str, first: int, last: int, sentence: str, data: dict[str, Any], main: bool = True
    ) -> Device:
        """A device of all notes of these strokes."""
        stretch = self.melody.stretch(first, last)
        return Device(kind, stretch, self.melody.notes_of(first, last), sentence, data, main)


def music_of(timeline: Timeline, hand: Hand | None = None, style: DegreeStyle = "plain") -> Music:
    """The music of a solo; `hand` is how it is played, if that is known already; `style` that of sentences."""
    return Music(melody_of(timeline, style), fingered=hand)


def _cells(strokes: Sequence[Struck]) -> list[Repeat]:
    """The repeated figures of a phrase; none within one of a shorter figure."""
    sounds = [struck.top if len(struck.pitches) == 1 else struck.pitches for struck in strokes]
    found: list[Repeat] = []
    taken = Taken(len(strokes))
    for size in range(1, MOST_IN_CELL + 1):
        fewest = 2 * size if size == 2 else size
        for start, equal in repeats(sounds, size, fewest):
            end = start + equal + size - 1
            if taken.holds(start, end):
                continue
            taken.add(start, end)
            if size > 1:
                spare = min(equal - fewest, size - 1)
                late = next((late for late in range(spare + 1) if strokes[start + late].is_on_beat), 0)
                times, rest = divmod(equal + size - late, size)
                found.append(Repeat(start + late, size, times, rest if rest > 1 else 0))
    return sorted(found)
