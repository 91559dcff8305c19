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
    return tuple(_labels(note, chord_or_none(note.chord), key, style) for note in timeline.notes)


def _labels(note: TimedNote, chord: ChordSymbol | None, key: Key | None, style: DegreeStyle) -> Labels:
    if note.midi is None or note.attack is None:
        return NO_PITCH
    stations = _stations(note, note.midi)
    path = tuple(degree(midi, chord, style) for midi in stations) if chord else ()
    key_path = tuple(key_degree(midi, key) for midi in stations) if key else ()
    return Labels(
        spelled(note.attack, chord, key),
        spelled(note.midi, chord, key),
        path[-1] if path else None,
        key_path[-1] if key_path else None,
        path,
        key_path,
    )


def _stations(note: TimedNote, arrives: float) -> tuple[float, ...]:
    """The pitches a listener would name: a pitch move shows both ends, grace notes are passed over."""
    if note.note.only_moves_pitch:
        return (arrives,)
    bends = any(motion.sign in ("b", "r", "w", "pb") for motion in note.motions)
    return note.path if bends else (arrives,)
