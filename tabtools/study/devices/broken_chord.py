"""Broken chords that ring: a shape is held, its notes are plucked one after another and sound on together.

Found: in a solo that has a bass or ringing notes, the strokes of a phrase over one chord (of a bar, without chords),
three of one or two notes at least, where at half of them or more three tones of the chord sound at once, and nearly
every stroke comes while one before it sounds. A third of the notes at most may be strange to the chord.
Where there is fill, three pitches at once are enough, and two tones of the chord with its root.

The name is that of the chord that sounds. Where its root is not played it is the chord that the notes make (an Eb
triad over Cm7), over the chord that sounds. Told are the tone in the bass, the fingers where they come again in one
order, and the notes of the tune on top. Chords of one phrase that are broken one after another are told together, four
at most.

`data`, a list with an entry for each chord: `chords`, `over` (symbols, None for no chord), `bass` (names of the lowest
tones), `degrees` (their numbers in the chord, None where one is none of its tones), `top` (names); and `picked` (the
fingers of the plucking hand, once; empty where they do not come again), `times`, `bars`.

Example: over C, C E G C and E on top, ringing, is "C broken over its root, left ringing; E on top".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from tabtools.score.two_voices import APART, RING, plucking_finger
from tabtools.study.backing import Backing
from tabtools.study.devices.chord_names import NINTHS, SEVENTHS, TRIADS
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import BASS_WORDS, in_words, listed
from tabtools.study.melody import Struck
from tabtools.study.music import Music

KIND = "broken chord"
FEWEST_STROKES, FEWEST_TONES = 3, 3
FEWEST_FILL = 2
STRANGE = frozenset(("scale note", "chromatic"))
MOST_STRUCK = 2
"""Notes of a stroke that is no chord struck whole."""
MOST_ON_TOP = 6
MOST_TOGETHER = 4
MOST_PICKED = 8

TYPES = {
    **TRIADS,
    **SEVENTHS,
    **NINTHS,
    "sus4": (0, 5, 7),
    "sus2": (0, 2, 7),
    "7sus4": (0, 5, 7, 10),
    "add9": (0, 4, 7, 2),
    "m(add9)": (0, 3, 7, 2),
    "6": (0, 4, 7, 9),
    "m6": (0, 3, 7, 9),
}


def _by_tones() -> dict[frozenset[int], list[tuple[int, str]]]:
    """Each set of tones with its roots and types."""
    found: dict[frozenset[int], list[tuple[int, str]]] = {}
    for root in range(12):
        for name, tones in TYPES.items():
            found.setdefault(frozenset((root + tone) % 12 for tone in tones), []).append((root, name))
    return found


BY_TONES = _by_tones()
NUMBERS = (1, 2, 2, 3, 3, 4, 5, 5, 5, 6, 7, 7)
"""The number of the tone so many semitones above a root."""


class HeldShape(NamedTuple):
    """Strokes `first` to `last` over one chord, and the chord they make; `is_own` where that is not the one written."""

    first: int
    last: int
    backing: Backing
    chord: str
    root: int
    is_own: bool


def find(music: Music) -> Iterator[Device]:
    """Each broken chord, in order."""
    if not (music.bass or music.has_ringing):
        return
    for stretch in music.stretches:
        row: list[HeldShape] = []
        for shape in _shapes(music, range(stretch.first, stretch.last + 1)):
            if row and (shape is None or len(row) == MOST_TOGETHER):
                yield _device(music, row)
                row = []
            if shape:
                row.append(shape)
        if row:
            yield _device(music, row)


def _shapes(music: Music, places: Sequence[int]) -> Iterator[HeldShape | None]:
    """The broken chords, None in the place of what is none."""
    strokes = music.melody.strokes
    for _, same in groupby(places, key=lambda place: _moment(music, place)):
        own = list(same)
        is_broken = (
            not _are_harmonics(music, own)
            and sum(len(strokes[place].pitches) <= MOST_STRUCK for place in own) >= FEWEST_STROKES
        )
        yield _shape(music, own[0], own[-1]) if is_broken and _rings(music, own) else None


def _are_harmonics(music: Music, places: Sequence[int]) -> bool:
    """Whether all that is played without a chord symbol are harmonics: bells, not a shape."""
    notes = music.melody.timeline.notes
    is_told = music.melody.backing(places[0]).chord is not None
    return not is_told and all(notes[music.melody.strokes[place].notes[0]].note.touch is not None for place in places)


def _moment(music: Music, place: int) -> tuple[int, object]:
    """What parts one shape from the next: the chord, without chords the bar.

    A chord with a fourth for its third and the one that it gives way to are one.
    """
    backing = music.melody.backing(place)
    if backing.chord is None or backing.root is None:
        return id(backing), music.melody.strokes[place].bar.onset
    return backing.root, None if is_dominant_or_suspended(backing) else id(backing)


def is_dominant_or_suspended(backing: Backing) -> bool:
    """Whether a chord is a seventh chord with a major third, or with a fourth in its place."""
    above = {(tone - (backing.root or 0)) % 12 for tone in backing.core}
    return 10 in above and (4 in above or (5 in above and 3 not in above))


def _rings(music: Music, places: Sequence[int]) -> bool:
    """Whether the notes of these strokes sound on together, half of the time three tones of the chord at once.

    Where there is fill any three pitches do.
    """
    notes = music.melody.timeline.notes
    tones, is_nowhere = music.melody.backing(places[0]).tones, music.melody.backing(places[0]).chord is None
    has_fill = _has_fill(music, places)
    sounding: list[int] = []
    full = overlapped = 0
    for place in places:
        struck = music.melody.strokes[place]
        start = notes[struck.notes[0]].start
        sounding = [index for index in sounding if music.held_until[index] > start]
        overlapped += bool(sounding)
        sounding += struck.notes
        heard = {round(notes[index].midi or 0) for index in sounding}
        own = heard if has_fill else {pitch % 12 for pitch in heard if is_nowhere or tones[pitch % 12] not in STRANGE}
        full += len(own) >= FEWEST_TONES
    return 2 * full >= len(places) and 4 * overlapped >= 3 * (len(places) - 1)


def _has_fill(music: Music, places: Sequence[int]) -> bool:
    """Whether two strokes or more are fill."""
    return sum(_is_fill(music, music.melody.strokes[place]) for place in places) >= FEWEST_FILL


def _is_fill(music: Music, struck: Struck) -> bool:
    """Whether a stroke is neither of the bass nor of the tune."""
    return bool(music.bass) and all(
        index not in music.bass and music.tune.melody.stroke_of[index] is None for index in struck.notes
    )


def _shape(music: Music, first: int, last: int) -> HeldShape | None:
    """The chord that is broken; None where the notes make none."""
    backing = music.melody.backing(first)
    pitches = [pitch for struck in music.melody.strokes[first : last + 1] for pitch in struck.pitches]
    tones = {pitch % 12 for pitch in pitches}
    own = {tone for tone in tones if backing.tones[tone] in ("chord tone", "extension")}
    strange = sum(pitch % 12 not in own for pitch in pitches)
    fewest = FEWEST_TONES - (backing.root in own and _has_fill(music, range(first, last + 1)))
    if backing.root is not None and len(own) >= fewest and 3 * strange <= len(pitches):
        if backing.root in own or frozenset(own) not in BY_TONES:
            places = dict.fromkeys(one.place for one in music.backings(first, last))
            return HeldShape(first, last, backing, " to ".join(places), backing.root, is_own=False)
        tones = own
    choices = dict(BY_TONES.get(frozenset(tones), ()))
    if not choices:
        return None
    lowest = _lowest(music, first, last) % 12
    root = backing.root if backing.root in choices and lowest not in choices else None
    root = min(choices, key=lambda other: (other - lowest) % 12) if root is None else root
    return HeldShape(first, last, backing, backing.names[root] + choices[root], root, is_own=backing.chord is not None)


def _lowest(music: Music, first: int, last: int) -> int:
    """The first note of the bass, the lowest note without one."""
    strokes: Sequence[Struck] = music.melody.strokes[first : last + 1]
    for struck in strokes:
        if struck.notes[-1] in music.bass:
            return struck.pitches[-1]
    return min(struck.pitches[-1] for struck in strokes)


# ---- what is said


def _device(music: Music, row: Sequence[HeldShape]) -> Device:
    first, last = row[0].first, row[-1].last
    names = row[0].backing.names
    bass = [_lowest(music, shape.first, shape.last) % 12 for shape in row]
    numbers = [_number(shape, lowest) for shape, lowest in zip(row, bass, strict=True)]
    bars = len({struck.bar.onset for struck in music.melody.strokes[first : last + 1]})
    picked, times = _picked(music, first, last)
    tops = [_top(music, shape) for shape in row]
    if len(row) == 1:
        number = numbers[0]
        said = f"{row[0].chord}{f' held for {in_words(bars)} bars and' if bars > 1 else ''} broken"
        said += f" over {f'its {BASS_WORDS[number]}' if number else names[bass[0]]}"
    else:
        chords = [_chord(shape, names[at], number) for shape, at, number in zip(row, bass, numbers, strict=True)]
        said = f"{listed(chords)} broken"
    if row[0].is_own and len(row) == 1:
        said += f", over {row[0].backing.place}"
    marks = (mark for at in music.melody.notes_of(first, last) for mark in music.melody.timeline.notes[at].marks)
    said += ", left ringing" if any(mark.word == RING for mark in marks) else ""
    if picked:
        said += f", picked {'-'.join(picked)} {'twice' if times == 2 else f'{in_words(times)} times'}"
    said += _on_top(tops)
    data = {
        "chords": [shape.chord for shape in row],
        "over": [shape.backing.symbol for shape in row],
        "bass": [names[lowest] for lowest in bass],
        "degrees": numbers,
        "top": tops,
        "picked": list(picked),
        "times": times,
        "bars": bars,
    }
    return music.device(KIND, first, last, said, data)


def _chord(shape: HeldShape, bass: str, number: int | None) -> str:
    """`Bb/D over Gm7`: a chord with the bass that sounds, where its symbol does not say that."""
    has_bass = shape.backing.chord is not None and shape.backing.chord.bass is not None and not shape.is_own
    name = shape.chord if number == 1 or has_bass else f"{shape.chord}/{bass}"
    return f"{name} over {shape.backing.place}" if shape.is_own else name


def _on_top(tops: Sequence[Sequence[str]]) -> str:
    """`; on top G Bb G, then F D`."""
    if not all(tops) or sum(map(len, tops)) > MOST_ON_TOP * len(tops):
        return ""
    if len(tops) == 1 and len(tops[0]) == 1:
        return f"; {tops[0][0]} on top"
    return f"; on top {', then '.join(' '.join(names) for names in tops)}"


def _number(shape: HeldShape, bass: int) -> int | None:
    """The number of the lowest tone in the chord, None where it is none of its tones."""
    if shape.is_own or shape.backing.chord is None:
        return NUMBERS[(bass - shape.root) % 12]
    if shape.backing.tones[bass] not in ("chord tone", "extension"):
        return None
    return int(shape.backing.degrees[bass][-1])


def _top(music: Music, shape: HeldShape) -> list[str]:
    """The notes of the tune, but for those on the way up the shape; one struck again once; none without a bass."""
    if not music.bass:
        return []
    tune = music.tune.melody.stroke_of
    own = [struck for struck in music.melody.strokes[shape.first : shape.last + 1] if tune[struck.notes[0]] is not None]
    kept: list[int] = []
    for at in range(len(own) - 1, -1, -1):
        top = own[at].top
        is_pinched = own[at].notes[-1] in music.bass
        is_step = at > 0 and abs(top - own[at - 1].top) < APART
        if is_pinched or is_step or not kept or top > kept[-1] - APART:
            kept.append(top)
    kept.reverse()
    names = shape.backing.names
    return [names[top % 12] for at, top in enumerate(kept) if not at or top != kept[at - 1]]


def _picked(music: Music, first: int, last: int) -> tuple[tuple[str, ...], int]:
    """The fingers that come again in one order, and how often; empty and 0 where they do not."""
    notes = music.melody.timeline.notes
    fingers = [
        "+".join(plucking_finger(notes[index]) for index in reversed(struck.notes))
        for struck in music.melody.strokes[first : last + 1]
    ]
    if not all(all(one.split("+")) for one in fingers):
        return (), 0
    for size in range(2, min(MOST_PICKED, len(fingers) // 2) + 1):
        times, rest = divmod(len(fingers), size)
        if not rest and fingers == fingers[:size] * times:
            return tuple(fingers[:size]), times
    return (), 0
