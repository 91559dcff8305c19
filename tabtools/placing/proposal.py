"""What is proposed for each note that was placed, and why others have no place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tabtools.hand import DEFAULT_PROFILE, Fingered, Hand, HandProfile, hand_of
from tabtools.hand.places import spots_of
from tabtools.hand.position import positions_at
from tabtools.harmony.degrees import spelled
from tabtools.model.instrument import Instrument
from tabtools.model.pitch import pitch_name
from tabtools.model.solo import Header, Heard, Note
from tabtools.placing.placed import Placement, with_places
from tabtools.placing.strokes import options_of
from tabtools.placing.wish import NO_WISH, Wish
from tabtools.timeline import TimedNote, Timeline, timeline_of


@dataclass(frozen=True, slots=True)
class PlaceProposal:
    """A note as it is written and as it would be, the same in time at its new place, and how the hand plays it."""

    written: Note
    proposed: Note
    timed: TimedNote
    fingered: Fingered


@dataclass(frozen=True, slots=True)
class Refusal:
    """A note that found no place, and why; `stays` says that it has one, and keeps it."""

    timed: TimedNote
    reason: str
    stays: bool


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


def refusals(placement: Placement, wish: Wish) -> Iterator[Refusal]:
    """The notes that found no place, each with the reason."""
    for timed in placement.unplaced:
        stays = timed.index in placement.moved and not timed.note.names_pitch
        yield Refusal(timed, why_unplaced(timed, placement.timeline.solo.header, wish, stays), stays)


def not_there(placement: Placement, hand: Hand, wish: Wish) -> Iterator[tuple[TimedNote, int | None]]:
    """The notes that no finger reaches from where they were wished, each with the position of the hand.

    Those are left out that go on with the finger down. One fret to either side is reached by a stretch.
    """
    for timed in _fretted(placement, hand):
        if not wish.holds(timed.string, timed.fret or 0):
            yield timed, hand.notes[timed.index].position


def from_elsewhere(placement: Placement, hand: Hand, wish: Wish) -> Iterator[tuple[TimedNote, int]]:
    """The notes that can be reached from where they were wished, but that the hand plays from another position.

    By the fingers that are worked out, as a claim of that position is told (`hand.position`).
    """
    for timed in _fretted(placement, hand) if wish.position is not None else ():
        positions = positions_at(hand, (timed.index,))
        if positions and wish.position not in positions and wish.holds(timed.string, timed.fret or 0):
            yield timed, positions[-1]


def _fretted(placement: Placement, hand: Hand) -> Iterator[TimedNote]:
    notes = hand.timeline.notes
    for timed in (notes[index] for index in placement.indices):
        if timed.fret is not None and not timed.note.only_moves_pitch:
            yield timed


def has_open_string(timed: TimedNote, header: Header, wish: Wish) -> bool:
    """Whether the pitch of a note is that of an open string among those allowed."""
    heard = heard_there(timed, header)
    strings = wish.strings or range(1, header.instrument.strings + 1)
    return heard is not None and any(header.instrument.open_midi(string) == heard.midi for string in strings)


def heard_there(timed: TimedNote, header: Header) -> Heard | None:
    """The pitch that a note begins with, as it was noted or as the key spells it; None where it is not known."""
    note = timed.note
    if note.pitch is not None:
        return note.pitch
    if not header.instrument.has_string(timed.string) or not isinstance(timed.named, int) or note.touch is not None:
        return None
    midi = header.instrument.open_midi(timed.string) + timed.named
    return (
        note.heard if note.heard is not None and note.heard.midi == midi else Heard(midi, spelled(midi, key=header.key))
    )


def why_not_looked_for(timed: TimedNote, timeline: Timeline, wish: Wish = NO_WISH) -> str:
    """Why a note has no place but its own, in words."""
    note, number = timed.note, timed.address.bar
    like = timeline.bar_numbers[number].like
    if like is not None:
        return f"bar {number} repeats bar {like.source_of(number)}; its notes are placed there"
    if note.unheard:
        return "nothing can be made out there"
    if note.dead:
        return "a dead note has no pitch"
    if note.touch is not None:
        return "a harmonic stays where its string is touched"
    return why_unplaced(timed, timeline.solo.header, wish, is_moved=not note.names_pitch)


def why_unplaced(timed: TimedNote, header: Header, wish: Wish = NO_WISH, is_moved: bool = False) -> str:
    """Why a note has no place, in words; `is_moved` says that one it has was to be given up."""
    note, instrument = timed.note, header.instrument
    last = instrument.frets - instrument.capo
    if note.unknown:
        return "its pitch is not known yet"
    heard = heard_there(timed, header) if is_moved or note.pitch is not None else None
    if heard is None:
        if note.names_pitch and timed.string:
            return f"string {timed.string} does not have every pitch that it moves to"
        return "it goes on from a note that has no place for it"
    name, midi = heard.name, heard.midi
    strings = [string for string, _ in spots_of(midi, instrument, last)]
    if timed.string and timed.string not in strings and not is_moved:
        return f"{name} is not on string {timed.string}" + ("" if note.string else ", where the note before it is")
    if not strings:
        return _off_the_neck(name, midi, instrument, last)
    if wish.strings is not None and not set(strings) & set(wish.strings):
        return f"{name} is {_not_on(wish.strings)}"
    if not options_of(timed, instrument, wish, is_moved):
        return f"where {name} lies, what it moves to is off the neck"
    if note.via:
        return "no string has both it and the note that it goes on from"
    return "the notes struck with it leave it no string within reach"


def _not_on(strings: range) -> str:
    return f"on no string from {strings[0]} to {strings[-1]}" if len(strings) > 1 else f"not on string {strings[0]}"


def _off_the_neck(name: str, midi: int, instrument: Instrument, last: int) -> str:
    opens = [instrument.open_midi(string) for string in range(1, instrument.strings + 1)]
    if midi < min(opens):
        return f"{name} lies below the lowest open string, {pitch_name(min(opens))}"
    if midi > max(opens) + last:
        return f"{name} lies above the last fret of the highest string, {pitch_name(max(opens) + last)}"
    return f"{name} lies between the last fret of one string and the next open one"
