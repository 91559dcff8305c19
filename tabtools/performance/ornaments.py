"""What happens within a note: grace notes, bends and slides of its own, trills, tremolo, swells, vibrato."""

from __future__ import annotations

from dataclasses import dataclass

from tabtools.model.solo import PITCH_MOVES
from tabtools.notation.marks import fret_named
from tabtools.performance.conventions import (
    GRACE,
    LEVELS,
    LONGEST_BEND,
    LONGEST_SLIDE,
    MOST_REPEATS,
    SLIDE_OUT,
    SLIDE_OUT_FRETS,
    SWELL,
    SWELL_SHARE,
    TREMOLO,
    TRILL,
    VIBRATO_CENTS,
    VIBRATO_DELAY,
)
from tabtools.performance.drafts import VoiceDraft
from tabtools.performance.records import Attack, CurveShape, Strike, Swell, Vibrato
from tabtools.timeline import TimedNote

LEGATO = {"h": Attack.HAMMER, "p": Attack.PULL, "t": Attack.TAP}


@dataclass(frozen=True, slots=True)
class Playing:
    """A note while it is played: from `start` to `end`; `room` is the part of its slot in which its moves happen."""

    note: TimedNote
    words: dict[str, str]
    start: float
    end: float
    room: float
    level: float

    def strike(self, moment: float, attack: Attack, pitch: float | None) -> Strike:
        """Something of the note begins."""
        is_damped = attack == Attack.DEAD or "pm" in self.words
        return Strike(moment, attack, self.level * LEVELS.get(attack, 1.0), pitch, is_damped)


def play_moves(draft: VoiceDraft, playing: Playing, done: int = 0) -> float:
    """The moves within a slot: bends spread over it, grace notes at once. Returns when the last one is done.

    So many of them are `done` already.
    """
    note, start, room = playing.note, playing.start, playing.room
    steps = note.steps
    moment = max(start, draft.curve[-1].moment)
    share = room / max(1, len(steps))
    grace = min(GRACE, room / (len(steps) + 1))
    for place, (motion, pitch) in enumerate(steps[done:], done):
        if motion.sign in PITCH_MOVES:
            moment = max(moment, start + share * place)
            draft.hold(moment)
            moment += min(LONGEST_BEND, 0.6 * share)
            draft.go(moment, pitch, CurveShape.GLIDE)
            continue
        moment += grace
        if motion.sign in LEGATO:
            draft.go(moment, pitch, CurveShape.JUMP)
        else:
            draft.arrive(moment, pitch, CurveShape.FRETS, LONGEST_SLIDE)
        draft.strikes.append(playing.strike(moment, LEGATO.get(motion.sign, Attack.SLIDE), pitch))
    return moment


def add_repeats(draft: VoiceDraft, playing: Playing, start: float, attack: Attack, main: float | None) -> None:
    """A trill or a tremolo from a moment to the end of the note, in as many equal parts as fit."""
    held, fret = playing.note.held, fret_named(playing.words.get("trill", ""))
    if fret is not None and held is not None and main is not None:
        interval = float(fret - held)
        for place, moment in enumerate(_repeats(start, playing.end, TRILL), 1):
            pitch = main + interval * (place % 2)
            rises = (place % 2 == 1) == (interval > 0)
            draft.go(moment, pitch, CurveShape.JUMP)
            draft.strikes.append(playing.strike(moment, Attack.HAMMER if rises else Attack.PULL, pitch))
    elif "trem" in playing.words:
        for moment in _repeats(start, playing.end, TREMOLO):
            draft.strikes.append(playing.strike(moment, attack, main))


def _repeats(start: float, end: float, each: float) -> list[float]:
    """The moments after the first at which something is struck again."""
    times = min(MOST_REPEATS, max(2, round((end - start) / each)))
    return [start + (end - start) * place / times for place in range(1, times)]


def add_swell(draft: VoiceDraft, playing: Playing) -> None:
    """A swell from the start of the note."""
    if "swell" in playing.words:
        length = min(SWELL, SWELL_SHARE * (playing.end - playing.start))
        draft.swells.append(Swell(playing.start, playing.start + length))


def add_rest_of_note(draft: VoiceDraft, playing: Playing, moved: float) -> None:
    """Vibrato and slides to nowhere, which last to the end of the note; `moved` is when its other moves are done."""
    end = playing.end
    for motion in playing.note.motions:
        if motion.sign in VIBRATO_CENTS:
            delay = min(VIBRATO_DELAY, (end - moved) / 4)
            draft.vibrato.append(Vibrato(moved + delay, end, VIBRATO_CENTS[motion.sign]))
        elif motion.sign in ("/", "\\") and not motion.arrives:
            leaves = max(draft.curve[-1].moment, end - min(SLIDE_OUT, 0.4 * (end - moved)))
            away = SLIDE_OUT_FRETS if motion.sign == "/" else -SLIDE_OUT_FRETS
            draft.hold(leaves)
            draft.go(end, draft.pitch + away, CurveShape.FRETS)
            draft.fades_from = leaves
