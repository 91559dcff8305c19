"""Triads, seventh chords and ninth chords as arpeggios.

Found: three notes or more of one phrase whose tones are exactly those of a triad (major, minor, diminished,
augmented), of a seventh chord (maj7, 7, m7, m(maj7), m7b5, dim7, maj7#5), or of a ninth chord (maj9, 9, m9) on the
root of the sounding chord; each tone at least once, in any inversion and any order. Tones may be repeated. A bass note
struck together with a note ten semitones or more above it belongs to it (where the note after it lies no lower), other
double stops end it. A note that is bent up is no tone of it: where a bend leads is a goal of its own. Nor is where the
bar leads, or a blue third (between flat and major third). One pitch does not make up most of it, and open strings
touched at one fret are none. A ninth, and in five notes or more an added sixth, is a tone of it where it is reached
or left by a leap each time; a ninth that falls to the root by a step is none, where the symbol asks for it if the
line ends so. Nor is the odd tone of a rare chord (augmented, minor with a major seventh) that goes by a semitone to a
tone of the sounding one each time. A leap of more than an octave, to another voice as a rule, is dear.

It may reach over a change of chord, which is dear; one note off the beat before the chord it belongs to comes cheaply,
and is told as that. Which arpeggios are told is chosen for the phrase as a whole (`tabtools.study.explaining`).

The name: a chord with a sixth over that chord and over its triad (C6, not Am7, over C); a diminished seventh over a
dominant after the dominant's third; another one and an augmented triad, which have no one root, after the sounding
chord's root where it is one of their tones, otherwise after their lowest note; a minor third over a dominant's root as
its sharp ninth (E7#9, not Em7, over E7), also with third, fifth and seventh alone (G7#9 from its third). A dominant
seventh chord a tritone from the sounding dominant's root is called its tritone substitute, as its triad is, and is
spelled flat. A chord of the sounding one's kind a semitone beside it is a side-slip. The degrees are those of the
figure's tones over the sounding chord, from the figure's root up, ninths and higher by their names.

`data`: `chord`, `shape` (`triad`, `seventh` or `ninth`), `over` (symbols, None for no chord), `degrees` (a list for
each of them), `direction` (`rising`, `falling`, `mixed`), `inversion` (0 with the root at the bottom, 1 with the third
…), `early` (whether its first note comes before the chord) and `claim`.

Example: A C F over Dm7 is "F triad over Dm7: b3 5 b7, rising", with inversion 1.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from functools import partial, reduce
from itertools import pairwise
from operator import or_
from typing import NamedTuple

from tabtools.study.backing import Backing
from tabtools.study.devices.arpeggio_bits import OCTAVE, chord_bits, leans, way_bits
from tabtools.study.devices.chord_names import (
    FROM_THE_THIRD,
    NAMED_NINTHS,
    NAMED_SEVENTHS,
    NAMED_TRIADS,
    NINTHS,
    PARTS_OF_NINTHS,
    PARTS_OF_SEVENTHS,
    PARTS_OF_TRIADS,
    RARE,
    TRIADS,
    chord_name,
    has_ninth_on,
    is_dominant,
    is_tritone_away,
    slipped,
    substitute_root,
)
from tabtools.study.devices.device import Device
from tabtools.study.devices.tones_of_a_chord import gives_way, is_leapt, is_stack, stands_as_ninth
from tabtools.study.devices.wording import over
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.melody import Struck
from tabtools.study.music import Music

KIND = "arpeggio"

HIGHEST = 128
"""Above every MIDI number."""
PINCH = 10
"""Semitones between a bass note and what is struck with it."""
FEWEST_IN_RIFF = 6
FEWEST_WITH_SIXTH = 4
"""Notes of an arpeggio with a sixth that need not be leapt to."""
FEWEST_TURNED, MOST_TURNED = 4, 12
"""Notes of a stretch that is also looked at from turn to turn and from the beat on."""


class TonesInRow(NamedTuple):
    """Strokes one after another that can be tones of a chord, the first of them `first`.

    The rest has a value for each stroke: its tones as bits, 0 for the goal of a bend; its highest pitch; the move to
    the next of these (none for the last); the lowest of its tones; whether it falls on a beat, comes after a silence,
    comes by a leap of more than an octave, stands over another chord than the one before it; whether the line turns or
    stands still there; whether a bass note of the one before it lies above it.
    """

    first: int
    bits: Sequence[int]
    tops: Sequence[int]
    moves: tuple[int, ...]
    lows: Sequence[int]
    on_beat: Sequence[bool]
    after_breath: Sequence[bool]
    leaps: Sequence[bool]
    changes: Sequence[bool]
    turns: Sequence[bool]
    crosses: Sequence[bool]


class ChordSpan(NamedTuple):
    """An arpeggio: its strokes, its tones as bits, the stroke from which its chord sounds, its root and its type."""

    first: int
    last: int
    tones: int
    under: int
    root: int
    shape: str


def find(music: Music) -> Iterator[Proposal]:
    """Every arpeggio that may be told."""
    for row in _rows(music):
        for parts, named in (
            (PARTS_OF_TRIADS, NAMED_TRIADS),
            (PARTS_OF_SEVENTHS, NAMED_SEVENTHS),
            (PARTS_OF_NINTHS, NAMED_NINTHS),
        ):
            for start, end, whole in _longest(row.bits, parts, named):
                if _is_riff(music, row, start, end):
                    continue
                for first, stop, under in _cuts(music, row, start, end, whole):
                    backing = music.melody.backing(row.first + under)
                    root, shape = chord_name(whole, min(row.lows[first:stop]) % 12, backing)
                    found = ChordSpan(row.first + first, row.first + stop - 1, whole, row.first + under, root, shape)
                    if _is_one_chord(row, found, backing, as_ninth=named is NAMED_NINTHS):
                        yield _proposal(music, row, found)


def _rows(music: Music) -> Iterator[TonesInRow]:
    """The longest stretches of strokes that can be tones of a chord, three of them at least."""
    strokes = music.melody.strokes
    goals, blue = music.goals | music.dips, music.blue
    for stretch in music.stretches:
        first = stretch.first
        bits: list[int] = []
        for place in range(stretch.first, stretch.last + 2):
            tones = _tones(strokes[place]) if place <= stretch.last else 0
            if tones and place not in blue and (bits or place not in goals):
                bits.append(0 if place in goals else tones)
                continue
            if len(bits) > 2 and len(set(bits)) > 1:
                yield _row(music, first, bits)
            first, bits = place + 1, []


def _tones(struck: Struck) -> int:
    """What a stroke has of a chord: one tone, or a bass note and what is struck with it; 0 where it is neither."""
    pitches = struck.pitches
    if struck.has_unknown or len(pitches) > 2:
        return 0
    if len(pitches) == 1:
        return 1 << struck.top % 12
    return 1 << pitches[0] % 12 | 1 << pitches[1] % 12 if pitches[0] - pitches[1] >= PINCH else 0


def _row(music: Music, first: int, bits: list[int]) -> TonesInRow:
    here = slice(first, first + len(bits))
    strokes = music.melody.strokes[here]
    tops = [struck.top for struck in strokes]
    lows = [struck.pitches[-1] if own else HIGHEST for struck, own in zip(strokes, bits, strict=True)]
    moves = tuple([after - before for before, after in pairwise(tops)])
    return TonesInRow(
        first,
        bits,
        tops,
        moves,
        lows,
        music.melody.on_beat[here],
        [False, *[_breathes(one, after) for one, after in pairwise(strokes)]],
        [False, *[abs(move) > OCTAVE for move in moves]],
        [False, *[one is not after for one, after in pairwise(music.melody.stroke_backings[here])]],
        [False, *[before * after <= 0 for before, after in pairwise(moves)], False],
        [False, *[low < top and low > after for low, top, after in zip(lows, tops, lows[1:], strict=False)]],
    )


def _is_riff(music: Music, row: TonesInRow, start: int, end: int) -> bool:
    """Whether one pitch makes up most of six strokes or more, or all are harmonics of open strings at one fret."""
    tops = row.tops[start:end]
    if len(tops) >= FEWEST_IN_RIFF and 2 * max(map(tops.count, set(tops))) > len(tops):
        return True
    notes = music.melody.timeline.notes
    own = music.melody.strokes[row.first + start : row.first + end]
    touch = notes[own[0].notes[0]].note.touch
    return touch is not None and all(
        notes[struck.notes[0]].note.touch == touch and not notes[struck.notes[0]].note.fret for struck in own[1:]
    )


def _longest(bits: Sequence[int], parts: frozenset[int], named: Container[int]) -> Iterator[tuple[int, int, int]]:
    """The longest stretches (the end exclusive) that have all tones of one chord and no others, and these tones."""
    end = reached = mask = 0
    latest: dict[int, int] = {}
    total = len(bits)
    for start in range(total - 2):
        if end <= start:
            end, mask = start, 0
        elif latest[bits[start - 1]] < start:
            mask = reduce(or_, bits[start:end])
        while end < total and mask | bits[end] in parts:
            own = bits[end]
            mask |= own
            latest[own] = end
            end += 1
        if end > reached:
            if end - start > 2 and mask in named:
                yield start, end, mask
            if end == total:
                return
            reached = end


def _cuts(music: Music, row: TonesInRow, start: int, end: int, whole: int) -> Iterator[tuple[int, int, int]]:
    """The parts of a stretch that have all its tones, and where the chord of each sounds.

    It is looked at whole, by its chords, from turn to turn, and from the beat on.
    """
    changes = [at for at in range(start + 1, end) if row.changes[at]]
    seen: set[tuple[int, int]] = set()
    for first, stop, under in _by_chords(music, row, start, end, changes):
        if stop - first > 2 and (first, stop) not in seen and _holds(row.bits[first:stop], whole):
            seen.add((first, stop))
            yield first, stop, under
    if not FEWEST_TURNED <= end - start <= MOST_TURNED:
        return
    inner = range(start + 1, end)
    turns = [at for at in inner[:-1] if row.turns[at]]
    beats = [at for at in inner if row.on_beat[at]]
    breaths = [at for at in inner if row.after_breath[at] or row.leaps[at]]
    stops = {end, *(at + 1 for at in turns), *(at + 1 for at in beats[-1:]), *breaths}
    for begin in sorted({start, *turns, *beats[:1], *breaths}):
        if not row.bits[begin]:
            continue
        mask = 0
        for stop, own in enumerate(row.bits[begin:end], begin + 1):
            if stop > begin + 1 and row.changes[stop - 1]:
                break
            mask |= own
            if mask == whole and own and stop in stops and stop > begin + 2 and (begin, stop) not in seen:
                seen.add((begin, stop))
                yield begin, stop, begin


def _by_chords(
    music: Music, row: TonesInRow, start: int, end: int, changes: Sequence[int]
) -> Iterator[tuple[int, int, int]]:
    """A stretch whole, and cut where the chord changes."""
    if not changes:
        yield start, end, start
        return
    is_early = changes[0] == start + 1 and _is_early(music, row.first + start)
    yield start, end, start + 1 if is_early else start
    for first, stop in pairwise((start, *changes, end)):
        yield first, stop, first
        if first > start and _is_early(music, row.first + first - 1):
            yield first - 1, stop, first


def _holds(bits: Sequence[int], whole: int) -> bool:
    """Whether these strokes have all of these tones, and neither begin nor end with the goal of a bend."""
    return bool(bits[0] and bits[-1]) and reduce(or_, bits) == whole


def _is_early(music: Music, place: int) -> bool:
    """Whether a stroke may belong to the chord after it: off the beat, struck anew, with no silence after it."""
    if music.melody.on_beat[place]:
        return False
    struck, after = music.melody.strokes[place : place + 2]
    via = music.melody.timeline.notes[struck.notes[0]].via
    return via != "r" and after.onset <= struck.heard


def _is_one_chord(row: TonesInRow, found: ChordSpan, backing: Backing, as_ninth: bool) -> bool:
    """Whether its notes are those of one chord: none only leans on another, a bass note lies below the next."""
    here = slice(found.first - row.first, found.last - row.first + 1)
    if True in row.crosses[here][1:]:
        return False
    tops, root, shape = row.tops[here], found.root, found.shape
    if as_ninth:
        return has_ninth_on(found.tones, backing) and stands_as_ninth(tops, backing)
    if shape == FROM_THE_THIRD:
        return is_dominant(backing) and root == ((backing.root or 0) + 4) % 12
    if shape in ("6", "m6") and root == backing.root and len(tops) > FEWEST_WITH_SIXTH:
        return is_leapt(tops, (root + 9) % 12)
    return shape not in RARE or not any(gives_way(tops, tone, backing) for tone in range(12))


# ---- what it costs


def _proposal(music: Music, row: TonesInRow, found: ChordSpan) -> Proposal:
    strokes = music.melody.strokes
    here = slice(found.first - row.first, found.last - row.first + 1)
    backings = music.backings(found.under, found.last)
    root, shape = found.root, found.shape
    bits = costs.NAMING[KIND] + max([chord_bits(found.tones, root, shape, backing) for backing in backings])
    if shape in NINTHS and backings[0].tones[(root + 2) % 12] != "extension":
        bits += costs.NINTH_STACKED if is_stack(row.tops[here], root) else costs.NINTH
    bits += costs.NOTE[KIND] * (found.last - found.first + 1)
    bits += costs.GOAL * len(music.goals.intersection(range(found.first, found.last + 1)))
    bits += costs.ACROSS_CHORDS * (len(backings) - 1) + costs.EARLY * (found.under > found.first)
    bits += way_bits(row.moves[here.start : here.stop - 1])
    bits += costs.BREATH * sum(row.after_breath[here][1:])
    bits += costs.LEANT * leans(strokes[found.first], strokes[found.first + 1], backings[0])
    tell = partial(_device, music, found, root, shape, backings)
    return Proposal(KIND, found.first, found.last, bits, costs.NOTE[KIND], tell)


def _breathes(here: Struck, after: Struck) -> bool:
    """Whether half a count or more of silence lies between two strokes, or a count and more of it with dead notes."""
    is_silent = after.onset > here.heard and 2 * (after.onset - here.heard) >= here.beat
    return is_silent or (here.heard > here.release and after.onset - here.release >= here.beat)


def _lowest(music: Music, found: ChordSpan) -> int:
    """The lowest of its tones."""
    strokes, skipped = music.melody.strokes, music.goals | music.dips
    return min(strokes[at].pitches[-1] for at in range(found.first, found.last + 1) if at not in skipped)


# ---- what is said


def _device(music: Music, found: ChordSpan, root: int, shape: str, backings: list[Backing]) -> Device:
    tops = [struck.top for struck in music.melody.strokes[found.first : found.last + 1]]
    is_substitute = shape in ("", "7") and is_tritone_away(root, backings[0])
    symbol = (substitute_root(backings[0]) if is_substitute else backings[0].names[root]) + shape
    name = f"{symbol} {'triad' if shape in TRIADS else 'arpeggio'}"
    if shape == FROM_THE_THIRD:
        symbol = backings[0].names[backings[0].root or 0] + "7#9"
        name = f"{symbol} arpeggio from its third"
    size = "triad" if shape in TRIADS else "ninth" if shape in NINTHS else "seventh"
    tones = _stacked(found.tones, root, has_ninth=size == "ninth")
    degrees = [[backing.extended[tone] for tone in tones] if backing.extended else [] for backing in backings]
    direction = _direction(tops)
    said = f"{name}{over(backings, degrees)}" + (f", {direction}" if direction != "mixed" else "")
    said += ", the tritone substitute" if is_substitute else ""
    said += slipped(found.tones, root, shape, backings[0])
    said += ", one note early" if found.under > found.first else ""
    data = {
        "chord": symbol,
        "shape": size,
        "over": [backing.symbol for backing in backings],
        "degrees": degrees,
        "direction": direction,
        "inversion": tones.index(_lowest(music, found) % 12),
        "early": found.under > found.first,
    }
    away = music.goals | music.dips
    goals = [music.melody.strokes[place].top for place in range(found.first, found.last) if place in away]
    if not is_substitute and "7#9" not in shape and all(found.tones >> goal % 12 & 1 for goal in goals):
        data["claim"] = name
    return music.device(KIND, found.first, found.last, said, data)


def _stacked(mask: int, root: int, has_ninth: bool) -> list[int]:
    """The tones from the root up; the ninth of a ninth chord on top."""
    tones = sorted((tone for tone in range(12) if mask >> tone & 1), key=lambda tone: (tone - root) % 12)
    return [tones[0], *tones[2:], tones[1]] if has_ninth else tones


def _direction(pitches: Sequence[int]) -> str:
    moves = [after - before for before, after in pairwise(pitches)]
    if all(move > 0 for move in moves):
        return "rising"
    return "falling" if all(move < 0 for move in moves) else "mixed"
