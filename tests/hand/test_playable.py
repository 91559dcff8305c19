"""Generated music: what the trade calls ordinary gives no error, what no hand can do is always reported."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from played import Spot, fingers, line, places, text_of

from tabtools.checks import BY_NAME
from tabtools.checks.run import lint
from tabtools.checks.subject import Subject, subject_of
from tabtools.hand.neck import Neck
from tabtools.problem import Problem, Severity
from tabtools.source import SourceText, decode, from_text

OPEN = {1: 64, 2: 59, 3: 55, 4: 50, 5: 45, 6: 40}
SCALES = {
    "major": (0, 2, 4, 5, 7, 9, 11),
    "harmonic minor": (0, 2, 3, 5, 7, 8, 11),
    "dorian": (0, 2, 3, 5, 7, 9, 10),
}
CHORDS = ((0, 4, 7), (0, 3, 7), (0, 4, 7, 10), (0, 3, 7, 10), (0, 4, 7, 11))
MINOR_PENTATONIC = (0, 3, 5, 7, 10)
MODERATE = (72, 92, 112, 126)

CHECKS = [
    BY_NAME[name]
    for name in (
        "two-notes-one-string",
        "finger-marks",
        "too-many-fingers",
        "reach",
        "shift-time",
        "pick-rate",
        "legato-rate",
        "tremolo-rate",
        "string-crossing",
        "bend-force",
        "bend-room",
        "tap-crossing",
    )
]


def problems(bars: str, header: str = "") -> list[Problem]:
    subject = subject_of(from_text(text_of(bars, header)))
    assert not subject.reading.problems, subject.reading.problems
    return lint([subject], CHECKS)


def errors(found: list[Problem]) -> set[str]:
    return {problem.check for problem in found if problem.severity is Severity.ERROR}


# ---- lines that hands play every day


def in_position(position: int, tones: set[int]) -> list[Spot]:
    """Every note of a set of pitch classes within a finger a fret, from the lowest string up."""
    return [
        (string, fret)
        for string in range(6, 0, -1)
        for fret in range(position, position + 4)
        if (OPEN[string] + fret) % 12 in tones
    ]


def up_and_down(spots: list[Spot], rng: random.Random) -> list[Spot]:
    """Up, down, in groups of four, in thirds, or wandering step by step."""
    kind = rng.choice(("up", "down", "fours", "thirds", "walk"))
    if kind == "fours":
        return [spot for start in range(len(spots) - 3) for spot in spots[start : start + 4]]
    if kind == "thirds":
        return [spot for start in range(len(spots) - 2) for spot in (spots[start], spots[start + 2])]
    if kind == "walk":
        at, walked = rng.randrange(len(spots)), []
        for _ in range(32):
            walked.append(spots[at])
            at = max(0, min(len(spots) - 1, at + rng.choice((-2, -1, 1, 2))))
        return walked
    return spots + spots[::-1] if kind == "up" else spots[::-1] + spots


def scale_lines(rng: random.Random) -> Iterator[tuple[int, list[Spot]]]:
    for position in range(1, 16):
        for scale in SCALES.values():
            for root in rng.sample(range(12), 3):
                yield position, up_and_down(in_position(position, {(root + step) % 12 for step in scale}), rng)


def arpeggio_lines(rng: random.Random) -> Iterator[tuple[int, list[Spot]]]:
    for position in range(2, 15):
        for chord in CHORDS:
            root = rng.randrange(12)
            yield position, up_and_down(in_position(position, {(root + step) % 12 for step in chord}), rng)


def pentatonic_boxes(rng: random.Random) -> Iterator[list[Spot]]:
    """Two notes on each string from each note of the scale on the lowest string."""
    for root in range(12):
        tones = {(root + step) % 12 for step in MINOR_PENTATONIC}
        for start in [fret for fret in range(3, 15) if (OPEN[6] + fret) % 12 in tones]:
            yield up_and_down(some_a_string(start, tones, 2), rng)


def three_a_string(rng: random.Random) -> Iterator[list[Spot]]:
    for root in range(12):
        for start in [fret for fret in range(3, 13) if (OPEN[6] + fret - root) % 12 in SCALES["major"]]:
            yield up_and_down(some_a_string(start, {(root + step) % 12 for step in SCALES["major"]}, 3), rng)


def some_a_string(start: int, tones: set[int], count: int) -> list[Spot]:
    """A scale from a fret of the lowest string up, so many notes on each string."""
    pitch, spots = OPEN[6] + start, []
    for string in range(6, 0, -1):
        while len(spots) < count * (7 - string):
            if pitch % 12 in tones:
                spots.append((string, pitch - OPEN[string]))
            pitch += 1
    return spots


FAMILIES: dict[str, Callable[[random.Random], Iterator[list[Spot]]]] = {
    "scales": lambda rng: (spots for _, spots in scale_lines(rng)),
    "arpeggios": lambda rng: (spots for _, spots in arpeggio_lines(rng)),
    "pentatonic boxes": pentatonic_boxes,
    "three notes a string": three_a_string,
}


@pytest.mark.parametrize("family", FAMILIES)
def test_ordinary_lines_give_no_error(family: str) -> None:
    rng = random.Random(family)
    wrong = {}
    for number, spots in enumerate(FAMILIES[family](rng)):
        bars = places(spots, tempo=MODERATE[number % len(MODERATE)])
        if found := errors(problems(bars)):
            wrong[bars] = found
    assert wrong == {}


def test_there_are_enough_of_them() -> None:
    assert sum(len(list(family(random.Random(name)))) for name, family in FAMILIES.items()) >= 300


LONG = 16
"""Notes."""


def test_one_finger_a_fret_is_fingered_so() -> None:
    """Common practice: in a position each finger has its fret.

    Lines that use all four frets leave no choice, and go on using them: who leaves the first fret alone for long may
    move up a fret.
    """
    rng, tried = random.Random(4), 0
    for position, spots in (*scale_lines(rng), *arpeggio_lines(rng)):
        frets = [fret for _, fret in spots]
        parts = [frets[start : start + LONG] for start in range(max(1, len(frets) - LONG + 1))]
        if all(min(part) == position and max(part) == position + 3 for part in parts):
            tried += 1
            assert fingers(places(spots)) == "".join(str(fret - position + 1) for fret in frets)
    assert tried >= 80


DEMO = sorted((Path(__file__).parents[2] / "transcriptions").glob("*.solo"))


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_the_demo_solos_can_be_played(path: Path) -> None:
    source: SourceText = decode(path.read_bytes(), path.name)
    assert errors(lint([Subject(subject_of(source).reading)], CHECKS)) == set()


# ---- figures that no hand can play


def five_frets(rng: random.Random) -> Iterator[str]:
    for _ in range(100):
        position = rng.randint(1, 17)
        frets = rng.sample(range(position, position + 5), 5)
        strings = rng.sample(range(1, 7), 5)
        yield stroke(zip(strings, frets, strict=True))


def wide_reaches(rng: random.Random) -> Iterator[str]:
    neck = Neck()
    for _ in range(100):
        low = rng.randint(1, 9)
        high = rng.choice([fret for fret in range(low, 23) if neck.gap(low, fret) >= 200])
        strings = rng.sample(range(1, 7), 2)
        yield stroke(zip(strings, rng.sample((low, high), 2), strict=True))


def slurs_beyond_reach(rng: random.Random) -> Iterator[str]:
    neck = Neck()
    for _ in range(50):
        low = rng.randint(1, 10)
        high = rng.choice([fret for fret in range(low, 23) if neck.gap(low, fret) >= 140])
        move = (f"{low}", f"h{high}") if rng.random() < 0.5 else (f"{high}", f"p{low}")
        yield line([f"{rng.randint(1, 6)}:{move[0]}", move[1]], 1)


def one_string(rng: random.Random) -> Iterator[str]:
    for _ in range(60):
        string = rng.randint(1, 6)
        yield stroke((string, fret) for fret in rng.sample(range(23), 2))


def thirty_a_second(rng: random.Random) -> Iterator[str]:
    for _ in range(60):
        position = rng.randint(1, 15)
        spots = in_position(position, set(range(12)))
        at = rng.randrange(4, 20)
        picked = []
        for _ in range(40):
            picked.append(spots[at])
            at = max(0, min(len(spots) - 1, at + rng.choice((-2, -1, 1, 2))))
        yield places(picked, per_beat=10, tempo=180)


def taps_below(rng: random.Random) -> Iterator[str]:
    for _ in range(80):
        string, fret = rng.randint(1, 6), rng.randint(5, 20)
        tap = rng.randint(2, fret)
        if rng.random() < 0.5:
            yield f"bar 1\n1-4  {string}:{fret} t{min(tap, fret - 1)} - -\n"
        else:
            other = rng.choice([one for one in range(1, 7) if one != string])
            yield f"bar 1\n1-4  {string}:{fret}[ring] t{other}:{tap} - -\n"


def three_step_bends(rng: random.Random) -> Iterator[str]:
    for string in range(1, 7):
        for motion in ("1b7", "1pb7", "1 b7 - -", "1b7r1"):
            yield f"bar 1\n1-4  {string}:{motion}\n"


def leaps(rng: random.Random) -> Iterator[str]:
    for _ in range(50):
        low, high = rng.randint(1, 3), rng.randint(16, 19)
        strings = rng.sample(range(1, 7), 2)
        yield places(
            [(strings[index // 2 % 2], (low, high)[index // 2 % 2] + index % 2) for index in range(16)], tempo=220
        )


def crossed_fingers(rng: random.Random) -> Iterator[str]:
    for _ in range(40):
        low, high = sorted(rng.sample(range(1, 12), 2))
        strings = rng.sample(range(1, 7), 2)
        finger = rng.randint(2, 4)
        other = rng.randint(1, finger)
        yield f"bar 1\n1-4  {strings[0]}:{low}[lh {finger}]+{strings[1]}:{high}[lh {other}]\n"


def stroke(spots) -> str:
    return "bar 1\n1-4  " + "+".join(f"{string}:{fret}" for string, fret in spots) + "\n"


IMPOSSIBLE: dict[str, tuple[str, Callable[[random.Random], Iterator[str]]]] = {
    "five frets that need five fingers": ("too-many-fingers", five_frets),
    "reaches of 200 mm and more": ("reach", wide_reaches),
    "slurs of 140 mm and more": ("reach", slurs_beyond_reach),
    "two places on one string": ("two-notes-one-string", one_string),
    "thirty picked notes a second": ("pick-rate", thirty_a_second),
    "taps at or below the fretting hand": ("tap-crossing", taps_below),
    "bends of three steps at the first fret": ("bend-force", three_step_bends),
    "leaps along half the neck in sixteenths at 220": ("shift-time", leaps),
    "declared fingers that cross": ("finger-marks", crossed_fingers),
}


@pytest.mark.parametrize("kind", IMPOSSIBLE)
def test_impossible_figures_are_reported(kind: str) -> None:
    check, generate = IMPOSSIBLE[kind]
    missed = [bars for bars in generate(random.Random(kind)) if check not in errors(problems(bars))]
    assert missed == []


def test_there_are_enough_of_those() -> None:
    assert sum(len(list(generate(random.Random(kind)))) for kind, (_, generate) in IMPOSSIBLE.items()) >= 500
