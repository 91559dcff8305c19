"""Solo files thrown by dice: such as a hand could play, and what slips of the finger make of them.

`strategies.Dice` throws everything that can be written; here most of what is thrown passes the linter. In some solos
much is not known yet.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random

from strategies import Dice

from tabtools.notation.write import canonical

CORPUS = [
    path.read_text(encoding="utf-8") for path in sorted((Path(__file__).parents[1] / "transcriptions").glob("*.solo"))
]
METERS = {"4/4": 4, "3/4": 3, "7/8": 7, "6/8": 6, "12/8 in 4": 4, "5/4": 5, "2/2": 2, "1/4": 1, "9/8 in 3": 3}
HEADERS = (
    *("", "", "", "key: A minor\n", "key: C major\nfeel: swing 2:1\n", "tuning: DADGAD\nkey: D dorian\n"),
    *("capo: 2\n", "tuning: bass\n", "tuning: seven string\ntempo: 60\n", "tuning: eight string\n"),
    *("frets: 36\ngauges: 5 5 5 5 5 5\n", "hand: small\nscale-length: 300 mm\n", "hand: large\nreference: 380\n"),
    *("tempo: 10\n", "tempo: 300\n", "key: F# locrian\n", "key: E blues\n", "draft: yes\n"),
    "summary: <b>&amp; “x”\ntags: a, b\ncomposer: C & D\n",
)
CHORDS = (
    *("", "", "", "Am7", "D7alt", "F#m7b5", "Bbmaj7#11", "E7(b9,#11)", "C/G", "NC", "A5", "Am7@1 D7@1&", "G13"),
    *("Cm(maj7)", "B°7", "A+", "Esus4", "Cb7", "Fadd9", "C7no5"),
)
ENDS = (*("",) * 16, "~", "~~", "?", "[pm]", "[accent, down]", "[ring]", "[lh T]", "[lh 4]", "[rh m]")
RARE = (
    "[trill {up}]",
    "[trem]",
    "[pinch]",
    "[ghost]",
    "[stacc]",
    "[swell]",
    "[rake]",
    "[roll]",
    "\\",
    "/",
    "?2:5",
    "=A4",
)
WITHIN = (
    *("b{up}", "b{up}", "b{up}r{at}", "b{half}", "pb{up}", "pb{up}~", "pb{up}r{at}", "/{up}", "h{up}p{at}"),
    *("w{down}w{at}", "t{far}p{at}"),
)
SPOTS = (*("{at}",) * 12, "0", "x", "<12>", "<5>", "{at}<{twelve}>")
OPEN_PITCHES = (("D4", "E4", "F#4"), ("G4", "A4", "B4"), ("C5", "D5", "Eb5"), ("A3", "Bb3", "C4"))
ODD = """\
0  1  64  65  36  37  999999  -  .  (  )  [  ]  b9  r7  w5  h5  p3  /7  \\3  t14  3:7  3:7pb9~  3:x~  3:xb7  4:<1.3>
4:5<6>  6:5[lh 4]  p3[lh T]  3:7[trill 99]  *64  *0  3:99  12:5  0:5  3:999b999  3:7+3:9  3:0b2  9:0+8:1  3:7=Cb-1  b0
r0  w0  3:7w-1  #  ?  ~  ~~  @  bar 1  bars 2-9 like 1  like  free 0.01s  free 600s  meter 1/1  meter 64/32  tempo 600
at 0:00  at 9999:59  1-64  2  5  passage 1.1-1.2 X  section A  Hx  NC  C/H  A2  # allow  # allow reach: so  draft: yes
’  key: Q  tuning: D2  frets: 5  capo: 24  5:16b99  b7pb9  3:5h7+3:5h8  h3:x""".replace("\n", "  ").split("  ")
HEAD = "title: Thrown\nplayer: B\nrecording: C\nrights: CC0-1.0\nmeter: {}\n"


def thrown(dice: Random, most_bars: int = 3, openness: float | None = None) -> str:
    """A solo of one bar or more in a hand's reach, most of which the linter passes.

    `openness` is the share of what is not known yet; where it is not given, most solos have nothing open.
    """
    if openness is None:
        openness = dice.choice((0.0, 0.0, 0.0, 0.1, 0.3))
    meter = dice.choice(list(METERS))
    text = HEAD.format(meter) + dice.choice(HEADERS) + "\n"
    hand = _Hand(dice, openness)
    number = dice.choice((0, 1, 1, 1))
    for _ in range(dice.randint(1, most_bars)):
        first = METERS[meter] if number == 0 else 1
        more = dice.choice(("", "", "", "", "  tempo 90"))
        chord = dice.choice(CHORDS)
        doubt = "?" if chord and "@" not in chord and dice.random() < openness / 2 else ""
        text += f"bar {number}  {chord}{doubt}{more}\n" + "".join(_lines(dice, hand, first, METERS[meter]))
        number += 1
    if dice.random() < 0.3:
        text += f"bar {number} like {number - 1}  {dice.choice(CHORDS)}\n"
        number += 1
    if dice.random() < 0.2:
        text += f"bar {number}  free 2s\n1  {hand.slots(3)}\n2  {hand.slots(2)}\n"
        number += 1
    if dice.random() < 0.2:
        text += f"\npassage {number - 1}  All of it\n"
    return text


def _lines(dice: Random, hand: _Hand, first: int, counts: int) -> Iterator[str]:
    count = first
    while count <= counts:
        last = min(counts, count + dice.choice((0, 0, 0, 1, 2)))
        line = f"{count}" if count == last else f"{count}-{last}"
        line += "?" if dice.random() < hand.openness / 2 else ""
        yield f"{line}  {hand.slots(dice.choice((1, 1, 1, 2, 2, 3, 4)))}\n"
        count = last + 1


class _Hand:
    """Throws slots near one place on the neck, knowing which note sounds alone and what it is bent to."""

    def __init__(self, dice: Random, openness: float = 0.0):
        self.dice = dice
        self.openness = openness
        self.fret = dice.choice((2, 5, 5, 7, 12))
        self.sounds = False
        self.last: tuple[int, int, int] | None = None
        """String, fret and the fret it is bent to."""

    def slots(self, count: int, depth: int = 2) -> str:
        return " ".join(self._slot(depth) for _ in range(count))

    def _slot(self, depth: int) -> str:
        dice = self.dice
        if dice.random() < self.openness:
            return self._open()
        kind = dice.random()
        weight = dice.choice(("",) * 12 + ("*2", "*3"))
        if depth and kind < 0.06:
            return f"({self.slots(dice.randint(1, 4), depth - 1)}){weight}"
        if kind < 0.14:
            self.last, self.sounds = None, False
            return f".{weight}"
        if kind < 0.22 and self.sounds:
            return f"-{weight}"
        if kind < 0.4 and self.last:
            return self._moved(*self.last) + weight
        self.sounds = True
        if kind < 0.48:
            return self._together() + weight
        return self._note(dice.randint(1, 4)) + weight

    def _open(self) -> str:
        """What is not known yet; moves to a pitch go on from what sounds, whatever its place."""
        dice = self.dice
        string, (low, high, higher) = dice.randint(1, 3), dice.choice(OPEN_PITCHES)
        kinds = (
            *(f"={high}", f"={high}", f"={high}~", f"={high}?", f"={high}?={low}", f"={high}?={low}?={higher}"),
            *(f"{string}:={high}", f"={low}b={high}", f"={low}b={high}r={low}", f"={low}pb={high}~", f"={low}h={high}"),
            *("?", "?", f"{string}:?", "??", f"={low}+={high}", f"?+={high}", f"={high}\\"),
        )
        goes_on = self.sounds and dice.random() < 0.4
        self.sounds, self.last = True, None
        return dice.choice((f"h={high}", f"/={high}", f"p={low}", "h?")) if goes_on else dice.choice(kinds)

    def _moved(self, string: int, fret: int, bent: int) -> str:
        dice = self.dice
        if bent > fret:
            self.last = string, fret, fret
            return f"r{fret}"
        move = dice.choice("hp/\\bt")
        reached = fret + dice.choice((1, 2)) if move in "h/bt" else max(1, fret - dice.choice((1, 2)))
        if move == "p" and reached >= fret:
            return "-"
        self.last = (string, fret, reached) if move == "b" else (string, reached, reached)
        return f"{move}{reached}"

    def _together(self) -> str:
        strings = sorted(self.dice.sample(range(1, 5), self.dice.choice((2, 2, 3))))
        notes = [self._note(string, is_alone=False) for string in strings]
        self.last = None
        return "+".join(notes)

    def _note(self, string: int, is_alone: bool = True) -> str:
        dice = self.dice
        fret = self.fret + dice.randint(0, 3)
        up = fret + dice.choice((1, 2))
        spot = dice.choice(SPOTS)
        within = dice.choice(WITHIN) if spot == "{at}" and is_alone and dice.random() < 0.2 else ""
        end = dice.choice(RARE) if dice.random() < 0.06 else dice.choice(ENDS)
        self.last = (string, fret, fret) if spot == "{at}" and not within and end not in ("\\", "/") else None
        named = {"at": fret, "up": up, "down": fret - 1, "far": fret + 5, "half": fret + 0.5, "twelve": fret + 12}
        return f"{string}:{spot}{within}{end}".format(**named)


# ---- slips

SIGNS = "0123456789:-.()[]+*~=?<>hptbrw/\\x#@& \tABCab|,;é\n"
NUMBERS = ("0", "1", "2", "3", "5", "9", "12", "22", "36", "37", "64", "0.5", "999")


def slipped(text: str, dice: Random, slips: int) -> str:
    """A text with so many slips in it, of characters, words or lines."""
    for _ in range(slips):
        text = dice.choice(SLIPS)(text, dice)
    return text


def _character(text: str, dice: Random) -> str:
    at = dice.randrange(len(text) + 1)
    return text[:at] + dice.choice(("", dice.choice(SIGNS))) + text[at + dice.choice((0, 1)) :]


def _word(text: str, dice: Random) -> str:
    words = re.split(r"(\s+)", text)
    words[dice.randrange(len(words))] = dice.choice(ODD)
    return "".join(words)


def _word_more(text: str, dice: Random) -> str:
    words = re.split(r"(\s+)", text)
    at = dice.randrange(len(words))
    words[at:at] = [" ", dice.choice(ODD), " "]
    return "".join(words)


def _number(text: str, dice: Random) -> str:
    found = list(re.finditer(r"\d+(\.\d+)?", text))
    if not found:
        return text
    one = dice.choice(found)
    return text[: one.start()] + dice.choice(NUMBERS) + text[one.end() :]


def _line(text: str, dice: Random) -> str:
    lines = text.splitlines(keepends=True) or [""]
    at, other = dice.randrange(len(lines)), dice.randrange(len(lines))
    act = dice.randrange(4)
    if act == 0:
        del lines[at]
    elif act == 1:
        lines.insert(other, lines[at])
    elif act == 2:
        lines[at], lines[other] = lines[other], lines[at]
    else:
        lines.insert(at, dice.choice(dice.choice(CORPUS).splitlines(keepends=True)))
    return "".join(lines)


SLIPS: tuple[Callable[[str, Random], str], ...] = (
    *(_character, _word, _word, _word_more, _number, _number, _line, _line),
)


def any_solo(dice: Random) -> str:
    """A solo of any kind, with slips or without."""
    kind = dice.random()
    if kind < 0.8:
        text = thrown(dice)
    elif kind < 0.87:
        lines = dice.choice(CORPUS).splitlines(keepends=True)
        start = dice.randrange(len(lines))
        text = "".join(lines[:12] + lines[start : start + 15])
    else:
        own = Dice(dice.randint(0, 4), dice.getrandbits(40))
        text = canonical(own.full_solo() if kind < 0.93 else own.solo())
    return slipped(text, dice, dice.choice((0, 0, 0, 1, 1, 2, 4)))
