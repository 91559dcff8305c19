"""Solos of every kind the format can write, changed anywhere: compared, told and merged without loss."""

from __future__ import annotations

from dataclasses import replace

import pytest
from made_solos import version
from rebuilt import apply
from strategies import Dice
from thoroughness import share

from tabtools.model.solo import Bar, BeatLine, ChordMark, Item, Like
from tabtools.notation.write import canonical
from tabtools.reports.comparison import FileChange, as_json, as_markdown, as_text
from tabtools.review.compare import compare
from tabtools.review.merging.text import decided, merge_texts

PAIRS = share(1200)
MERGES = share(600)


def thrown(seed: int) -> str:
    return canonical(Dice(seed % 6, seed).solo())


def changed(text: str, seed: int) -> str:
    """The same with other slots, doubts and chords here and there."""
    dice = Dice(3, seed)
    solo = version(text).solo
    return canonical(replace(solo, items=tuple(_item(item, dice) for item in solo.items)))


def _item(item: Item, dice: Dice) -> Item:
    if isinstance(item, Bar):
        return replace(item, lines=tuple(_line(line, dice) for line in item.lines), chords=_chords(item.chords, dice))
    return replace(item, chords=_chords(item.chords, dice)) if isinstance(item, Like) else item


def _line(line: BeatLine, dice: Dice) -> BeatLine:
    slots = list(line.slots)
    at = dice.random.randrange(len(slots))
    if dice.chance(0.4):
        slots[at] = dice.slot(1)
    elif dice.chance(0.3):
        slots.insert(at, dice.slot(1))
    return replace(line, slots=tuple(slots), doubtful=line.doubtful ^ dice.chance(0.2))


def _chords(chords: tuple[ChordMark, ...], dice: Dice) -> tuple[ChordMark, ...]:
    return tuple(replace(mark, doubtful=mark.doubtful ^ dice.chance(0.3)) for mark in chords)


@pytest.mark.parametrize("start", range(0, PAIRS, 50))
def test_the_changes_lead_from_one_to_the_other_and_can_be_told(start: int) -> None:
    for seed in range(start, min(start + 50, PAIRS)):
        before, after = version(thrown(seed)), version(changed(thrown(seed), seed + 1))
        comparison = compare(before, after)
        assert apply(comparison.changes, before.solo) == after.solo, seed
        assert comparison.is_empty == (before.source.text == after.source.text), seed
        files = [FileChange("a.solo", "a.solo", comparison=comparison)]
        assert as_json(files) and as_markdown(files) and as_text(files, lambda text, _: text)


@pytest.mark.parametrize("start", range(0, MERGES, 50))
def test_a_merge_keeps_both_sides_whole(start: int) -> None:
    for seed in range(start, min(start + 50, MERGES)):
        base = thrown(seed)
        ours, theirs = (changed(base, seed * 7 + side) for side in (1, 2))
        merged = merge_texts(*(text.encode() for text in (base, ours, theirs)))
        for side in ("ours", "theirs"):
            assert version(decided(merged.text, side)).is_whole
        assert merge_texts(base.encode(), ours.encode(), ours.encode()).text == ours
        assert merge_texts(base.encode(), base.encode(), theirs.encode()).text == theirs
