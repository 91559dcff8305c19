"""Generated solos for the exports: whole bars of everything the format can write, the same for the same seed.

Those with open things have some of what is not known yet in every bar.
"""

from __future__ import annotations

import random

HEADER = """\
title:   Made Nr. {seed}
player:  nobody
rights:  CC0-1.0
tuning:  {tuning}
capo:    {capo}
key:     {key}
meter:   {meter}
tempo:   {tempo}
feel:    {feel}
"""
METERS = {"4/4": 4, "3/4": 3, "7/8": 7, "6/8": 6, "12/8 in 4": 4, "5/4": 5, "2/2": 2, "6/8 in 2": 2}
CHORDS = ("Am7", "D7alt", "F#m7b5", "Bbmaj7#11", "E7(b9,#11)", "C/G", "NC", "A5", "G13", "Ebm9", "Bsus4", "C6/9")
TUNINGS = ("standard", "drop D", "half step down", "DADGAD", "seven string")
KEYS = ("A minor", "F# dorian", "Bb major", "E blues", "D mixolydian")
MARKS = ("pm", "accent, down", "up", "ring", "lh 2", "trem", "ghost", "stacc", "swell", "rake", "rh i, lh 1", "pinch")

OPEN_NOTES = (
    *("=D4", "=F#4", "=Bb3", "=C5~", "=E4?", "=E4?=F4", "=E4?=F4?=G4", "=G4[ring]", "=A4[pm]", "=D4[trem]"),
    *(
        "=D4b=E4",
        "=D4b=E4r=D4",
        "=D4pb=E4r=D4",
        "=D4h=E4p=D4",
        "=C5w=B4w=C5~",
        "=E4\\",
    ),
    *("{string}:=C6", "{string}:=C6b=D6", "{string}:{fret}h=C6~", "{string}:{fret}?1:3?2:8"),
    *("?", "?", "?~", "?[accent]", "{string}:?", "{string}:?[ring]", "{string}:?\\", "=D4[trill 9]"),
)
MOVED_TO_PITCHES = (
    ("=D4", "b=E4", "r=D4", "p=C4"),
    ("=D4", "h=F4", "p=D4", "-"),
    ("=D4", "/=A4", "\\=F4", "."),
    ("=D4+=F4", "b=E4", "r=D4"),
    ("=D4[ring]", "w=C4", "w=D4"),
    ("=D4pb=E4", "-", "r=D4p=C4"),
    ("3:7", "h=E4", "b=F#4", "r9", "p7"),
    ("?", "h=E4", "b?", "/?"),
    ("/=E4", "h=F4"),
    ("1:12b=F#5", "3:7b=E4r7"),
    ("3:7", "??", "h=E4"),
    ("3:?", "h9", "p7", "b=E4"),
)


class Maker:
    """Makes one solo."""

    def __init__(self, seed: int, is_open: bool = False):
        self.seed = seed
        self.is_open = is_open
        self.random = random.Random(seed)

    def chance(self, probability: float) -> bool:
        return self.random.random() < probability

    def solo(self) -> str:
        meter = self.random.choice(sorted(METERS))
        head = HEADER.format(
            seed=self.seed,
            tuning=self.random.choice(TUNINGS),
            capo=self.random.choice((0, 0, 3)),
            key=self.random.choice(KEYS),
            meter=meter,
            tempo=self.random.choice((60, 84, 97.5, 132)),
            feel=self.random.choice(("straight", "straight", "swing 2:1", "swing 3:2")),
        )
        counts = METERS[meter]
        bars = ["section A  Part & parcel"]
        if self.chance(0.3):
            bars.append(f"bar 0\n{counts}  {self.slots(2)}")
        bars += [self.bar(number, counts) for number in range(1, self.random.randint(2, 4))]
        if self.chance(0.3):
            lines = "\n".join(f"{line}{self.doubt()}  {self.slots(5)}" for line in (1, "2-3"))
            bars.append(f"bar {len(bars)}  free {self.random.choice((2, 4.5, 7.25))}s\n{lines}")
            bars.append(self.bar(len(bars), counts))
        return "\n\n".join([head, *bars]) + "\n"

    def bar(self, number: int, counts: int) -> str:
        chord = self.random.choice(CHORDS) + self.doubt()
        later = f" {self.random.choice(CHORDS)}{self.doubt()}@2" if self.chance(0.3) else ""
        lines = [f"bar {number}  {chord}{later}"]
        count = 1
        while count <= counts:
            last = min(counts, count + self.random.choice((0, 0, 0, 1, 2)))
            counts_said = f"{count if count == last else f'{count}-{last}'}{self.doubt()}"
            lines.append(f"{counts_said}  {self.slots(7)}{self.line_marks()}")
            count = last + 1
        return "\n".join(lines)

    def doubt(self) -> str:
        return "?" if self.is_open and self.chance(0.15) else ""

    def line_marks(self) -> str:
        return " [ring]" if self.chance(0.1) else ""

    def slots(self, most: int, depth: int = 2) -> str:
        found: list[str] = []
        wanted = self.random.randint(1, most)
        while len(found) < wanted:
            kind = self.random.random()
            if self.is_open and self.chance(0.05):
                found.append("??")
            elif kind < 0.1:
                found.append(self.random.choice(("-", ".")))
            elif kind < 0.2 and depth:
                found.append(f"({self.slots(5, depth - 1)})")
            elif kind < 0.3:
                found += self.moved()
            elif kind < 0.4:
                found.append("+".join(self.note(string) for string in self.random.sample(range(1, 7), 2)))
            else:
                found.append(self.note(self.random.randint(1, 6)))
        weights = ("", "", "", "", "*2", "*3")
        return " ".join(one + self.random.choice(weights) for one in found)

    def moved(self) -> list[str]:
        """A note, then slots of what its string does next."""
        string, fret = self.random.randint(1, 5), self.random.randint(4, 14)
        if self.is_open and self.chance(0.4):
            return list(self.random.choice(MOVED_TO_PITCHES))
        figures = (
            (f"{string}:{fret}", f"b{fret + 2}", f"r{fret}", f"p{fret - 2}"),
            (f"{string}:{fret}b{fret + 2}+{string + 1}:{fret}", f"r{fret}"),
            (f"{string}:{fret}", f"h{fret + 3}", f"p{fret}", "-"),
            (f"{string}:{fret}", f"/{fret + 5}", f"\\{fret + 2}"),
            (f"t{string}:{fret + 5}", f"p{fret}", f"h{fret + 2}"),
            (f"{string}:{fret}[ring]", f"w{fret - 2}", f"w{fret}"),
            (f"{string}:{fret}pb{fret + 2}", "-", f"r{fret}p{fret - 2}"),
        )
        return list(self.random.choice(figures))

    def note(self, string: int) -> str:
        fret = self.random.randint(2, 15)
        if self.is_open and self.chance(0.3):
            return self.random.choice(OPEN_NOTES).format(string=string, fret=fret)
        kinds = (
            *[f"{string}:{fret}"] * 6,
            f"{string}:0",
            f"{string}:x",
            f"{string}:<12>",
            f"{string}:<3.9>",
            f"{string}:{fret}<{fret + 12}>",
            f"{string}:{fret}b{fret + 2}",
            f"{string}:{fret}b{fret + 1}.5r{fret}",
            f"{string}:{fret}pb{fret + 3}",
            f"{string}:{fret}h{fret + 2}p{fret}",
            f"{string}:{fret}/{fret + 2}",
            f"{string}:{fret}w{fret - 2}w{fret}",
            f"{string}:{fret}~",
            f"{string}:{fret}~~",
            f"{string}:{fret}\\",
            f"/{string}:{fret}",
            f"\\{string}:{fret}",
            f"h{string}:{fret}",
            f"t{string}:{fret}",
            f"{string}:{fret}?",
            f"{string}:{fret}?{string}:{fret + 1}",
            f"{string}:{fret}[trill {fret + 3}]",
            f"{string}:{fret}[trill {fret + 2}]",
        )
        mark = f"[{self.random.choice(MARKS)}]" if self.chance(0.15) else ""
        made = self.random.choice(kinds)
        return made if made.endswith("]") else made + mark


def made_solo(seed: int, is_open: bool = False) -> str:
    """A solo of a few bars. Its bars add up; whether a hand can play it is another matter."""
    return Maker(seed, is_open).solo()
