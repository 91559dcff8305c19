"""A timeline played: its notes on their strings, one after the other.

A note sounds as long as the timeline says, which ends it where its string is taken by another. A string that is
hammered, pulled, slid, bent or moved by the bar goes on in the voice it comes from.
"""

from __future__ import annotations

from tabtools.model.solo import PITCH_MOVES
from tabtools.performance.chords import raked, roll_delays, strokes_of
from tabtools.performance.conventions import (
    ACCENT,
    DEAD_LENGTH,
    GHOST,
    GRACE,
    LEVELS,
    LONGEST_BEND,
    LONGEST_SLIDE,
    RAKE,
    SLIDE_IN_FRETS,
    STACCATO,
    TICK_LENGTH,
)
from tabtools.performance.drafts import VoiceDraft
from tabtools.performance.ornaments import LEGATO, Playing, add_repeats, add_rest_of_note, add_swell, play_moves
from tabtools.performance.records import Attack, CurveShape, Strike, Voice
from tabtools.timeline import TimedNote, Timeline


def voices_of(timeline: Timeline) -> tuple[Voice, ...]:
    """What sounds, in order of its beginning. What is not known yet ticks; what cannot sound is left out."""
    player = _Player(timeline)
    for chord in strokes_of(timeline.notes):
        player.rake(chord[0], list(raked(chord, player.instrument.strings)))
        delays = roll_delays(chord)
        for note in chord:
            player.play(note, delays.get(note.index, 0.0))
    found = [voice for draft in player.drafts if (voice := draft.finished()) is not None]
    return tuple(sorted(found, key=lambda voice: voice.start))


class _Player:
    """Plays notes one by one, knowing what sounds on each string."""

    def __init__(self, timeline: Timeline):
        self.instrument = timeline.solo.header.instrument
        self.timeline = timeline
        self.drafts: list[VoiceDraft] = []
        self.on_string: dict[int, VoiceDraft] = {}
        self.of_note: dict[int, VoiceDraft] = {}

    def play(self, note: TimedNote, delay: float) -> None:
        """Play a note, so much later than it is written."""
        words = {mark.word: mark.argument for mark in note.marks}
        start, end = note.start + delay, max(note.end, note.start + delay)
        if "stacc" in words:
            end = start + (end - start) * STACCATO
        playing = Playing(note, words, start, end, min(self.timeline.slot_seconds(note), end - start), _level(words))
        if note.note.dead:
            self._play_dead(playing)
        elif note.attack is not None:
            self._play_pitched(playing)
        elif note.note.is_open:
            draft = self._begin(note.string, start, min(playing.end, start + TICK_LENGTH))
            draft.strikes.append(playing.strike(start, Attack.TICK, None))
            if note.path:
                self._play_arriving(playing)

    def rake(self, note: TimedNote, brushed: list[tuple[int, float]]) -> None:
        """Brush damped strings on the way to a note, as far as nothing sounds on them."""
        for string, moment in brushed:
            before = self.on_string.get(string)
            if before is None or before.end <= moment:
                draft = self._begin(string, moment, moment + RAKE)
                level = LEVELS[Attack.DEAD] * GHOST
                draft.strikes.append(Strike(moment, Attack.DEAD, level, self.instrument.open_midi(string), True))

    def _begin(self, string: int, start: float, end: float) -> VoiceDraft:
        draft = self.on_string[string] = VoiceDraft(string, start, end)
        self.drafts.append(draft)
        return draft

    def _play_dead(self, playing: Playing) -> None:
        note = playing.note
        is_repeated = "trem" in playing.words
        end = playing.end if is_repeated else min(playing.end, playing.start + DEAD_LENGTH)
        draft = self._begin(note.string, playing.start, end)
        is_known = self.instrument.has_string(note.string)
        pitch = float(self.instrument.open_midi(note.string)) if is_known else None
        draft.strikes.append(playing.strike(playing.start, Attack.DEAD, pitch))
        if is_repeated:
            add_repeats(draft, playing, playing.start, Attack.DEAD, pitch)

    def _play_pitched(self, playing: Playing) -> None:
        note, start = playing.note, playing.start
        before = self.of_note.get(note.origin) if note.origin is not None else None
        attack = _attack(note, playing.words)
        if before is None:
            draft = self._begin(note.string, start, playing.end)
            if note.via in PITCH_MOVES and not self._goes_on_from_dead(note):
                attack = Attack.HAMMER
            _strike(draft, playing, attack)
        else:
            draft = before
            draft.end, draft.fades_from = playing.end, None
            _go_on(draft, playing, attack)
        self._finish(draft, playing, attack, play_moves(draft, playing))

    def _goes_on_from_dead(self, note: TimedNote) -> bool:
        return note.origin is not None and self.timeline.notes[note.origin].note.dead

    def _play_arriving(self, playing: Playing) -> None:
        """A note that begins on a pitch nobody knows, from where its first move arrives."""
        note, steps = playing.note, playing.note.steps
        arrives = playing.start + min(GRACE, playing.room / (len(steps) + 1))
        draft = self._begin(note.string, arrives, playing.end)
        motion, pitch = steps[0]
        attack = LEGATO.get(motion.sign, Attack.HAMMER)
        draft.go(arrives, pitch, CurveShape.JUMP)
        draft.strikes.append(playing.strike(arrives, attack, pitch))
        self._finish(draft, playing, attack, play_moves(draft, playing, done=1))

    def _finish(self, draft: VoiceDraft, playing: Playing, attack: Attack, moved: float) -> None:
        """What goes on until the end of a note, once its moves are done at `moved`."""
        self.of_note[playing.note.index] = draft
        plucked = attack if attack not in LEVELS else Attack.MUTED if "pm" in playing.words else Attack.PLUCK
        add_repeats(draft, playing, moved, plucked, draft.pitch)
        add_swell(draft, playing)
        add_rest_of_note(draft, playing, moved)


def _level(words: dict[str, str]) -> float:
    return (ACCENT if "accent" in words else 1.0) * (GHOST if "ghost" in words else 1.0)


def _attack(note: TimedNote, words: dict[str, str]) -> Attack:
    if note.via in LEGATO:
        return LEGATO[note.via]
    if note.note.touch is not None:
        return Attack.HARMONIC
    if "pm" in words:
        return Attack.MUTED
    return Attack.PINCH if "pinch" in words else Attack.PLUCK


def _strike(draft: VoiceDraft, playing: Playing, attack: Attack) -> None:
    """Set a string going; a slide from nowhere begins two frets off and is there at once."""
    note, start, pitch = playing.note, playing.start, playing.note.path[0]
    draft.strikes.append(playing.strike(start, attack, pitch))
    if note.via not in ("/", "\\"):
        draft.go(start, pitch, CurveShape.JUMP)
        return
    away = SLIDE_IN_FRETS if note.via == "/" else -SLIDE_IN_FRETS
    draft.go(start, pitch - away, CurveShape.JUMP)
    draft.go(start + min(GRACE, playing.room / 4), pitch, CurveShape.FRETS)


def _go_on(draft: VoiceDraft, playing: Playing, attack: Attack) -> None:
    """A string that sounds gets a new pitch."""
    note, start = playing.note, playing.start
    if note.via in PITCH_MOVES:
        draft.arrive(start, note.path[min(1, len(note.path) - 1)], CurveShape.GLIDE, LONGEST_BEND)
    elif note.via in ("/", "\\"):
        draft.arrive(start, note.path[0], CurveShape.FRETS, LONGEST_SLIDE)
        draft.strikes.append(playing.strike(start, Attack.SLIDE, note.path[0]))
    else:
        draft.go(start, note.path[0], CurveShape.JUMP)
        draft.strikes.append(playing.strike(start, attack, note.path[0]))
