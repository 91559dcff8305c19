"""Generated solos for the benchmarks: the same text for the same seed, about 4 kB and 820 tokens for 32 bars."""

from __future__ import annotations

import random
from collections.abc import Iterator

from tabtools.model.pitch import pitch_name

CHORDS = ("Dm7", "G7", "Cmaj7", "A7(b9)", "Fmaj7", "Bm7b5", "E7#9", "Am7")
SCALE = (0, 2, 3, 5, 7, 9, 10)
OPEN = {1: 64, 2: 59, 3: 55, 4: 50, 5: 45, 6: 40}

LOWEST, HIGHEST, CHORD_SHARE = 45, 79, 0.25


def solo(seed: int, bars: int = 32) -> str:
    """One solo of so many bars in 4/4, playable in one position, that lints clean."""
    rng = random.Random(seed)
    head = (
        f"title: Generated {seed}\nplayer: nobody\nrecording: none\nrights: CC0-1.0\n"
        f"key: D dorian\nmeter: 4/4\ntempo: {rng.choice((72, 84, 96, 108))}\n\nsection A  All\n"
    )
    return head + "".join(_bar(rng, number) for number in range(1, bars + 1))


def solos(count: int, bars: int = 32) -> Iterator[tuple[str, str]]:
    """(file name, text) of so many solos."""
    for seed in range(count):
        yield f"generated-{seed:04}.solo", solo(seed, bars)


def with_chords(seed: int, bars: int = 6) -> str:
    """A solo whose places are open: steps up and down, slurred now and then, a quarter of them with notes below."""
    rng = random.Random(seed)
    midi = rng.randint(52, 70)
    lines = [f"meter: 4/4\ntempo: {rng.randint(60, 180)}\n"]
    for count in range(4 * bars):
        slots: list[str] = []
        for _ in range(rng.choice((1, 1, 2, 2, 3))):
            step = rng.choice((-5, -4, -3, -2, -1, 1, 2, 3, 4, 5))
            midi = midi + step if LOWEST <= midi + step <= HIGHEST else midi - step
            chord = list(_down_from(rng, midi)) if rng.random() < CHORD_SHARE else [midi]
            follows = slots and "+" not in slots[-1] and len(chord) == 1
            way = rng.choice(("", "", "", "", "h", "p", "/")) if follows else ""
            slots.append(way + "+".join(f"={pitch_name(pitch)}" for pitch in chord))
        head = "" if count % 4 else f"\nbar {count // 4 + 1}\n"
        lines.append(f"{head}{count % 4 + 1}    {' '.join(slots)}\n")
    return "".join(lines)


def _down_from(rng: random.Random, midi: int) -> Iterator[int]:
    """Two to five notes, each so far below the one before that it can have a string of its own."""
    yield midi
    for _ in range(rng.choice((2, 2, 3, 3, 4, 5)) - 1):
        midi -= rng.choice((3, 4, 5, 5, 7, 8, 9, 12))
        if midi >= min(OPEN.values()):
            yield midi


def _bar(rng: random.Random, number: int) -> str:
    lines = [f"\nbar {number}  {CHORDS[(number - 1) // 2 % len(CHORDS)]}\n"]
    lines.extend(f"{count}    {_beat(rng)}\n" for count in range(1, 5))
    return "".join(lines)


def _beat(rng: random.Random) -> str:
    kind = rng.random()
    if kind < 0.12:
        return f"{_note(rng)} -"
    if kind < 0.2:
        string = rng.choice((1, 2, 3))
        return f"{string}:7b9 r7"
    if kind < 0.3:
        string = rng.choice((1, 2, 3, 4))
        return f"{string}:5 h7 p5 {_note(rng)}"
    if kind < 0.36:
        return f"({_note(rng)} {_note(rng)} {_note(rng)}) {_note(rng)}[pm]"
    if kind < 0.4:
        return ". 3:5/7~"
    if kind < 0.44:
        return "3:5+2:6 -"
    return " ".join(_note(rng) for _ in range(rng.choice((2, 2, 3, 4))))


def _note(rng: random.Random) -> str:
    string = rng.choice((1, 2, 2, 3, 3, 4, 5))
    frets = [fret for fret in range(5, 9) if (OPEN[string] + fret - 2) % 12 in SCALE]
    return f"{string}:{rng.choice(frets)}"
