"""Every note's labels: its name, its degree over the chord of the moment and over the key."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import zip_longest

from tabtools.harmony.degrees import DegreeStyle, degree, key_degree, spelled
from tabtools.model.harmony import Key
from tabtools.model.pitch import Tone, parse_tone
from tabtools.model.solo import Heard as HeardPitch
from tabtools.notation.chords import chord_or_none
from tabtools.timeline import TimedNote, Timeline
from tabtools.timeline.readings import other_pitches
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


Names = tuple[Tone | None, Tone | None, tuple[Tone | None, ...]]
Heard = tuple[str | None, float | None, float, tuple[float, ...], Names]
"""A note as a listener names it: over which chord, from where it goes to where and by which pitches, and their names as
they were written."""
NO_NAMES: Names = (None, None, ())
NO_PITCH = Labels(None, None, None, None, (), ())


def labels_of(timeline: Timeline, style: DegreeStyle = "plain") -> tuple[Labels, ...]:
    """The labels of each note of the timeline, in its order."""
    key = timeline.solo.header.key
    known: dict[Heard, Labels] = {}
    found = []
    for note in timeline.notes:
        if note.midi is None:
            found.append(NO_PITCH)
            continue
        heard = note.chord, note.attack, note.midi, _stations(note, note.midi), _names(note)
        labels = known.get(heard)
        if labels is None:
            labels = known[heard] = _labels(heard, key, style)
        found.append(labels)
    return tuple(found)


def _names(note: TimedNote) -> Names:
    """How the pitches of a note were spelled as they were heard: where it begins, arrives, and on the way."""
    own = note.note
    if (own.heard is None and not own.names_pitch) or note.midi is None:
        return NO_NAMES
    begins = None if note.attack is None else written_tone(own, note.attack)
    stations = tuple([written_tone(own, station) for station in _stations(note, note.midi)])
    return begins, written_tone(own, note.midi), stations


@lru_cache(maxsize=8192)
def _labels(heard: Heard, key: Key | None, style: DegreeStyle) -> Labels:
    symbol, attack, midi, stations, (begins, arrives, tones) = heard
    chord = chord_or_none(symbol)
    both = list(zip_longest(stations, tones))
    path = tuple([degree(station, chord, style, tone) for station, tone in both]) if chord else ()
    key_path = tuple([key_degree(station, key, tone) for station, tone in both]) if key else ()
    return Labels(
        None if attack is None else spelled(attack, chord, key, begins),
        spelled(midi, chord, key, arrives),
        path[-1] if path else None,
        key_path[-1] if key_path else None,
        path,
        key_path,
    )


def labels_of_readings(note: TimedNote, timeline: Timeline, style: DegreeStyle = "plain") -> Iterator[Labels]:
    """The labels of the other readings of a note that are other pitches, in their order."""
    header = timeline.solo.header
    for other, midi in other_pitches(note, header.instrument):
        tone = parse_tone(other.name.rstrip("-0123456789")) if isinstance(other, HeardPitch) else None
        yield _labels((note.chord, midi, midi, (midi,), (tone, tone, (tone,))), header.key, style)


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
