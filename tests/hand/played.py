"""Solos for the tests of the hand: from a text, or from places one after the other."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tabtools.hand import DEFAULT_PROFILE, Hand, HandProfile, hand_of
from tabtools.notation.build import read_solo
from tabtools.source import from_text
from tabtools.timeline import timeline_of

HEADER = "title: A\nplayer: B\nrecording: C\nrights: CC0-1.0\nmeter: 4/4\n"

Spot = tuple[int, int]


def text_of(bars: str, header: str = "") -> str:
    """A whole solo file from its bars and more header lines."""
    return f"{HEADER}{header}\n{bars}"


def hand(bars: str, header: str = "", profile: HandProfile = DEFAULT_PROFILE) -> Hand:
    """The bars as hands play them."""
    reading = read_solo(from_text(text_of(bars, header)))
    assert not reading.problems, reading.problems
    return hand_of(timeline_of(reading.solo), profile)


def line(written: str | Iterable[str], per_beat: int = 4, tempo: int = 120) -> str:
    """Bars of 4/4 with so many slots on each beat; the last beat is filled with rests."""
    slots = written.split() if isinstance(written, str) else list(written)
    slots += ["."] * (-len(slots) % per_beat)
    beats = [" ".join(slots[start : start + per_beat]) for start in range(0, len(slots), per_beat)]
    beats += ["."] * (-len(beats) % 4)
    bars = []
    for number in range(0, len(beats), 4):
        head = f"bar {number // 4 + 1}" + (f"  tempo {tempo}" if number == 0 else "")
        bars.append("\n".join([head, *(f"{count}  {beats[number + count - 1]}" for count in range(1, 5))]))
    return "\n\n".join(bars) + "\n"


def places(spots: Sequence[Spot], per_beat: int = 4, tempo: int = 120) -> str:
    """Single notes one after the other."""
    return line((f"{string}:{fret}" for string, fret in spots), per_beat, tempo)


def fingers(bars: str, header: str = "") -> str:
    """The finger of each note: `1` to `4`, `T`, `0` open, `t` a tap of the other hand, `-` none."""
    return "".join((note.finger or "-")[0] for note in hand(bars, header).notes)


def positions(bars: str, header: str = "") -> list[int]:
    """The position of each note that a finger holds."""
    return [note.position for note in hand(bars, header).notes if note.position is not None]
