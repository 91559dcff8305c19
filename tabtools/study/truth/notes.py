"""What is said of single notes: pitch, name, degree, the fret, how far it is bent."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from tabtools.harmony.chords import same_chord
from tabtools.harmony.degrees import degree, key_degree
from tabtools.model.claims import SOUNDING, BendClaim, DegreeClaim, NeckClaim, PitchClaim, ToneClaim
from tabtools.model.harmony import ChordSymbol, Degree, Key, scale_degrees
from tabtools.model.pitch import nearest_semitone
from tabtools.notation.chords import chord_or_none
from tabtools.notation.write import decimal
from tabtools.study.labels import pitch_in_words
from tabtools.study.truth.heard import HeardNotes
from tabtools.timeline import TimedNote
from tabtools.timeline.written_names import written_tone

SingleClaim = PitchClaim | ToneClaim | DegreeClaim | BendClaim | NeckClaim
SINGLE = (PitchClaim, ToneClaim, DegreeClaim, BendClaim, NeckClaim)
_OUT_OF_TUNE = 0.26
_BENDS = {0.5: "a quarter tone", 1: "a half step", 2: "a whole step", 3: "a step and a half", 4: "two whole steps"}


def hold_of_one(statements: Sequence[SingleClaim], heard: HeardNotes) -> bool:
    """Whether all of this holds of one and the same note."""
    candidates = heard.struck if all(isinstance(one, NeckClaim) for one in statements) else heard.notes
    return not statements or any(all_hold(statements, note, heard.key) for note in candidates)


def all_hold(statements: Sequence[SingleClaim], note: TimedNote, key: Key | None) -> bool:
    return all(_holds(one, note, key) for one in statements)


def is_aim(statement: PitchClaim | ToneClaim | DegreeClaim, notes: Iterable[TimedNote], key: Key | None) -> bool:
    """Whether one of these notes is what a statement calls the goal."""
    return any(_holds(statement, note, key) for note in notes if note.midi is not None)


def _holds(statement: SingleClaim, note: TimedNote, key: Key | None) -> bool:
    if isinstance(statement, NeckClaim):
        return _is_played_at(statement, note)
    if isinstance(statement, BendClaim):
        return any(abs(bent - statement.semitones) < _OUT_OF_TUNE for bent in bends_of(note))
    arrivals = [nearest_semitone(midi) for midi in (note.midi, note.attack) if midi is not None]
    if isinstance(statement, PitchClaim):
        return statement.midi in arrivals
    if isinstance(statement, ToneClaim):
        return any(midi % 12 == statement.tone.pitch_class for midi in arrivals)
    return _has_degrees(statement, note, key)


def _has_degrees(statement: DegreeClaim, note: TimedNote, key: Key | None) -> bool:
    over = key if statement.chord is None else _chord_meant(statement.chord, note)
    if over is None:
        return False
    root = (over.tonic if isinstance(over, Key) else over.root).pitch_class
    wanted = [_semitones(step, over) for step in statement.degrees]
    found = [(nearest_semitone(midi) - root) % 12 for midi in stations(note)]
    starts = range(len(found) - len(wanted) + 1)
    return any(all(found[start + at] in one for at, one in enumerate(wanted)) for start in starts)


def _semitones(step: Degree | int, over: ChordSymbol | Key) -> frozenset[int]:
    """What a degree is above the root; a number alone is what the chord or the key has on that step."""
    if isinstance(step, Degree):
        return frozenset((step.pitch_class,))
    own = scale_degrees(over.mode) if isinstance(over, Key) else (*over.degrees, *over.available)
    asked = frozenset(one.pitch_class for one in own if (one.number - step) % 7 == 0)
    return asked or frozenset((Degree(step).pitch_class,))


def _chord_meant(symbol: str, note: TimedNote) -> ChordSymbol | None:
    """The chord a degree is counted in: the one that sounds, called by its symbol or by a part of it."""
    sounding = chord_or_none(note.chord)
    if symbol == SOUNDING or sounding is None:
        return sounding
    claimed = chord_or_none(symbol)
    return claimed if claimed is not None and is_called(claimed, sounding) else None


def is_called(claimed: ChordSymbol, sounding: ChordSymbol) -> bool:
    """Whether a chord may be called so: the same chord, or one that leaves tones of it out, as C does of Cmaj7."""
    if same_chord(claimed, sounding):
        return True
    is_part = claimed.root == sounding.root and set(claimed.degrees) < set(sounding.degrees)
    return is_part and claimed.bass in (None, sounding.bass)


def stations(note: TimedNote) -> tuple[float, ...]:
    """The pitches along a note, repeats left out."""
    path = note.path
    return tuple(midi for index, midi in enumerate(path) if index == 0 or midi != path[index - 1])


def bends_of(note: TimedNote) -> list[float]:
    """How far a note is bent, up or down, in semitones: each bend of it by itself, and one before it is struck."""
    path = stations(note)
    signs = [motion.sign for motion in note.motions]
    if not path or (note.via not in ("b", "r", "w") and not {"b", "r", "w", "pb"} & set(signs)):
        return []
    bent = [abs(after - before) for before, after in pairwise(path)]
    return bent or _bent_before(note)


def _bent_before(note: TimedNote) -> list[float]:
    frets = [motion.fret for motion in note.motions if motion.sign == "pb"]
    return [float(fret - note.fret) for fret in frets if fret is not None and note.fret is not None]


def _is_played_at(statement: NeckClaim, note: TimedNote) -> bool:
    is_string = statement.string in (None, note.string or None)
    frets = (note.fret, note.held, note.named)
    return is_string and (statement.fret is None or any(fret == statement.fret for fret in frets if fret is not None))


# ---- what is true instead


def truth_of_notes(statements: Sequence[SingleClaim], heard: HeardNotes) -> str:
    """The note that was most likely meant, and what is true of it."""
    candidates = heard.notes or [note for note in heard.struck if _is_neck(statements)]
    if not candidates:
        return "no pitch sounds there"
    note = _nearest(statements, candidates, heard.key)
    if not note.path:
        return f"{note.address} is played at {_place(note)}"
    chord = chord_or_none(note.chord)
    path = [pitch_in_words(note, midi, heard.key) for midi in stations(note)]
    tones = [(midi, written_tone(note.note, midi)) for midi in stations(note)]
    said = [f"{note.address} is {' > '.join(path)}"]
    if any(isinstance(one, NeckClaim) for one in statements):
        said.append(f"played at {_place(note)}")
    if any(isinstance(one, BendClaim) for one in statements):
        bent = [_BENDS.get(far, f"{far:g} semitones") for far in bends_of(note)]
        said.append(f"bent by {' and '.join(bent)}" if bent else "and it is not bent")
    over_key = any(isinstance(one, DegreeClaim) and one.chord is None for one in statements)
    if over_key and heard.key:
        said.append(f"the {' > '.join(key_degree(midi, heard.key, tone) for midi, tone in tones)} of the key")
    elif over_key:
        said.append("and the solo names no key")
    elif chord is not None:
        said.append(f"the {' > '.join(degree(midi, chord, tone=tone) for midi, tone in tones)} of {note.chord}")
    elif any(isinstance(one, PitchClaim | DegreeClaim) for one in statements):
        said.append("with no chord under it")
    return ", ".join(said)


def _is_neck(statements: Sequence[SingleClaim]) -> bool:
    return any(isinstance(one, NeckClaim) for one in statements)


def _place(note: TimedNote) -> str:
    if not note.string:
        return "a place that is not known yet"
    return f"string {note.string}" if note.fret is None else f"{note.string}:{decimal(note.fret)}"


def _nearest(statements: Sequence[SingleClaim], candidates: Sequence[TimedNote], key: Key | None) -> TimedNote:
    """The note the writer most likely meant: the one of which most holds, the first among equals."""
    return max(candidates, key=lambda note: sum(_holds(one, note, key) for one in statements))
