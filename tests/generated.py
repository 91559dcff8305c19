"""Generated solos for the drawing: everything the format can write, whether it could be played or not."""

from __future__ import annotations

import re

from hypothesis import strategies as st

CHORDS = ("Am7", "D7alt", "F#m7b5", "Bbmaj7#11", "E7(b9,#11)", "C/G", "NC", "A5")

strings = st.integers(1, 6)
pitches = st.builds(
    "={}{}{}".format, st.sampled_from("ABCDEFG"), st.sampled_from(("", "", "#", "b")), st.integers(2, 5)
)
"""What was heard, in the place of a fret."""


@st.composite
def notes(draw: st.DrawFn) -> str:
    """One note with its string, moves within it, doubts and marks."""
    string, fret = draw(strings), draw(st.integers(1, 20))
    place = draw(st.sampled_from((f"{fret}", f"{fret}", f"{fret}", "0", "x", "<12>", "<3.9>", f"{fret}<{fret + 12}>")))
    move = draw(st.sampled_from(("", "", "", "", "/", "t", "h")))
    plain = place == str(fret)
    motions = ("", "", "", f"b{fret + 2}", f"b{fret + 1}r{fret}", f"pb{fret + 3}", f"h{fret + 2}p{fret}", "~", "~~")
    motion = draw(st.sampled_from((*motions, f"/{fret + 2}", "\\", "/", f"w{fret - 1}w{fret}"))) if plain else ""
    doubt = draw(st.sampled_from(("", "", "", "", "?", "?2:13", f"?{string}:{fret + 1}")))
    mark = draw(st.sampled_from(("", "", "", "[pm]", "[accent, down]", "[up]", "[ring]", "[lh 2]", "[trem]")))
    rarer = draw(st.sampled_from(("", "", "", "", "[trill 9]", "[pinch]", "[ghost]", "[stacc]", "[swell]", "[rake]")))
    return f"{move}{string}:{place}{motion}{doubt}{mark or rarer}"


@st.composite
def open_notes(draw: st.DrawFn) -> str:
    """A note whose place is not known, or not its pitch."""
    string = draw(st.sampled_from(("", "", f"{draw(strings)}:")))
    heard = draw(st.one_of(pitches, pitches, st.just("?")))
    move = draw(st.sampled_from(("", "", "", "/", "h")))
    motions = st.builds("{}{}".format, st.sampled_from(("b", "pb", "h", "r", "w")), pitches)
    motion = draw(st.one_of(st.just(""), st.sampled_from(("~", "/", "\\")), motions))
    doubt = draw(st.one_of(st.just(""), st.just("?"), pitches.map("?{}".format))) if heard != "?" else ""
    mark = draw(st.sampled_from(("", "", "", "[pm]", "[accent, down]", "[ring]", "[rh p]", "[trill 9]", "[ghost]")))
    return f"{move}{string}{heard}{motion}{doubt}{mark}"


def _string(note: str) -> str:
    """The string of a note; a note without one is like no other."""
    named = re.match(r"[/th]?(\d):", note)
    return named[1] if named else note


@st.composite
def strokes(draw: st.DrawFn) -> str:
    """A stroke, or a slot that goes on from the one before."""
    kind = draw(st.integers(0, 9))
    if kind < 2:
        own = draw(st.lists(notes(), min_size=2, max_size=3, unique_by=lambda note: note.lstrip("/th")[0]))
        return "+".join(own)
    if kind == 2:
        move = draw(st.sampled_from("hp/\\br"))
        return f"{move}{draw(st.one_of(st.integers(1, 20).map(str), pitches))}"
    if kind == 3:
        several = st.lists(st.one_of(open_notes(), notes()), min_size=1, max_size=3, unique_by=_string)
        return "+".join(draw(several))
    return draw(notes())


def slots(depth: int = 2) -> st.SearchStrategy[str]:
    """A slot, with groups so many levels deep."""
    flat = st.one_of(strokes(), strokes(), strokes(), st.just("-"), st.just("."), st.just("??"))
    weighted = st.one_of(flat, st.builds("{}*{}".format, flat, st.integers(2, 3)))
    if not depth:
        return weighted
    inner = st.lists(slots(depth - 1), min_size=2, max_size=5).map(lambda own: f"({' '.join(own)})")
    return st.one_of(weighted, weighted, weighted, inner)


@st.composite
def bars(draw: st.DrawFn, number: int, counts: int) -> str:
    """A bar that fills so many counts."""
    chord = draw(st.sampled_from(CHORDS))
    chords = draw(st.sampled_from(("", chord, f"{chord}?", f"Am7@1 {chord}@2", f"Am7?@1 {chord}?@2")))
    time = draw(st.sampled_from(("", "", "", f"  at 1:{number:02}.5")))
    lines = [f"bar {number}  {chords}{time}".rstrip()]
    count = 1
    while count <= counts:
        last = min(counts, count + draw(st.integers(0, 2)))
        own = draw(st.lists(slots(), min_size=1, max_size=9))
        doubt = draw(st.sampled_from(("", "", "", "?")))
        lines.append(f"{count if count == last else f'{count}-{last}'}{doubt}  {' '.join(own)}")
        count = last + 1
    return "\n".join(lines)


METERS = {"4/4": 4, "3/4": 3, "7/8": 7, "6/8": 6, "12/8 in 4": 4, "5/4": 5, "2/2": 2}


@st.composite
def solos(draw: st.DrawFn) -> str:
    """A solo of one to three bars in any of the meters."""
    meter = draw(st.sampled_from(sorted(METERS)))
    own = [draw(bars(number, METERS[meter])) for number in range(1, draw(st.integers(1, 3)) + 1)]
    head = f"title: Generated\nplayer: B\nrecording: C\nrights: CC0-1.0\nmeter: {meter}\nkey: A minor\n"
    return head + "\nsection A  Part\n\n" + "\n\n".join(own) + "\n"
