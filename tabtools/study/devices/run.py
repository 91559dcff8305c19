"""All devices of a solo: what explains its phrases, how that is played, and what comes again."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from tabtools.study.devices import (
    ALL_DEVICES,
    BASS,
    EXPLANATIONS,
    PLAYED,
    SHAPES,
    alternating_bass,
    approach,
    arpeggio,
    banjo_roll,
    broken_chord,
    harmonics,
    moved_cell,
    neighbour_note,
    ostinato,
    pedal_note,
    picking_pattern,
    position_shift,
    repeated_cell,
    returning_figure,
    scale_run,
    sequence,
    stacked_fourths,
    suspension,
    sweep,
    swept_chords,
    variation,
    varied_answer,
)
from tabtools.study.devices.device import Device
from tabtools.study.devices.doubts import doubted
from tabtools.study.devices.implied import implied
from tabtools.study.devices.worth import worths
from tabtools.study.explaining.explained import Explained, explained
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import Music
from tabtools.study.open_parts import OpenPart

IN_SHAPES = (arpeggio, pedal_note, repeated_cell, sequence)
"""What says of the notes of a shape that is held no more than the shape does."""
IN_ONE = (banjo_roll.KIND, broken_chord.KIND, harmonics.KIND)
NAMES_THE_NOTES = frozenset((arpeggio.KIND, stacked_fourths.KIND))
"""What names the notes of a sweep, which is no more than these on neighbouring strings."""
SAYS_A_CELL = frozenset((repeated_cell.KIND, sequence.KIND, swept_chords.KIND))
"""What says of a moved cell that it comes again; so does a run with so many notes a string."""
KINDS: tuple[str, ...] = tuple(module.KIND for module in ALL_DEVICES)
"""The names of the kinds of devices."""
PLAYED_WORTH = 8.0
"""Bits that are as good as what is said of how a stretch is played."""
SHAPE_WORTH = {
    "banjo roll": 14.0,
    "broken chord": 5.0,
    "suspension": 14.0,
    "appoggiatura": 10.0,
    "neighbour note": 4.0,
    "alternating bass": 9.0,
    "picking pattern": 5.0,
    "drone": 10.0,
    "harmonics": 9.0,
}
"""Bits that are as good as what is said of two voices together."""
MOST_WORTH = 6
"""What a long row of broken chords, or of bars picked in one way, is worth besides, in bits."""
COMES_AGAIN = frozenset(
    (
        repeated_cell.KIND,
        swept_chords.KIND,
        sequence.KIND,
        pedal_note.KIND,
        varied_answer.KIND,
        returning_figure.KIND,
    )
)
"""The kinds that say already what a stretch is to an earlier one."""
VARIATION_WORTH = 12.0
"""Bits that are as good as what a bar or a phrase is to an earlier one."""
ANSWER_WORTH = 14.0
"""Bits that are as good as what is said of one phrase as the answer to another."""


def devices_of(music: Music, parts: Sequence[Sequence[OpenPart]]) -> tuple[tuple[Device, float], ...]:
    """Every device with its worth in bits: in order of its first note, longer ones first, then as `ALL_DEVICES` stand.

    Of what explains notes each has one main device (two where one ends with the note another begins with). `parts` is
    what of each note of the timeline is open. The worth is that of `tabtools.study.devices.worth`.
    """
    found = [(doubted(device, parts), saved) for device, saved in _with_worth(music)]
    last = implied(music, [device for device, _ in found])
    return tuple(sorted(_ranked(found, last), key=lambda one: (one[0].notes[0], -len(one[0].notes))))


def _with_worth(music: Music) -> Iterator[tuple[Device, float]]:
    """Each device with the bits it saves, in the order of `ALL_DEVICES`."""
    line = music.tune if music.bass else music
    sought = SHAPES if music.bass or music.has_ringing else (suspension,)
    shapes = _with_rolls_alone([device for module in sought for device in module.find(music)])
    rolled = {note for device in shapes if device.kind == banjo_roll.KIND for note in device.notes}
    chosen = explained(line, _proposals(line, shapes))
    main = list(_told(chosen))
    if music.bass:
        main = [(_in_the_melody(device, music), saved) for device, saved in main]
        lower = music.lower_voice
        bass = _told(explained(lower, [proposal for module in BASS for proposal in module.find(lower)]))
        main += [(device, saved) for device, saved in bass if not rolled.issuperset(device.notes)]
    answers = [(_in_the_melody(device, music), ANSWER_WORTH) for device in varied_answer.find(line)]
    returns = [(_in_the_melody(device, music), saved) for device, saved in returning_figure.find(line, chosen)]
    figures = [device for device, _ in (*main, *returns)]
    for module in ALL_DEVICES:
        if module in EXPLANATIONS or module in BASS:
            yield from ((device, saved) for device, saved in main if device.kind == module.KIND)
        elif module in SHAPES:
            own = [device for device in shapes if device.kind == module.KIND and not _is_within(device, main)]
            yield from ((device, _worth_of_shape(device)) for device in own)
        elif module is position_shift:
            told = (device for device in module.find(music, figures) if not _is_for_bells(device, shapes))
            yield from ((device, PLAYED_WORTH) for device in told)
        elif module in PLAYED:
            played = [device for device in module.find(music) if not _is_said(device, main, module, music)]
            figures += played
            yield from ((device, PLAYED_WORTH) for device in played)
    yield from answers
    yield from returns
    again = [device for device, _ in (*main, *answers, *returns) if device.kind in COMES_AGAIN]
    for device in variation.find(line, chosen, again):
        if not rolled.issuperset(device.notes):
            yield _in_the_melody(device, music), VARIATION_WORTH
        elif device.data["how"] != "again":
            yield device, VARIATION_WORTH


def _with_rolls_alone(shapes: Sequence[Device]) -> list[Device]:
    """The shapes, but for chords that a roll breaks."""
    rolls = [device for device in shapes if device.kind == banjo_roll.KIND]
    rolled = {note for roll in rolls for note in roll.notes}
    return [
        one
        for one in shapes
        if one.kind != broken_chord.KIND or 2 * len(rolled.intersection(one.notes)) < len(one.notes)
    ]


def _told(chosen: Explained) -> Iterator[tuple[Device, float]]:
    return ((proposal.tell(), saved) for proposal, saved in zip(chosen.proposals, chosen.saved, strict=True))


def _proposals(line: Music, shapes: Sequence[Device]) -> Iterator[Proposal]:
    """What may be said of a line; no arpeggio and no figure that a broken chord says for the most part.

    Nor an approach to what a suspension rests on.
    """
    broken = {note for device in shapes if device.kind in IN_ONE for note in device.notes}
    rests = {device.notes[-1] for device in shapes if device.kind == suspension.KIND}
    for module in EXPLANATIONS:
        for proposal in module.find(line):
            own = line.melody.notes_of(proposal.first, proposal.last) if shapes else ()
            is_in_a_shape = module in IN_SHAPES and 2 * len(broken.intersection(own)) >= len(own)
            is_to_a_rest = module is approach and not rests.isdisjoint(own)
            if not shapes or not (is_in_a_shape or is_to_a_rest):
                yield proposal


def _in_the_melody(device: Device, music: Music) -> Device:
    """A device of the tune, told as that where other notes stand between."""
    strokes = [place for place in (music.melody.stroke_of[at] for at in device.notes) if place is not None]
    if not music.bass or device.notes == music.melody.notes_of(strokes[0], strokes[-1]):
        return device
    data = {"voice": "melody"} | device.data
    return replace(device, sentence=f"{device.sentence}, in the melody", data=data)


def _worth_of_shape(device: Device) -> float:
    """More where more chords are broken one after another, or more bars picked in one way."""
    length = len(device.data["chords"]) if device.kind == broken_chord.KIND else 0
    length += device.data["bars"] if device.kind == picking_pattern.KIND else 0
    return SHAPE_WORTH[device.kind] + min(length, MOST_WORTH)


def _is_within(device: Device, main: Sequence[tuple[Device, float]]) -> bool:
    """Whether a neighbour is part of what is said of its line already, an alternating bass of an ostinato."""
    own = set(device.notes)
    if device.kind == alternating_bass.KIND:
        ostinati = (told for told, _ in main if told.kind == ostinato.KIND)
        return any(2 * len(own.intersection(told.notes)) >= len(own) for told in ostinati)
    return device.kind == neighbour_note.KIND and any(own.issubset(told.notes) for told, _ in main)


def _is_said(device: Device, main: Sequence[tuple[Device, float]], module: object, music: Music) -> bool:
    """Whether a moved cell is what a figure that comes again says already, or a sweep what names its notes."""
    own = set(device.notes)
    if module is sweep:
        return not sweep.is_written(music, device) and any(
            told.kind in NAMES_THE_NOTES and own.issubset(told.notes) for told, _ in main
        )
    if module is not moved_cell:
        return False
    figures = (
        told
        for told, _ in main
        if told.kind in SAYS_A_CELL or (told.kind == scale_run.KIND and told.data["three_a_string"])
    )
    return any(2 * len(own.intersection(told.notes)) >= len(own) for told in figures)


def _is_for_bells(device: Device, shapes: Sequence[Device]) -> bool:
    """Whether the hand travels for harmonics, whose frets are told."""
    return any(one.kind == harmonics.KIND and not set(one.notes).isdisjoint(device.notes) for one in shapes)


def _ranked(found: Sequence[tuple[Device, float]], last: Collection[int]) -> Iterator[tuple[Device, float]]:
    """The devices with their ranks and their worth; those at the places `last` follow from others."""
    worth = worths(found, last)
    order = sorted(range(len(found)), key=lambda place: (-worth[place], found[place][0].notes))
    ranks = {place: rank for rank, place in enumerate(order, 1)}
    for place, (device, _) in enumerate(found):
        yield replace(device, rank=ranks[place], implied=place in last), worth[place]
