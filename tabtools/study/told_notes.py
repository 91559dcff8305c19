"""Which notes are told one by one as being neither of the chord nor of the scale.

What a figure explains is told by its figure and not again by what its neighbours happen to be: within a sequence, an
arpeggio, a triad pair or the like nothing is enclosed, approached, anticipated or outside. A note with which a figure
begins before its chord comes still anticipates it. Passing and neighbour tones are told wherever they stand but in a
chromatic run. A note of the scale is not told where one outside it beside it leads to the same tone, and anticipates
nothing within a run; an altered tone over a dominant whose symbol asks for some passes nowhere: it is the chord's
colour.

One thing is told once: the notes of one stroke that do the same in one line, a power chord by its root, and a note that
is struck again at once and does the same only where it is struck first; an enclosure with both its notes, where the
first of those that are told stands; the same between the same neighbours once, with its places.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

from tabtools.model.pitch import parse_tone
from tabtools.study.devices import approach, chromatic_run, power_chords, scale_run
from tabtools.study.devices.chord_names import ALTERED, is_dominant
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
    figures = _Figures.of(study)
    told: dict[tuple[object, ...], ToldNote] = {}
    places: dict[tuple[object, ...], list[str]] = {}
    enclosures: set[tuple[int, ...]] = set()
    notable = [note for note, role in enumerate(study.roles) if role.kind not in PLAIN]
    shown = [note for note in notable if _is_told(note, study, figures)]
    among = frozenset(shown)
    for (_, kind), group in groupby(shown, lambda note: (study.melody.stroke_of[note], study.roles[note].kind)):
        notes = list(group)
        if all(_is_struck_again(note, study, among) for note in notes):
            continue
        said = "; ".join(dict.fromkeys(_said(note, study, figures) for note in notes))
        enclosing = figures.enclosing.get(notes[0]) if kind == "enclosure" else None
        if enclosing:
            if enclosing.notes in enclosures:
                continue
            enclosures.add(enclosing.notes)
        one = (kind, said) if enclosing else (kind, said, *_beside(notes[0], study))
        if one not in told:
            told[one] = ToldNote(study.timeline.notes[notes[0]], kind, said)
        else:
            places.setdefault(one, []).append(str(study.timeline.notes[notes[0]].address))
    return [
        note._replace(said=f"{note.said}; also {', '.join(places[one])}") if one in places else note
        for one, note in told.items()
    ]


def _beside(note: int, study: Study) -> tuple[object, ...]:
    """What sounds in the strokes before and after a note."""
    strokes, place = study.melody.strokes, study.melody.stroke_of[note]
    if place is None:
        return (note,)
    return tuple(struck.pitches for struck in strokes[max(0, place - 1) : place + 2])


class _Figures(NamedTuple):
    """What figures say of their notes.

    `within` are the notes of figures, with whether they stand inside one and not only at its beginning; `riffs` those
    of power chords and `enclosing` those that enclose another, with the device; `runs` those of runs behind their
    first, `semitones` those of chromatic runs.
    """

    within: Mapping[int, bool]
    riffs: Mapping[int, Device]
    enclosing: Mapping[int, Device]
    runs: frozenset[int]
    semitones: frozenset[int]

    @classmethod
    def of(cls, study: Study) -> _Figures:
        devices = study.devices
        return cls(
            _within(devices),
            {note: device for device in devices if device.kind == power_chords.KIND for note in device.notes},
            {
                note: device
                for device in devices
                if device.kind == approach.KIND and device.data["by"] == approach.ENCLOSURE
                for note in device.notes[:-1]
            },
            frozenset(note for device in devices if device.kind == scale_run.KIND for note in device.notes[1:]),
            frozenset(note for device in devices if device.kind == chromatic_run.KIND for note in device.notes),
        )


def _within(devices: Sequence[Device]) -> Mapping[int, bool]:
    """The notes of figures, with whether they stand inside one and not only at its beginning."""
    within: dict[int, bool] = {}
    for device in devices:
        if device.kind in FIGURES:
            for note in device.notes:
                within[note] = within.get(note, False) or note != device.notes[0]
    return within


def _is_told(note: int, study: Study, figures: _Figures) -> bool:
    """Whether a note that is no plain tone is told."""
    role, place = study.roles[note], study.melody.stroke_of[note]
    if role.tone == "scale note" and (
        role.rule == LEFT_EARLY or note in figures.runs or _leads_with_another(note, study)
    ):
        return False
    if role.kind in LEADING and note in figures.within:
        return role.kind == "anticipation" and not figures.within[note]
    if role.kind == "passing tone" and (note in figures.semitones or _is_altered(note, study)):
        return False
    return note not in figures.riffs or place is None or note == study.melody.strokes[place].notes[-1]


def _leads_with_another(note: int, study: Study) -> bool:
    """Whether the note beside it, which is outside the scale, leads to the same tone, and says the rest."""
    role, place, strokes = study.roles[note], study.melody.stroke_of[note], study.melody.strokes
    if role.kind not in ("enclosure", "approach") or place is None:
        return False
    beside = (study.roles[other] for struck in strokes[max(0, place - 1) : place + 2] for other in struck.notes)
    return any(one.target == role.target and one.tone != "scale note" and one.kind == role.kind for one in beside)


def _is_altered(note: int, study: Study) -> bool:
    """Whether a note is an altered tone over a dominant whose symbol asks for some."""
    backing, midi = study.melody.backings[note], study.timeline.notes[note].midi
    root = backing.root
    if root is None or midi is None or not is_dominant(backing):
        return False
    asks = any(backing.tones[(root + step) % 12] in ("chord tone", "extension") for step in ALTERED)
    return asks and round(midi - root) % 12 in ALTERED


def _is_struck_again(note: int, study: Study, shown: Container[int]) -> bool:
    """Whether the stroke just before has the same note, told in the same words."""
    melody, place = study.melody, study.melody.stroke_of[note]
    before = melody.strokes[place - 1].notes if place else ()
    pitch, role = study.timeline.notes[note].midi, study.roles[note]
    return any(
        study.timeline.notes[one].midi == pitch and study.roles[one].said == role.said and one in shown
        for one in before
    )


def _said(note: int, study: Study, figures: _Figures) -> str:
    role, riff = study.roles[note], figures.riffs.get(note)
    if role.kind == "enclosure" and note in figures.enclosing:
        return figures.enclosing[note].sentence
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
