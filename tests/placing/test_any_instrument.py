"""On any instrument, with a capo or an odd tuning, what is placed sounds as it was heard, on the neck, by one hand."""

from __future__ import annotations

from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st
from thoroughness import share
from thrown_solos import any_solo

from tabtools.model.pitch import pitch_name
from tabtools.notation.build import read_solo
from tabtools.notation.write import canonical
from tabtools.placing.candidates import candidates
from tabtools.placing.placed import place, with_places
from tabtools.placing.wish import Wish
from tabtools.source import from_text
from tabtools.timeline import Timeline, timeline_of

VIAS = ("", "", "", "", "h", "p", "/", "\\", "b", "r", "t")
ENDS = ("", "", "", "~", "[ring]", "[lh 2]", "[pm]", "?")


def thrown(dice: Random) -> str:
    """A solo of pitches, some of them off the neck, on four to nine strings tuned anyhow."""
    strings = dice.randint(4, 9)
    tuning = sorted(dice.randint(20, 76) for _ in range(strings))
    dice.shuffle(tuning) if dice.random() < 0.2 else None
    frets = dice.randint(5, 36)
    header = [
        "title: A",
        "meter: 4/4",
        f"tuning: {' '.join(map(pitch_name, tuning))}",
        f"frets: {frets}",
        f"capo: {dice.randint(0, min(12, frets - 1))}",
        f"hand: {dice.choice(('small', 'medium', 'large'))}",
        f"tempo: {dice.randint(40, 260)}",
    ]
    here = dice.randint(min(tuning), max(tuning) + 12)
    bars = []
    for number in range(1, dice.randint(2, 4)):
        lines = [f"bar {number}"]
        for count in range(1, 5):
            slots = []
            for _ in range(dice.randint(1, 4)):
                here = max(12, min(119, here + dice.randint(-7, 7)))
                slots.append(_slot(here, strings, dice))
            lines.append(f"{count}  {' '.join(slots)}")
        bars.append("\n".join(lines))
    return "\n".join(header) + "\n\n" + "\n\n".join(bars) + "\n"


def _slot(midi: int, strings: int, dice: Random) -> str:
    kind = dice.random()
    if kind < 0.08:
        return dice.choice((".", "-", "?", "??", "x" if kind < 0.02 else "-"))
    if kind < 0.2:
        return f"{dice.randint(1, strings)}:{dice.randint(0, 9)}"
    if kind < 0.35:
        return "+".join(f"={pitch_name(midi + step)}" for step in (0, 4, 7, 12)[: dice.randint(2, 4)])
    move = f"{dice.choice('bhp/')}={pitch_name(midi + dice.randint(-3, 3))}" if dice.random() < 0.2 else ""
    return f"{dice.choice(VIAS)}={pitch_name(midi)}{move}{dice.choice(ENDS)}"


def timeline(text: str) -> Timeline:
    return timeline_of(read_solo(from_text(text)).solo)


@settings(max_examples=share(400), deadline=None)
@given(st.integers(0, 2**40))
def test_no_place_is_off_the_neck_and_every_pitch_stays(seed: int) -> None:
    dice = Random(seed)
    before = timeline(thrown(dice))
    instrument = before.solo.header.instrument
    last = instrument.frets - instrument.capo
    wish = Wish(
        dice.choice((None, None, dice.randint(1, 12))),
        dice.choice((None, range(1, dice.randint(2, instrument.strings + 1)))),
        dice.random() < 0.2,
    )
    placement = place(before, wish)
    after = timeline_of(with_places(before.solo, placement.placed))
    unplaced = {timed.index for timed in placement.unplaced}
    assert unplaced.isdisjoint(placement.indices)
    for one, other in zip(before.notes, after.notes, strict=True):
        if one.index not in placement.indices:
            assert one.note == other.note
            continue
        assert instrument.has_string(other.string)
        assert not any(motion.pitch for motion in other.note.motions)
        if one.note.only_moves_pitch:
            continue
        assert other.fret is not None
        assert 0 <= other.fret <= last
        if one.note.pitch is not None:
            assert other.attack == one.note.pitch.midi or any(motion.sign == "pb" for motion in one.note.motions)
    struck: dict[object, set[int]] = {}
    for note in after.notes:
        if note.index in placement.indices and not note.note.only_moves_pitch:
            assert note.string not in struck.setdefault(note.address, set()), note.address
            struck[note.address].add(note.string)


@settings(max_examples=share(120), deadline=None)
@given(st.integers(0, 2**40))
def test_what_is_placed_already_can_be_placed_anew(seed: int) -> None:
    dice = Random(seed)
    before = timeline(any_solo(dice))
    wish = Wish(dice.choice((None, dice.randint(1, 20))), dice.choice((None, range(1, 3))), dice.random() < 0.5)
    placement = place(before, wish, moved=range(len(before.notes)))
    after = timeline(canonical(with_places(before.solo, placement.placed)))
    for index in placement.indices:
        one, other = before.notes[index], after.notes[index]
        if not one.note.only_moves_pitch and one.note.fret is not None and one.string:
            assert (one.attack, one.midi) == (other.attack, other.midi)


@settings(max_examples=share(60), deadline=None)
@given(st.integers(0, 2**40))
def test_the_places_of_any_stroke_can_be_listed(seed: int) -> None:
    dice = Random(seed)
    found = timeline(thrown(dice))
    instrument = found.solo.header.instrument
    address = dice.choice(found.notes).address if found.notes else None
    stroke = [note for note in found.notes if note.address == address]
    for one in candidates(found, stroke).places if stroke else ():
        for string, fret in one.spots:
            assert not string or instrument.has_string(string)
            assert fret <= instrument.frets - instrument.capo + 6
