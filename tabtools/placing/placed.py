"""Places chosen for the notes of a solo, and the solo with them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from tabtools.hand.neck import neck_of
from tabtools.hand.places import spots_of
from tabtools.hand.profile import DEFAULT_PROFILE, HandProfile, profile_for
from tabtools.model.instrument import Instrument
from tabtools.model.solo import Bar, BeatLine, Group, Heard, Mark, Motion, Note, Place, Slot, Solo, Stroke
from tabtools.notation.marks import fret_named
from tabtools.placing.choices import Choice, Chooser
from tabtools.placing.search import best_places, moves_for_placing
from tabtools.placing.strokes import Option, WantedStroke, strokes_of
from tabtools.placing.taste import Taste
from tabtools.placing.wish import NO_WISH, Wish
from tabtools.source import Span
from tabtools.timeline import TimedNote, Timeline


@dataclass(frozen=True)
class Placement:
    """What was found for a timeline.

    `placed` has each note that gets a place, as it will be written, by its span in the text, `indices` has the same
    notes by their index in the timeline; `unplaced` are the notes looked for that have no place where they stand.
    `moved` are the indices of those that had one.
    """

    timeline: Timeline
    placed: Mapping[Span, Note]
    indices: tuple[int, ...]
    unplaced: tuple[TimedNote, ...]
    moved: frozenset[int] = frozenset()


def written_notes(timeline: Timeline) -> list[TimedNote]:
    """The notes of a timeline, those that repeats bring again left out: their places are written once."""
    repeats = {bar.number for bar in timeline.bars if bar.like is not None}
    return [timed for timed in timeline.notes if timed.address.bar not in repeats]


def place(
    timeline: Timeline,
    wish: Wish = NO_WISH,
    within: Collection[int] | None = None,
    moved: Collection[int] = (),
    profile: HandProfile = DEFAULT_PROFILE,
) -> Placement:
    """Choose places for the notes of a timeline whose place is open.

    All of them are weighed together; those with an index in `within` are given, all where it is None. `moved` are
    indices of placed notes that may go elsewhere; those that cannot stay where they are, with what is slurred to them.
    """
    header = timeline.solo.header
    profile = profile_for(header, profile)
    chooser = Chooser(Taste(header.instrument, profile, wish), wish)
    moves = moves_for_placing(neck_of(header.instrument), profile)
    notes = written_notes(timeline)
    free, stuck = set(moved), set[int]()
    while True:
        strokes = strokes_of(notes, header.instrument, wish, free)
        found = list(placed_notes(strokes, best_places(strokes, moves, chooser).choices, header.instrument))
        staying = {timed.index for timed, note in found if note is None} & free
        if not staying:
            break
        stuck |= staying
        free -= runs_with(notes, staying)
    looked_for = [(timed, note) for timed, note in found if within is None or timed.index in within]
    stuck |= {timed.index for timed, note in looked_for if note is None}
    stuck -= {timed.index for timed, note in looked_for if note is not None}
    return Placement(
        timeline,
        {timed.note.span: note for timed, note in looked_for if note is not None},
        tuple(timed.index for timed, note in looked_for if note is not None),
        tuple(timed for timed in notes if timed.index in stuck),
        frozenset(moved),
    )


def runs_of(notes: Iterable[TimedNote]) -> list[list[TimedNote]]:
    """These notes by what has to stay together: what sounds at once, with what goes on from it on one string."""
    runs: list[list[TimedNote]] = []
    for timed in notes:
        goes_on = timed.note.via and timed.note.string is None
        if runs and (timed.part > 1 or goes_on):
            runs[-1].append(timed)
        else:
            runs.append([timed])
    return runs


def runs_with(notes: Collection[TimedNote], chosen: Collection[int]) -> set[int]:
    """The indices of these notes with all that sound together with them, or go on from or to them on one string."""
    return {timed.index for run in runs_of(notes) if any(one.index in chosen for one in run) for timed in run}


def placed_notes(
    strokes: Sequence[WantedStroke], choices: Sequence[Choice], instrument: Instrument
) -> Iterator[tuple[TimedNote, Note | None]]:
    """Each note that was looked for, and itself at its place, None where it has none."""
    before = 0
    for stroke, choice in zip(strokes, choices, strict=True):
        for voice, option in zip(stroke.voices, choice.options, strict=True):
            if voice.is_chosen:
                note = _placed(voice.timed.note, option, before, instrument) if option.string else None
                yield voice.timed, note
        before = choice.options[0].string


def _placed(note: Note, option: Option, before: int, instrument: Instrument) -> Note:
    """A note at a place; `before` is the string that a move without one goes on with."""
    string = None if note.string is None and note.via and option.string == before else option.string
    motions = tuple(Motion(motion.sign, goal.fret) for motion, goal in zip(note.motions, option.goals, strict=True))
    others = _others(note, option, instrument)
    moved = option.fret - note.fret if note.fret is not None and option.fret is not None else 0
    marks = tuple(moved_mark(mark, int(moved)) for mark in note.marks if not (moved and mark.word == "lh"))
    return replace(
        note,
        string=string,
        fret=option.fret,
        pitch=None,
        motions=motions,
        heard=_heard(note),
        unsure=note.unsure or bool(note.others),
        others=others,
        marks=marks,
    )


def moved_mark(mark: Mark, further: int) -> Mark:
    """A mark as it is at a place so many frets further: the fret of a trill goes along."""
    fret = fret_named(mark.argument) if mark.word == "trill" else None
    return mark if fret is None or fret + further < 0 else replace(mark, argument=str(fret + further))


def _others(note: Note, option: Option, instrument: Instrument) -> tuple[Place, ...]:
    """The other readings as places, each once. Where the note goes to one of them, its own place takes that one's."""
    here = Place(option.string, option.fret or 0)
    left = Place(note.string, note.fret) if note.string is not None and note.fret is not None else None
    places = [_other(other, option.string, instrument) for other in note.others]
    there = (
        left if place == here and isinstance(other, Place) else place
        for other, place in zip(note.others, places, strict=True)
    )
    return tuple(dict.fromkeys(place for place in there if place is not None and place != here))


def _other(other: Place | Heard, string: int, instrument: Instrument) -> Place | None:
    """Another reading as a place, on the note's own string where it lies there; None where it is off the neck."""
    if isinstance(other, Place):
        return other
    spots = spots_of(other.midi, instrument, instrument.frets - instrument.capo)
    return next((Place(*spot) for spot in sorted(spots, key=lambda spot: abs(spot[0] - string))), None)


def _heard(note: Note) -> Heard | None:
    """The pitch a placed note is noted with: the one where it arrives, if it is known."""
    arriving = [motion for motion in note.motions if motion.arrives]
    return note.heard or (arriving[-1].pitch if arriving else note.pitch)


def with_places(solo: Solo, placed: Mapping[Span, Note]) -> Solo:
    """The solo with these notes in the place of those with their spans."""
    items = tuple(
        replace(item, lines=tuple(_line(line, placed) for line in item.lines)) if isinstance(item, Bar) else item
        for item in solo.items
    )
    return replace(solo, items=items)


def _line(line: BeatLine, placed: Mapping[Span, Note]) -> BeatLine:
    return replace(line, slots=_slots(line.slots, placed))


def _slots(slots: Iterable[Slot], placed: Mapping[Span, Note]) -> tuple[Slot, ...]:
    return tuple(_slot(slot, placed) for slot in slots)


def _slot(slot: Slot, placed: Mapping[Span, Note]) -> Slot:
    if isinstance(slot, Group):
        return replace(slot, slots=_slots(slot.slots, placed))
    if isinstance(slot, Stroke):
        return replace(slot, notes=tuple(placed.get(note.span, note) for note in slot.notes))
    return slot
