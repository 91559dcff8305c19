"""Chords from their pitches alone: published voicings, chords-db 0.5.1 (npm, MIT), see `tests/outside/README.md`.

Of the same pitches there are often several good voicings: the published one has to be among the first three in 60 %
of them, and the first one has to be playable always.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import NamedTuple

from thoroughness import IS_THOROUGH

from tabtools.checks import reach, too_many_fingers
from tabtools.checks.subject import subject_of
from tabtools.model.instrument import STANDARD_INSTRUMENT
from tabtools.model.pitch import pitch_name
from tabtools.notation.build import read_solo
from tabtools.placing.candidates import candidates
from tabtools.problem import Severity
from tabtools.source import from_text
from tabtools.timeline import timeline_of

FILE = Path(__file__).parents[1] / "outside" / "chord_voicings.json"
STEP = 1 if IS_THOROUGH else 29
AMONG_THE_FIRST = 0.9
HEADER = "title: A\nrights: CC0-1.0\nmeter: 4/4\nfrets: 36\nscale-length: 25.5 in\n"


class Voiced(NamedTuple):
    """A published voicing, its place among those found (None: not among them), whether it and the first can be played.

    One asks for a barre of the second finger behind the first, C9 at the seventh fret: five fingers, as we count.
    """

    name: str
    rank: int | None
    is_published_playable: bool
    is_playable: bool


def solo(stroke: str) -> str:
    return f"{HEADER}\nbar 1\n1-4  {stroke}\n"


@cache
def voiced() -> list[Voiced]:
    found = []
    for row in json.loads(FILE.read_text(encoding="utf-8"))["voicings"][::STEP]:
        frets = {6 - index: fret and fret + row["baseFret"] - 1 for index, fret in enumerate(row["frets"]) if fret >= 0}
        pitches = (pitch_name(STANDARD_INSTRUMENT.open_midi(string) + fret) for string, fret in frets.items())
        timeline = timeline_of(read_solo(from_text(solo("+".join(f"={pitch}" for pitch in pitches)))).solo)
        ranked = candidates(timeline, timeline.notes).places
        rank = next((rank for rank, one in enumerate(ranked) if dict(one.spots) == frets), None)
        name = f"{row['key']} {row['suffix']} {row['frets']} at {row['baseFret']}"
        found.append(Voiced(name, rank, is_playable(frets), bool(ranked) and is_playable(dict(ranked[0].spots))))
    return found


def is_playable(frets: dict[int, int]) -> bool:
    subject = subject_of(from_text(solo("+".join(f"{string}:{fret}" for string, fret in frets.items()))))
    return not any(
        (finding.severity or check.SEVERITY) is Severity.ERROR
        for check in (reach, too_many_fingers)
        for finding in check.check(subject)
    )


def test_a_playable_voicing_is_found_for_every_chord() -> None:
    unplayable = [one for one in voiced() if not one.is_playable]
    assert [one.name for one in unplayable if one.is_published_playable] == []
    assert len(unplayable) <= 1


def test_the_published_voicing_is_among_the_first_three() -> None:
    first = sum(one.rank is not None and one.rank < 3 for one in voiced())
    assert first >= AMONG_THE_FIRST * len(voiced())
