"""Runs in a scale: seven-tone, pentatonic, blues, whole tone, diminished …

Found: five notes or more in one line that go up, or down, by one to three semitones at a time, as many as there are,
once chromatic runs are taken out (their first and last note may still end and begin another run).

The name is the smallest scale that explains the notes, by the rules of `tabtools.study.palette`; the scales that do so
as well are told as ties. If only the chromatic scale holds all the notes, those between two semitones are left out as
passing notes. If that fails too, the run is cut behind the last note that a scale still explains, and the next begins
with that note.

`data`: `scale` (its full name), `direction` (`up`, `down`), `count` (of notes), `over` (symbols, None for no chord),
`ties` (full names), `passing` (names of the notes left out), and `claim` where nothing was left out.

Example: C A G E D over Dm7 is "A minor pentatonic run down over Dm7, 5 notes; C major pentatonic explains them too".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tabtools.study.devices.chromatic_run import chromatic_parts
from tabtools.study.devices.device import Device
from tabtools.study.devices.music import Leg, Music
from tabtools.study.devices.wording import listed
from tabtools.study.palette import Named, explain, scale_name

KIND = "scale run"
FEWEST = 5
MOST_TIES_TOLD = 3


def find(music: Music) -> Iterator[Device]:
    """Each scale run, in order."""
    for leg in music.legs:
        for start, end in _without(leg, chromatic_parts(leg)):
            while end - start + 1 >= FEWEST:
                start = yield from _run(music, leg, start, end)


def _without(leg: Leg, parts: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    start = leg.start
    for first, last in parts:
        yield start, first
        start = last
    yield start, leg.end


def _run(music: Music, leg: Leg, start: int, end: int) -> Iterator[Device]:
    """The run that begins here, where there is one; returns the place of the last note looked at."""
    backings = music.backings(leg.line.first + start, leg.line.first + end)
    pitches = leg.line.pitches
    passing: list[int] = []
    found = explain(pitches[start : end + 1], backings)
    if not found:
        passing = [place for place in range(start + 1, end) if abs(pitches[place + 1] - pitches[place - 1]) == 2]
        found = explain([pitches[place] for place in range(start, end + 1) if place not in passing], backings)
    while not found:
        end -= 1
        passing = []
        found = explain(pitches[start : end + 1], backings)
    if end - start + 1 >= FEWEST:
        yield _device(music, leg, start, end, found, [pitches[place] % 12 for place in passing])
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
    names = [backings[0].names[tone] for tone in passing]
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
