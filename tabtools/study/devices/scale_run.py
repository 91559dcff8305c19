"""Runs in a scale: seven-tone, pentatonic, blues, whole tone, diminished …

Found: five notes or more in one line that go up, or down, by one to three semitones at a time, as many as there are,
not all of them by semitones.

The name is the smallest scale that explains the notes, by the rules of `tabtools.study.palette`; the scales that do so
as well are told as ties. If only the chromatic scale holds all the notes, those that lie outside the scale of the
moment between two semitones are left out as passing notes. If that fails too, chromatic runs are cut out (their first
and last note may end and begin another run), and what remains is cut behind the last note that a scale still explains,
the next run beginning with that note.

`data`: `scale` (its full name), `direction` (`up`, `down`), `count` (of notes), `over` (symbols, None for no chord),
`ties` (full names), `passing` (names of the notes left out), and `claim` where nothing was left out.

Example: C A G E D over Dm7 is "A minor pentatonic run down over Dm7, 5 notes; C major pentatonic explains them too".
"""

from __future__ import annotations

from collections.abc import Generator, Iterator, Sequence

from tabtools.study.devices.chromatic_run import chromatic_parts
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import listed
from tabtools.study.music import Leg, Music
from tabtools.study.palette import Named, explain, scale_name

KIND = "scale run"
FEWEST = 5
MOST_TIES_TOLD = 3


def find(music: Music) -> Iterator[Device]:
    """Each scale run, in order."""
    for leg in music.legs:
        parts = chromatic_parts(leg)
        if leg.end - leg.start + 1 < FEWEST or parts == [(leg.start, leg.end)]:
            continue
        found, passing = _explained(music, leg, leg.start, leg.end)
        if found:
            yield _device(music, leg, leg.start, leg.end, found, passing)
            continue
        for start, end in _without(leg, parts):
            while end - start + 1 >= FEWEST:
                start = yield from _beginning(music, leg, start, end)


def _explained(music: Music, leg: Leg, start: int, end: int) -> tuple[tuple[Named, ...], list[int]]:
    """The scales that explain a run, and the places of what is left out as passing."""
    backings = music.backings(leg.line.first + start, leg.line.first + end)
    pitches = leg.line.pitches
    found = explain(pitches[start : end + 1], backings)
    if found:
        return found, []
    passing = [
        place
        for place in range(start + 1, end)
        if abs(pitches[place + 1] - pitches[place - 1]) == 2
        and music.melody.backing(leg.line.first + place).tones[pitches[place] % 12] == "chromatic"
    ]
    return explain([pitches[place] for place in range(start, end + 1) if place not in passing], backings), passing


def _without(leg: Leg, parts: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    start = leg.start
    for first, last in parts:
        yield start, first
        start = last
    yield start, leg.end


def _beginning(music: Music, leg: Leg, start: int, end: int) -> Generator[Device, None, int]:
    """The longest run from here on that a scale explains; returns the place of its last note."""
    found, passing = _explained(music, leg, start, end)
    while not found:
        end -= 1
        found, passing = _explained(music, leg, start, end)
    if end - start + 1 >= FEWEST:
        yield _device(music, leg, start, end, found, passing)
    return end


def _device(music: Music, leg: Leg, start: int, end: int, found: tuple[Named, ...], passing: Sequence[int]) -> Device:
    first, last = leg.line.first + start, leg.line.first + end
    backings = music.backings(first, last)
    name, *ties = (scale_name(named, backings[0]) for named in found)
    direction = "up" if leg.line.pitches[end] > leg.line.pitches[start] else "down"
    chords = [backing.symbol for backing in backings]
    said = f"{name} run {direction}"
    if any(chords):
        said += f" over {listed([chord or 'no chord' for chord in chords])}"
    said += f", {end - start + 1} notes"
    names = [backings[0].names[leg.line.pitches[place] % 12] for place in passing]
    if names:
        said += f", {listed(names)} in passing"
    if ties:
        rest = len(ties) - MOST_TIES_TOLD
        told = [*ties[:MOST_TIES_TOLD], *([f"{rest} more"] if rest > 0 else [])]
        said += f"; {listed(told)} {'explain' if len(ties) > 1 else 'explains'} them too"
    data = {
        "scale": name,
        "direction": direction,
        "count": end - start + 1,
        "over": chords,
        "ties": ties,
        "passing": names,
    }
    if not names:
        data["claim"] = name
    return music.device(KIND, first, last, said, data)
