"""Every note's labels: its name, its degree over the chord of the moment and over the key."""

from __future__ import annotations

from dataclasses import dataclass

from tabtools.harmony.degrees import DegreeStyle, degree, key_degree, spelled
from tabtools.model.harmony import ChordSymbol, Key
from tabtools.notation.chords import chord_or_none
from tabtools.timeline import TimedNote, Timeline


@dataclass(frozen=True, slots=True)
class Labels:
    """What is known of one note's pitch.

    `pitch` names where it arrives, `attack_pitch` where it starts; `degree` is over the chord, `key_degree`
    over the key, each of where it arrives, None where there is no chord, no key or no pitch. `path` and
    `key_path` are the degrees on the way: one for a plain note, `1`, `2` for a bend of a tone from the root.
    """

    attack_pitch: str | None
    pitch: str | None
    degree: str | None
    key_degree: str | None
    path: tuple[str, ...]
    key_path: tuple[str, ...]


NO_PITCH = Labels(None, None, None, None, (), ())


def labels_of(timeline: Timeline, style: DegreeStyle = "plain") -> tuple[Labels, ...]:
    """The labels of each note of the timeline, in its order."""
    key = timeline.solo.header.key
    chords = {symbol: chord_or_none(symbol) for symbol in {note.chord for note in timeline.notes}}
    known: dict[tuple[str | None, float | None, float, tuple[float, ...]], Labels] = {}
    found = []
    for note in timeline.notes:
        if note.midi is None:
            found.append(NO_PITCH)
            continue
        heard = note.chord, note.attack, note.midi, _stations(note, note.midi)
        labels = known.get(heard)
        if labels is None:
            labels = known[heard] = _labels(note.attack, note.midi, heard[-1], chords[note.chord], key, style)
        found.append(labels)
    return tuple(found)


def _labels(
    attack: float | None,
    midi: float,
    stations: tuple[float, ...],
    chord: ChordSymbol | None,
    key: Key | None,
    style: DegreeStyle,
) -> Labels:
    path = tuple(degree(midi, chord, style) for midi in stations) if chord else ()
    key_path = tuple(key_degree(midi, key) for midi in stations) if key else ()
    return Labels(
        None if attack is None else spelled(attack, chord, key),
        spelled(midi, chord, key),
        path[-1] if path else None,
        key_path[-1] if key_path else None,
        path,
        key_path,
    )


def _stations(note: TimedNote, arrives: float) -> tuple[float, ...]:
    """The pitches a listener would name: a pitch move shows both ends, grace notes are passed over."""
    if note.note.only_moves_pitch:
        return (arrives,)
    if not note.motions:
        return (arrives,)
    bends = any(motion.sign in ("b", "r", "w", "pb") for motion in note.motions)
    return note.path if bends else (arrives,)
