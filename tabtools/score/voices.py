"""The voices of each bar: one, or what stands above the bass and the bass itself, each written as a line of its own.

A bar in which one of them has nothing is written in one voice, and so is one in which both come too near to each other
to stand side by side. A note that rings is written up to the next of its own voice, as long as it sounds.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from tabtools.model.pitch import LETTERS
from tabtools.score.measures import measures_of
from tabtools.score.records import Measure, WrittenEvent
from tabtools.score.sounding import sounding_of
from tabtools.score.spelling import spelled
from tabtools.score.stations import stations_of
from tabtools.score.two_voices import bass_notes
from tabtools.timeline import Timeline

NEAR = 2
"""Steps within which the heads of two voices would touch."""


def voices_of(timeline: Timeline, measures: Sequence[Measure]) -> list[tuple[Measure, ...]]:
    """The measures of each bar, the upper voice first; `measures` are those in one voice."""
    bass = bass_notes(timeline)
    if not bass:
        return [(measure,) for measure in measures]
    above = frozenset(range(len(timeline.notes))) - bass
    places = _HeadPlaces(timeline)
    apart: list[tuple[Measure, ...]] = []
    for upper, lower in zip(measures_of(timeline, above), measures_of(timeline, bass), strict=True):
        sounding = [one for one in (upper, lower) if any(event.notes for event in one.events)]
        is_clear = len(sounding) < 2 or not places.touch(upper, lower)
        apart.append(tuple(sounding or (upper,)) if is_clear else ())
    return _joined(measures, apart)


def unseen_rests(voices: Sequence[Measure]) -> list[frozenset[Fraction]]:
    """Where each voice of a bar rests without a rest being shown; the same for a drawn staff and a document.

    Every rest is shown, but where two voices stand side by side: a rest that both have alike stands once, with the
    upper voice, in the middle of the staff; and out of time, where no value is told, one voice has no rest while the
    other sounds: the one that falls silent last has it.
    """
    if len(voices) == 1:
        return [frozenset()]
    upper, lower = ({one.onset: one for one in voice.events if one.is_rest} for voice in voices)
    if voices[0].bar.written.free:
        return [
            frozenset([one for one in upper if not any(own.onset <= one < own.end for own in lower.values())]),
            frozenset([one for one in lower if not any(own.onset < one < own.end for own in upper.values())]),
        ]
    alike = [onset for onset in upper.keys() & lower.keys() if _are_alike(upper[onset], lower[onset])]
    return [frozenset(), frozenset(alike)]


def _are_alike(one: WrittenEvent, other: WrittenEvent) -> bool:
    values = [(rest.halvings, rest.dots, rest.has_value) for rest in (one, other)]
    return values[0] == values[1] and not (one.tuplets or other.tuplets)


def _joined(whole: Sequence[Measure], apart: list[tuple[Measure, ...]]) -> list[tuple[Measure, ...]]:
    """Every bar in its voices, or as one where it has none: what is tied to such a bar is one voice too."""
    waiting = [place for place, voices in enumerate(apart) if not voices]
    while waiting:
        place = waiting.pop()
        for beside, first in ((place - 1, place - 1), (place + 1, place)):
            if 0 <= beside < len(apart) and apart[beside] and _is_tied_over(whole, apart, first):
                apart[beside] = ()
                waiting.append(beside)
    return [voices or (measure,) for measure, voices in zip(whole, apart, strict=True)]


def _is_tied_over(whole: Sequence[Measure], apart: Sequence[tuple[Measure, ...]], place: int) -> bool:
    """Whether anything is tied from a bar to the next, in one voice or in several."""
    before = [voice.events[-1] for voice in (whole[place], *apart[place])]
    after = [voice.events[0] for voice in (whole[place + 1], *apart[place + 1])]
    out = any(note.tied_out for event in before for note in event.notes)
    return out or any(note.tied_in for event in after for note in event.notes)


class _HeadPlaces:
    """On which lines and spaces the heads of an event stand."""

    def __init__(self, timeline: Timeline):
        self.notes = timeline.notes
        self.key = timeline.solo.header.key
        self.stations = sounding_of(stations_of(timeline.notes, timeline.solo.header.instrument))

    def touch(self, upper: Measure, lower: Measure) -> bool:
        """Whether heads of both voices would stand in one column too near, or where no pitch tells where they stand."""
        below = {event.onset: event for event in lower.events if event.notes}
        for event in upper.events:
            other = below.get(event.onset)
            if other is None or not event.notes:
                continue
            lows, highs = self._steps(event), self._steps(other)
            if not lows or not highs or min(lows) - max(highs) < NEAR:
                return True
        return False

    def _steps(self, event: WrittenEvent) -> list[int]:
        """Every step that a head of an event, or a grace note before it, may stand on; none where one is not known."""
        steps = []
        for one in event.notes:
            for station in self.stations[one.index]:
                if station.pitch is None:
                    return []
                tone, octave, _ = spelled(station.pitch, self.notes[one.index].chord, self.key)
                steps.append(7 * octave + LETTERS.index(tone.letter))
        return steps
