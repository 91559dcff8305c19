"""Wide bends, and where they lead.

Found: a note bent by three semitones or more above the pitch of the fret that is held: at once, before it is struck, or
by a slot that moves its pitch. (A whole tone is everyday, common practice.) Of several bends of one note the widest
counts.

`data`: `semitones` (how wide; a quarter tone is 0.5), `from` and `to` (degrees over the chord, in the plain style, None
without chord and key), `tone` (what the target is over the chord: `chord tone`, `extension`, `scale note`, `chromatic`,
or empty), `over` (the symbol, None for no chord).

Example: `2:8b11` over C is "bend of a minor third, from 5 to b7 of C, outside the scale".
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from tabtools.model.pitch import nearest_semitone
from tabtools.model.solo import PITCH_MOVES
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import INTERVALS
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music
from tabtools.timeline import TimedNote

KIND = "wide bend"
NARROWEST = 3
WHERE = {
    "chord tone": "a chord tone",
    "extension": "an extension",
    "scale note": "outside the chord",
    "chromatic": "outside the scale",
}


def find(music: Music) -> Iterator[Device]:
    """Each wide bend, in order."""
    notes = music.melody.timeline.notes
    for index, note in enumerate(notes):
        if note.midi is not None and (note.via == "b" or note.motions):
            frets, target = max(_bends(note), default=(0, 0.0), key=lambda bend: bend[0])
            if frets >= NARROWEST:
                yield _device(music, index, float(frets), target)


def _bends(note: TimedNote) -> Iterator[tuple[Fraction | int, float]]:
    """How many frets each bend of a note goes beyond the fret held, and the pitch it reaches (a MIDI number)."""
    held, place = note.fret or 0, 0
    if note.via in PITCH_MOVES:
        moved = sum(1 for motion in note.motions if motion.fret is not None and motion.sign != "pb")
        place = len(note.path) - 1 - moved
        if note.via == "b" and note.note.fret is not None:
            yield note.note.fret - held, note.path[place]
    for motion in note.motions:
        if motion.fret is None:
            continue
        if motion.sign != "pb":
            place += 1
        if motion.sign in ("b", "pb"):
            yield motion.fret - held, note.path[place]
        elif motion.sign not in PITCH_MOVES:
            held = motion.fret


def _device(music: Music, index: int, semitones: float, target: float) -> Device:
    backing = music.melody.backings[index]
    reached, left = nearest_semitone(target) % 12, nearest_semitone(target - semitones) % 12
    names = backing.degrees or backing.names
    far = INTERVALS.get(int(semitones) if semitones.is_integer() else 0, f"{semitones:g} semitones")
    said = f"bend of {far}, from {names[left]} to {names[reached]}"
    if backing.degrees:
        said += f" of {backing.place}"
    if backing.tones[reached]:
        said += f", {WHERE[backing.tones[reached]]}"
    data = {
        "semitones": int(semitones) if semitones.is_integer() else semitones,
        "from": backing.degrees[left] if backing.degrees else None,
        "to": backing.degrees[reached] if backing.degrees else None,
        "tone": backing.tones[reached],
        "over": backing.symbol,
    }
    return Device(KIND, stretch_of(music.melody.timeline.notes, index, index), (index,), said, data, main=False)
