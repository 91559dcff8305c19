"""Sections, bars, repeats and passages that stand in both versions, and what stands on their own lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from tabtools.harmony.chords import canonical
from tabtools.model.solo import Address, Bar, ChordMark, Item, Like, Passage, first_number, numbers_of
from tabtools.notation.chords import ChordError, read_chord
from tabtools.review.align import lines_of, renumbered
from tabtools.review.beats import BarPair
from tabtools.review.change import Change, ChangeSite, Kind, Part
from tabtools.review.doubts import chord_doubts, without_doubt
from tabtools.review.sound import Sounds
from tabtools.review.writing import comments_text, item_text, said_of_bar
from tabtools.timeline import TimedBar

_ON_A_BAR = (
    (Part.CHORDS, Kind.HARMONY),
    (Part.METER, Kind.RHYTHM),
    (Part.TEMPO, Kind.RHYTHM),
    (Part.FREE, Kind.RHYTHM),
    (Part.AT, Kind.RECORDING),
)


def compare_items(
    before: Item, after: Item, site: ChangeSite, numbers: dict[int, int], sounds: Sounds
) -> Iterator[Change]:
    """What changed in an item that stands in both versions; numbers that only follow others are no change."""
    old, new = address_of(before), address_of(after)
    if before.comments != after.comments:
        texts = comments_text(before.comments), comments_text(after.comments)
        yield Change((Kind.COMMENT,), Part.COMMENTS, site, old, new, *texts, before.comments, after.comments)
    if isinstance(before, Bar) and isinstance(after, Bar):
        yield from _compare_bars(before, after, site, sounds)
        return
    wanted = replace(after, comments=before.comments)
    if renumbered(before, numbers) != wanted:
        texts = item_text(before), item_text(after)
        yield Change(_kinds(before, after, numbers), Part.ITEM, site, old, new, *texts, before, wanted)


def _kinds(before: Item, after: Item, numbers: dict[int, int]) -> tuple[Kind, ...]:
    if not isinstance(before, Like) or not isinstance(after, Like):
        return (Kind.PARTS,)
    was = renumbered(before, numbers)
    same_bars = numbers_of(was) == numbers_of(after) and was.like_first == after.like_first
    if same_bars and was.like_last == after.like_last:
        return _chord_kinds(was.chords, after.chords, Kind.HARMONY)
    return (Kind.BARS,)


def _chord_kinds(before: tuple[ChordMark, ...], after: tuple[ChordMark, ...], otherwise: Kind) -> tuple[Kind, ...]:
    """Of other chords and other doubts; `otherwise` is what other chords are."""
    doubts = chord_doubts(before, after).kinds
    is_same = without_doubt(before) == without_doubt(after) or (otherwise is Kind.LAYOUT and bool(doubts))
    return (doubts if is_same else (otherwise, *doubts)) or (otherwise,)


def _compare_bars(before: Bar, after: Bar, site: ChangeSite, sounds: Sounds) -> Iterator[Change]:
    was, now = sounds.bar(before), sounds.bar(after)
    for part, kind in _ON_A_BAR:
        one, other = getattr(before, part), getattr(after, part)
        if one != other:
            if was and now and _same_effect(part, was, now):
                kind = Kind.LAYOUT
            kinds = _chord_kinds(one, other, kind) if part is Part.CHORDS else (kind,)
            texts = said_of_bar(before, part), said_of_bar(after, part)
            yield Change(kinds, part, site, address_of(before), address_of(after), *texts, one, other)
    if not (was and now):
        return
    pair = BarPair(before, after, site, now.meter, sounds.after.solo.header.feel, sounds)
    yield from pair.carried() if before.lines == after.lines else pair.beats()


def _same_effect(part: Part, was: TimedBar, now: TimedBar) -> bool:
    """Whether something written otherwise, or no longer, says what holds there anyway."""
    if part is Part.CHORDS:
        return harmony_of(was) == harmony_of(now)
    if part in (Part.METER, Part.TEMPO):
        return bool(getattr(was, part) == getattr(now, part))
    return False


def same_music(one: TimedBar, other: TimedBar) -> bool:
    """Whether the same is played in two bars, written out or repeated."""
    return (
        lines_of(one.written) == lines_of(other.written)
        and (one.meter, one.tempo, one.written.free) == (other.meter, other.tempo, other.written.free)
        and harmony_of(one) == harmony_of(other)
        and _doubts_of(one) == _doubts_of(other)
    )


def harmony_of(bar: TimedBar) -> list[tuple[object, str]]:
    """The chords of a bar, each with its moment in the bar, spelled one way, repeats left out."""
    found = [(bar.onset - bar.onset, spelled_one_way(bar.chord))]
    found += [(chord.onset - bar.onset, spelled_one_way(chord.symbol)) for chord in bar.chords]
    last_at = {moment: index for index, (moment, _) in enumerate(found)}
    sounding = [entry for index, entry in enumerate(found) if last_at[entry[0]] == index]
    return [entry for index, entry in enumerate(sounding) if not index or sounding[index - 1][1] != entry[1]]


def _doubts_of(bar: TimedBar) -> list[object]:
    """The moments in the bar at which doubtful chords begin."""
    return [chord.onset - bar.onset for chord in bar.chords if chord.mark.doubtful]


def spelled_one_way(symbol: str | None) -> str:
    """A chord symbol in its canonical spelling, as it is where it cannot be read; empty for none."""
    if symbol is None:
        return ""
    try:
        return canonical(read_chord(symbol))
    except ChordError:
        return symbol


def address_of(item: Item) -> Address | None:
    """The first bar an item makes or names; a section has none of its own."""
    if isinstance(item, Bar | Like):
        return Address(first_number(item))
    return item.range.first if isinstance(item, Passage) else None
