"""Passages fingered as a teacher would finger them: how many fingers agree."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import pytest
from case_files import Case, cases_in
from played import fingers, line
from test_playable import MINOR_PENTATONIC, OPEN, some_a_string

from tabtools.hand import hand_of
from tabtools.notation.build import read_solo
from tabtools.source import from_text
from tabtools.timeline import timeline_of

CASES = cases_in(Path(__file__).parent / "taught.txt", "..")
LEAST, MOST_OTHER = 0.95, 1
FOLDER = Path(__file__).parent / "fingered"
BEFOREHAND = json.loads((FOLDER / "fingers.json").read_text(encoding="utf-8"))
LEAST_BEFOREHAND = 0.94
"""Of the passages that were fingered before anything was compared: what is left are thumbs round the neck."""
_PACE = re.compile(r"\((\d+), (\d+)\)$")


def agreeing(case: Case) -> tuple[int, int]:
    """How many fingers are those of the best of the ways that are written, and of how many."""
    pace = _PACE.search(case.name)
    per_beat, tempo = (int(pace[1]), int(pace[2])) if pace else (4, 120)
    found = fingers(line(case.text, per_beat, tempo))
    ways = [way.strip() for way in case.said[".."]]
    assert all(len(way) == len(found) for way in ways), (case.name, found)
    return max(sum(map(str.__eq__, way, found)) for way in ways), len(found)


def test_fingers_are_those_that_are_taught() -> None:
    counts = [agreeing(case) for case in CASES]
    assert sum(agree for agree, _ in counts) >= LEAST * sum(total for _, total in counts)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_no_passage_is_fingered_quite_another_way(case: Case) -> None:
    agree, total = agreeing(case)
    assert total - agree <= MOST_OTHER


@pytest.mark.parametrize("name", BEFOREHAND)
def test_every_passage_has_a_finger_for_every_note(name: str) -> None:
    assert len(struck(name)) == len(BEFOREHAND[name]["fingers"].split())


def struck(name: str) -> list[str]:
    """The fingers of the notes of a passage, bends and releases in slots of their own left out."""
    played = hand_of(timeline_of(read_solo(from_text((FOLDER / f"{name}.solo").read_text(encoding="utf-8"))).solo))
    notes = zip(played.timeline.notes, played.notes, strict=True)
    return [fingered.finger.replace("tap", "t") for note, fingered in notes if not note.note.only_moves_pitch]


def test_fingers_decided_beforehand_are_found() -> None:
    pairs = [
        pair for name in BEFOREHAND for pair in zip(struck(name), BEFOREHAND[name]["fingers"].split(), strict=True)
    ]
    assert sum(one == other for one, other in pairs) >= LEAST_BEFOREHAND * len(pairs)


WHOLE_STEPS = 0.9


BENT = 3
"""The place of the note that is bent."""


def bent_in_a_box(dice: random.Random) -> Iterator[str]:
    """Phrases in every minor pentatonic box in which a note is bent by a whole step."""
    for root, start in product(range(12), range(3, 15)):
        tones = {(root + step) % 12 for step in MINOR_PENTATONIC}
        if (OPEN[6] + start) % 12 not in tones:
            continue
        spots = [spot for spot in some_a_string(start, tones, 2) if spot[0] <= 4]
        for string in (1, 2, 3):
            low, high = sorted(fret for one, fret in spots if one == string)
            run = [f"{one}:{fret}" for one, fret in spots]
            first = dice.randrange(len(run) - 3)
            bend = [f"{string}:{high}b{high + 2}", f"{string}:{low}"]
            if dice.random() < 0.5:
                bend = [f"{string}:{high}", f"b{high + 2}", f"r{high}", f"p{low}"]
            if high <= 20:
                yield line([*run[first : first + BENT], *bend, *dice.sample(run, 3)], 4, dice.choice((80, 100, 120)))


def test_the_third_finger_bends_in_the_boxes() -> None:
    found = [fingers(phrase)[BENT] for phrase in bent_in_a_box(random.Random(5))]
    assert len(found) > 100
    assert found.count("3") >= WHOLE_STEPS * len(found)
