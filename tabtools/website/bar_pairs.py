"""Changed bars drawn before and after: what is gone in a dashed box, what came in a solid ring."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from tabtools.engraving import BarDrawing, NoteText, SoloDrawing, draw_solo
from tabtools.engraving.metrics import FRET_SIZE, number, text_width
from tabtools.engraving.strokes import fret_text, string_y
from tabtools.model.solo import Address, Bar, Like
from tabtools.reports.changes import Group
from tabtools.review.align import numbers_of
from tabtools.review.change import Change, Comparison, Version
from tabtools.study.labels import Labels, labels_of
from tabtools.timeline import TimedNote, Timeline
from tabtools.website.bar_html import bar_html
from tabtools.website.solo_page.note_records import over_chord
from tabtools.website.solo_page.tab_in_words import BarReading, bar_in_words, note_in_words

MOST_BARS = 8
"""Of one repeat that changed."""
_PAD, _HALF = 4.5, 9.0

Place = tuple[Address, int]
"""A note: the address of its stroke and its number within it."""


class BarPair(NamedTuple):
    """The numbers of the bars in question in either version; none where there is nothing."""

    old: tuple[int, ...]
    new: tuple[int, ...]


def bars_of(group: Group, comparison: Comparison) -> BarPair:
    """The bars that changes under one heading speak of; empty for those of the header, and of comments alone."""
    old: dict[int, None] = {}
    new: dict[int, None] = {}
    for told in group.told:
        site = told.change.site
        if told.change.is_music:
            old.update(dict.fromkeys(_numbers(comparison.before, site.item)))
            new.update(dict.fromkeys(_numbers(comparison.after, site.new_item)))
    return BarPair(tuple(old)[:MOST_BARS], tuple(new)[:MOST_BARS])


def _numbers(version: Version, item: int | None) -> Sequence[int]:
    found = None if item is None else version.solo.items[item]
    return numbers_of(found) if isinstance(found, Bar | Like) else ()


def marked_notes(changes: Iterable[Change], comparison: Comparison) -> tuple[frozenset[Place], frozenset[Place]]:
    """The notes that changed, in the old and in the new version."""
    old: set[Place] = set()
    new: set[Place] = set()
    for change in changes:
        if not change.is_music:
            continue
        old.update((note.address, note.part) for note in change.sounded)
        new.update((note.address, note.part) for note in change.sounds)
        if not change.sounded and not change.sounds:
            old.update(_at(change.old, comparison.before.timeline))
            new.update(_at(change.new, comparison.after.timeline))
    return frozenset(old), frozenset(new)


def _at(place: Address | None, timeline: Timeline) -> Iterator[Place]:
    """The notes of a stroke or of a line."""
    if place is None or place.count is None:
        return
    for note in timeline.notes:
        bar, count, stroke = note.address
        if bar == place.bar and count == place.count and place.stroke in (None, stroke):
            yield note.address, note.part


@dataclass(frozen=True)
class Drawn:
    """One version of a solo, drawn. `name` is unique on the page and stands before every id; `kind` is `was` or `now`.

    `marked` are the notes to mark.
    """

    timeline: Timeline
    name: str
    kind: str
    marked: frozenset[Place]

    @cached_property
    def _labels(self) -> tuple[Labels, ...]:
        return tuple(labels_of(self.timeline))

    @cached_property
    def _drawing(self) -> SoloDrawing:
        pairs = zip(self.timeline.notes, self._labels, strict=True)
        return draw_solo(
            self.timeline, [NoteText(over_chord(known), note_in_words(note, known)) for note, known in pairs]
        )

    def html(self, numbers: Iterable[int]) -> str:
        """These bars in their order, those of one system in a row."""
        wanted = set(numbers)
        rows = []
        for phrase in (phrase for section in self._drawing.sections for phrase in section.phrases):
            here = [bar.number for bar in phrase if bar.number in wanted]
            wanted.difference_update(here)
            if here:
                rows.append(
                    f'<div class="tt-bars">{"".join(self.bars[number] for number in dict.fromkeys(here))}</div>'
                )
        return "".join(rows)

    @cached_property
    def bars(self) -> dict[int, str]:
        """Each bar as HTML, by its number; of two with one number the first."""
        drawn = [bar for section in self._drawing.sections for bar in section.bars]
        found: dict[int, str] = {}
        for bar, timed in zip(drawn, self.timeline.bars, strict=True):
            if bar.number not in found:
                notes = self._notes.get(timed.onset, [])
                reading = bar_in_words(timed, ((note, self._labels[note.index]) for note in notes))
                found[bar.number] = self._html(bar, reading, notes)
        return found

    @cached_property
    def _notes(self) -> dict[object, list[TimedNote]]:
        found: dict[object, list[TimedNote]] = {}
        for note in self.timeline.notes:
            found.setdefault(note.begins.bar, []).append(note)
        return found

    def _html(self, bar: BarDrawing, reading: BarReading, notes: Iterable[TimedNote]) -> str:
        marked = [note for note in notes if (note.address, note.part) in self.marked]
        pieces = tuple(replace(piece, staff=self._marked(piece.staff, marked)) for piece in bar.pieces)
        return bar_html(replace(bar, anchor="", pieces=pieces), reading)

    def _marked(self, staff: str, notes: Iterable[TimedNote]) -> str:
        """A staff with a mark behind each of these notes that it holds, and ids of this version."""
        for note in notes:
            opened = f'<g id="b{note.address}" class="stroke">'
            staff = staff.replace(opened, opened + self._mark(note), 1)
        return staff.replace(' id="b', f' id="{self.name}-b')

    def _mark(self, note: TimedNote) -> str:
        half = max(_HALF, text_width(fret_text(note.note.fret), FRET_SIZE) / 2 + _PAD)
        y = string_y(note.string, self.timeline.solo.header.instrument.strings)
        round_by = 1 if self.kind == "was" else 9
        return (
            f'<rect class="rv-{self.kind}" x="{number(-half)}" y="{number(y - 9)}" width="{number(2 * half)}" '
            f'height="18" rx="{round_by}"/>'
        )
