"""Whether what a claim says of some notes is true, and what is true where it is not.

What is not known yet makes no claim false: it is left open as far as the claim depends on it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from tabtools.hand.position import roman
from tabtools.model.claims import BeatClaim, Claim, CountClaim, NamedClaim, NeckClaim, PositionClaim, RhythmClaim
from tabtools.study.devices.wording import listed
from tabtools.study.labels import pitch_in_words
from tabtools.study.truth import in_time, named, relations, stretches
from tabtools.study.truth.heard import HeardNotes
from tabtools.study.truth.notes import SINGLE, SingleClaim, all_hold, hold_of_one, truth_of_notes
from tabtools.timeline import TimedNote

_RULES: Mapping[type, Callable[[Any, HeardNotes], str | None]] = {
    **stretches.RULES,
    **in_time.RULES,
    **relations.RULES,
    **named.RULES,
}


def falsehood(claim: Claim, heard: HeardNotes) -> str | None:
    """What is true instead, as a clause; None where the claim holds, or may hold.

    What is said of single notes (pitch, degree, place, bend) has to hold of one and the same note.
    """
    single = _of_single_notes(claim)
    if not (hold_of_one(single, heard) or _hold_of_others(single, heard) or _is_open(single, heard)):
        return truth_of_notes(single, heard)
    for statement in claim.statements:
        if isinstance(statement, BeatClaim | RhythmClaim) and in_time.rhythm_unknown(heard):
            continue
        if not isinstance(statement, SINGLE):
            truth = _RULES[type(statement)](statement, heard)
            if truth is not None:
                return truth
    return None


def left_open(claim: Claim, heard: HeardNotes) -> str | None:
    """What is not known yet of a claim that is not false, as a clause; None where nothing of it depends on that."""
    single = _of_single_notes(claim)
    if not hold_of_one(single, heard) and (open_notes := [*heard.unknown, *_without_place(single, heard)]):
        return _not_known(open_notes[0])
    if single and (doubtful := _doubtful(single, heard)):
        return _not_certain(doubtful, heard)
    for statement in claim.statements:
        if isinstance(statement, CountClaim):
            open_notes = [note for note in heard.unknown if note.note.unheard]
        elif isinstance(statement, PositionClaim):
            open_notes = heard.unplaced
        elif isinstance(statement, SINGLE) or (
            isinstance(statement, NamedClaim) and named.is_written(statement, heard)
        ):
            open_notes = []
        else:
            open_notes = heard.unknown
        if open_notes:
            return _not_known(open_notes[0])
        if isinstance(statement, BeatClaim | RhythmClaim) and (doubt := in_time.rhythm_unknown(heard)):
            return doubt
    return None


def fingered_elsewhere(claim: Claim, heard: HeardNotes) -> str | None:
    """Where the hand stands by the fingers that are worked out, where a claim names another position that can be."""
    for statement in claim.statements:
        if isinstance(statement, PositionClaim) and heard.positions not in ((), (statement.fret,)):
            return f"the hand plays this in position {listed([roman(one) for one in heard.positions])}"
    return None


def holds(claim: Claim, heard: HeardNotes) -> bool:
    """Whether everything the claim says is known to be true of these notes."""
    return falsehood(claim, heard) is None and left_open(claim, heard) is None


def _of_single_notes(claim: Claim) -> list[SingleClaim]:
    return [one for one in claim.statements if isinstance(one, SINGLE)]


def _is_open(single: Sequence[SingleClaim], heard: HeardNotes) -> bool:
    return bool(heard.unknown or _without_place(single, heard))


def _without_place(single: Sequence[SingleClaim], heard: HeardNotes) -> list[TimedNote]:
    """The notes of which all else holds, and whose place is not known yet."""
    if not any(isinstance(one, NeckClaim) for one in single):
        return []
    rest = [one for one in single if not isinstance(one, NeckClaim)]
    return [note for note in heard.unplaced if all_hold(rest, note, heard.key)]


def _hold_of_others(statements: Sequence[SingleClaim], heard: HeardNotes) -> bool:
    return any(all_hold(statements, note, heard.key) for note in heard.others)


def _not_known(note: TimedNote) -> str:
    if note.note.unheard:
        return f"what is played at {note.address} is not heard yet"
    if note.note.unknown:
        return f"the pitch of {note.address} is not known yet"
    pitch = note.note.pitch
    return f"{note.address} is {pitch.name if pitch else 'open'}, and its place is not known yet"


def _doubtful(statements: Sequence[SingleClaim], heard: HeardNotes) -> TimedNote | None:
    """The note of which this holds in one of its readings and not in another, where it holds of no other note."""
    readings = {other.index for other in heard.others}
    sure = [note for note in heard.notes if note.index not in readings]
    if any(all_hold(statements, note, heard.key) for note in sure):
        return None
    own = [note for note in heard.notes if note.index in readings]
    both = [note for note in (*own, *heard.others) if all_hold(statements, note, heard.key)]
    doubts = [note for note in both if not all(all_hold(statements, one, heard.key) for one in heard.readings(note))]
    return doubts[0] if doubts else None


def _not_certain(note: TimedNote, heard: HeardNotes) -> str:
    names = dict.fromkeys(
        pitch_in_words(one, one.midi, heard.key) for one in heard.readings(note) if one.midi is not None
    )
    return f"{note.address} is {listed(list(names), 'or')}, which is not certain"
