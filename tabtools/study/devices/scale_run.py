"""Runs in a scale: seven-tone, pentatonic, blues, whole tone, diminished …

Found: five notes or more in one line that go up, or down, by one to three semitones at a time, as many as there are,
not all of them by semitones.

The name is that of `tabtools.study.scale_names`: the scale a musician would think of first, where the tones that
decide it sound; otherwise it is a run in the key. If no scale holds all the notes, those that lie outside the scale
of the moment between two semitones are left out as passing notes, two notes or more from either end. If that fails
too, chromatic runs are cut out (their first and last note may end and begin another run), and of what remains the
longest stretches are taken that a scale explains. A run may pass over one tone of its scale: going on by thirds is an
arpeggio. Five notes may not if they show no scale, or under a new chord, nor with their last step. Notes that show no
scale do not go by two semitones in a row. A run that ends though the line goes on the same way is dear. What is
mostly one string bent and let down is none. Over one chord a bebop scale (`bebop`) goes first. That three notes lie
on each string is told.

`data`: `scale` (its full name, None where the notes do not show one), `direction` (`up`, `down`), `count` (of notes),
`over` (symbols, None for no chord), `passing` (names of the notes left out), `three_a_string`, and `claim`
where there is a name and nothing was left out.

Example: C A G E D over Dm7 is "A minor pentatonic run down over Dm7, 5 notes".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import groupby, pairwise

from tabtools.study.devices.bebop import bebop
from tabtools.study.devices.chromatic_run import chromatic_parts
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import listed
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import Leg, Music
from tabtools.study.scale_names import NamedScale, named_scale
from tabtools.timeline.written_names import written_tone

KIND = "scale run"
FEWEST = 5
MOST_SKIPPED = 1
THREE = 3
OCTAVE, HIGHEST_ROOT, MOST_ON = 12, 52, 2
"""Of a G run: how far up its end lies, the MIDI number up to which a root is low, and how many strokes reach it."""
BENT = frozenset("br")


def find(music: Music) -> Iterator[Proposal]:
    """Each scale run, in order."""
    for leg in music.legs:
        parts = chromatic_parts(leg)
        if leg.end - leg.start + 1 < FEWEST or parts == [(leg.start, leg.end)] or _is_one_string_bent(music, leg):
            continue
        found, passing = _explained(music, leg, leg.start, leg.end)
        if found:
            yield _proposal(music, leg, leg.start, leg.end, found, passing)
            if passing:
                yield from _under_each_chord(music, leg)
            continue
        for start, end in _without(leg, parts):
            yield from _stretches(music, leg, start, end)


def _is_one_string_bent(music: Music, leg: Leg) -> bool:
    """Whether most of the notes are bends and releases of one that was struck."""
    notes, strokes = music.melody.timeline.notes, music.melody.strokes
    places = range(leg.line.first + leg.start, leg.line.first + leg.end + 1)
    return 2 * sum(notes[strokes[place].notes[0]].via in BENT for place in places) >= len(places)


def _explained(music: Music, leg: Leg, start: int, end: int) -> tuple[NamedScale | None, list[int]]:
    """The scale of a run, and the places of what is left out as passing."""
    backings = music.backings(leg.line.first + start, leg.line.first + end)
    pitches = leg.line.pitches
    heard = bebop(music, leg.line.first + start, pitches[start : end + 1])
    if heard and heard.scale.skipped(pitches[start : end + 1]) <= MOST_SKIPPED:
        return heard.scale, []
    found = named_scale(pitches[start : end + 1], backings)
    if found:
        return (found if _is_run_in(found, music, leg, start, end) else None), []
    passing = [
        place
        for place in range(start + 2, end - 1)
        if abs(pitches[place + 1] - pitches[place - 1]) == 2
        and music.melody.backing(leg.line.first + place).tones[pitches[place] % 12] == "chromatic"
    ]
    kept = [pitches[place] for place in range(start, end + 1) if place not in passing]
    found = named_scale(kept, backings) if passing else None
    return (found if found and found.skipped(kept) <= MOST_SKIPPED else None), passing


def _is_run_in(found: NamedScale, music: Music, leg: Leg, start: int, end: int) -> bool:
    """Whether it passes over one tone of the scale at most, five notes over none that show no scale, or change chord
    before it.
    """
    pitches = leg.line.pitches
    skipped = found.skipped(pitches[start : end + 1])
    if end - start < FEWEST and skipped > found.skipped(pitches[start:end]):
        return False
    if not found.is_shown and any(abs(pitches[at + 2] - pitches[at]) == 2 for at in range(start, end - 1)):
        return False
    if skipped == MOST_SKIPPED and end - start < FEWEST:
        first = leg.line.first
        changes = music.melody.chord_changes(first + start, first + end + 1)
        return found.is_shown and not (changes and found.skipped(pitches[changes[-1] - first : end + 1]))
    return skipped <= MOST_SKIPPED


def _under_each_chord(music: Music, leg: Leg) -> Iterator[Proposal]:
    """The parts of a run under one chord each."""
    first = leg.line.first
    changes = [at - first for at in music.melody.chord_changes(first + leg.start, first + leg.end + 1)]
    for start, stop in pairwise((leg.start, *changes, leg.end + 1)):
        if changes and stop - start >= FEWEST:
            found, passing = _explained(music, leg, start, stop - 1)
            if found:
                yield _proposal(music, leg, start, stop - 1, found, passing)


def _without(leg: Leg, parts: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    start = leg.start
    for first, last in parts:
        yield start, first
        start = last
    yield start, leg.end


def _stretches(music: Music, leg: Leg, start: int, end: int) -> Iterator[Proposal]:
    """The longest stretches that a scale explains; none within another."""
    reached = start
    for first in range(start, end + 2 - FEWEST):
        for last in range(end, max(reached, first + FEWEST - 2), -1):
            found, passing = _explained(music, leg, first, last)
            if found:
                yield _proposal(music, leg, first, last, found, passing)
                reached = last
                break


def _proposal(music: Music, leg: Leg, start: int, end: int, found: NamedScale, passing: Sequence[int]) -> Proposal:
    bits = costs.NAMING[KIND] + found.bits + costs.NOTE[KIND] * (end - start + 1) + costs.EXCEPTION * len(passing)
    bits += costs.CUT_SHORT * (end < leg.end)
    tell = partial(_device, music, leg, start, end, found, passing)
    return Proposal(KIND, leg.line.first + start, leg.line.first + end, bits, costs.NOTE[KIND], tell)


def _is_g_run(music: Music, first: int, last: int, found: NamedScale) -> bool:
    """Whether it climbs from a low root by the minor to the major third, and on to the root above."""
    strokes = music.melody.strokes
    root, bottom = music.melody.backing(first).root, strokes[first].top
    if root is None or bottom % 12 != root or bottom > HIGHEST_ROOT or strokes[last].top < bottom:
        return False
    is_blues = found.name.endswith(" major blues") and root in found.tones
    return is_blues and any(struck.top == bottom + OCTAVE for struck in strokes[last : last + MOST_ON + 1])


def _is_three_a_string(music: Music, first: int, last: int) -> bool:
    """Whether three notes lie on each string, three strings of them at least, but for the first and last.

    A fourth note of the last string is where it lands.
    """
    notes, strokes = music.melody.timeline.notes, music.melody.strokes
    strings = [notes[strokes[place].notes[0]].string for place in range(first, last + 1)]
    counts = [len(list(same)) for _, same in groupby(strings)]
    counts[-1] -= counts[-1] == THREE + 1
    whole = counts[counts[0] < THREE : len(counts) - (counts[-1] < THREE)]
    return 0 not in strings and len(whole) >= THREE and set(whole) == {THREE} and max(counts) == THREE


def _name(music: Music, place: int, pitch: int) -> str:
    """The name of a pitch of a stroke, as it was written where it was."""
    notes = (music.melody.timeline.notes[index].note for index in music.melody.strokes[place].notes)
    tones = filter(None, (written_tone(note, pitch) for note in notes))
    return str(next(tones, None) or music.melody.backing(place).names[pitch % 12])


def _device(music: Music, leg: Leg, start: int, end: int, found: NamedScale, passing: Sequence[int]) -> Device:
    first, last = leg.line.first + start, leg.line.first + end
    backings = music.backings(first, last)
    direction = "up" if leg.line.pitches[end] > leg.line.pitches[start] else "down"
    chords = [backing.symbol for backing in backings]
    said = f"{found.name} run {direction}" if found.is_shown else f"run {direction}"
    if found.name and not found.is_shown:
        said += f" in {found.name}"
    if any(chords):
        said += f" over {listed([chord or 'no chord' for chord in chords])}"
    said += f", {end - start + 1} notes"
    if _is_g_run(music, first, last, found):
        root = backings[0].names[leg.line.pitches[start] % 12]
        said = f"the G run{f' in {root}' * (root != 'G')}, up to the root: {said}"
    heard = bebop(music, first, leg.line.pitches[start : end + 1])
    if heard:
        said += f", {backings[0].names[heard.added]} off the beat, so that chord tones keep the beats"
    is_three = _is_three_a_string(music, first, last)
    if is_three:
        said += ", three notes a string"
    names = [_name(music, leg.line.first + place, leg.line.pitches[place]) for place in passing]
    if names:
        said += f", {listed(names)} in passing"
    data = {
        "scale": found.name if found.is_shown else None,
        "direction": direction,
        "count": end - start + 1,
        "over": chords,
        "passing": names,
        "three_a_string": is_three,
    }
    if found.is_shown and not names:
        data["claim"] = found.name
    return music.device(KIND, first, last, said, data)
