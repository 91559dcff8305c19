"""Changed bars drawn before and after: what is gone in a dashed box, what came in a solid ring."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby
from typing import Any, NamedTuple

from markupsafe import Markup

from tabtools.engraving import BarDrawing, NoteText, draw_solo, systems_of
from tabtools.engraving.metrics import number
from tabtools.engraving.open_notes import heights_of
from tabtools.engraving.strokes import figures_of
from tabtools.model.solo import Address, Bar, Like, numbers_of
from tabtools.reports.changes import ChangeGroup
from tabtools.review.change import Change, Comparison, Part, Version
from tabtools.study.labels import labels_of
from tabtools.timeline import TimedBar, TimedNote, Timeline
from tabtools.timeline.excerpt import excerpt
from tabtools.website.bar_html import bar_html
from tabtools.website.markup import html
from tabtools.website.solo_page.note_records import over_chord
from tabtools.website.solo_page.playback import score_of
from tabtools.website.solo_page.tab_in_words import BarReading, bar_in_words, note_in_words

MOST_BARS = 8
"""Of one repeat that changed."""
_PAD, _HALF = 4.5, 9.0

Place = tuple[Address, int]
"""A note: the address of its stroke and its number within it."""


class ChangedBars(NamedTuple):
    """The numbers of the bars in question in either version; none where there is nothing."""

    old: tuple[int, ...]
    new: tuple[int, ...]


def bars_of(group: ChangeGroup, comparison: Comparison) -> ChangedBars:
    """The bars that changes under one heading speak of; empty for those of the header, and of comments alone."""
    old: dict[int, None] = {}
    new: dict[int, None] = {}
    for told in group.told:
        site = told.change.site
        if told.change.is_music:
            old.update(dict.fromkeys(_numbers(comparison.before, site.item)))
            new.update(dict.fromkeys(_numbers(comparison.after, site.new_item)))
    return ChangedBars(tuple(old)[:MOST_BARS], tuple(new)[:MOST_BARS])


def _numbers(version: Version, item: int | None) -> Sequence[int]:
    found = None if item is None else version.solo.items[item]
    return numbers_of(found) if isinstance(found, Bar | Like) else ()


def _with_notes(timeline: Timeline) -> Iterator[tuple[TimedBar, list[TimedNote]]]:
    """Each bar with the notes that begin in it."""
    notes = deque(timeline.notes)
    for bar in timeline.bars:
        own = []
        while notes and notes[0].begins.bar == bar.onset:
            own.append(notes.popleft())
        yield bar, own


def marked_notes(changes: Iterable[Change], comparison: Comparison) -> tuple[frozenset[Place], frozenset[Place]]:
    """The notes that changed, in the old and in the new version."""
    old: set[Place] = set()
    new: set[Place] = set()
    before, after = _Lines(comparison.before.timeline), _Lines(comparison.after.timeline)
    for change in changes:
        if not change.is_music:
            continue
        if change.part is Part.LINES:
            old.update(before.notes_of(change.old, change.before))
            new.update(after.notes_of(change.new, change.after))
            continue
        old.update((note.address, note.part) for note in change.sounded)
        new.update((note.address, note.part) for note in change.sounds)
        if not change.sounded and not change.sounds:
            old.update(before.notes_at(change.old))
            new.update(after.notes_at(change.new))
    return frozenset(old), frozenset(new)


class _Lines:
    """The notes of a timeline by bar and count, found when somebody asks."""

    def __init__(self, timeline: Timeline):
        self._timeline = timeline

    @cached_property
    def _notes(self) -> dict[tuple[int, int | None], list[Place]]:
        found: dict[tuple[int, int | None], list[Place]] = {}
        for note in self._timeline.notes:
            found.setdefault(note.address[:2], []).append((note.address, note.part))
        return found

    def notes_of(self, place: Address | None, lines: object) -> Iterator[Place]:
        """The notes of some lines of the bar of a place."""
        if place is not None and isinstance(lines, tuple):
            for line in lines:
                yield from self.notes_at(Address(place.bar, line.first))

    def notes_at(self, place: Address | None) -> Iterator[Place]:
        """The notes of a stroke or of a line."""
        if place is not None and place.count is not None:
            for address, part in self._notes.get(place[:2], ()):
                if place.stroke in (None, address.stroke):
                    yield address, part


@dataclass(frozen=True)
class Drawn:
    """Some bars of one version of a solo, drawn. `name` is unique on the page and stands before every id; `kind` is
    `was` or `now`.

    `marked` are the notes to mark, `numbers` the bars: no others are drawn but those near them, however long the solo.
    """

    timeline: Timeline
    name: str
    kind: str
    marked: frozenset[Place]
    numbers: frozenset[int]

    @cached_property
    def _parts(self) -> tuple[Timeline, ...]:
        """The stretches that the bars lie in, with a system before and after: what leads there and on from there."""
        indices = self.timeline.bar_indices
        places = {indices[number] for number in self.numbers if number in indices}
        systems = systems_of(self.timeline)
        near: dict[int, None] = {}
        for at, system in enumerate(systems):
            if not places.isdisjoint(system):
                near.update(dict.fromkeys(range(max(0, at - 1), min(len(systems), at + 2))))
        runs = groupby(enumerate(near), key=lambda pair: pair[1] - pair[0])
        stretches = [[systems[at] for _, at in run] for _, run in runs]
        return tuple(excerpt(self.timeline, range(some[0].start, some[-1].stop)) for some in stretches)

    @cached_property
    def bars(self) -> dict[int, Markup]:
        """Each bar as HTML, by its number; of two with one number the first."""
        return {number: bar for row in self._rows for number, bar in row.items()}

    @cached_property
    def _rows(self) -> list[dict[int, Markup]]:
        """The bars as HTML by their numbers, those of one system together."""
        rows: list[dict[int, Markup]] = []
        missing = set(self.numbers)
        for part in self._parts:
            labels, heights = labels_of(part), heights_of(part)
            known_of = zip(part.notes, labels, strict=True)
            texts = [NoteText(over_chord(known), note_in_words(note, known)) for note, known in known_of]
            played = iter(_with_notes(part))
            for section in draw_solo(part, texts).sections:
                for phrase in section.phrases:
                    row: dict[int, Markup] = {}
                    for bar, (timed, notes) in zip(phrase, played, strict=False):
                        if bar.number in missing:
                            missing.remove(bar.number)
                            reading = bar_in_words(timed, ((note, labels[note.index]) for note in notes))
                            row[bar.number] = self._html(bar, reading, notes, heights)
                    rows.append(row)
        return rows

    @cached_property
    def _places(self) -> dict[int, tuple[int, int]]:
        """The row of each bar and its place there."""
        return {number: (at, place) for at, row in enumerate(self._rows) for place, number in enumerate(row)}

    def bars_html(self, numbers: Iterable[int]) -> Markup:
        """Those of these bars that there are, in their order, those of one system in a row."""
        there = sorted(self._places.keys() & set(numbers), key=self._places.__getitem__)
        rows = groupby(there, key=lambda one: self._places[one][0])
        return Markup().join(
            html('<div class="tt-bars">{bars}</div>', bars=Markup().join(self.bars[one] for one in row))
            for _, row in rows
        )

    def score(self) -> dict[str, Any]:
        """What plays them: scores of the stretches they lie in, as one."""
        scores = [score_of(part) for part in self._parts]
        joined = {name: [one for score in scores for one in score[name]] for name in ("bars", "voices")}
        return scores[-1] | joined if scores else {}

    def _html(
        self, bar: BarDrawing, reading: BarReading, notes: Iterable[TimedNote], heights: Mapping[int, float]
    ) -> Markup:
        marked = [note for note in notes if (note.address, note.part) in self.marked]
        pieces = tuple(replace(piece, staff=self._marked(piece.staff, marked, heights)) for piece in bar.pieces)
        return bar_html(replace(bar, anchor="", pieces=pieces), reading)

    def _marked(self, staff: Markup, notes: Iterable[TimedNote], heights: Mapping[int, float]) -> Markup:
        """A staff with a mark behind each of these notes that it holds, and ids of this version."""
        for note in notes:
            opened = html('<g id="b{address}" class="stroke">', address=note.address)
            staff = staff.replace(opened, opened + self._mark(note, heights), 1)
        return staff.replace(' id="b', html(' id="{name}-b', name=self.name))

    def _mark(self, note: TimedNote, heights: Mapping[int, float]) -> Markup:
        (figure,) = figures_of((note,), self.timeline.solo.header.instrument.strings, heights)
        half, y = max(_HALF, figure.half + _PAD), figure.y
        round_by = 1 if self.kind == "was" else 9
        return html(
            '<rect class="rv-{kind}" x="{x}" y="{y}" width="{width}" height="18" rx="{round_by}"/>',
            kind=self.kind,
            x=number(-half),
            y=number(y - 9),
            width=number(2 * half),
            round_by=round_by,
        )
