"""What a stretch is to what stands elsewhere: the same notes, an interval away, on the way to the next note."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import Any

from tabtools.model.claims import ApproachClaim, GoalClaim, IntervalClaim, LikeClaim
from tabtools.model.pitch import nearest_semitone
from tabtools.model.solo import AddressRange
from tabtools.notation.chords import chord_or_none
from tabtools.study.devices.wording import INTERVALS
from tabtools.study.truth.heard import HeardNotes, SaysNothing
from tabtools.study.truth.notes import is_aim
from tabtools.timeline import TimedNote
from tabtools.wording import several

_WIDEST_APPROACH = 2


def _interval(statement: IntervalClaim, heard: HeardNotes) -> str | None:
    line = heard.line
    if not line or heard.unknown:
        return None if heard.unknown else "no pitch sounds there"
    first, last = line[0], line[-1]
    start = first.attack if len(line) == 1 else first.midi
    semitones = nearest_semitone(last.midi or 0) - nearest_semitone(start or 0)
    if semitones in statement.semitones:
        return None
    if first is last and len(first.path) < 2:
        return f"only {heard.name(first)} sounds there"
    return f"from {heard.name(first)} to {heard.name(last)} it goes {_far(semitones)}"


def _far(semitones: int) -> str:
    if semitones == 0:
        return "nowhere: the pitch is the same"
    size = INTERVALS.get(abs(semitones), several(abs(semitones), "semitone"))
    return f"{'up' if semitones > 0 else 'down'} {size}"


# ---- as another stretch


def _like(statement: LikeClaim, heard: HeardNotes) -> str | None:
    there = heard.at(statement.range)
    if there is None:
        return f"there is no place {statement.range} in the solo"
    if [note.index for note in there.named] == [note.index for note in heard.named]:
        return SaysNothing("a place is always as itself, so the claim says nothing")
    if heard.unknown or there.unknown:
        return None
    here_line, there_line = _line(heard), _line(there)
    if len(here_line) != len(there_line):
        return f"there are {several(len(here_line), 'note')} there, and {len(there_line)} at {statement.range}"
    if not here_line:
        return "no note begins there"
    return (statement.has_pitches and _other_pitch(statement, here_line, there_line, heard)) or (
        (statement.has_rhythm and _other_rhythm(here_line, there_line)) or None
    )


def _line(heard: HeardNotes) -> list[TimedNote]:
    """Every note, struck or only moved, in the order it sounds."""
    return sorted(heard.named, key=lambda note: (note.begins.quarters, note.midi or 0))


def _other_pitch(
    statement: LikeClaim, here: Sequence[TimedNote], there: Sequence[TimedNote], heard: HeardNotes
) -> str | None:
    for one, other in zip(here, there, strict=True):
        if one.midi is None or other.midi is None:
            is_same = one.midi is other.midi
        else:
            is_same = nearest_semitone(one.midi) - nearest_semitone(other.midi) in statement.semitones
        if not is_same:
            far = ""
            if one.midi is not None and other.midi is not None:
                far = f", {_far(nearest_semitone(one.midi) - nearest_semitone(other.midi))} from there"
            return f"{one.address} is {heard.name(one)}, and {other.address} is {heard.name(other)}{far}"
    return None


def _other_rhythm(here: Sequence[TimedNote], there: Sequence[TimedNote]) -> str | None:
    for (before, after), (other_before, other_after) in zip(pairwise(here), pairwise(there), strict=True):
        if after.onset - before.onset != other_after.onset - other_before.onset:
            return f"the rhythm is another from {before.address} on"
    return None


# ---- on the way


def _goal(statement: GoalClaim, heard: HeardNotes) -> str | None:
    following = heard.following()
    if not following:
        return "no note follows there"
    if any(note.note.unknown or note.note.unheard for note in following):
        return None
    first = following[0]
    if isinstance(statement.goal, AddressRange):
        there = heard.at(statement.goal)
        if there is None:
            return f"there is no place {statement.goal} in the solo"
        is_reached = any(note.index == first.index for note in there.named)
    else:
        is_reached = is_aim(statement.goal, following, heard.key)
    top = max(following, key=lambda note: note.midi or 0)
    if not is_reached:
        return f"the note behind it, {heard.told(top)}"
    if statement.resolves and not any(_is_chord_tone(note) for note in following):
        return f"the note behind it, {heard.told(top)}, which is no chord tone"
    return None


def _is_chord_tone(note: TimedNote) -> bool:
    chord = chord_or_none(note.chord)
    if note.midi is None:
        return False
    if chord is None:
        return True
    return (nearest_semitone(note.midi) - chord.root.pitch_class) % 12 in {step.pitch_class for step in chord.degrees}


def no_approach(statement: ApproachClaim, heard: HeardNotes) -> str | None:
    if not heard.notes:
        return None if heard.unknown else "no pitch sounds there"
    own = heard.notes[0] if statement.is_goal else heard.notes[-1]
    beside = [note for note in (heard.preceding() if statement.is_goal else heard.following()) if note.midi is not None]
    if not beside:
        return f"no note {'comes before' if statement.is_goal else 'follows'} there"
    other = min(beside, key=lambda note: abs((note.midi or 0) - (own.midi or 0)))
    before, after = (other, own) if statement.is_goal else (own, other)
    step = nearest_semitone(after.attack or 0) - nearest_semitone(before.midi or 0)
    widest = 1 if statement.is_chromatic else _WIDEST_APPROACH
    is_side = statement.side == "" or (step > 0) == (statement.side == "below")
    if 0 < abs(step) <= widest and is_side:
        return None
    names = f"from {heard.name(before)} to {heard.name(after)} at {after.address}"
    return f"{names} it goes {_far(step)}"


RULES: Mapping[type, Callable[[Any, HeardNotes], str | None]] = {
    IntervalClaim: _interval,
    LikeClaim: _like,
    GoalClaim: _goal,
}
