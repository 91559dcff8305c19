"""Made-up solos for the tests of review: canonical text, the same for the same seed."""

from __future__ import annotations

import random

from tabtools.review.change import ReadVersion, read_version
from tabtools.source import from_text

CHORDS = ("Dm7", "G7", "Cmaj7", "A7(b9)", "Fmaj7", "Bm7b5", "E7#9", "Am7", "Dm7@1 G7@3", "Gm7@1 C7@3")
DOUBTFUL_CHORDS = ("Em7?", "Dm7?@1 G7@3", "C6?@1 F7?@3")
WORDS = ("heard", "from", "the", "quay", "twice", "slack", "tide", "low", "rope", "again", "softly")


def made_solo(seed: int, bars: int | None = None) -> str:
    """A solo of 8 to 11 bars in two sections, with repeats, riffs, passages, comments, and much that is still open."""
    rng = random.Random(seed)
    count = bars or rng.randint(8, 11)
    fields = [
        ("title", f"Made {seed}"),
        ("player", "Ida Marlow"),
        ("recording", "slipway tape"),
        ("rights", "CC0-1.0"),
        ("key", "D dorian"),
        ("meter", "4/4"),
        ("tempo", str(rng.choice((72, 84, 96, 108)))),
    ]
    head = "\n".join(f"{name + ':':<13} {value}" for name, value in fields)
    blocks = [head, "section A  Ebb"]
    riff = [made_line(rng, beat) for beat in range(1, 5)]
    middle = count // 2 + 1
    for number in range(1, count + 1):
        if number == middle:
            blocks.append("section B  Flood")
        symbols = DOUBTFUL_CHORDS if rng.random() < 0.25 else CHORDS
        chords = f"  {rng.choice(symbols)}" if number == 1 or rng.random() < 0.7 else ""
        is_riff = number in (2, middle + 1)
        lines = riff if is_riff else made_lines(rng)
        blocks.append("\n".join([f"bar {number}{chords}", *lines]))
    blocks.append(f"bars {count + 1}-{count + 2} like 1-2  Am7@{count + 1}.1")
    blocks.append(f"passage 1.1-2.2  First call\npassage {middle}.1-{middle + 1}.4  Answer")
    return "\n\n".join(blocks) + "\n"


def made_lines(rng: random.Random) -> list[str]:
    """The lines of one bar of 4/4."""
    if rng.random() < 0.2:
        lines = [made_line(rng, 1), made_line(rng, 2), f"3-4  {made_note(rng)} {made_note(rng)} {made_note(rng)}"]
    else:
        lines = [made_line(rng, beat) for beat in range(1, 5)]
    if rng.random() < 0.2:
        lines[1] += f"  # {made_words(rng)}"
    return lines


def made_line(rng: random.Random, beat: int) -> str:
    kind = rng.random()
    if kind < 0.1:
        slots = f"{made_note(rng)} -"
    elif kind < 0.2:
        slots = f"{rng.choice((1, 2, 3))}:7b9 r7 {made_note(rng)}"
    elif kind < 0.3:
        slots = f"{made_note(rng)} {rng.choice((1, 2, 3, 4))}:5 h7 p5"
    elif kind < 0.4:
        slots = f"({made_note(rng)} {made_note(rng)} {made_note(rng)}) {made_note(rng)}[pm]"
    elif kind < 0.5:
        slots = f". {made_note(rng)}?{rng.choice(('', made_note(rng)))} {rng.choice((2, 3))}:5/7~"
    elif kind < 0.6:
        slots = f"3:{rng.randint(2, 9)}+2:{rng.randint(2, 9)} - {made_note(rng)}"
    elif kind < 0.68:
        slots = f"{made_pitch(rng)} {made_note(rng)} {rng.choice(('?', '3:?'))}"
    elif kind < 0.76:
        slots = f"?? {made_note(rng)} {made_pitch(rng)}?{made_pitch(rng)}"
    else:
        slots = " ".join(made_note(rng) for _ in range(rng.choice((2, 3, 4))))
    return f"{f'{beat}?' if rng.random() < 0.12 else beat:<4} {slots}"


def made_pitch(rng: random.Random) -> str:
    """A pitch that lies on each of the upper four strings."""
    return rng.choice(("=E4", "=F4", "=F#4", "=G4", "=Ab4", "=A4"))


def made_note(rng: random.Random) -> str:
    return f"{rng.choice((1, 2, 3, 4, 5))}:{rng.randint(2, 14)}"


def made_words(rng: random.Random) -> str:
    return " ".join(rng.choice(WORDS) for _ in range(3))


def version(text: str) -> ReadVersion:
    read = read_version(from_text(text, "made.solo"))
    assert read.is_whole
    return read
