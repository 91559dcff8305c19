"""Solos made by hypothesis as pitches, and written at one place or another of the neck."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from hypothesis import strategies as st
from study_cases import OPEN_STRINGS, timeline_of_text

from tabtools.model.pitch import FLAT_NAMES, SHARP_NAMES, pitch_name
from tabtools.timeline import Timeline

LOWEST, HIGHEST = 57, 76
CHORD_TYPES = ("", "m", "7", "m7", "maj7", "9", "m9", "7b9", "7alt", "m7b5", "dim7", "6", "sus4", "maj7#11", "5")
MODES = ("major", "minor", "dorian", "mixolydian", "blues", "harmonic minor", "minor pentatonic")


@dataclass(frozen=True)
class Slot:
    """One slot: pitches struck together (none: a rest), how they are reached, and a bend in semitones."""

    pitches: tuple[int, ...]
    via: str = ""
    bend: int = 0


@dataclass(frozen=True)
class Made:
    """Bars of four beats; `chords` are pitch class and type, None for no chord; `key` likewise."""

    chords: tuple[tuple[int, str] | None, ...]
    key: tuple[int, str] | None
    bars: tuple[tuple[tuple[Slot, ...], ...], ...]


Places = Callable[[tuple[int, ...]], tuple[int, ...]]
"""The strings for pitches that sound together, in their order; 0 where the place is left open."""


def solos() -> st.SearchStrategy[Made]:
    """Walks by steps and leaps, figures that come again, double stops, rests and bends over changing chords."""
    tones = st.integers(0, 11)
    chord = st.none() | st.tuples(tones, st.sampled_from(CHORD_TYPES))
    key = st.none() | st.tuples(tones, st.sampled_from(MODES))
    move = st.sampled_from((-7, -5, -4, -3, -2, -1, -1, 1, 1, 2, 3, 4, 5, 7))
    figure = st.lists(move, min_size=2, max_size=6)
    pedal = st.lists(st.integers(1, 7), min_size=4, max_size=5).map(
        lambda ways: [m for way in ways for m in (way, -way)]
    )
    run = st.tuples(st.lists(st.sampled_from((1, 2, 2, 3)), min_size=4, max_size=7), st.sampled_from((1, -1)))
    figure |= pedal | run.map(lambda drawn: [step * drawn[1] for step in drawn[0]])
    moves = st.lists(st.tuples(figure, st.integers(1, 4)), min_size=3, max_size=8)
    kinds = st.lists(st.sampled_from("nnnnnnnndddrbt"), min_size=8, max_size=8)
    return st.builds(_made, st.lists(chord, min_size=1, max_size=4), key, moves, kinds, st.integers(1, 4))


def _made(chords: list, key: tuple[int, str] | None, moves: list, kinds: list[str], a_beat: int) -> Made:
    pitch, slots = 66, []
    for figure, times in moves:
        for move in figure * times:
            pitch += move
            if not LOWEST <= pitch <= HIGHEST:
                pitch += -12 if pitch > HIGHEST else 12
            slots.append(_slot(pitch, kinds[len(slots) % len(kinds)]))
    beats = [tuple(slots[start : start + a_beat]) for start in range(0, len(slots), a_beat)]
    bars = tuple(tuple(beats[start : start + 4]) for start in range(0, len(beats), 4))
    return Made(tuple(chords), key, bars)


def _slot(pitch: int, kind: str) -> Slot:
    if kind == "r":
        return Slot(())
    if kind == "d":
        return Slot((pitch, pitch - 4))
    return Slot((pitch,), "t" if kind == "t" else "", 2 if kind == "b" else 0)


def written(made: Made, places: Places, by: int = 0, flats: bool = False, heard: bool = False) -> Timeline:
    """The solo written at these places, everything transposed by so many semitones; as strings and pitches where
    it is written as `heard`."""
    names = FLAT_NAMES if flats else SHARP_NAMES
    lines = ["meter: 4/4"]
    if made.key is not None:
        lines.append(f"key: {names[(made.key[0] + by) % 12]} {made.key[1]}")
    for number, bar in enumerate(made.bars, 1):
        chord = made.chords[(number - 1) % len(made.chords)]
        symbol = "NC" if chord is None else f"{names[(chord[0] + by) % 12]}{chord[1]}"
        lines += ["", f"bar {number}  {symbol}"]
        for count, beat in enumerate(bar, 1):
            lines.append(f"{count}  {' '.join(_text(slot, places, by, heard) for slot in beat)}")
    return timeline_of_text("\n".join(lines) + "\n")


def _text(slot: Slot, places: Places, by: int, heard: bool) -> str:
    if not slot.pitches:
        return "."
    notes = []
    for pitch, string in zip(slot.pitches, places(slot.pitches), strict=True):
        if heard or not string:
            where = f"{string}:" if string else ""
            bend = f"b={pitch_name(pitch + by + slot.bend)}" if slot.bend else ""
            notes.append(f"{slot.via}{where}={pitch_name(pitch + by)}{bend}")
            continue
        fret = pitch + by - OPEN_STRINGS[string - 1]
        notes.append(f"{slot.via}{string}:{fret}{f'b{fret + slot.bend}' if slot.bend else ''}")
    return "+".join(notes)


def usual(pitches: tuple[int, ...]) -> tuple[int, ...]:
    """The highest strings from the fourth fret on, so that a few semitones lower are there too."""
    return _strings(pitches, range(1, 7))


def lower(pitches: tuple[int, ...]) -> tuple[int, ...]:
    """The same pitches a string lower."""
    return tuple(string + 1 for string in usual(pitches))


def nowhere(pitches: tuple[int, ...]) -> tuple[int, ...]:
    """No places at all."""
    return tuple(0 for _ in pitches)


def _strings(pitches: tuple[int, ...], strings: range) -> tuple[int, ...]:
    chosen: list[int] = []
    for pitch in pitches:
        free = (string for string in strings if string not in chosen and pitch - OPEN_STRINGS[string - 1] >= 4)
        chosen.append(next(free))
    return tuple(chosen)
