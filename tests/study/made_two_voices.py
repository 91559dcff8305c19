"""Solos of two voices made by hypothesis: a bass, fill and a tune, picked by marked fingers or left to ring."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import strategies as st
from made_studies import CHORD_TYPES, MODES
from study_cases import OPEN_STRINGS, timeline_of_text

from tabtools.model.pitch import FLAT_NAMES, SHARP_NAMES
from tabtools.timeline import Timeline

BASS, FILL, TUNE = (5, 50), (4, 57), (2, 66)
"""The string of each voice, and a pitch that lies well on it."""
PATTERNS = ("bt f i f bt f i t", "bt t b t", "b f i t b f i t", "bt f i t", "bt - t t", "t t t t", "b t bt t")


@dataclass(frozen=True)
class MadeBar:
    """A chord (a pitch class and a type), a pattern, and the pitches that bass, fill and tune take in turn."""

    chord: tuple[int, str] | None
    pattern: str
    bass: tuple[int, ...]
    fill: tuple[int, ...]
    tune: tuple[int, ...]


@dataclass(frozen=True)
class MadeVoices:
    """Bars in a key; `marked` where the fingers are told, `rings` where the notes are left to ring.

    `floor` says what the bass does: as each bar has it, down a semitone with each, or one note below all.
    """

    key: tuple[int, str] | None
    marked: bool
    rings: bool
    bars: tuple[MadeBar, ...]
    floor: str = "as made"

    def bass(self, number: int) -> tuple[int, ...]:
        """How far above its lowest pitch the bass stands in a bar."""
        if self.floor == "as made":
            return self.bars[number].bass
        return (4 - number % 6 if self.floor == "walks" else 0,)


def solos_of_two_voices() -> st.SearchStrategy[MadeVoices]:
    """Bars under changing or equal chords, with steps, pedals and alternation in the bass."""
    tones = st.integers(0, 11)
    chord = st.none() | st.tuples(tones, st.sampled_from((*CHORD_TYPES, "7sus4", "add9")))
    bass = st.lists(st.integers(-1, 4), min_size=1, max_size=2).map(tuple)
    fill = st.lists(st.integers(0, 4), min_size=1, max_size=2).map(tuple)
    tune = st.lists(st.integers(-2, 6), min_size=1, max_size=4).map(tuple)
    bar = st.builds(MadeBar, chord, st.sampled_from(PATTERNS), bass, fill, tune)
    bars = st.lists(bar, min_size=1, max_size=4).flatmap(
        lambda made: st.lists(st.sampled_from(made), min_size=len(made), max_size=8)
    )
    key = st.none() | st.tuples(tones, st.sampled_from(MODES))
    floor = st.sampled_from(("as made", "walks", "stays"))
    return st.builds(MadeVoices, key, st.booleans(), st.booleans(), bars.map(tuple), floor)


def written_voices(made: MadeVoices, by: int = 0, flats: bool = False, lower: int = 0) -> Timeline:
    """The solo in text, everything transposed by so many semitones, so many strings lower."""
    names = FLAT_NAMES if flats else SHARP_NAMES
    lines = ["meter: 4/4"]
    if made.key is not None:
        lines.append(f"key: {names[(made.key[0] + by) % 12]} {made.key[1]}")
    for number, bar in enumerate(made.bars, 1):
        symbol = "NC" if bar.chord is None else f"{names[(bar.chord[0] + by) % 12]}{bar.chord[1]}"
        lines += ["", f"bar {number}  {symbol}", f"1-4  {_slots(made, number - 1, by, lower)}"]
    return timeline_of_text("\n".join(lines) + "\n")


def _slots(made: MadeVoices, number: int, by: int, lower: int) -> str:
    bar = made.bars[number]
    counts = dict.fromkeys("bfit", 0)
    slots = []
    for slot in bar.pattern.split():
        notes = []
        for letter in slot.replace("-", ""):
            (string, base), own, finger = {
                "b": (BASS, made.bass(number), "p"),
                "f": (FILL, bar.fill, "i"),
                "i": ((FILL[0] - 1, FILL[1] + 5), bar.fill, "m"),
                "t": (TUNE, bar.tune, "a"),
            }[letter]
            pitch = base + by + own[counts[letter] % len(own)]
            counts[letter] += 1
            place = f"{string + lower}:{pitch - OPEN_STRINGS[string + lower - 1]}"
            notes.append(f"{place}[rh {finger}]" if made.marked else place)
        slots.append("+".join(notes) or "-")
    return f"{' '.join(slots)}{' [ring]' if made.rings else ''}"
