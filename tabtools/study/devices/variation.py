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
- `changed`: one note of four or more, two of eight or more, of five or more that come at once by a semitone each, at
  any place but the last.
- `another end`: the first half at least, three notes or more, and then other pitches; five or more where they are
  higher or lower and go up and down.
- `moved`: five or more by the same intervals, or steps of the key's scale, that do not only go one way; a sequence
  where it comes at once.
- `speed`: four or more, all twice as fast or half as fast.
- `backwards`: five or more of four pitches. `upside down`: five or more, each interval or step of the key turned round.

- `varied`: four notes at least are the same at the same moments, more than five of every eight.

Parts of bars and phrases that nothing of this says are looked at as well: see `figure_parts`.

Bars or phrases on end that come again as they stood on end are told as one. A unit of one pitch is none of these, nor
is one in which not all is known, or the rhythm is doubtful.

`data`: `as_in` (the address of the earlier stretch), `how` (one of these names), `count` (strokes they share), `by`
(what it is moved by, in semitones or, where `in_key`, in steps of the key; 0 otherwise), `in_key`.

Example: where bar 2 plays the first three of the five notes of bar 1, "as in 1.1-1.3, cut short after three notes".
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from tabtools.model.harmony import Key
from tabtools.study.devices.device import Device
from tabtools.study.devices.figure_parts import PartAgain, parts_again
from tabtools.study.devices.returning_figure import on_other_strings, over_another_chord
from tabtools.study.devices.units import Relation, Unit, relation
from tabtools.study.devices.wording import INTERVALS, in_words, listed, steps_far
from tabtools.study.explaining.explained import Explained
from tabtools.study.melody import Struck
from tabtools.study.music import Music

KIND = "variation"
FEWEST_IN_BAR, FEWEST_IN_PHRASE, MOST = 3, 4, 32
LOOKED_BACK = 6
ORDER = (
    *("again", "shifted", "octave", "cut short", "longer", "changed", "another end"),
    *("speed", "moved", "backwards", "upside down", "varied"),
)


def find(music: Music, chosen: Explained, told: Iterable[Device]) -> Iterator[Device]:
    """What each bar, each phrase and each part of them is to an earlier one, where it is not `told` already."""
    strokes = music.melody.strokes
    said = {note for device in told for note in device.notes}
    bars = [(own[0], own[-1]) for own in _bars(strokes)]
    phrases = [(one.first, one.last) for one in music.phrases]
    found: list[_Found] = []
    is_found = bytearray(len(strokes))
    for spans, fewest in ((phrases, FEWEST_IN_PHRASE), (bars, FEWEST_IN_BAR)):
        units: list[Unit] = []
        for first, last in spans:
            own = strokes[first : last + 1]
            if not fewest <= len(own) <= MOST or any(struck.is_apart or struck.doubt for struck in own):
                continue
            unit = _unit(music, first, last)
            if len(set(unit.tops)) > 1:
                is_free = 2 * sum([struck.notes[0] in said for struck in own]) < len(own)
                if is_free and not any(is_found[first : last + 1]):
                    closest = _closest(unit, units)
                    if closest is not None:
                        found.append((unit, *closest))
                        is_found[first : last + 1] = b"\1" * len(own)
                units.append(unit)
    devices = [_device(music, *one) for one in _joined(music, found)]
    yield from devices
    for one in devices:
        said.update(one.notes)
    taken = [struck.notes[0] in said for struck in strokes]
    for part in parts_again(music, chosen, {*bars, *phrases}, taken):
        yield _of_part(music, part)


_Found = tuple[Unit, Unit, Relation]
"""A unit, the earlier one, and what it is to that."""


def _joined(music: Music, found: Iterable[_Found]) -> Iterator[_Found]:
    """What is found; units on end that come again as they stood on end are one."""
    row: list[_Found] = []
    for one in sorted(found, key=lambda one: one[0].first):
        if row and _goes_on(row[0], row[-1], one):
            row.append(one)
            continue
        if row:
            yield _whole(music, row)
        row = [one]
    if row:
        yield _whole(music, row)


def _goes_on(first: _Found, before: _Found, after: _Found) -> bool:
    is_again = before[2][0] == after[2][0] == "again"
    follows = after[0].first == before[0].last + 1 and after[1].first == before[1].last + 1
    return is_again and follows and after[1].last < first[0].first


def _whole(music: Music, row: Sequence[_Found]) -> _Found:
    if len(row) == 1:
        return row[0]
    (first, there, _), (last, end, _) = row[0], row[-1]
    unit, source = _unit(music, first.first, last.last), _unit(music, there.first, end.last)
    return unit, source, ("again", unit.last - unit.first + 1, 0, False)


def _unit(music: Music, first: int, last: int) -> Unit:
    key = music.melody.timeline.solo.header.key
    return Unit(first, music.melody.strokes[first : last + 1], key, music.backings(first, last))


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
    return [(source, found) for source in reversed(earlier) if (found := relation(source, unit)) is not None]


def _closeness(found: tuple[Unit, Relation]) -> int:
    return ORDER.index(found[1][0])


def _device(music: Music, unit: Unit, source: Unit, found: Relation) -> Device:
    how, count, by, in_key = found
    earlier = str(music.melody.stretch(source.first, source.last))
    is_at_once = unit.first == source.last + 1
    here, there = (unit.first, unit.last), (source.first, source.last)
    said = {
        "again": lambda: (
            f"the same as in {earlier}{over_another_chord(music, here, there)}{on_other_strings(music, here, there)}"
        ),
        "shifted": lambda: f"the same as in {earlier}, {_shift(unit, source)}",
        "octave": lambda: f"as in {earlier}, {_far(by)}",
        "cut short": lambda: f"as in {earlier}, cut short after {in_words(count)} notes",
        "longer": lambda: f"as in {earlier}, {in_words(len(unit.tops) - count)} more at the end",
        "changed": lambda: f"as in {earlier}, {_changes(music, unit, source)}",
        "another end": lambda: (
            f"begins as in {earlier}, {f'{_far(by)}, ' if by else ''}{in_words(count)} notes, then another end"
        ),
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


def _of_part(music: Music, part: PartAgain) -> Device:
    here, there = (part.first, part.first + part.length - 1), (part.source, part.source + part.length - 1)
    earlier = str(music.melody.stretch(*there))
    how, by, in_key = part.how, part.by, part.in_key
    key = music.melody.timeline.solo.header.key
    said = [f"{in_words(part.length)} notes as in {earlier}"]
    if how == "upside down":
        said.append("turned upside down")
    elif by:
        said.append(_steps(by, key) if in_key and key else _far(by))
    if part.speed:
        said.append("at double speed" if part.speed > 0 else "at half the speed")
    over = over_another_chord(music, here, there) + on_other_strings(music, here, there) if how == "again" else ""
    data = {"as_in": earlier, "how": how, "count": part.length, "by": by, "in_key": in_key}
    return music.device(KIND, *here, ", ".join(said) + over, data, main=False)


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
