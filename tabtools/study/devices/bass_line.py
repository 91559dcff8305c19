"""What the bass does from note to note, or from chord to chord, in a solo of two voices.

Found: four different notes of the bass one after another, or its first notes in three bars or under three chords, that
go up, or down, by one or two semitones at a time: the bass walks. A note struck again is one note; of the first notes
of bars any may lie an octave away, where they are four or more. And the first notes
of the bass under four chords or more, three of them different, each the root of its chord.

`data`: `does` (`walks`, `roots`), `direction` (`up`, `down`; None of roots), `notes` (names), `degrees` (of each over
its chord, in either style; empty without chord and key), `by_semitones`, `over` (symbols).

Example: A, G, F# and F in the bass, a bar each, is "the bass walks down A G F# F under Am, Am/G, D/F# and Fmaj7".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import pairwise, takewhile

from tabtools.model.pitch import nearest_semitone
from tabtools.study.devices.bass_floor import Floor, floors_in, under
from tabtools.study.devices.device import Device
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import Music
from tabtools.study.phrases import KnownStretch

KIND = "bass line"
STEP, OCTAVE = 2, 12
TENTHS = (15, 16)
FEWEST_NOTES, FEWEST_FLOORS, FEWEST_ROOTS, FEWEST_DIFFERENT = 4, 3, 4, 3


def find(lower: Music) -> Iterator[Proposal]:
    """Each walk of the bass, note by note and chord by chord, and each row of roots."""
    for stretch in lower.stretches:
        floors = floors_in(lower, stretch)
        for walk in _walks(_notes(lower, stretch)):
            if len(walk) >= FEWEST_NOTES:
                yield _proposal(lower, walk, costs.NOTE[KIND], "walks")
        for walk in _walks(_in_one_octave(floors)):
            is_displaced = any(one.pitch != floor.pitch for one in walk for floor in floors if floor.first == one.first)
            if len(walk) >= (FEWEST_NOTES if is_displaced else FEWEST_FLOORS):
                yield _proposal(lower, walk, costs.NOTE[KIND], "walks")
        for row in _rows_of_roots(floors):
            yield _proposal(lower, row, costs.ROOT, "roots")


def _notes(lower: Music, stretch: KnownStretch) -> list[Floor]:
    """Every note of the bass."""
    melody = lower.melody
    places = range(stretch.first, stretch.last + 1)
    return [Floor(place, place, melody.strokes[place].pitches[-1], melody.backing(place)) for place in places]


def _in_one_octave(floors: Sequence[Floor]) -> list[Floor]:
    """The floors; one that is an octave away from where a step leads is taken as that step."""
    found: list[Floor] = []
    for floor in floors:
        pitch = floor.pitch
        if found:
            by = (pitch - found[-1].pitch + OCTAVE // 2) % OCTAVE - OCTAVE // 2
            if abs(by) <= STEP and abs(pitch - found[-1].pitch) in (OCTAVE + by, OCTAVE - by):
                pitch = found[-1].pitch + by
        found.append(floor._replace(pitch=pitch))
    return found


def _walks(line: Sequence[Floor]) -> Iterator[list[Floor]]:
    """The longest rows that go one way by steps; of a note struck again the first."""
    line = [one for at, one in enumerate(line) if not at or one.pitch != line[at - 1].pitch]
    walk = list(line[:1])
    for before, here in pairwise(line):
        move = here.pitch - before.pitch
        if abs(move) <= STEP and (len(walk) == 1 or (move > 0) == (walk[-1].pitch > walk[-2].pitch)):
            walk.append(here)
            continue
        yield walk
        walk = [before, here] if abs(move) <= STEP else [here]
    yield walk


def _rows_of_roots(floors: Sequence[Floor]) -> Iterator[list[Floor]]:
    """The longest rows of roots under changing chords; of a root struck again the first."""
    row: list[Floor] = []
    for floor in (*floors, None):
        if floor is not None and floor.backing.root == floor.pitch % 12:
            if not row or floor.pitch != row[-1].pitch:
                row.append(floor)
            continue
        if len(row) >= FEWEST_ROOTS and len({one.pitch % 12 for one in row}) >= FEWEST_DIFFERENT:
            yield row
        row = []


def _proposal(lower: Music, line: Sequence[Floor], each: float, does: str) -> Proposal:
    first, last = line[0].first, line[-1].first
    others = last - first + 1 - len(line)
    bits = costs.NAMING[KIND] + each * len(line) + costs.BASS_BETWEEN * others
    return Proposal(KIND, first, last, bits, each, partial(_device, lower, list(line), does))


def _has_a_tenth(lower: Music, floor: Floor) -> bool:
    """Whether the highest note that is plucked with a note of the bass is a third above its octave."""
    notes = lower.melody.timeline.notes
    bass = lower.melody.strokes[floor.first].notes[-1]
    first = bass - notes[bass].part + 1
    together = takewhile(lambda note: note.address == notes[bass].address, notes[first:])
    top = max([note.midi for note in together if note.midi is not None], default=floor.pitch)
    return nearest_semitone(top) - lower.melody.strokes[floor.first].pitches[-1] in TENTHS


def _device(lower: Music, line: Sequence[Floor], does: str) -> Device:
    names = [one.name for one in line]
    moves = [after.pitch - before.pitch for before, after in pairwise(line)]
    direction = None if does == "roots" else "up" if moves[0] > 0 else "down"
    if direction is None:
        played = lower.melody.timeline.notes
        is_open = all(played[lower.melody.strokes[one.first].notes[-1]].fret == 0 for one in line)
        said = f"{'open strings' if is_open else 'roots'} in the bass: {' '.join(names)}"
        said += ", the root of each chord" if is_open else ", one under each chord"
    else:
        said = f"the bass walks {direction} {' '.join(names)}{under([one.backing for one in line])}"
        said += ", by semitones" if all(abs(move) == 1 for move in moves) else ""
        said += ", the tune in tenths above it" if all(_has_a_tenth(lower, one) for one in line) else ""
    data = {
        "voice": "bass",
        "does": does,
        "direction": direction,
        "notes": names,
        "degrees": [one.backing.told[one.pitch % 12] for one in line if one.backing.degrees],
        "by_semitones": all(abs(move) == 1 for move in moves),
        "over": [backing.symbol for backing in lower.backings(line[0].first, line[-1].first)],
    }
    notes = tuple(lower.melody.strokes[one.first].notes[-1] for one in line)
    return Device(KIND, lower.melody.stretch(line[0].first, line[-1].first), notes, said, data)
