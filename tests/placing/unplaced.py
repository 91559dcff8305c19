"""Solos whose places are taken away, the pitches left: what `place` has to find again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from tabtools.model.instrument import Instrument
from tabtools.model.pitch import pitch_name
from tabtools.model.solo import Heard, Motion, Note, Solo
from tabtools.notation.build import read_solo
from tabtools.placing.placed import with_places, written_notes
from tabtools.source import Span, from_text
from tabtools.timeline import TimedNote, timeline_of

DEMO = sorted((Path(__file__).parents[2] / "transcriptions").glob("*.solo"))
TELLING = ("lh", "trill")
"""Marks that tell a place."""


def demo_solo(path: Path) -> Solo:
    return read_solo(from_text(path.read_text(encoding="utf-8"))).solo


def without_places(solo: Solo, stays: Callable[[TimedNote], bool] = lambda note: False) -> tuple[Solo, set[Span]]:
    """The solo with pitches in the place of frets, and where nothing but the pitch is left.

    Dead notes, harmonics and quarter tones keep their places. A move onto a string that nothing sounds on keeps its
    string: without it, it would be a move on another.
    """
    instrument = solo.header.instrument
    bare: dict[Span, Note] = {}
    for timed in written_notes(timeline_of(solo)):
        if not stays(timed) and instrument.has_string(timed.string) and can_be_bare(timed.note):
            bare[timed.note.span] = _bare(timed, instrument)
    return with_places(solo, bare), {span for span, note in bare.items() if note.string is None}


def can_be_bare(note: Note) -> bool:
    frets = [note.fret, *(motion.fret for motion in note.motions if motion.fret is not None)]
    return not note.dead and note.touch is None and all(fret is not None and fret == int(fret) for fret in frets)


def _bare(timed: TimedNote, instrument: Instrument) -> Note:
    note = timed.note
    open_midi = instrument.open_midi(timed.string)
    assert note.fret is not None
    return replace(
        note,
        string=note.string if note.via else None,
        fret=None,
        pitch=_heard(open_midi + int(note.fret)),
        heard=None,
        motions=tuple(
            motion if motion.fret is None else Motion(motion.sign, None, _heard(open_midi + int(motion.fret)))
            for motion in note.motions
        ),
        marks=tuple(mark for mark in note.marks if mark.word not in TELLING),
    )


def _heard(midi: int) -> Heard:
    return Heard(midi, pitch_name(midi))
