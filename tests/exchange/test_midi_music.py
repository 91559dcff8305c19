"""What music21 reads from the MIDI files sounds as the timeline says: within a millisecond and a cent."""

from __future__ import annotations

from itertools import groupby

import pytest
from exported import DEMO, MADE, demo, made
from sounded import File, Tone, read

from tabtools.exchange import midi
from tabtools.model.solo import PITCH_MOVES
from tabtools.timeline import TimedNote, Timeline

MILLISECOND, CENT = 0.001, 0.01
STRUCK_BESIDES = {"trill", "trem", "rake"}


def words(note: TimedNote) -> set[str]:
    return {mark.word for mark in note.marks}


def grace_moves(note: TimedNote) -> int:
    """How many moves within the slot strike, hammer or pull the string again."""
    return sum(motion.fret is not None and motion.sign in "hp/\\t" for motion in note.note.motions)


def goes_on(note: TimedNote) -> bool:
    return note.via in PITCH_MOVES and note.origin is not None


def rolled(timeline: Timeline) -> set[int]:
    found = set()
    for _, chord in groupby(enumerate(timeline.notes), key=lambda pair: (pair[1].begins, pair[1].address)):
        own = list(chord)
        if any("roll" in words(note) for _, note in own):
            found |= {index for index, _ in own}
    return found


def on_string(file: File, string: int) -> list[Tone]:
    return [tone for tone in file.tones if tone.channel == string - 1]


def check(timeline: Timeline) -> None:
    file = read(midi(timeline))
    assert file.length == pytest.approx(timeline.seconds, abs=MILLISECOND)
    late = rolled(timeline)
    by_string = {string: on_string(file, string) for string in {note.string for note in timeline.notes}}
    struck = 0
    for index, note in enumerate(timeline.notes):
        assert note.path or note.note.dead
        tones = by_string[note.string]
        if index not in late:
            origin = timeline.notes[note.origin] if note.origin is not None else None
            check_start(note, origin, tones)
        if note.path:
            check_path(note, tones)
        struck += (not goes_on(note)) + (grace_moves(note) if note.path else 0)
    for index, note in enumerate(timeline.notes):
        if note.path and "stacc" not in words(note) and not is_taken_over(index, timeline):
            assert any(tone.end == pytest.approx(note.end, abs=MILLISECOND) for tone in by_string[note.string]), note
    if not any(words(note) & STRUCK_BESIDES for note in timeline.notes):
        assert len(file.tones) == struck


def is_taken_over(index: int, timeline: Timeline) -> bool:
    """Whether the string goes on into another note without being let go of."""
    return any(note.origin == index and goes_on(note) for note in timeline.notes)


def check_start(note: TimedNote, origin: TimedNote | None, tones: list[Tone]) -> None:
    """A tone begins where the note does, at its pitch; a slide from no pitch starts two frets off."""
    if goes_on(note):
        return
    tone = next(one for one in tones if one.start == pytest.approx(note.start, abs=MILLISECOND))
    if not note.path:
        return
    is_from_nowhere = note.via in ("/", "\\") and (origin is None or origin.note.dead)
    away = 0 if not is_from_nowhere else 2 if note.via == "/" else -2
    assert tone.pitch_at(tone.start) == pytest.approx(note.attack - away, abs=CENT)
    assert abs(tone.key - note.attack) <= 0.5


def check_path(note: TimedNote, tones: list[Tone]) -> None:
    """Its string is at all pitches of its path, one after the other, before it ends."""
    path = list(note.path[1:] if goes_on(note) else note.path)
    sounding = [tone for tone in tones if tone.end > note.start - MILLISECOND and tone.start < note.end]
    pitches = []
    for tone in sounding:
        pitches.append(tone.pitch_at(max(tone.start, note.start - MILLISECOND)))
        pitches += [pitch for seconds, pitch in tone.pitches if seconds > note.start - MILLISECOND]
    wanted = iter(path)
    target = next(wanted)
    for pitch in pitches:
        while target is not None and abs(pitch - target) <= CENT:
            target = next(wanted, None)
    assert target is None, (note, pitches)


@pytest.mark.parametrize("name", DEMO)
def test_demo(name: str) -> None:
    check(demo(name))


@pytest.mark.parametrize("first", MADE[::10])
def test_generated(first: int) -> None:
    for seed in range(first, first + 10):
        try:
            check(made(seed))
        except AssertionError as error:
            raise AssertionError(f"seed {seed}: {error}") from error
