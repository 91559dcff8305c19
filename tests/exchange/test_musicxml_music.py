"""What music21 reads from the documents is what the timeline says: pitches, onsets, lengths, places, bends, tempos."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

import pytest
from exported import DEMO, MADE, demo, made, made_open
from music21 import converter, note, stream

from tabtools.exchange import musicxml
from tabtools.model.solo import PITCH_MOVES
from tabtools.timeline import TimedNote, Timeline


class Sound(NamedTuple):
    """A note from where it is struck to the end of its last tie; without a pitch, it is None."""

    onset: Fraction
    length: Fraction
    pitch: float | None


def read(timeline: Timeline) -> stream.Part:
    (part,) = converter.parse(musicxml(timeline), format="musicxml", forceSource=True).parts
    return part


def near(value: float) -> Fraction:
    return Fraction(value).limit_denominator(100_000)


# ---- what music21 reads


def heard(part: stream.Part) -> Counter[Sound]:
    """The notes of a part, tied ones joined, in quarter notes as written; no grace notes but those tied to."""
    found: Counter[Sound] = Counter()
    open_ties: dict[float | None, list[Sound]] = {}
    for start, measure in zip(bounds_of(part), part.getElementsByClass(stream.Measure), strict=False):
        for one in sorted(measure.recurse().notes, key=lambda one: one.getOffsetInHierarchy(measure)):
            if "Harmony" in one.classes:
                continue
            onset = start + near(one.getOffsetInHierarchy(measure))
            for member in getattr(one, "notes", (one,)):
                pitch = None if isinstance(member, note.Unpitched) else member.pitch.ps
                sound = Sound(onset, near(one.quarterLength), pitch)
                tie = member.tie.type if member.tie else None
                if tie in ("stop", "continue"):
                    before = open_ties[pitch].pop(0)
                    assert before.onset + before.length == onset, "a tie leads to the next note"
                    sound = Sound(before.onset, before.length + sound.length, pitch)
                elif one.duration.isGrace:
                    continue
                if tie in ("start", "continue"):
                    open_ties.setdefault(pitch, []).append(sound)
                else:
                    found[sound] += 1
    assert not any(open_ties.values()), "every tie ends"
    return found


def bounds_of(part: stream.Part) -> list[Fraction]:
    """Where each measure starts, behind what the one before holds, and where the last ends."""
    bounds = [Fraction(0)]
    for measure in part.getElementsByClass(stream.Measure):
        bounds.append(bounds[-1] + near(measure.highestTime))
    return bounds


# ---- what the timeline says


def expected(timeline: Timeline, bounds: list[Fraction]) -> Counter[Sound]:
    """The notes of a timeline; a bar out of time stretched to its measure."""
    notes = timeline.notes
    rings = [False] * len(notes)
    ends: list[Fraction] = []
    for index, one in enumerate(notes):
        moves_on = one.via in PITCH_MOVES and one.origin is not None
        rings[index] = any(mark.word == "ring" for mark in one.marks) or (moves_on and rings[one.origin])
        later = next((other.onset for other in notes[index:] if other.onset > one.onset), one.release)
        ends.append(min(one.release, later) if rings[index] else one.release)
    begins = [one.onset for one in notes]
    goes_on = set()
    for index, one in enumerate(notes):
        moves_on = one.via in PITCH_MOVES and one.origin is not None and one.path and notes[one.origin].path
        if moves_on and ends[one.origin] == one.onset and not ornaments(one):
            begins[index] = begins[one.origin]
            goes_on.add(one.origin)
    written = Written(timeline, bounds)
    sounds = Counter()
    for index in range(len(notes)):
        if index not in goes_on:
            onset = written.at(begins[index])
            sounds[Sound(onset, written.at(ends[index], is_end=True) - onset, place_pitch(timeline, index))] += 1
    return sounds


class Written:
    """Where a moment of the timeline stands in the document."""

    def __init__(self, timeline: Timeline, bounds: list[Fraction]):
        self.bars = list(zip(timeline.bars, pairwise(bounds), strict=True))

    def at(self, moment: Fraction, is_end: bool = False) -> Fraction:
        for one, (start, end) in reversed(self.bars):
            if one.onset < moment or (one.onset == moment and not is_end):
                stretch = (end - start) / one.length if one.written.free else 1
                return start + (moment - one.onset) * stretch
        return moment


def place_pitch(timeline: Timeline, index: int) -> float | None:
    """The pitch of the place a note ends on, bends left out; of a harmonic, the nearest semitone."""
    one = timeline.notes[index]
    if one.midi is None:
        return None
    touched = harmonic_of(timeline, one)
    if touched is not None:
        return touched
    if one.held is None:
        return pitch_of_place(timeline, one)
    return timeline.solo.header.instrument.open_midi(one.string) + float(one.held)


def pitch_of_place(timeline: Timeline, one: TimedNote) -> float:
    """The pitch that an open note ends on, bends left out: the last that it is moved to, or its own."""
    moved = [motion.pitch for motion in one.motions if motion.sign in "hp/\\t" and motion.pitch is not None]
    if moved:
        return moved[-1].midi
    if one.via in PITCH_MOVES and one.origin is not None:
        return pitch_of_place(timeline, timeline.notes[one.origin])
    return one.note.pitch.midi


def ornaments(one: TimedNote) -> list[str]:
    """The moves within a note that make grace notes of what is before them."""
    return [motion.sign for motion in one.note.motions if one.path and motion.arrives and motion.sign in "hp/\\t"]


def harmonic_of(timeline: Timeline, one: TimedNote) -> float | None:
    if ornaments(one):
        return None
    if one.via in PITCH_MOVES and one.origin is not None:
        return harmonic_of(timeline, timeline.notes[one.origin])
    return float(round(one.path[0])) if one.note.touch is not None else None


# ---- the tests


def check(timeline: Timeline) -> None:
    part = read(timeline)
    assert heard(part) == expected(timeline, bounds_of(part))


@pytest.mark.parametrize("name", DEMO)
def test_demo(name: str) -> None:
    check(demo(name))


@pytest.mark.parametrize("first", MADE[::10])
def test_generated(first: int) -> None:
    for seed in range(first, first + 10):
        try:
            check(made(seed))
            check(made_open(seed))
        except AssertionError as error:
            raise AssertionError(f"seed {seed}: {error}") from error
