"""An alternating bass: on the counts the thumb goes to and fro between tones of the chord.

Found, in a solo of two voices: two bars or more, or two chords or more, one after another, under each of which the bass
notes on counts are two or more and no two neighbours the same. What the bass plays between the counts does not matter.

`data`: `tones` (what alternates, `root`, `fifth`, …; empty where that changes), `notes` (the names under each chord),
`over` (symbols).

Example: C and G under C, then F and C under F, is "the bass alternates root and fifth: C G, F C".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from tabtools.model.pitch import parse_tone, pitch_name
from tabtools.study.devices.bass_floor import Floor, floors_in
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import BASS_WORDS, listed
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music

KIND = "alternating bass"
FEWEST = 2
MOST_TOLD = 6


def find(music: Music) -> Iterator[Device]:
    """Each stretch of an alternating bass, in order."""
    lower = music.lower_voice
    for stretch in lower.stretches:
        row: list[list[int]] = []
        for floor in (*floors_in(lower, stretch), None):
            own = _on_counts(lower, floor) if floor else []
            tops = [lower.melody.strokes[place].pitches[-1] for place in own]
            if len(own) >= FEWEST and all(here != after for here, after in pairwise(tops)):
                row.append(own)
                continue
            if len(row) >= FEWEST:
                yield _device(lower, row)
            row = []


def _on_counts(lower: Music, floor: Floor) -> list[int]:
    return [place for place in range(floor.first, floor.last + 1) if lower.melody.strokes[place].is_on_beat]


def _device(lower: Music, row: Sequence[Sequence[int]]) -> Device:
    melody = lower.melody
    named = [_names(lower, own) for own in row]
    shown = [" ".join(names) for names in named]
    shown = [names for at, names in enumerate(shown) if not at or names != shown[at - 1]]
    if len(shown) > MOST_TOLD:
        shown = [*shown[:MOST_TOLD], "…"]
    tones = {_tones(lower, own) for own in row}
    (same,) = tones if len(tones) == 1 else ((),)
    said = f"the bass alternates {listed(same)}" if same else "the bass alternates"
    data = {
        "voice": "bass",
        "tones": list(same),
        "notes": named,
        "over": [backing.symbol for backing in lower.backings(row[0][0], row[-1][-1])],
    }
    notes = tuple(sorted(melody.strokes[at].notes[-1] for own in row for at in own))
    where = stretch_of(melody.timeline.notes, notes[0], notes[-1])
    return Device(KIND, where, notes, f"{said}: {', '.join(shown)}", data, main=False)


def _names(lower: Music, own: Sequence[int]) -> list[str]:
    """What alternates, once, by names; with octaves where the names are the same."""
    pitches = list(dict.fromkeys(lower.melody.strokes[place].pitches[-1] for place in own))
    tones = lower.melody.backing(own[0]).names
    names = [tones[pitch % 12] for pitch in pitches]
    if len(set(names)) == len(names):
        return names
    return [pitch_name(pitch, parse_tone(tones[pitch % 12])) for pitch in pitches]


def _tones(lower: Music, own: Sequence[int]) -> tuple[str, ...]:
    """`("root", "fifth")`: each tone once, in order; empty without a chord."""
    backing = lower.melody.backing(own[0])
    if backing.chord is None:
        return ()
    first = lower.melody.strokes[own[0]].pitches[-1]
    said = []
    for place in own:
        top = lower.melody.strokes[place].pitches[-1]
        word = BASS_WORDS[int(backing.degrees[top % 12][-1])]
        said.append("octave" if top != first and (top - first) % 12 == 0 and word == "root" else word)
    return tuple(dict.fromkeys(said))
