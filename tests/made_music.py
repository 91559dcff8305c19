"""Generated solos as people write them: every kind of stroke, in bars of any rhythm, over chords that can be read."""

from __future__ import annotations

from hypothesis import strategies as st

from tabtools.checks.subject import Subject, subject_of
from tabtools.source import from_text

HEAD = "title: A\nplayer: B\nrecording: C\nrights: CC0-1.0\nmeter: 4/4\nkey: A minor\n"
CHORDS = ("", "", "Am7", "Dm7", "G7", "Bm7b5", "A-7", "D/F#", "Dm7@1 G7@3", "NC", "E7#9@2", "Am7?")

_strings = st.integers(1, 6)
_frets = st.integers(0, 9)
_notes = st.one_of(
    st.builds("{}:{}".format, _strings, st.sampled_from((5, 7, 8))),
    st.builds("{}:{}".format, _strings, _frets),
    st.builds("{}{}".format, st.sampled_from(("h", "p", "/", "t", "b", "r", "w")), _frets),
    st.builds(
        "{}:{}{}".format, _strings, _frets, st.sampled_from(("b9", "b8r7", "pb9", "b5.5", "/7", "h8p7", "~", "~~"))
    ),
    st.sampled_from(("3:x", "4:<12>", "4:<3.9>", "3:5<17>", "2:5[pm]", "1:8[accent, up]", "t1:12", "3:7\\")),
    st.builds("{}:{}+{}:{}".format, st.integers(1, 3), _frets, st.integers(4, 6), _frets),
    st.sampled_from(("=E4", "=C4", "=A3?=G3", "3:=D4", "h=E4", "=D4b=E4", "3:7b=E4", "=C4+=E4", "?", "3:?", "??")),
)
_slots = st.one_of(_notes, _notes, _notes, st.sampled_from(("-", ".")), st.builds("{}*2".format, _notes))
_groups = st.builds("({})".format, st.lists(_slots, min_size=2, max_size=3).map(" ".join))
_doubts = st.sampled_from((" ",) * 11 + ("? ",))
_lines = st.builds(
    "{}{}".format, _doubts, st.lists(st.one_of(_slots, _slots, _slots, _groups), min_size=1, max_size=5).map(" ".join)
)
_bars = st.tuples(st.sampled_from(CHORDS), st.lists(_lines, min_size=4, max_size=4))


def _text(bars: list[tuple[str, list[str]]], repeats: bool) -> str:
    written = [
        f"bar {number}  {chords}\n" + "".join(f"{count}{line}\n" for count, line in enumerate(lines, 1))
        for number, (chords, lines) in enumerate(bars, 1)
    ]
    if repeats:
        written.append(f"bar {len(bars) + 1} like 1\n")
    return HEAD + "\n" + "\n".join(written)


texts = st.builds(_text, st.lists(_bars, min_size=1, max_size=5), st.booleans())
"""Solo files of one to six bars."""


def subject(text: str, is_damaged: bool = False) -> Subject:
    """The solo of this text, readable to the last line or, where it says so, damaged."""
    read = subject_of(from_text(text, "solo.solo"))
    assert is_damaged == bool(read.unreadable), text
    return read


OPEN = {1: 64, 2: 59, 3: 55, 4: 50, 5: 45, 6: 40}
"""Standard tuning as MIDI numbers."""


def places_of(midi: int) -> st.SearchStrategy[str]:
    """The places on the neck where a pitch is."""
    return st.sampled_from([f"{string}:{midi - low}" for string, low in OPEN.items() if 0 <= midi - low <= 22])


def line(*pitches: str, chord: str = "") -> str:
    """A solo of eighth notes in 4/4 from places on the neck, a chord over all of it."""
    beats = [pitches[at : at + 2] for at in range(0, len(pitches), 2)]
    bars = [beats[at : at + 4] for at in range(0, len(beats), 4)]
    lines = ([f" {' '.join(beat)}" for beat in bar] for bar in bars)
    return _text([(chord if number == 0 else "", bar) for number, bar in enumerate(lines)], False)
