"""Which notes are told one by one as being neither of the chord nor of the scale.

What a figure explains is told by its figure and not again by what its neighbours happen to be: within a sequence, an
arpeggio, a triad pair or the like nothing is enclosed, approached, anticipated or outside. A note with which a figure
begins before its chord comes still anticipates it. Passing and neighbour tones are told wherever they stand.

One thing is told once: the notes of one stroke that do the same in one line, a power chord by its root, and a note that
is struck again at once and does the same only where it is struck first.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

from tabtools.model.pitch import parse_tone
from tabtools.study.devices import power_chords
from tabtools.study.devices.device import Device
from tabtools.study.role import Role, RoleKind
from tabtools.study.study import Study
from tabtools.study.told_figures import FIGURES
from tabtools.timeline import TimedNote

PLAIN: frozenset[RoleKind] = frozenset(
    ("chord tone", "extension", "scale note", "no pitch", "not known", "bend target")
)
LEADING: frozenset[RoleKind] = frozenset(("enclosure", "approach", "anticipation", "outside"))
LEFT_EARLY = "left early"
"""The rule of a note that is only of the chord to come; where the scale has it nobody hears that."""


class ToldNote(NamedTuple):
    """A note that is told, and what is told of it; of several in one stroke the first."""

    note: TimedNote
    kind: RoleKind
    said: str


def told_notes(study: Study) -> list[ToldNote]:
    """The notes that are told, in the order of the timeline."""
    within = _within(study.devices)
    riffs = {note: device for device in study.devices if device.kind == power_chords.KIND for note in device.notes}
    told: list[ToldNote] = []
    notable = [note for note, role in enumerate(study.roles) if role.kind not in PLAIN]
    shown = [note for note in notable if _is_told(note, study, within, riffs)]
    among = frozenset(shown)
    for (_, kind), group in groupby(shown, lambda note: (study.melody.stroke_of[note], study.roles[note].kind)):
        notes = list(group)
        if all(_is_struck_again(note, study, among) for note in notes):
            continue
        said = "; ".join(dict.fromkeys(_said(note, study, riffs.get(note)) for note in notes))
        told.append(ToldNote(study.timeline.notes[notes[0]], kind, said))
    return told


def _within(devices: Sequence[Device]) -> Mapping[int, bool]:
    """The notes of figures, with whether they stand inside one and not only at its beginning."""
    within: dict[int, bool] = {}
    for device in devices:
        if device.kind in FIGURES:
            for note in device.notes:
                within[note] = within.get(note, False) or note != device.notes[0]
    return within


def _is_told(note: int, study: Study, within: Mapping[int, bool], riffs: Mapping[int, Device]) -> bool:
    """Whether a note that is no plain tone is told."""
    role, place = study.roles[note], study.melody.stroke_of[note]
    if role.rule == LEFT_EARLY and role.tone == "scale note":
        return False
    if role.kind in LEADING and note in within:
        return role.kind == "anticipation" and not within[note]
    return note not in riffs or place is None or note == study.melody.strokes[place].notes[-1]


def _is_struck_again(note: int, study: Study, shown: Container[int]) -> bool:
    """Whether the stroke just before has the same note, told in the same words."""
    melody, place = study.melody, study.melody.stroke_of[note]
    before = melody.strokes[place - 1].notes if place else ()
    pitch, role = study.timeline.notes[note].midi, study.roles[note]
    return any(
        study.timeline.notes[one].midi == pitch and study.roles[one].said == role.said and one in shown
        for one in before
    )


def _said(note: int, study: Study, riff: Device | None) -> str:
    role = study.roles[note]
    return (riff and _chord_said(note, role, study, riff)) or role.said


def _chord_said(note: int, role: Role, study: Study, riff: Device) -> str:
    """`Bb5, a semitone below B5`; empty where the power chord does not lead to another by a semitone."""
    if role.target is None:
        return ""
    named = dict(_chords(riff))
    here, goal = study.timeline.notes[note].midi, study.timeline.notes[role.target].midi
    if here is None or goal is None or abs(goal - here) != 1 or not {here % 12, goal % 12} <= named.keys():
        return ""
    return f"{named[here % 12]}, a semitone {'below' if goal > here else 'above'} {named[goal % 12]}"


def _chords(riff: Device) -> Iterator[tuple[float, str]]:
    for chord in riff.data["chords"]:
        yield parse_tone(chord.removesuffix("5")).pitch_class, chord
