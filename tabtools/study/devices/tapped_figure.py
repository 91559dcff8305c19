"""Tapped figures: taps of the plucking hand, and what the other hand hammers and pulls between them.

Found: within a phrase and under one chord, from a tapped stroke to the last one that is tapped, or slurred after a tap;
at least three strokes. As many as four strokes that are plucked or begin with the fretting hand alone may stand between
two taps. Where the figure before, under another chord, begins with a tap and as many slurred notes, what of these stays
and what changes is told, unless more changes than stays; a cell that moves as a whole is told too.

`data`: `count` (strokes), `taps` (how many notes are tapped), `degrees` (where the tapped notes arrive, each once, in
order, a list for each chord, in either style; empty without chord and key), `over` (symbols, None for no chord),
`changed` (how many of the first notes, up to the second tap, are others than in the figure before; None where they are
not compared).

Example: `t1:19 p15 p12 t19 p15 p12` over Em is "tapped figure of six notes, two taps over Em: 5".
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from tabtools.model.pitch import nearest_semitone
from tabtools.study.backing import Backing
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import in_words, known, listed, over
from tabtools.study.music import Music
from tabtools.timeline import TimedNote
from tabtools.wording import plural

KIND = "tapped figure"
FEWEST = 3
MOST_PLUCKED = 4
SLURS = frozenset("hp/\\")


def find(music: Music) -> Iterator[Device]:
    """Each tapped figure, in order."""
    notes, strokes = music.melody.timeline.notes, music.melody.strokes
    if not any(_is_tapped(note) for note in notes):
        return
    before: list[int] = []
    for stretch in music.stretches:
        places = range(stretch.first, stretch.last + 1)
        for _, same in groupby(places, key=music.melody.backing):
            own = [(place, _kind([notes[index] for index in strokes[place].notes])) for place in same]
            for first, last in _spans(own):
                if last - first + 1 >= FEWEST:
                    begins = _first_cell(music, first, last)
                    yield _device(music, first, last, begins, before)
                    before = begins


def _kind(struck: list[TimedNote]) -> str:
    """`tap`, `slur` or `plucked`."""
    if any(_is_tapped(note) for note in struck):
        return "tap"
    return "slur" if all(note.via in SLURS for note in struck) else "plucked"


def _spans(own: list[tuple[int, str]]) -> Iterator[tuple[int, int]]:
    """From a tap to the last tap, or slur after it, that no more than a few plucked strokes part from it."""
    first = last = -1
    plucked = 0
    for place, kind in own:
        if kind == "tap":
            if first < 0 or plucked > MOST_PLUCKED:
                if first >= 0:
                    yield first, last
                first = place
            last, plucked = place, 0
        elif first >= 0:
            if kind == "plucked":
                plucked += 1
            elif not plucked:
                last = place
    if first >= 0:
        yield first, last


def _first_cell(music: Music, first: int, last: int) -> list[int]:
    """The pitches from the first tap up to the second."""
    notes, strokes = music.melody.timeline.notes, music.melody.strokes
    pitches = [strokes[first].top]
    for place in range(first + 1, last + 1):
        if _kind([notes[index] for index in strokes[place].notes]) != "slur":
            break
        pitches.append(strokes[place].top)
    return pitches


def _is_tapped(note: TimedNote) -> bool:
    return note.via == "t" or any(motion.sign == "t" for motion in note.motions)


def _device(music: Music, first: int, last: int, begins: list[int], before: list[int]) -> Device:
    melody = music.melody
    notes = melody.timeline.notes
    taps = [
        index for place in range(first, last + 1) for index in melody.strokes[place].notes if _is_tapped(notes[index])
    ]
    backings, degrees = [], []
    for backing, same in groupby(taps, lambda index: melody.backings[index]):
        backings.append(backing)
        names = backing.told or backing.names
        pitches = (midi for midi in (notes[index].midi for index in same) if midi is not None)
        degrees.append(list(dict.fromkeys(names[nearest_semitone(midi) % 12] for midi in pitches)))
    count = last - first + 1
    said = f"tapped figure of {in_words(count)} notes, {in_words(len(taps))} {plural('tap', len(taps))}"
    changed = None
    if len(begins) == len(before) > 1:
        changed = sum(here != there for here, there in zip(begins, before, strict=True))
    data = {
        "count": count,
        "taps": len(taps),
        "degrees": known(backings, degrees),
        "over": [backing.symbol for backing in backings],
        "changed": changed,
    }
    said += over(backings, degrees)
    if changed is not None:
        said += _what_changes(music.melody.backing(first), begins, before)
    return music.device(KIND, first, last, said, data, main=False)


def _what_changes(backing: Backing, begins: list[int], before: list[int]) -> str:
    """`; B becomes C, E and G stay`; empty where nothing changes, or everything another way."""
    pairs = list(zip(before, begins, strict=True))
    names = backing.names
    moves = [f"{names[there % 12]} becomes {names[here % 12]}" for there, here in pairs if there != here]
    stays = [names[here % 12] for there, here in pairs if there == here]
    if not moves or len(moves) > len(stays) > 0:
        return ""
    if not stays:
        by = {here - there for there, here in pairs}
        if len(by) > 1:
            return ""
        (far,) = by
        return f"; the whole cell moves {'up' if far > 0 else 'down'}"
    moved, stayed = (listed(list(dict.fromkeys(words))) for words in (moves, stays))
    return f"; {moved}, {stayed} {'stay' if len(set(stays)) > 1 else 'stays'}"
