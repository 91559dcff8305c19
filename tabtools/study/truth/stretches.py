"""What is said of the notes of a stretch together: chord, scale, chromatic, number, position, direction, extremes."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable
from typing import Any

from tabtools.hand.position import is_within_reach
from tabtools.harmony.chords import tones_of
from tabtools.harmony.degrees import spelled
from tabtools.harmony.scales import Scale, scale_called
from tabtools.model.claims import (
    SOUNDING,
    ChordClaim,
    ChromaticClaim,
    CountClaim,
    DirectionClaim,
    ExtremeClaim,
    GuideToneClaim,
    InversionClaim,
    PositionClaim,
    ScaleClaim,
)
from tabtools.model.harmony import ChordSymbol, Degree, tone_above
from tabtools.model.pitch import nearest_semitone
from tabtools.model.solo import AddressRange
from tabtools.notation.chords import chord_or_none
from tabtools.notation.write import decimal
from tabtools.study.devices.wording import listed
from tabtools.study.labels import pitch_in_words
from tabtools.study.truth.heard import HeardNotes, SaysNothing
from tabtools.study.truth.notes import is_called
from tabtools.timeline import TimedNote
from tabtools.wording import several

FEWEST_TONES = 3
_RELATIVES = {
    "major": (Degree(6), "minor"),
    "minor": (Degree(3, -1), "major"),
    "major pentatonic": (Degree(6), "minor pentatonic"),
    "minor pentatonic": (Degree(3, -1), "major pentatonic"),
}
_INVERSIONS = ("root position", "first inversion", "second inversion", "third inversion")
_INVERTED = (1, 3, 5, 7)


def _chord(statement: ChordClaim, heard: HeardNotes) -> str | None:
    chord = chord_or_none(statement.symbol)
    if chord is None:
        return f"“{statement.symbol}” is no chord that can be read"
    wanted = tones_of(chord).pitch_classes
    return _strange(statement.symbol, wanted, heard) or _missing(statement.symbol, wanted, chord, heard)


def _scale(statement: ScaleClaim, heard: HeardNotes) -> str | None:
    try:
        scale = scale_called(statement.scale)
    except KeyError:
        return f"“{statement.scale}” is no scale that has a name here"
    wanted = scale.pitch_classes(statement.tonic.pitch_class)
    return _strange(statement.text, wanted, heard) or _too_few(statement, heard) or _relative(statement, scale, heard)


def _strange(text: str, wanted: frozenset[int], heard: HeardNotes) -> str | None:
    sounding = heard.pitch_classes
    if not sounding:
        return None if heard.unknown else "no pitch sounds there"
    if strange := sounding - wanted:
        pitched = zip(heard.notes, heard.pitches, strict=True)
        note = next(note for note, midi in pitched if nearest_semitone(midi) % 12 in strange)
        return f"{note.address} is {heard.name(note)}, which is not in {text}"
    return None


def _missing(symbol: str, wanted: frozenset[int], chord: ChordSymbol, heard: HeardNotes) -> str | None:
    missing = wanted - heard.pitch_classes
    if heard.unknown or not missing:
        return None
    names = sorted(spelled(60 + tone, chord, heard.key).rstrip("0123456789-") for tone in missing)
    return f"{listed(names)} of {symbol} {'does' if len(names) == 1 else 'do'} not sound there"


def _too_few(statement: ScaleClaim, heard: HeardNotes) -> str | None:
    """One or two tones are in so many scales that naming one of them says nothing."""
    names = list(dict.fromkeys(heard.name(note).rstrip("0123456789-") for note in heard.notes))
    if heard.unknown or len(heard.pitch_classes) >= FEWEST_TONES:
        return None
    sound = "sounds" if len(names) == 1 else "sound"
    return SaysNothing(f"only {listed(names)} {sound} there, which many scales have: a scale takes three tones")


def _relative(statement: ScaleClaim, scale: Scale, heard: HeardNotes) -> str | None:
    """A major scale over its relative minor, or the other way round, with nothing of its own root."""
    if scale.name not in _RELATIVES:
        return None
    step, name = _RELATIVES[scale.name]
    other = tone_above(statement.tonic, step)
    chords = [chord for chord in map(chord_or_none, dict.fromkeys(note.chord for note in heard.notes)) if chord]
    key = {heard.key.tonic.pitch_class} if heard.key else set()
    roots = {chord.root.pitch_class for chord in chords} or key
    if statement.tonic.pitch_class in roots | key or roots != {other.pitch_class}:
        return None
    under = f"{chords[0]} sounds there" if chords else f"the key is {heard.key}"
    return SaysNothing(f"{statement.text} and {other} {name} have the same tones, and {under}: say which is meant")


def _chromatic(_: ChromaticClaim, heard: HeardNotes) -> str | None:
    notes = heard.notes
    if len(notes) < FEWEST_TONES and not heard.unknown:
        sound = "sounds" if len(notes) == 1 else "sound"
        return f"only {several(len(notes), 'note')} {sound} there, and a chromatic run takes three"
    for before, after in itertools.pairwise(zip(notes, heard.pitches, strict=True)):
        is_between = any(before[0].index < note.index < after[0].index for note in heard.unknown)
        if abs(after[1] - before[1]) != 1 and not is_between:
            names = [heard.name(note) for note, _ in (before, after)]
            return f"from {names[0]} to {names[1]} at {after[0].address} is no semitone"
    return None


def _count(statement: CountClaim, heard: HeardNotes) -> str | None:
    unheard = [note for note in heard.unknown if note.note.unheard]
    found = len(heard.struck) - len(unheard)
    if found == statement.notes or (unheard and found < statement.notes):
        return None
    return f"there {'is' if found == 1 else 'are'} {several(found, 'note')} there"


def _position(statement: PositionClaim, heard: HeardNotes) -> str | None:
    """Where the hand stands, or could: the first finger at this fret, one finger a fret, a stretch of one fret either
    way (common practice)."""
    if heard.positions == (statement.fret,):
        return None
    fretted = [note for note in heard.struck if note.fret and note.via != "t" and note.note.touch is None]
    if not fretted:
        return None if heard.unplaced else "no fret is held there"
    for note in fretted:
        for fret in (note.fret, note.held):
            if fret is not None and not is_within_reach(statement.fret, fret):
                return f"{note.address} is at {note.string}:{decimal(fret)}, out of reach from there"
    return None


def no_guide_tones(statement: GuideToneClaim, heard: HeardNotes) -> str | None:
    if not heard.notes:
        return None if heard.unknown else "no pitch sounds there"
    for note in heard.notes:
        sounding = chord_or_none(note.chord)
        asked = sounding if statement.chord == SOUNDING else chord_or_none(statement.chord)
        if sounding is None or asked is None or not is_called(asked, sounding):
            return heard.told(note) if sounding else f"{note.address} is {heard.name(note)}, with no chord under it"
        guides = {step for step in sounding.degrees if step.number in (3, 7)}
        guides |= {step for step in sounding.degrees if step.number == 6 and not sounding.has_seventh}
        above = {(asked.root.pitch_class + step.pitch_class) % 12 for step in guides}
        if note.midi is None or nearest_semitone(note.midi) % 12 not in above:
            return heard.told(note)
    return None


def _inversion(statement: InversionClaim, heard: HeardNotes) -> str | None:
    if not heard.notes or heard.unknown:
        return None if heard.unknown else "no pitch sounds there"
    lowest = min(heard.notes, key=lambda note: note.midi or 0)
    symbol = lowest.chord if statement.chord == SOUNDING else statement.chord
    chord = chord_or_none(symbol)
    if chord is None:
        return f"the lowest note, {lowest.address}, has no chord under it"
    above = (nearest_semitone(lowest.midi or 0) - chord.root.pitch_class) % 12
    steps = {step.pitch_class: step.number for step in chord.degrees}
    number = steps.get(above)
    if number == _INVERTED[statement.number]:
        return None
    what = f", which is {_INVERSIONS[_INVERTED.index(number)]}" if number in _INVERTED else ""
    step = tones_of(chord).degrees.get(above)
    of_chord = f"the {step} of {symbol}" if step else f"no tone of {symbol}"
    return f"the lowest note, {lowest.address}, is {heard.name(lowest)}, {of_chord}{what}"


def _direction(statement: DirectionClaim, heard: HeardNotes) -> str | None:
    return direction_fault(statement.is_up, heard.line, heard)


def direction_fault(is_up: bool, line: list[TimedNote], heard: HeardNotes) -> str | None:
    """The first step that goes the other way; None where there is none."""
    steps = [(before, after, (after.midi or 0) - (before.midi or 0)) for before, after in itertools.pairwise(line)]
    for before, after, step in steps:
        if step and (step > 0) != is_up:
            way = "down" if step < 0 else "up"
            return f"from {heard.name(before)} it goes {way} to {heard.name(after)} at {after.address}"
    if not any(step for *_, step in steps) and not heard.unknown:
        return f"only {heard.name(line[0])} sounds there" if line else "no pitch sounds there"
    return None


def _extreme(statement: ExtremeClaim, heard: HeardNotes) -> str | None:
    if not heard.notes:
        return None if heard.unknown else "no pitch sounds there"
    extent = statement.extent
    if extent == "solo":
        around: Iterable[TimedNote] = heard.timeline.notes
    elif extent == "phrase":
        around = _phrase_around(heard)
    elif extent == "bar":
        around = [note for note in heard.timeline.notes if note.address.bar == heard.notes[0].address.bar]
    elif isinstance(extent, AddressRange) and (there := heard.at(extent)):
        around = there.notes
    else:
        return f"there is no place {extent} in the solo"
    sign = 1 if statement.is_highest else -1
    reach = max(sign * pitch for note in heard.notes for pitch in note.path)
    for note in around:
        if note.path and max(sign * pitch for pitch in note.path) > reach:
            best = max((one for one in around if one.path), key=lambda one: max(sign * pitch for pitch in one.path))
            pitch = sign * max(sign * pitch for pitch in best.path)
            name = pitch_in_words(best, pitch, heard.key)
            return f"{best.address} is {'higher' if sign > 0 else 'lower'}: {name}"
    return None


def _phrase_around(heard: HeardNotes) -> list[TimedNote]:
    study = heard.study
    index = heard.notes[0].index
    for phrase in study.phrases:
        notes = study.melody.notes_of(phrase.first, phrase.last)
        if notes[0] <= index <= notes[-1]:
            return [heard.timeline.notes[note] for note in notes]
    return heard.notes


RULES: dict[type, Callable[[Any, HeardNotes], str | None]] = {
    ChordClaim: _chord,
    ScaleClaim: _scale,
    ChromaticClaim: _chromatic,
    CountClaim: _count,
    PositionClaim: _position,
    InversionClaim: _inversion,
    DirectionClaim: _direction,
    ExtremeClaim: _extreme,
}
