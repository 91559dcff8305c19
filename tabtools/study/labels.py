"""Every note's labels: its name, its degree over the chord of the moment and over the key."""

from __future__ import annotations

from dataclasses import dataclass

from tabtools.harmony.degrees import DegreeStyle, degree, key_degree, spelled
from tabtools.model.harmony import ChordSymbol, Key
from tabtools.notation.chords import chord_or_none
from tabtools.timeline import TimedNote, Timeline
from tabtools.timeline.written_names import written_tone


@dataclass(frozen=True, slots=True)
class Labels:
    """What is known of one note's pitch.

    `pitch` names where it arrives, `attack_pitch` where it starts, as they were written or else as chord and key spell
    them; `degree` is over the chord, `key_degree`
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
    known: dict[tuple[object, ...], Labels] = {}
    found = []
    for note in timeline.notes:
        if note.midi is None:
            found.append(NO_PITCH)
            continue
        stations = _stations(note, note.midi)
        heard: tuple[object, ...] = note.chord, note.attack, note.midi, stations
        if note.note.heard is not None or note.note.names_pitch:
            heard = (*heard, note.note.heard, note.note.pitch, note.note.motions)
        labels = known.get(heard)
        if labels is None:
            labels = known[heard] = _labels(note, note.midi, stations, chords[note.chord], key, style)
        found.append(labels)
    return tuple(found)


def _labels(
    note: TimedNote,
    midi: float,
    stations: tuple[float, ...],
    chord: ChordSymbol | None,
    key: Key | None,
    style: DegreeStyle,
) -> Labels:
    tones = [written_tone(note.note, station) for station in stations]
    both = list(zip(stations, tones, strict=True))
    path = tuple(degree(station, chord, style, tone) for station, tone in both) if chord else ()
    key_path = tuple(key_degree(station, key, tone) for station, tone in both) if key else ()
    return Labels(
        None if note.attack is None else pitch_in_words(note, note.attack, key),
        pitch_in_words(note, midi, key),
        path[-1] if path else None,
        key_path[-1] if key_path else None,
        path,
        key_path,
    )


def pitch_in_words(note: TimedNote, midi: float, key: Key | None) -> str:
    """A pitch of a note as it was written, or else as its chord and the key spell it: `F#4`."""
    return spelled(midi, chord_or_none(note.chord), key, written_tone(note.note, midi))


def _stations(note: TimedNote, arrives: float) -> tuple[float, ...]:
    """The pitches a listener would name: a pitch move shows both ends, grace notes are passed over."""
    if note.note.only_moves_pitch:
        return (arrives,)
    if not note.motions:
        return (arrives,)
    bends = any(motion.sign in ("b", "r", "w", "pb") for motion in note.motions)
    return note.path if bends else (arrives,)
