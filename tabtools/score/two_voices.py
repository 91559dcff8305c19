"""Which notes of a solo are its bass: two voices are two lines.

A solo has two voices where the thumb of the plucking hand is told from the fingers (`[rh p]`), or where low notes ring
on under others (`[ring]`); nowhere else can a note sound while another is struck. Of solos that have neither nothing is
asked.

The bass are (common practice, made exact)

- notes of the thumb that are lower than what the fingers pluck before them, with them and after them, by a minor third
  or more on one side;
- without a thumb to go by, ringing notes below all that sounds: two strokes or more begin while they ring (one, where
  a melody note is struck with them), all of them a minor third or more above, one a minor seventh or more (`held`); a
  note under which only one begins, or none but it is struck with a melody note, where the bass goes on with the stroke
  after it; a note on a count, within an octave of the bass that rings, a minor third or more below the strokes beside
  it, a minor seventh or more below the highest of these or held under others itself (`alternating`);
- the bass note that rings, struck again;
- what is struck together with such a note, where all of it lies within a fifth;
- what is hammered, pulled, bent or slid from a note of the bass.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from tabtools.timeline import TimedNote, Timeline

THUMB, RING = "p", "ring"
APART = 3
"""Semitones between a bass note and what is struck after it."""
WIDE = 10
"""Semitones from the bass to the melody."""
FIFTH, OCTAVE = 7, 12
FEWEST_HELD = 2
FARTHEST = 16
"""Strokes under which a note is followed."""


class _Plucked(NamedTuple):
    """The pitched notes of one stroke, the lowest first: indices, pitches and the fingers that pluck them."""

    notes: tuple[int, ...]
    pitches: tuple[float, ...]
    fingers: tuple[str, ...]
    start: float
    is_on_count: bool


def bass_notes(timeline: Timeline) -> frozenset[int]:
    """The indices of the notes of the bass; empty where one line is all there is."""
    notes = timeline.notes
    has_thumb = any(plucking_finger(note) == THUMB for note in notes if note.marks)
    if not has_thumb and not has_ringing(timeline):
        return frozenset()
    strokes = list(_plucked(timeline))
    bass = set(_of_the_thumb(strokes))
    bars = {notes[index].begins.bar for index in bass}
    bass.update(_below(notes, [one for one in strokes if notes[one.notes[0]].begins.bar not in bars]))
    for note in notes:
        if note.origin in bass:
            bass.add(note.index)
    return frozenset(bass)


def has_ringing(timeline: Timeline) -> bool:
    """Whether any note is left to ring."""
    return any(mark.word == RING for note in timeline.notes if note.marks for mark in note.marks)


def plucking_finger(note: TimedNote) -> str:
    """The finger of the plucking hand that a note is marked with (`p`, `i`, `m`, `a`), empty where none is told."""
    return next((mark.argument for mark in note.marks if mark.word == "rh"), "") if note.marks else ""


def _plucked(timeline: Timeline) -> Iterator[_Plucked]:
    """The strokes with pitch, in order; what only goes on from a note before is none."""
    beats = {bar.onset: bar.meter.beat for bar in timeline.bars}
    for _, same in groupby(timeline.notes, key=lambda note: (note.begins, note.address)):
        own = [note for note in same if note.midi is not None and note.origin is None]
        if own:
            own.sort(key=lambda note: (note.midi or 0, -note.index))
            begins = own[0].begins
            yield _Plucked(
                tuple([note.index for note in own]),
                tuple([note.midi or 0 for note in own]),
                tuple([plucking_finger(note) for note in own]),
                own[0].start,
                begins.offset % beats[begins.bar] == 0 and _has_count(own[0]),
            )


def _has_count(note: TimedNote) -> bool:
    """Whether it is known on which count a note falls: under a doubtful one the first stroke does."""
    return not note.line.doubtful or note.address.stroke in (None, 1)


# ---- the thumb


def _of_the_thumb(strokes: Sequence[_Plucked]) -> Iterator[int]:
    """What the thumb plays below the fingers."""
    fingers = [_by_fingers(one) for one in strokes]
    before: tuple[float, ...] = ()
    befores = []
    for own in fingers:
        befores.append(before)
        before = own or before
    after: tuple[float, ...] = ()
    for one, own, before in zip(reversed(strokes), reversed(fingers), reversed(befores), strict=True):
        around = (*before, *own, *after)
        for finger, pitch, index in zip(one.fingers, one.pitches, one.notes, strict=True):
            if finger == THUMB and around and pitch < min(around) and pitch + APART <= max(around):
                yield index
        after = own or after


def _by_fingers(one: _Plucked) -> tuple[float, ...]:
    return tuple([pitch for pitch, finger in zip(one.pitches, one.fingers, strict=True) if finger != THUMB])


# ---- ringing below


def _below(notes: Sequence[TimedNote], strokes: Sequence[_Plucked]) -> Iterator[int]:
    """The lowest notes that ring on under others."""
    held = _held(notes, strokes)
    sounding: TimedNote | None = None
    for place, one in enumerate(strokes):
        note = notes[one.notes[0]]
        is_free = sounding is None or sounding.end <= one.start or (sounding.midi or 0) >= one.pitches[0]
        is_again = sounding is not None and sounding.midi == one.pitches[0] and sounding.end == one.start
        if is_again or held[place] if is_free else _alternates(strokes, place, sounding, held[place]):
            sounding = note
            yield from one.notes if one.pitches[-1] <= one.pitches[0] + FIFTH else one.notes[:1]


def _held(notes: Sequence[TimedNote], strokes: Sequence[_Plucked]) -> list[bool]:
    """Of each stroke whether its lowest note is held under others, or leads to one that is."""
    found = [False] * len(strokes)
    for place in range(len(strokes) - 1, -1, -1):
        one = strokes[place]
        pitch, end = one.pitches[0], notes[one.notes[0]].end
        highest, at = one.pitches[-1], place + 1
        while at < len(strokes) and at - place <= FARTHEST and strokes[at].start < end:
            if strokes[at].pitches[0] < pitch + APART:
                break
            highest = max(highest, strokes[at].pitches[-1])
            at += 1
        under = at - place - 1
        is_pinched = one.pitches[-1] >= pitch + WIDE
        leads = at < len(strokes) and found[at] and (under or len(one.pitches) > 1)
        found[place] = highest >= pitch + WIDE and (under >= FEWEST_HELD - (is_pinched and under > 0) or bool(leads))
    return found


def _alternates(strokes: Sequence[_Plucked], place: int, sounding: TimedNote | None, is_held: bool) -> bool:
    """Whether the lowest note of a stroke is another bass note over one that rings."""
    one = strokes[place]
    if sounding is None or not one.is_on_count or one.pitches[0] > (sounding.midi or 0) + OCTAVE:
        return False
    beside = [strokes[at] for at in (place - 1, place + 1) if 0 <= at < len(strokes)]
    lowest = min(other.pitches[0] for other in beside)
    highest = max(other.pitches[-1] for other in (one, *beside))
    is_far = is_held or highest >= one.pitches[0] + WIDE
    return len(beside) == 2 and lowest >= one.pitches[0] + APART and is_far
