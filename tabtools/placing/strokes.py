"""What has to be placed: the strokes of a timeline, with the places that each of their notes can take."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

from tabtools.hand.grasp import JUST
from tabtools.hand.grip import FINGERS
from tabtools.model.instrument import Instrument
from tabtools.model.solo import PITCH_MOVES, Fret, Motion, Note
from tabtools.notation.marks import fret_named
from tabtools.placing.wish import Wish
from tabtools.timeline import TimedNote

BENT_BEYOND = 6
"""A bend may sound so many frets beyond the last one."""


class Goal(NamedTuple):
    """A move within a slot, at one place of its note: its sign and the fret it reaches; None is nowhere."""

    sign: str
    fret: Fret | None


class Option(NamedTuple):
    """A place that a note can take; `string` is 0 where none is known, `fret` None where there is none."""

    string: int
    fret: Fret | None
    goals: tuple[Goal, ...] = ()


NOWHERE = Option(0, None)


@dataclass(slots=True)
class WantedNote:
    """A note with the places it can take: one where it is placed, none where no string has them all.

    `end` is when its finger may leave; `bent` are the notes of the bends that follow in slots of their own;
    `trills` are frets of trills as written, `is_chosen` says that its place is looked for.
    """

    timed: TimedNote
    options: tuple[Option, ...]
    is_chosen: bool
    end: float
    declared: int = 0
    rings: bool = False
    trills: tuple[int, ...] = ()
    bent: list[WantedNote] = field(default_factory=list)


@dataclass(slots=True)
class WantedStroke:
    """Notes at one moment.

    `follows` says that the stroke before still sounds as it begins, `moves_pitch` that no finger comes down.
    """

    voices: tuple[WantedNote, ...]
    start: float
    follows: bool
    moves_pitch: bool


def strokes_of(
    notes: Sequence[TimedNote], instrument: Instrument, wish: Wish, moved: Collection[int] = ()
) -> list[WantedStroke]:
    """The strokes of these notes of a timeline, in order. `moved` are indices of placed notes to be placed anew."""
    places = _Places(instrument, wish)
    strokes: list[WantedStroke] = []
    for timed in notes:
        voice = _voice(timed, places, timed.index in moved)
        if timed.part > 1 and strokes:
            strokes[-1].voices += (voice,)
            strokes[-1].moves_pitch &= timed.via in PITCH_MOVES
            continue
        follows = bool(strokes) and max(one.timed.end for one in strokes[-1].voices) >= timed.start - JUST
        strokes.append(WantedStroke((voice,), timed.start, follows, timed.via in PITCH_MOVES))
    _let_sound(strokes)
    _keep_slurs(strokes)
    return strokes


def _voice(timed: TimedNote, places: _Places, is_moved: bool) -> WantedNote:
    note = timed.note
    declared = 0
    rings = False
    trills = []
    for mark in timed.marks:
        if mark.word == "lh" and not is_moved:
            declared = FINGERS.get(mark.argument, 0)
        elif mark.word == "ring":
            rings = True
        elif mark.word == "trill" and (fret := fret_named(mark.argument)) is not None:
            trills.append(fret)
    is_moved = is_moved and note.fret is not None and not (note.dead or note.touch is not None or timed.string == 0)
    is_chosen = is_moved or note.names_pitch
    stays = note.fret is not None or note.pitch is not None
    end = timed.end if stays else timed.start
    options = places.of(timed, is_moved)
    return WantedNote(timed, options, is_chosen, end, declared, rings and stays, tuple(trills))


def options_of(timed: TimedNote, instrument: Instrument, wish: Wish, is_moved: bool = False) -> tuple[Option, ...]:
    """The places that one note can take by itself."""
    return _Places(instrument, wish).of(timed, is_moved)


class _Places:
    """The places of notes on one instrument."""

    def __init__(self, instrument: Instrument, wish: Wish):
        self.open = {string: instrument.open_midi(string) for string in range(1, instrument.strings + 1)}
        self.last = max(1, instrument.frets - instrument.capo)
        self.wish = wish
        self.free: dict[tuple[int, bool, bool], tuple[Option, ...]] = {}

    def of(self, timed: TimedNote, is_moved: bool) -> tuple[Option, ...]:
        """The places of a note, from the highest string to the lowest; of a pitch alone they are found once."""
        note = timed.note
        if note.pitch is None or timed.string or note.motions or is_moved:
            return tuple(self._of(timed, is_moved))
        key = note.pitch.midi, bool(note.via), timed.via in PITCH_MOVES
        options = self.free.get(key)
        if options is None:
            options = self.free[key] = tuple(self._of_pitch(timed, note.pitch.midi, is_moved))
        return options

    def _of(self, timed: TimedNote, is_moved: bool) -> Iterator[Option]:
        note = timed.note
        pitch = note.pitch.midi if note.pitch is not None else None
        if is_moved and timed.string in self.open and isinstance(note.fret, int):
            pitch = self.open[timed.string] + note.fret
        if pitch is not None:
            yield from self._of_pitch(timed, pitch, is_moved)
        elif note.fret is not None and not timed.string:
            options = [option for string in self.open if (option := self._at(timed, string, note.fret, 0)) is not None]
            yield from [option for option in options if self._sounds_as_heard(note, option)] or options
        elif note.names_pitch and timed.string in self.open:
            option = self._at(timed, timed.string, timed.fret, 0)
            if option is not None:
                yield option
        elif note.names_pitch:
            yield NOWHERE
        else:
            goals = tuple(Goal(motion.sign, motion.fret) for motion in timed.motions)
            yield Option(timed.string, timed.fret, goals)

    def _of_pitch(self, timed: TimedNote, pitch: int, is_moved: bool) -> Iterator[Option]:
        note, wish = timed.note, self.wish
        is_there = is_moved and note.fret is not None and wish.is_held(timed.string, note.fret)
        for string, open_midi in self.open.items():
            if not is_moved and timed.string not in (0, string):
                continue
            is_free = is_moved or not timed.string
            if is_free and wish.strings is not None and string not in wish.strings and not note.via:
                continue
            further = self.open[timed.string] - open_midi if is_moved else 0
            option = self._at(timed, string, pitch - open_midi, further)
            if option is not None and not (is_there and not wish.is_held(string, option.fret or 0)):
                yield option

    def _at(self, timed: TimedNote, string: int, fret: Fret | None, further: int) -> Option | None:
        """A note at a place, its written frets moved along; None where it or its moves are off the neck."""
        beyond = BENT_BEYOND if timed.via in PITCH_MOVES else 0
        if fret is None or not 0 <= fret <= self.last + beyond:
            return None
        goals = []
        for motion in timed.note.motions:
            reached = self._reached(motion, string, further)
            if reached is not None:
                beyond = BENT_BEYOND if motion.sign in ("b", "pb", "r", "w") else 0
                if not 0 <= reached <= self.last + beyond:
                    return None
            goals.append(Goal(motion.sign, reached))
        return Option(string, fret, tuple(goals))

    def _reached(self, motion: Motion, string: int, further: int) -> Fret | None:
        if motion.pitch is not None:
            return motion.pitch.midi - self.open[string]
        return None if motion.fret is None else motion.fret + further

    def _sounds_as_heard(self, note: Note, option: Option) -> bool:
        arrives = [option.fret, *(goal.fret for goal in option.goals if goal.fret is not None)]
        reached = arrives[-1]
        return note.heard is None or reached is None or self.open[option.string] + reached == note.heard.midi


def _keep_slurs(strokes: Sequence[WantedStroke]) -> None:
    """A note that placed ones go on from without a string of their own stays on theirs."""
    for before, stroke in pairwise(strokes):
        first = before.voices[0]
        for voice in stroke.voices:
            goes_on = voice.timed.note.via and voice.timed.note.string is None and not voice.is_chosen
            if goes_on and first.is_chosen and voice.timed.string:
                first.options = tuple(option for option in first.options if option.string == voice.timed.string)


def _let_sound(strokes: Sequence[WantedStroke]) -> None:
    """Bends go to the notes that they bend, and keep their fingers down; what rings lasts until silence."""
    silence = 0.0
    for number in range(len(strokes) - 1, -1, -1):
        stroke = strokes[number]
        ends = max(voice.timed.end for voice in stroke.voices)
        if number + 1 == len(strokes) or not strokes[number + 1].follows:
            silence = ends
        for voice in stroke.voices:
            if voice.rings:
                voice.end = max(voice.end, silence)
    bent: dict[int, WantedNote] = {}
    for before, stroke in zip((None, *strokes), strokes, strict=False):
        sounding, bent = bent, {}
        for part, voice in enumerate(stroke.voices):
            origin = sounding.get(part if voice.timed.note.string else 0) if stroke.follows else None
            if voice.timed.via in PITCH_MOVES and origin is not None and before is not None:
                if voice.timed.via == "b":
                    origin.bent.append(voice)
                origin.end = max(origin.end, voice.end)
                bent[part] = origin
            else:
                bent[part] = voice
