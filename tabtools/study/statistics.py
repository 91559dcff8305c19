"""What a solo uses, in numbers; and the same over a collection.

Every note with a pitch counts, a bend or release in its own slot too; times are those of the timeline. Notes whose
pitch is not known yet, and stretches that are not heard, are no dead notes.

- Degrees are over the chord, by chord type (`m7`, `major` for a plain major triad); under no chord they are those of
  the key, under `no chord`.
- Strong beats are those of `tabtools.study.melody.is_strong`; a stroke counts there with each of its notes. Chord tones
  are told over the chord, whatever the note's role is; notes under no chord or a doubtful count are left out.
- Scales are the smallest that explain each phrase of four tones or more (`tabtools.study.palette`), by type; phrases
  that only the chromatic scale explains are `none`.
- Density is how many strokes begin on a count or within it; bars out of time are left out, and so are counts on which
  that is not known: where something is not heard, and several counts whose rhythm is doubtful.
- Positions are those of `tabtools.hand.position`, with the notes from the first fretted there to the last.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import groupby
from operator import itemgetter
from typing import Any, NamedTuple

from tabtools.hand.position import Stay
from tabtools.harmony.chords import chord_type
from tabtools.model.pitch import Tone, nearest_semitone
from tabtools.study.backing import Backing
from tabtools.study.devices.device import Device
from tabtools.study.labels import pitch_in_words
from tabtools.study.melody import Melody
from tabtools.study.music import Music
from tabtools.study.palette import explain
from tabtools.study.phrases import Phrase
from tabtools.study.role import Role
from tabtools.study.techniques import techniques_of
from tabtools.timeline import TimedBar
from tabtools.timeline.written_names import written_tone

FEWEST_TONES = 4
USUAL = frozenset(
    (
        *("major", "minor", "dorian", "mixolydian", "phrygian", "lydian", "harmonic minor", "melodic minor"),
        *("major pentatonic", "minor pentatonic", "blues", "major blues"),
    )
)
"""Scales that people say a solo is in."""
FEWEST_PHRASES, REAL_SHARE = 2, 0.2
"""What of the phrases have to be in a scale so that it is told of the whole solo."""
NO_CHORD, MAJOR, NO_SCALE = "no chord", "major", "no one scale"


class NamedPitch(NamedTuple):
    """A pitch as a MIDI number, and its name where it is played."""

    midi: int
    name: str


@dataclass(frozen=True, slots=True)
class Statistics:
    """Counts of one solo, or of several.

    `degrees` are by chord type and degree, `strong` and `weak` the notes over a chord on strong beats and elsewhere,
    `strong_chord_tones` and `weak_chord_tones` how many of these are chord tones. `density` is how many counts have so
    many strokes. `lowest` and `highest` are None without a pitch. `positions` are frets of the first
    finger, `strings` string numbers, `techniques` count notes. `seconds` is how long the solos last, `fastest` the
    strokes a second in the fullest bar.
    """

    solos: int = 0
    seconds: float = 0.0
    notes: int = 0
    strokes: int = 0
    dead: int = 0
    uncertain: int = 0
    strong: int = 0
    strong_chord_tones: int = 0
    weak: int = 0
    weak_chord_tones: int = 0
    lowest: NamedPitch | None = None
    highest: NamedPitch | None = None
    fastest: float = 0.0
    degrees: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    roles: Mapping[str, int] = field(default_factory=dict)
    scales: Mapping[str, int] = field(default_factory=dict)
    devices: Mapping[str, int] = field(default_factory=dict)
    density: Mapping[int, int] = field(default_factory=dict)
    positions: Mapping[int, int] = field(default_factory=dict)
    strings: Mapping[int, int] = field(default_factory=dict)
    techniques: Mapping[str, int] = field(default_factory=dict)

    @property
    def strong_share(self) -> float | None:
        """The share of chord tones on strong beats, 0 to 1; None without notes there."""
        return self.strong_chord_tones / self.strong if self.strong else None

    @property
    def weak_share(self) -> float | None:
        """The share of chord tones everywhere else."""
        return self.weak_chord_tones / self.weak if self.weak else None

    @property
    def told_scales(self) -> dict[str, int]:
        """The usual scales that two phrases or more, a fifth of all, are in."""
        fewest = max(FEWEST_PHRASES, REAL_SHARE * sum(self.scales.values()))
        return _ranked({name: count for name, count in self.scales.items() if name in USUAL and count >= fewest})

    def to_dict(self) -> dict[str, Any]:
        """Plain values for JSON: counts from the most to the least, then by name; keys are strings."""
        plain: dict[str, Any] = {
            "solos": self.solos,
            "seconds": round(self.seconds, 3),
            "notes": self.notes,
            "strokes": self.strokes,
            "dead": self.dead,
            "uncertain": self.uncertain,
            "chord_tones": {
                "strong_beats": _share(self.strong_chord_tones, self.strong),
                "elsewhere": _share(self.weak_chord_tones, self.weak),
            },
            "lowest": None if self.lowest is None else self.lowest.name,
            "highest": None if self.highest is None else self.highest.name,
            "fastest": round(self.fastest, 3),
            "degrees": {name: _ranked(self.degrees[name]) for name in _ranked(_totals(self.degrees))},
        }
        for name in ("roles", "scales", "devices", "techniques"):
            plain[name] = _ranked(getattr(self, name))
        for name in ("density", "positions", "strings"):
            plain[name] = {str(key): count for key, count in sorted(getattr(self, name).items())}
        return plain


def statistics_of(music: Music, roles: tuple[Role, ...], devices: Iterable[Device]) -> Statistics:
    """The statistics of one solo from what has been worked out of it."""
    melody = music.melody
    timeline = melody.timeline
    pitches = [
        (note.midi if type(note.midi) is int else nearest_semitone(note.midi), note)
        for note in timeline.notes
        if note.midi is not None
    ]
    extremes = [pick(pitches, key=itemgetter(0), default=None) for pick in (min, max)]
    key = timeline.solo.header.key
    lowest, highest = (one and NamedPitch(one[0], pitch_in_words(one[1], one[0], key)) for one in extremes)
    beats = _beats(melody, roles)
    return Statistics(
        solos=1,
        seconds=timeline.seconds,
        notes=len(pitches),
        strokes=len(melody.strokes),
        dead=sum([note.note.dead for note in timeline.notes]),
        uncertain=sum([role.uncertain for role in roles]),
        strong=beats[True, True] + beats[True, False],
        strong_chord_tones=beats[True, True],
        weak=beats[False, True] + beats[False, False],
        weak_chord_tones=beats[False, True],
        lowest=lowest,
        highest=highest,
        fastest=_fastest(melody),
        degrees=_degrees(melody),
        roles=Counter([role.kind for role in roles]),
        scales=Counter(_scale(melody, phrase) for phrase in music.phrases if _tones(melody, phrase) >= FEWEST_TONES),
        devices=Counter(device.kind for device in devices),
        density=_density(melody),
        positions=_positions(music.stays),
        strings=Counter([note.string for note in timeline.notes if note.string]),
        techniques=_techniques(melody),
    )


def summed(parts: Iterable[Statistics]) -> Statistics:
    """The statistics of several solos together, whatever their order."""
    parts = tuple(parts)
    lows = [part.lowest for part in parts if part.lowest is not None]
    highs = [part.highest for part in parts if part.highest is not None]
    degrees: dict[str, Counter[str]] = {}
    for part in parts:
        for name, own in part.degrees.items():
            degrees.setdefault(name, Counter()).update(own)
    added: dict[str, Any] = {name: sum(getattr(part, name) for part in parts) for name in _ADDED}
    counts = {name: [Counter(getattr(part, name)) for part in parts] for name in _JOINED}
    joined: dict[str, Any] = {name: sum(own, Counter()) for name, own in counts.items()}
    return Statistics(
        seconds=sum(sorted(part.seconds for part in parts)),
        lowest=min(lows, default=None),
        highest=max(highs, default=None),
        fastest=max((part.fastest for part in parts), default=0.0),
        degrees=degrees,
        **added,
        **joined,
    )


_ADDED = (
    *("solos", "notes", "strokes", "dead", "uncertain"),
    *("strong", "strong_chord_tones", "weak", "weak_chord_tones"),
)
_JOINED = ("roles", "scales", "devices", "density", "positions", "strings", "techniques")


def _beats(melody: Melody, roles: tuple[Role, ...]) -> Counter[tuple[bool, bool]]:
    """Notes over a chord, by whether they begin on a strong beat and whether they are chord tones."""
    found = []
    for struck, backing, is_on_beat in zip(melody.strokes, melody.stroke_backings, melody.on_beat, strict=True):
        if backing.chord is not None and struck.doubt is None:
            is_strong = is_on_beat and struck.is_on_strong_beat
            found += [(is_strong, roles[index].tone == "chord tone") for index in struck.notes]
    return Counter(found)


def _degrees(melody: Melody) -> dict[str, Counter[str]]:
    over: dict[Backing, list[tuple[int, Tone | None]]] = {backing: [] for backing in melody.backings}
    notes = melody.timeline.notes
    for struck in melody.strokes:
        for index, pitch in zip(struck.notes, struck.pitches, strict=True):
            over[melody.backings[index]].append((pitch % 12, written_tone(notes[index].note, pitch)))
    degrees: dict[str, Counter[str]] = {}
    for backing, found in over.items():
        if backing.degrees and found:
            counts = Counter(found)
            name = NO_CHORD if backing.chord is None else chord_type(backing.chord) or MAJOR
            ours = degrees.setdefault(name, Counter())
            for (pitch_class, written), count in counts.items():
                ours[backing.degree_in("plain", pitch_class, written)] += count
    return degrees


def _tones(melody: Melody, phrase: Phrase) -> int:
    return len({pitch % 12 for struck in melody.strokes[phrase.first : phrase.last + 1] for pitch in struck.pitches})


def _scale(melody: Melody, phrase: Phrase) -> str:
    strokes = melody.strokes[phrase.first : phrase.last + 1]
    backings = dict.fromkeys(melody.backings[struck.notes[0]] for struck in strokes)
    found = explain([pitch for struck in strokes for pitch in struck.pitches], list(backings))
    return found[0][1] if found else NO_SCALE


def _density(melody: Melody) -> dict[int, int]:
    dark = _dark_counts(melody)
    begin = [(struck.bar, struck.on_count) for struck in melody.strokes]
    begin += _unknown_counts(melody)
    begun = Counter([(id(bar), count) for bar, count in begin if bar.written.free is None])
    for place in dark & begun.keys():
        del begun[place]
    density = Counter(begun.values())
    lengths = Counter([(bar.length, bar.meter) for bar in melody.timeline.bars if bar.written.free is None])
    counts = sum(int(length / meter.beat) * times for (length, meter), times in lengths.items())
    if counts - len(dark) > len(begun):
        density[0] = counts - len(dark) - len(begun)
    return density


def _unknown_counts(melody: Melody) -> Iterator[tuple[TimedBar, int]]:
    """The bar and count of each stroke all of whose pitches are not known yet."""
    if not any(note.note.unknown for note in melody.timeline.notes):
        return
    bars = {bar.onset: bar for bar in melody.timeline.bars}
    for _, stroke in groupby(melody.timeline.notes, key=lambda note: (note.begins, note.address)):
        own = list(stroke)
        if any(note.note.unknown for note in own) and all(note.midi is None for note in own):
            bar = bars[own[0].begins.bar]
            yield bar, bar.first_count + int(own[0].begins.offset // bar.meter.beat)


def _dark_counts(melody: Melody) -> set[tuple[int, int]]:
    """The counts of which nobody knows how many strokes begin there, as (id of the bar, count)."""
    dark: set[tuple[int, int]] = set()
    bars = melody.timeline.bars
    onsets = [bar.onset for bar in bars]
    stretches = [(note.onset, note.release) for note in melody.timeline.notes if note.note.unheard]
    for bar in bars:
        doubtful = [line for line in bar.lines if line.line.doubtful and line.length > bar.meter.beat]
        stretches += [(line.onset, line.onset + line.length) for line in doubtful]
    for start, end in stretches:
        for bar in bars[bisect_right(onsets, start) - 1 : bisect_left(onsets, end)]:
            if bar.written.free is None:
                beat = bar.meter.beat
                first, last = max(start, bar.onset) - bar.onset, min(end - bar.onset, bar.length)
                counts = range(int(first // beat), int(-(-last // beat)))
                dark.update((id(bar), bar.first_count + count) for count in counts)
    return dark


def _fastest(melody: Melody) -> float:
    strokes = Counter([id(struck.bar) for struck in melody.strokes])
    bars = (bar for bar in melody.timeline.bars if bar.end > bar.start)
    return max((strokes[id(bar)] / (bar.end - bar.start) for bar in bars), default=0.0)


def _positions(stays: Iterable[Stay]) -> dict[int, int]:
    positions: Counter[int] = Counter()
    for stay in stays:
        positions[stay.position] += stay.last - stay.first + 1
    return positions


def _techniques(melody: Melody) -> Counter[str]:
    found: list[str] = []
    for note in melody.timeline.notes:
        if note.via or note.motions or note.marks or note.note.touch is not None or note.note.dead:
            found += techniques_of((note,))
    return Counter(found)


def _totals(degrees: Mapping[str, Mapping[str, int]]) -> dict[str, int]:
    return {name: sum(counts.values()) for name, counts in degrees.items()}


def _ranked(counts: Mapping[str, int]) -> dict[str, int]:
    return dict(sorted(counts.items(), key=lambda entry: (-entry[1], entry[0])))


def _share(part: int, whole: int) -> dict[str, Any]:
    return {"notes": whole, "chord_tones": part, "share": round(part / whole, 4) if whole else None}
