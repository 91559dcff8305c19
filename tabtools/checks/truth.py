"""Whether what a claim says of some notes is true, and what is true where it is not.

What is not known yet makes no claim false: it is left open as far as the claim depends on it.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from typing import Any

from tabtools.checks.wording import in_a_row
from tabtools.hand.position import roman
from tabtools.harmony.chords import same_chord, tones_of
from tabtools.harmony.degrees import degree, key_degree, spelled
from tabtools.harmony.scales import scale_named
from tabtools.model.claims import (
    ChordClaim,
    ChromaticClaim,
    Claim,
    CountClaim,
    DegreeClaim,
    PitchClaim,
    PositionClaim,
    ScaleClaim,
)
from tabtools.model.harmony import ChordSymbol, Key
from tabtools.model.instrument import Instrument
from tabtools.model.pitch import nearest_semitone
from tabtools.notation.chords import chord_or_none
from tabtools.notation.write import decimal
from tabtools.timeline import TimedNote
from tabtools.timeline.readings import other_pitches
from tabtools.wording import several

FINGERS = 4


class HeardNotes:
    """The notes a claim speaks of: those with a pitch, and those that begin one; and the solo's key.

    `pitches` are the MIDI numbers that `notes` arrive at. `unknown` are those whose pitch is not known yet, `unplaced`
    those whose place is not. `others` are notes with another reading in place of their own. `positions` are those of
    the hand as it frets them, as far as they matter.
    """

    def __init__(
        self, notes: Sequence[TimedNote], key: Key | None, instrument: Instrument, positions: tuple[int, ...] = ()
    ):
        pitched = [(note, note.midi) for note in notes if note.midi is not None]
        self.notes = [note for note, _ in pitched]
        self.pitches = [midi for _, midi in pitched]
        self.struck = [note for note in notes if not note.note.only_moves_pitch]
        self.unknown = [note for note in notes if note.note.unknown or note.note.unheard]
        self.unplaced = [note for note in self.struck if note.note.is_open and note.fret is None]
        self.others = [
            note._replace(attack=midi, midi=midi, path=(midi,))
            for note in self.notes
            for _, midi in other_pitches(note, instrument)
        ]
        self.key = key
        self.positions = positions

    def readings(self, note: TimedNote) -> list[TimedNote]:
        """All readings of a note, its own first."""
        return [one for one in (*self.notes, *self.others) if one.index == note.index]

    @property
    def pitch_classes(self) -> set[int]:
        return {nearest_semitone(midi) % 12 for midi in self.pitches}


def falsehood(claim: Claim, heard: HeardNotes) -> str | None:
    """What is true instead, as a clause; None where the claim holds, or may hold.

    What is said of single notes (pitch and degrees) has to hold of one and the same note.
    """
    single = _of_single_notes(claim)
    if not (_hold_of_one(single, heard) or _hold_of_others(single, heard) or heard.unknown):
        return _truth_of_notes(single, heard)
    for statement in claim.statements:
        if not isinstance(statement, PitchClaim | DegreeClaim):
            truth = _RULES[type(statement)](statement, heard)
            if truth is not None:
                return truth
    return None


def left_open(claim: Claim, heard: HeardNotes) -> str | None:
    """What is not known yet of a claim that is not false, as a clause; None where nothing of it depends on that."""
    single = _of_single_notes(claim)
    if heard.unknown and not _hold_of_one(single, heard):
        return _not_known(heard.unknown[0])
    if single and (doubtful := _doubtful(single, heard)):
        return _not_certain(doubtful, heard)
    for statement in claim.statements:
        if isinstance(statement, CountClaim):
            open_notes = [note for note in heard.unknown if note.note.unheard]
        elif isinstance(statement, PositionClaim):
            open_notes = heard.unplaced
        else:
            open_notes = [] if isinstance(statement, PitchClaim | DegreeClaim) else heard.unknown
        if open_notes:
            return _not_known(open_notes[0])
    return None


def _not_known(note: TimedNote) -> str:
    if note.note.unheard:
        return f"what is played at {note.address} is not heard yet"
    if note.note.unknown:
        return f"the pitch of {note.address} is not known yet"
    pitch = note.note.pitch
    return f"{note.address} is {pitch.name if pitch else 'open'}, and its place is not known yet"


def _doubtful(statements: Sequence[PitchClaim | DegreeClaim], heard: HeardNotes) -> TimedNote | None:
    """The note of which this holds in one of its readings and not in another, where it holds of no other note."""
    readings = {other.index for other in heard.others}
    sure = [note for note in heard.notes if note.index not in readings]
    if any(_all_hold(statements, note, heard.key) for note in sure):
        return None
    own = [note for note in heard.notes if note.index in readings]
    both = [note for note in (*own, *heard.others) if _all_hold(statements, note, heard.key)]
    doubts = [note for note in both if not all(_all_hold(statements, one, heard.key) for one in heard.readings(note))]
    return doubts[0] if doubts else None


def _not_certain(note: TimedNote, heard: HeardNotes) -> str:
    names = dict.fromkeys(
        spelled(one.midi, chord_or_none(one.chord), heard.key) for one in heard.readings(note) if one.midi is not None
    )
    return f"{note.address} is {in_a_row(list(names), 'or')}, which is not certain"


def holds(claim: Claim, heard: HeardNotes) -> bool:
    """Whether everything the claim says is known to be true of these notes."""
    return falsehood(claim, heard) is None and left_open(claim, heard) is None


# ---- single notes


def _of_single_notes(claim: Claim) -> list[PitchClaim | DegreeClaim]:
    return [one for one in claim.statements if isinstance(one, PitchClaim | DegreeClaim)]


def _hold_of_one(statements: Sequence[PitchClaim | DegreeClaim], heard: HeardNotes) -> bool:
    """Whether all of this holds of one and the same note."""
    return not statements or any(_all_hold(statements, note, heard.key) for note in heard.notes)


def _hold_of_others(statements: Sequence[PitchClaim | DegreeClaim], heard: HeardNotes) -> bool:
    return any(_all_hold(statements, note, heard.key) for note in heard.others)


def _all_hold(statements: Sequence[PitchClaim | DegreeClaim], note: TimedNote, key: Key | None) -> bool:
    return all(_holds(one, note, key) for one in statements)


def _holds(statement: PitchClaim | DegreeClaim, note: TimedNote, key: Key | None) -> bool:
    if isinstance(statement, PitchClaim):
        return any(nearest_semitone(midi) == statement.midi for midi in (note.midi, note.attack) if midi is not None)
    above = _root(statement, note, key)
    if above is None:
        return False
    wanted = [step.pitch_class for step in statement.degrees]
    found = [(nearest_semitone(midi) - above) % 12 for midi in _stations(note)]
    return any(found[start : start + len(wanted)] == wanted for start in range(len(found)))


def _stations(note: TimedNote) -> tuple[float, ...]:
    """The pitches along a note, repeats left out."""
    path = note.path
    return tuple(midi for index, midi in enumerate(path) if index == 0 or midi != path[index - 1])


def _root(statement: DegreeClaim, note: TimedNote, key: Key | None) -> int | None:
    """The pitch class the degrees are counted from, None where the note stands under another chord."""
    if statement.chord is None:
        return key.tonic.pitch_class if key else None
    sounding, claimed = chord_or_none(note.chord), chord_or_none(statement.chord)
    if sounding is None or claimed is None or not same_chord(sounding, claimed):
        return None
    return claimed.root.pitch_class


def _truth_of_notes(statements: Sequence[PitchClaim | DegreeClaim], heard: HeardNotes) -> str:
    if not heard.notes:
        return "no pitch sounds there"
    note = _nearest(statements, heard)
    chord = chord_or_none(note.chord)
    path = [spelled(midi, chord, heard.key) for midi in _stations(note)]
    said = [f"{note.address} is {' > '.join(path)}"]
    over_key = any(isinstance(one, DegreeClaim) and one.chord is None for one in statements)
    if over_key and heard.key:
        said.append(f"the {' > '.join(key_degree(midi, heard.key) for midi in _stations(note))} of the key")
    elif over_key:
        said.append("and the solo names no key")
    elif chord is not None:
        said.append(f"the {' > '.join(degree(midi, chord) for midi in _stations(note))} of {note.chord}")
    else:
        said.append("with no chord under it")
    return ", ".join(said)


def _nearest(statements: Sequence[PitchClaim | DegreeClaim], heard: HeardNotes) -> TimedNote:
    """The note the writer most likely meant: the one of which most holds, the first among equals."""
    return max(heard.notes, key=lambda note: sum(_holds(one, note, heard.key) for one in statements))


# ---- stretches


def _chord_truth(statement: ChordClaim, heard: HeardNotes) -> str | None:
    chord = chord_or_none(statement.symbol)
    if chord is None:
        return f"“{statement.symbol}” is no chord that can be read"
    wanted = tones_of(chord).pitch_classes
    return _set_truth(statement.text, wanted, heard, chord, complete=True)


def _scale_truth(statement: ScaleClaim, heard: HeardNotes) -> str | None:
    try:
        scale = scale_named(statement.scale)
    except KeyError:
        return f"“{statement.scale}” is no scale that has a name here"
    wanted = scale.pitch_classes(statement.tonic.pitch_class)
    return _set_truth(statement.text, wanted, heard, None, complete=False)


def _set_truth(
    text: str, wanted: frozenset[int], heard: HeardNotes, chord: ChordSymbol | None, complete: bool
) -> str | None:
    sounding = heard.pitch_classes
    if not sounding:
        return None if heard.unknown else "no pitch sounds there"
    if strange := sounding - wanted:
        pitched = zip(heard.notes, heard.pitches, strict=True)
        note, midi = next((note, midi) for note, midi in pitched if nearest_semitone(midi) % 12 in strange)
        name = spelled(midi, chord_or_none(note.chord), heard.key)
        return f"{note.address} is {name}, which is not in {text.removesuffix(' arpeggio').removesuffix(' triad')}"
    if complete and not heard.unknown and (missing := wanted - sounding):
        names = sorted(spelled(60 + tone, chord, heard.key).rstrip("0123456789-") for tone in missing)
        return f"{' and '.join(names)} of {text.split()[0]} {'does' if len(names) == 1 else 'do'} not sound there"
    return None


def _chromatic_truth(_: ChromaticClaim, heard: HeardNotes) -> str | None:
    notes = heard.notes
    if len(notes) < 3 and not heard.unknown:
        sound = "sounds" if len(notes) == 1 else "sound"
        return f"only {several(len(notes), 'note')} {sound} there, and a chromatic run takes three"
    for before, after in itertools.pairwise(zip(notes, heard.pitches, strict=True)):
        is_between = any(before[0].index < note.index < after[0].index for note in heard.unknown)
        if abs(after[1] - before[1]) != 1 and not is_between:
            names = [spelled(midi, chord_or_none(note.chord), heard.key) for note, midi in (before, after)]
            return f"from {names[0]} to {names[1]} at {after[0].address} is no semitone"
    return None


def _count_truth(statement: CountClaim, heard: HeardNotes) -> str | None:
    unheard = [note for note in heard.unknown if note.note.unheard]
    found = len(heard.struck) - len(unheard)
    if found == statement.notes or (unheard and found < statement.notes):
        return None
    return f"there {'is' if found == 1 else 'are'} {several(found, 'note')} there"


def fingered_elsewhere(claim: Claim, heard: HeardNotes) -> str | None:
    """Where the hand stands by the fingers that are worked out, where a claim names another position that can be."""
    for statement in claim.statements:
        if isinstance(statement, PositionClaim) and heard.positions not in ((), (statement.fret,)):
            return f"the hand plays this in position {in_a_row([roman(one) for one in heard.positions], 'and')}"
    return None


def _position_truth(statement: PositionClaim, heard: HeardNotes) -> str | None:
    """Where the hand stands, or could: the first finger at this fret, one finger a fret, a stretch of one fret either
    way (common practice)."""
    if heard.positions == (statement.fret,):
        return None
    fretted = [note for note in heard.struck if note.fret and note.via != "t" and note.note.touch is None]
    if not fretted:
        return None if heard.unplaced else "no fret is held there"
    for note in fretted:
        for fret in (note.fret, note.held):
            if fret is not None and not statement.fret - 1 <= fret <= statement.fret + FINGERS:
                return f"{note.address} is at {note.string}:{decimal(fret)}, out of reach from there"
    return None


_RULES: dict[type, Callable[[Any, HeardNotes], str | None]] = {
    ChordClaim: _chord_truth,
    ScaleClaim: _scale_truth,
    ChromaticClaim: _chromatic_truth,
    CountClaim: _count_truth,
    PositionClaim: _position_truth,
}
