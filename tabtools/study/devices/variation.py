"""What a bar or a phrase is to an earlier one: the same again, shifted, cut short, changed, moved, turned round.

Found: bars of three strokes or more, and phrases of four or more, that are not told already by a figure that comes
again, each beside the six before it of its sort, the nearest first. Told is the closest of these, or any earlier one
that is as close and stands over the same chords where that one does not, at the same pitches and in the same rhythm
where nothing else is said:

- `again`: four notes or more; with other degrees where another chord sounds below them.
- `shifted`: four or more, the first earlier or later in the bar.
- `octave`: four or more, one octave or two higher or lower.
- `cut short`: the first three or more, two or more are left out at the end. `longer`: four or more, and more behind
  them.
- `changed`: one note of four or more, two of eight or more, at any place but the last.
- `another end`: the first half at least, three notes or more, and then other pitches.
- `moved`: five or more by the same intervals, or steps of the key's scale, that do not only go one way; a sequence
  where it comes at once.
- `speed`: four or more, all twice as fast or half as fast.
- `backwards`: five or more of four pitches. `upside down`: five or more, each interval or step of the key turned round.

- `varied`: four notes at least are the same at the same moments, more than five of every eight.

A unit of one pitch is none of these, nor is one in which not all is known, or the rhythm is doubtful.

`data`: `as_in` (the address of the earlier stretch), `how` (one of these names), `count` (strokes they share), `by`
(what it is moved by, in semitones or, where `in_key`, in steps of the key; 0 otherwise), `in_key`.

Example: where bar 2 plays the first three of the five notes of bar 1, "as in 1.1-1.3, cut short after three notes".
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from itertools import accumulate, groupby, pairwise

from tabtools.model.harmony import Key
from tabtools.study.backing import Backing
from tabtools.study.devices.device import Device
from tabtools.study.devices.returning_figure import over_another_chord
from tabtools.study.devices.wording import INTERVALS, in_words, listed, steps_far
from tabtools.study.melody import Struck
from tabtools.study.music import Music

KIND = "variation"
FEWEST_IN_BAR, FEWEST_IN_PHRASE, MOST = 3, 4, 32
LOOKED_BACK = 6
OCTAVES = (12, 24)
ORDER = (
    *("again", "shifted", "octave", "cut short", "longer", "changed", "another end"),
    *("speed", "moved", "backwards", "upside down", "varied"),
)


class Unit:
    """Strokes one after another, `first` to `last`, as they are compared."""

    def __init__(self, first: int, strokes: Sequence[Struck], key: Key | None, backings: Sequence[Backing]):
        self.first, self.last = first, first + len(strokes) - 1
        self.tops = [struck.top for struck in strokes]
        self.gaps = [after.onset - before.onset for before, after in pairwise(strokes)]
        self.begins, self.beat = strokes[0].in_bar, strokes[0].beat
        self.key = key
        self.backings = backings

    @cached_property
    def moves(self) -> list[int]:
        return [after - before for before, after in pairwise(self.tops)]

    @cached_property
    def places(self) -> list[int] | None:
        """The pitches as steps of the key's scale, counted from a fixed one; None where a note lies outside it."""
        if self.key is None:
            return None
        tones = self.key.semitones
        found = []
        for top in self.tops:
            octave, above = divmod(top - self.key.tonic.pitch_class, 12)
            if above not in tones:
                return None
            found.append(octave * len(tones) + tones.index(above))
        return found

    @cached_property
    def steps(self) -> list[int] | None:
        """The moves in steps of the key's scale."""
        return None if self.places is None else [after - before for before, after in pairwise(self.places)]

    @cached_property
    def sounding(self) -> frozenset[tuple[int, int]]:
        """What sounds when: pitches, each with its time since the bar began."""
        times = accumulate(self.gaps, initial=self.begins)
        return frozenset(zip(times, self.tops, strict=True))

    @property
    def turns(self) -> bool:
        """Whether it goes up and down."""
        return any(move > 0 for move in self.moves) and any(move < 0 for move in self.moves)


Relation = tuple[str, int, int, bool]
"""How, strokes shared, moved by, whether by steps of the key."""


def find(music: Music, told: Iterable[Device]) -> Iterator[Device]:
    """What each bar and each phrase is to an earlier one, where it is not `told` already."""
    strokes = music.melody.strokes
    said = {note for device in told for note in device.notes}
    key = music.melody.timeline.solo.header.key
    bars = [(own[0], own[-1]) for own in _bars(strokes)]
    phrases = [(one.first, one.last) for one in music.phrases]
    found: dict[tuple[int, int], Device] = {}
    for spans, fewest in ((phrases, FEWEST_IN_PHRASE), (bars, FEWEST_IN_BAR)):
        units: list[Unit] = []
        for first, last in spans:
            own = strokes[first : last + 1]
            if not fewest <= len(own) <= MOST or any(struck.is_apart or struck.doubt for struck in own):
                continue
            unit = Unit(first, own, key, music.backings(first, last))
            if len(set(unit.tops)) > 1:
                is_free = 2 * sum(struck.notes[0] in said for struck in own) < len(own)
                if is_free and not any(one <= last and first <= other for one, other in found):
                    closest = _closest(unit, units)
                    if closest is not None:
                        found[first, last] = _device(music, unit, *closest)
                units.append(unit)
    yield from found.values()


def _bars(strokes: Sequence[Struck]) -> Iterator[list[int]]:
    for _, own in groupby(range(len(strokes)), key=lambda place: id(strokes[place].bar)):
        yield list(own)


def _closest(unit: Unit, earlier: Sequence[Unit]) -> tuple[Unit, Relation] | None:
    """The closest of the nearest units; an earlier one, as close, over the same chords, where that one has others."""
    near = min(_related(unit, earlier[-LOOKED_BACK:]), key=_closeness, default=None)
    if near is None or near[0].backings == unit.backings:
        return near
    same = _related(unit, [source for source in earlier if source.backings == unit.backings])
    far = min(same, key=_closeness, default=near)
    return far if _closeness(far) <= _closeness(near) else near


def _related(unit: Unit, earlier: Sequence[Unit]) -> list[tuple[Unit, Relation]]:
    """The earlier units that it is something to, the nearest first."""
    return [(source, relation) for source in reversed(earlier) if (relation := _relation(source, unit)) is not None]


def _closeness(found: tuple[Unit, Relation]) -> int:
    return ORDER.index(found[1][0])


def _relation(source: Unit, unit: Unit) -> Relation | None:
    count, other = len(unit.tops), len(source.tops)
    shared = _shared(source, unit)
    if shared == count == other and count > 3:
        return ("again" if unit.begins == source.begins else "shifted"), count, 0, False
    if unit.begins == source.begins and shared >= 3:
        if shared == count and other - count >= 2:
            return "cut short", count, 0, False
        if shared == other > 3:
            return "longer", other, 0, False
    if count == other > 3:
        found = _as_many(source, unit, count)
        if found is not None:
            return found
    if unit.begins == source.begins and shared >= 3 and 2 * shared >= max(count, other) and count > shared < other:
        return "another end", shared, 0, False
    same = len(unit.sounding & source.sounding)
    return ("varied", same, 0, False) if same > 3 and 8 * same > 5 * max(count, other) else None


def _shared(source: Unit, unit: Unit) -> int:
    """How many strokes both begin with, at the same pitches and in the same rhythm."""
    shared = 0
    for place, (top, other) in enumerate(zip(unit.tops, source.tops, strict=False)):
        if top != other or (place and unit.gaps[place - 1] != source.gaps[place - 1]):
            break
        shared += 1
    return shared


def _as_many(source: Unit, unit: Unit, count: int) -> Relation | None:
    """What a unit is to one of as many strokes."""
    if unit.gaps != source.gaps:
        is_scaled = all(2 * gap == other for gap, other in zip(unit.gaps, source.gaps, strict=True)) or all(
            gap == 2 * other for gap, other in zip(unit.gaps, source.gaps, strict=True)
        )
        return ("speed", count, 0, False) if unit.tops == source.tops and is_scaled else None
    by = unit.tops[0] - source.tops[0]
    if unit.moves == source.moves and abs(by) in OCTAVES:
        return "octave", count, by, False
    other = [place for place in range(count) if unit.tops[place] != source.tops[place]]
    if other[-1] < count - 1 and len(other) <= (2 if count >= 8 else 1):
        return "changed", count - len(other), 0, False
    if count < 5 or not unit.turns:
        return None
    if unit.moves == source.moves:
        return "moved", count, by, False
    if unit.places is not None and source.places is not None and unit.steps == source.steps:
        return "moved", count, unit.places[0] - source.places[0], True
    if len(set(unit.tops)) > 3 and unit.tops == source.tops[::-1]:
        return "backwards", count, 0, False
    turned = [-move for move in source.moves]
    is_turned = unit.moves == turned or (source.steps is not None and unit.steps == [-step for step in source.steps])
    return ("upside down", count, 0, False) if is_turned else None


def _device(music: Music, unit: Unit, source: Unit, relation: Relation) -> Device:
    how, count, by, in_key = relation
    earlier = str(music.melody.stretch(source.first, source.last))
    is_at_once = unit.first == source.last + 1
    said = {
        "again": lambda: (
            f"the same as in {earlier}{over_another_chord(music, (unit.first, unit.last), (source.first, source.last))}"
        ),
        "shifted": lambda: f"the same as in {earlier}, {_shift(unit, source)}",
        "octave": lambda: f"as in {earlier}, {_far(by)}",
        "cut short": lambda: f"as in {earlier}, cut short after {in_words(count)} notes",
        "longer": lambda: f"as in {earlier}, {in_words(len(unit.tops) - count)} more at the end",
        "changed": lambda: f"as in {earlier}, {_changes(music, unit, source)}",
        "another end": lambda: f"begins as in {earlier}, {in_words(count)} notes, then another end",
        "moved": lambda: (
            f"as in {earlier}, {_steps(by, unit.key) if in_key and unit.key else _far(by)}{', a sequence' * is_at_once}"
        ),
        "speed": lambda: f"as in {earlier}, {'at double speed' if unit.gaps < source.gaps else 'at half the speed'}",
        "varied": lambda: f"a variation of {earlier}, {in_words(count)} of {in_words(len(unit.tops))} notes the same",
        "backwards": lambda: f"as in {earlier}, backwards",
        "upside down": lambda: f"as in {earlier}, turned upside down",
    }[how]()
    data = {"as_in": earlier, "how": how, "count": count, "by": by, "in_key": in_key}
    return music.device(KIND, unit.first, unit.last, said, data, main=False)


def _shift(unit: Unit, source: Unit) -> str:
    far = unit.begins - source.begins
    counts = abs(far) / unit.beat
    words = {0.25: "a quarter of a count ", 0.5: "half a count ", 1: "a count ", 2: "two counts ", 3: "three counts "}
    return f"{words.get(counts, '')}{'later' if far > 0 else 'earlier'} in the bar"


def _far(semitones: int) -> str:
    far = INTERVALS.get(abs(semitones), f"{abs(semitones)} semitones")
    return f"{far} {'higher' if semitones > 0 else 'lower'}"


def _steps(by: int, key: Key) -> str:
    return f"{steps_far(by, len(key.semitones))} {'higher' if by > 0 else 'lower'}"


def _changes(music: Music, unit: Unit, source: Unit) -> str:
    """`one note changed, Ab for A`."""
    pairs = []
    for place, (top, other) in enumerate(zip(unit.tops, source.tops, strict=True)):
        if top != other:
            here = music.melody.backing(unit.first + place).names[top % 12]
            pairs.append(f"{here} for {music.melody.backing(source.first + place).names[other % 12]}")
    return f"{'one note' if len(pairs) == 1 else 'two notes'} changed, {listed(pairs)}"
