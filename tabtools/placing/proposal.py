"""What is proposed for each note that was placed, and why others have no place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tabtools.hand import DEFAULT_PROFILE, Fingered, Hand, HandProfile, hand_of
from tabtools.hand.places import spots_of
from tabtools.model.instrument import Instrument
from tabtools.model.pitch import pitch_name
from tabtools.model.solo import Note
from tabtools.placing.placed import Placement, with_places
from tabtools.placing.strokes import is_unplaced, options_of
from tabtools.placing.wish import NO_WISH, Wish
from tabtools.timeline import TimedNote, timeline_of


@dataclass(frozen=True, slots=True)
class PlaceProposal:
    """A note as it is written and as it would be, the same in time at its new place, and how the hand plays it."""

    written: Note
    proposed: Note
    timed: TimedNote
    fingered: Fingered


def hand_for(placement: Placement, profile: HandProfile = DEFAULT_PROFILE) -> Hand:
    """The solo with the places found, as hands play it."""
    return hand_of(timeline_of(with_places(placement.timeline.solo, placement.placed)), profile)


def proposals(placement: Placement, hand: Hand) -> Iterator[PlaceProposal]:
    """What is proposed, in order; `hand` plays the solo with it. A note that keeps its place is left out."""
    before, after = placement.timeline.notes, hand.timeline.notes
    for index in placement.indices:
        written = before[index].note
        proposed = placement.placed[written.span]
        if proposed != written:
            yield PlaceProposal(written, proposed, after[index], hand.notes[index])


def why_unplaced(timed: TimedNote, instrument: Instrument, wish: Wish = NO_WISH) -> str:
    """Why a note has no place, in words."""
    note = timed.note
    last = instrument.frets - instrument.capo
    if note.pitch is None:
        if is_unplaced(note) and timed.string:
            return f"string {timed.string} does not have every pitch that it moves to"
        return "it goes on from a note that has no place for it"
    name, midi = note.pitch.name, note.pitch.midi
    strings = [string for string, _ in spots_of(midi, instrument, last)]
    if timed.string and timed.string not in strings:
        return f"{name} is not on string {timed.string}" + ("" if note.string else ", where the note before it is")
    if not strings:
        return _off_the_neck(name, midi, instrument, last)
    if wish.strings is not None and not set(strings) & set(wish.strings):
        return f"{name} is on no string from {wish.strings[0]} to {wish.strings[-1]}"
    if not options_of(timed, instrument, wish):
        return f"where {name} lies, what it moves to is off the neck"
    if note.via:
        return "no string has both it and the note that it goes on from"
    return "the notes struck with it leave it no string within reach"


def _off_the_neck(name: str, midi: int, instrument: Instrument, last: int) -> str:
    opens = [instrument.open_midi(string) for string in range(1, instrument.strings + 1)]
    if midi < min(opens):
        return f"{name} lies below the lowest open string, {pitch_name(min(opens))}"
    if midi > max(opens) + last:
        return f"{name} lies above the last fret of the highest string, {pitch_name(max(opens) + last)}"
    return f"{name} lies between the last fret of one string and the next open one"
