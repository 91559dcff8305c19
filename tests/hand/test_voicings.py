"""Grips against 2,069 published chord voicings: chords-db 0.5.1 (npm, MIT), faults of it listed in README.md there."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from tabtools.checks import finger_marks, reach, too_many_fingers
from tabtools.checks.subject import subject_of
from tabtools.hand.grip import Grip, Shape, Stop
from tabtools.hand.moves import Moves
from tabtools.hand.neck import Neck
from tabtools.hand.profile import DEFAULT_PROFILE
from tabtools.problem import Severity
from tabtools.source import from_text

FILE = Path(__file__).parents[1] / "outside" / "chord_voicings.json"
SCALE_MM = 25.5 * 25.4
FEWEST_AGREEING, MOST_WARNED = 0.89, 0.02


class Voicing(NamedTuple):
    """Stops from the first string on, open strings, and the published finger of each string that has one."""

    name: str
    stops: tuple[Stop, ...]
    opens: tuple[int, ...]
    fingers: dict[int, int]
    muted: frozenset[int]

    @property
    def faults(self) -> Iterator[str]:
        held = [(stop, self.fingers.get(stop.string, 0)) for stop in self.stops]
        if any(not finger for _, finger in held):
            yield "no finger"
        if any(string in self.fingers for string in (*self.opens, *self.muted)):
            yield "open or muted"
        for stop, finger in held:
            for other, another in held:
                if finger and another and finger > another and stop.fret < other.fret:
                    yield "inverted"
                if finger and finger == another and stop.fret < other.fret:
                    yield "two frets"


def _voicings() -> Iterator[Voicing]:
    for row in json.loads(FILE.read_text(encoding="utf-8"))["voicings"]:
        frets = {6 - index: fret for index, fret in enumerate(row["frets"])}
        yield Voicing(
            f"{row['key']} {row['suffix']} {row['frets']} at {row['baseFret']}",
            tuple(Stop(string, frets[string] + row["baseFret"] - 1) for string in range(1, 7) if frets[string] > 0),
            tuple(string for string in range(1, 7) if frets[string] == 0),
            {6 - index: finger for index, finger in enumerate(row["fingers"]) if finger},
            frozenset(string for string in range(1, 7) if frets[string] < 0),
        )


VOICINGS = list(_voicings())
SOUND = [voicing for voicing in VOICINGS if voicing.stops and not any(voicing.faults)]
MOVES = Moves(Neck(SCALE_MM, 0, 36), DEFAULT_PROFILE)


def best(voicing: Voicing) -> tuple[Shape, Grip]:
    shape = MOVES.shape(voicing.stops, voicing.opens)
    return shape, min(zip(shape.costs, shape.grips, strict=True), key=lambda entry: entry[0])[1]


def agrees(voicing: Voicing, grip: Grip) -> bool:
    """Whether the fingers are the published ones, a fret left out where only one of the two bars it."""
    frets: dict[int, list[tuple[int, int]]] = {}
    for stop, finger in zip(voicing.stops, grip.fingers, strict=True):
        frets.setdefault(stop.fret, []).append((finger, voicing.fingers[stop.string]))
    for pairs in frets.values():
        ours, published = {one for one, _ in pairs}, {other for _, other in pairs}
        if (len(ours) < len(pairs)) == (len(published) < len(pairs)) and any(one != other for one, other in pairs):
            return False
    return True


def test_the_faults_are_as_the_readme_counts_them() -> None:
    counts = {
        fault: sum(fault in voicing.faults for voicing in VOICINGS)
        for fault in ("no finger", "open or muted", "inverted", "two frets")
    }
    assert counts == {"no finger": 12, "open or muted": 6, "inverted": 10, "two frets": 2}
    assert len(VOICINGS) == 2069


def test_no_sound_voicing_is_beyond_reach_or_takes_too_many_fingers() -> None:
    beyond = [voicing.name for voicing in SOUND if best(voicing)[1].strain > 1 or best(voicing)[0].needed > 4]
    assert beyond == []


def test_few_sound_voicings_are_doubtful() -> None:
    doubtful = [voicing.name for voicing in SOUND if best(voicing)[1].strain > 0.5]
    assert len(doubtful) <= MOST_WARNED * len(SOUND)


def test_fingers_agree_with_the_published_ones() -> None:
    agreeing = sum(agrees(voicing, best(voicing)[1]) for voicing in SOUND)
    assert agreeing >= FEWEST_AGREEING * len(SOUND)


@pytest.mark.parametrize("fold", range(5))
def test_agreement_does_not_hang_on_single_chords(fold: int) -> None:
    part = SOUND[fold::5]
    assert sum(agrees(voicing, best(voicing)[1]) for voicing in part) >= 0.8 * len(part)


def solo(voicing: Voicing, with_fingers: bool) -> str:
    """The voicing as a stroke, each string with the finger that is published for it."""
    notes = {stop.string: stop.fret for stop in voicing.stops} | dict.fromkeys(voicing.opens, 0)
    stroke = "+".join(
        f"{string}:{fret}" + (f"[lh {voicing.fingers[string]}]" if with_fingers and string in voicing.fingers else "")
        for string, fret in sorted(notes.items(), reverse=True)
    )
    return f"title: A\nrights: CC0-1.0\nmeter: 4/4\nfrets: 36\nscale-length: 25.5 in\n\nbar 1\n1-4  {stroke}\n"


def faulty(fault: str) -> list[Voicing]:
    return [voicing for voicing in VOICINGS if fault in voicing.faults]


@pytest.mark.parametrize("voicing", faulty("inverted") + faulty("two frets"), ids=lambda voicing: voicing.name)
def test_impossible_fingers_are_reported(voicing: Voicing) -> None:
    subject = subject_of(from_text(solo(voicing, with_fingers=True)))
    assert list(finger_marks.check(subject))


def test_the_other_faults_cannot_be_shown_by_fingers() -> None:
    """A string without a finger leaves the choice; the fingers on strings that are not played are all on muted ones."""
    assert not any(set(voicing.opens) & set(voicing.fingers) for voicing in faulty("open or muted"))


@pytest.mark.parametrize("voicing", SOUND[::37], ids=lambda voicing: voicing.name)
def test_sound_voicings_pass_the_checks_with_and_without_their_fingers(voicing: Voicing) -> None:
    for with_fingers in (False, True):
        subject = subject_of(from_text(solo(voicing, with_fingers)))
        found = [
            finding
            for check in (reach, too_many_fingers, finger_marks)
            for finding in check.check(subject)
            if (finding.severity or check.SEVERITY) is Severity.ERROR
        ]
        assert found == []
