"""All places of one stroke, each with what a hand would do there and what would be hard or impossible."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from tabtools.hand import DEFAULT_PROFILE, Fingered, Hand, HandProfile, Shift, hand_of
from tabtools.hand.demands import WidestReach, grip_reach, slur_reach
from tabtools.hand.grasp import JUST
from tabtools.hand.grip import FINGERS
from tabtools.hand.neck import neck_of
from tabtools.hand.places import Spot, spots_of
from tabtools.hand.profile import ERROR_STRAIN, SHIFT_LIMIT, WARNING_STRAIN, profile_for
from tabtools.hand.stance import THUMB
from tabtools.model.instrument import Instrument
from tabtools.model.solo import Fret, Note
from tabtools.placing.around import Around, around
from tabtools.placing.choices import Choice, Chooser
from tabtools.placing.placed import placed_notes, with_places, written_notes
from tabtools.placing.search import best_places, moves_for_placing
from tabtools.placing.strokes import Option, WantedNote, WantedStroke, options_of, strokes_of
from tabtools.placing.taste import Taste
from tabtools.placing.wish import NO_WISH, Wish
from tabtools.source import Span
from tabtools.timeline import TimedNote, Timeline, timeline_of
from tabtools.wording import several

CONTEXT = 8
"""Strokes before and after that are weighed with it; farther ones hardly matter."""
MOST_CANDIDATES = 8
NEAR_NUT = 4
"""Up to this fret a bend is hard for the nut that is near: the string is stiff there."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One way to place a stroke: its notes there, how each is fingered, and what the hand meets.

    `before` and `after` are the positions that the hand comes from and goes on to, None where nothing is before or
    after; `shift` is the jump to it, if there is one. `faults` say in words what is hard or impossible.
    `start` is where the finger of a bend stands that has a slot of its own: `spots` is the pitch it reaches.
    """

    notes: tuple[Note, ...]
    spots: tuple[Spot, ...]
    fingered: tuple[Fingered, ...]
    shift: Shift | None
    faults: tuple[str, ...]
    start: Spot | None = None
    before: int | None = None
    after: int | None = None

    @property
    def stretch(self) -> int:
        """By how many frets a single finger is stretched beyond its own one in the position of the hand."""
        if len(self.spots) != 1 or not self.fingered or self.fingered[0].position is None:
            return 0
        finger = FINGERS.get(self.fingered[0].finger, THUMB)
        _, fret = self.start or self.spots[0]
        return max(0, fret - self.fingered[0].position - finger + 1) if finger < THUMB else 0


class Candidates(NamedTuple):
    """The places of one stroke, the best first; how many more there are, none of them better."""

    places: list[Candidate]
    left_out: int = 0


def candidates(
    timeline: Timeline, stroke: Sequence[TimedNote], wish: Wish = NO_WISH, profile: HandProfile = DEFAULT_PROFILE
) -> Candidates:
    """The places of the notes of one stroke; at most `MOST_CANDIDATES`, then what is off the neck.

    The hand comes from where it is, and goes on to where it goes, when all open notes are placed together.
    Empty where the stroke has no pitch that another fret could give, and in repeated bars.
    """
    header = timeline.solo.header
    profile = profile_for(header, profile)
    indices = [note.index for note in stroke]
    notes = written_notes(timeline)
    if not any(one.is_chosen for one in _voices(strokes_of(notes, header.instrument, wish, indices), indices[0])):
        return Candidates([])
    settled = around(timeline, indices, wish, profile)
    strokes = strokes_of(written_notes(settled.timeline), header.instrument, wish, indices)
    number = next(at for at, one in enumerate(strokes) if one.voices[0].timed.index == indices[0])
    first = max(0, number - CONTEXT)
    window = strokes[first : number + CONTEXT + 1]
    chooser = Chooser(Taste(header.instrument, profile, wish), wish)
    moves = moves_for_placing(neck_of(header.instrument), profile)
    found: list[tuple[int, int, list[Choice]]] = []
    anywhere = _anywhere(strokes[number], header.instrument, wish)
    starts = _starts(timeline, stroke)
    for choice in chooser.choices(anywhere):
        if starts and choice.options[0].string not in starts:
            continue
        there = window[number - first] = _at(anywhere, choice)
        best = best_places(window, moves, chooser, there)
        found.append((best.cost, len(found), best.choices))
    found.sort()
    ranked = [_candidate(settled, window, number - first, one, profile) for _, _, one in found[:MOST_CANDIDATES]]
    left_out = len(found) - len(ranked)
    if starts:
        return Candidates([replace(one, start=(one.spots[0][0], starts[one.spots[0][0]])) for one in ranked], left_out)
    return Candidates(ranked + list(_off_the_neck(anywhere, header.instrument)), left_out)


def _voices(strokes: Sequence[WantedStroke], index: int) -> tuple[WantedNote, ...]:
    """The voices of the stroke that begins with the note of this index; none in repeated bars."""
    return next((one.voices for one in strokes if one.voices[0].timed.index == index), ())


def _starts(timeline: Timeline, stroke: Sequence[TimedNote]) -> dict[int, int]:
    """For a bend in a slot of its own the fret that is held under it on each string; empty for anything else.

    An open string has no finger to bend it.
    """
    held = stroke[0]
    while held.note.only_moves_pitch and held.origin is not None:
        held = timeline.notes[held.origin]
    if len(stroke) > 1 or held is stroke[0]:
        return {}
    instrument = timeline.solo.header.instrument
    if held.note.pitch is not None:
        midi = held.note.pitch.midi
    elif held.held is None or not held.string:
        return {}
    else:
        midi = instrument.open_midi(held.string) + round(held.held)
    return {string: fret for string, fret in spots_of(midi, instrument, instrument.frets - instrument.capo) if fret}


def _anywhere(stroke: WantedStroke, instrument: Instrument, wish: Wish) -> WantedStroke:
    """The stroke with all places of its notes, whatever goes on from them."""
    return replace(
        stroke,
        voices=tuple(
            replace(voice, options=options_of(voice.timed, instrument, wish, voice.timed.note.pitch is None))
            if voice.is_chosen
            else voice
            for voice in stroke.voices
        ),
    )


def _off_the_neck(stroke: WantedStroke, instrument: Instrument) -> Iterator[Candidate]:
    """Where the pitch of a single note lies, but not all that it moves to."""
    voice = stroke.voices[0]
    timed = voice.timed
    is_given = timed.note.pitch is not None and timed.note.string is not None
    if len(stroke.voices) > 1 or not voice.is_chosen or is_given or timed.attack is None:
        return
    there = [option.string for option in voice.options]
    for string, fret in spots_of(round(timed.attack), instrument, instrument.frets - instrument.capo):
        if string not in there and not timed.note.only_moves_pitch:
            yield Candidate((), ((string, fret),), (), None, ("what it moves to is off the neck there",))


def _at(stroke: WantedStroke, choice: Choice) -> WantedStroke:
    """The stroke with no place but that of the choice."""
    voices = zip(stroke.voices, choice.options, strict=True)
    return replace(stroke, voices=tuple(replace(voice, options=(option,)) for voice, option in voices))


def _candidate(
    settled: Around, strokes: Sequence[WantedStroke], number: int, choices: Sequence[Choice], profile: HandProfile
) -> Candidate:
    solo = settled.timeline.solo
    stroke = strokes[number]
    placed: dict[Span, Note] = {
        timed.note.span: note
        for timed, note in placed_notes(strokes, choices, solo.header.instrument)
        if note is not None
    }
    hand = hand_of(timeline_of(with_places(solo, placed)), profile)
    hand = next((whole for whole in settled.wholes if _places(whole) == _places(hand)), hand)
    indices = [voice.timed.index for voice in stroke.voices]
    start = hand.timeline.notes[indices[0]].start
    shift = next((one for one in hand.shifts if one.after.start == start), None)
    faults = (*_slurs(strokes, number, choices), *_open_bends(choices[number].options), *_hard(hand, indices))
    before = [grasp.grip.position for grasp in hand.grasps if grasp.start < start]
    after = [grasp.grip.position for grasp in hand.grasps if grasp.start >= hand.timeline.notes[indices[0]].end - JUST]
    return Candidate(
        tuple(placed.get(voice.timed.note.span, voice.timed.note) for voice in stroke.voices),
        tuple((option.string, int(option.fret or 0)) for option in choices[number].options),
        tuple(hand.notes[index] for index in indices),
        shift,
        tuple(dict.fromkeys(faults)),
        before=before[-1] if before else None,
        after=after[0] if after else None,
    )


def _places(hand: Hand) -> list[tuple[int, Fret | None]]:
    return [(timed.string, timed.fret) for timed in hand.timeline.notes]


def _slurs(strokes: Sequence[WantedStroke], number: int, choices: Sequence[Choice]) -> Iterator[str]:
    """Slurs, slides and bends that would lead from one string to another."""
    if number and _changes_string(strokes[number], choices[number].options, choices[number - 1].options):
        yield "it goes on from the note before, which is not on this string"
    if number + 1 < len(strokes) and _changes_string(
        strokes[number + 1], choices[number + 1].options, choices[number].options
    ):
        yield "the next note goes on from it and is not on this string"


def _open_bends(options: Sequence[Option]) -> Iterator[str]:
    if any(not option.fret and any(goal.sign in ("b", "pb") for goal in option.goals) for option in options):
        yield "an open string has no finger to bend it"


def _changes_string(stroke: WantedStroke, options: Sequence[Option], before: Sequence[Option]) -> bool:
    """Whether a note that goes on from the stroke before is on another string, or finds no place on its string."""
    return any(
        voice.timed.note.via and voice.timed.note.string is None and option.string != before[0].string
        for voice, option in zip(stroke.voices, options, strict=True)
    )


def _hard(hand: Hand, indices: Sequence[int]) -> Iterator[str]:
    """What is hard for the hand about these notes."""
    pressed = {id(press.grasp): press.grasp for index in indices for press in hand.pressed[index]}
    for grasp, before in hand.composed:
        if id(grasp) not in pressed:
            continue
        if grasp.shape.needed > 4:
            yield f"it takes {grasp.shape.needed} fingers"
        elif grasp.grip.strain > WARNING_STRAIN:
            yield from _reaches(grip_reach(hand, grasp))
        else:
            yield from _reaches(slur_reach(hand, grasp, before), hand)
    for shift in hand.shifts:
        if shift.needed > shift.seconds and (id(shift.after) in pressed or id(shift.before) in pressed):
            way = "to get there" if id(shift.after) in pressed else "to go on from there"
            is_late = SHIFT_LIMIT.strain(shift.needed / shift.seconds) > ERROR_STRAIN if shift.seconds else True
            yield f"the hand has {'no' if is_late else 'hardly'} time {way}"
    for bent in hand.bends:
        if bent.note in indices:
            if bent.bend.travel_mm > bent.room_mm:
                yield "the bend pushes the string off the neck"
            elif bent.limit(hand.profile).strain(bent.bend.force) > WARNING_STRAIN:
                yield "a hard bend so near the nut" if bent.fret <= NEAR_NUT else "a hard bend"
            elif hand.strings[bent.string - 1].gauge.wound:
                yield "the bend is on a wound string"


def _reaches(reach: WidestReach | None, hand: Hand | None = None) -> Iterator[str]:
    """The words for a reach; with a hand, only where it is beyond what that hand does with ease."""
    if reach is None:
        return
    if hand is not None and hand.profile.reach[reach.fingers].strain(reach.mm) <= WARNING_STRAIN:
        return
    one, other = reach.fingers
    frets = several(abs(reach.frets[1] - reach.frets[0]), "fret")
    yield f"a wide stretch: {frets} between fingers {one} and {other}"
