"""The pitches that each note sounds at, one after the other, as a standard staff writes them.

A tab writes the place where a string is stopped, and what bends it there. A staff has heads for pitches alone: each one
that a string is bent to, or the vibrato bar takes it to, is a station of its own, the last of them the note that is
held. What is struck bent already begins at the pitch it is bent to.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from tabtools.score.stations import Station


def sounding_of(stations: Sequence[tuple[Station, ...]]) -> list[tuple[Station, ...]]:
    """The stations of each note without bends; those less than half a quarter tone apart are one."""
    return [tuple([pitch for station in own for pitch in _pitches(station)]) for own in stations]


def _pitches(station: Station) -> Iterator[Station]:
    if station.entry is None or not station.bends:
        yield station
        return
    at_once = [bend for bend in station.bends if not bend.end]
    sounding = _at(station, station.entry + sum(bend.semitones for bend in at_once), station.via)
    pitch = sounding.pitch or 0.0
    for bend in station.bends[len(at_once) :]:
        pitch += bend.semitones
        if _quarter_tones(pitch) != _quarter_tones(sounding.pitch or 0.0):
            yield sounding
            sounding = _at(station, pitch, bend.sign)
    yield sounding


def _at(station: Station, pitch: float, via: str) -> Station:
    return replace(station, pitch=pitch, via=via, entry=pitch, bends=())


def _quarter_tones(pitch: float) -> int:
    return round(2 * pitch)
