"""A solo in which a merge left places between markers: what each is about, and what every side has there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from tabtools.model.solo import Bar, Field, Item, Like, Passage, Section, numbers_of
from tabtools.review.align import align
from tabtools.review.change import ReadVersion, read_version
from tabtools.review.conflicts.markers import Decided, Marked, Rows, Side, decided_for, marked_places
from tabtools.review.merging.text import MarkerLabels, MergeError, merge_texts
from tabtools.review.revisions import Content, text_of
from tabtools.source import SourceText, from_text, is_number
from tabtools.wording import number_runs, plural

COMMENTS = "comments"
Part = Field | Item
Versions = tuple[Content, Content, Content]
"""The base, ours and theirs, as git keeps them."""


@dataclass(frozen=True)
class OpenConflict:
    """What is still to be decided of one bar, field or other part, or of several that stand between one pair of
    markers.

    `ours` and `theirs` are the parts of each side, `base` what they were. `names` are what each side calls them.
    `is_edited` says that somebody changed the lines between the markers since the merge.
    """

    places: tuple[Marked, ...]
    ours: tuple[Part, ...]
    theirs: tuple[Part, ...]
    base: tuple[Part, ...]
    names: tuple[frozenset[str], frozenset[str]]
    is_edited: bool = False

    @property
    def words(self) -> list[str]:
        """What its side, ours where it has one, calls it: the words a command is told."""
        return _in_order(self.names[0] or self.names[1])

    @property
    def title(self) -> str:
        """`bar 2`, `bars 2-3 and 5`, `tempo`."""
        names = _in_order(self.names[0] | self.names[1])
        numbers = [int(name) for name in names if is_number(name)]
        runs = [f"{first}" if first == last else f"{first}-{last}" for first, last in number_runs(numbers)]
        bars = [f"{plural('bar', len(numbers))} {' and '.join(runs)}"] if numbers else []
        return ", ".join([*bars, *(name for name in names if not is_number(name))])

    @property
    def where(self) -> str:
        """`bar 2: beat 3`: the title with the beats that clash."""
        beats = self.beats
        return f"{self.title}: {plural('beat', len(beats))} {', '.join(beats)}" if beats else self.title

    @property
    def beats(self) -> tuple[str, ...]:
        """The counts of the beat lines that differ, where both sides have one written bar."""
        sides = [part for part in (*self.ours, *self.theirs) if isinstance(part, Bar)]
        if len(self.ours) != 1 or len(self.theirs) != 1 or len(sides) != 2:
            return ()
        lines = [{(line.first, line.last): line for line in bar.lines} for bar in sides]
        differing = [counts for counts in {**lines[0], **lines[1]} if lines[0].get(counts) != lines[1].get(counts)]
        return tuple(f"{first}" if first == last else f"{first}-{last}" for first, last in sorted(differing))


def _in_order(names: Iterable[str]) -> list[str]:
    return sorted(names, key=lambda name: (not is_number(name), int(name) if is_number(name) else 0, name))


@dataclass(frozen=True)
class ConflictedSolo:
    """A solo as it stands, what is undecided in it, and the text decided for each side; `base` is what git keeps."""

    source: SourceText
    conflicts: tuple[OpenConflict, ...]
    ours: ReadVersion
    theirs: ReadVersion
    base: ReadVersion | None
    left: LeftByMerge

    @property
    def has_bases(self) -> bool:
        """Whether of every place it is known what stood there before."""
        rows = self.source.lines()
        return all(
            place.base is not None
            or self.left.base_of(*(between(rows, place, side) for side in ("ours", "theirs"))) is not None
            for conflict in self.conflicts
            for place in conflict.places
        )


class LeftByMerge(NamedTuple):
    """What a merge left between markers: the base of each place by its two sides, and the versions it merged.

    The base is None where git has none, and where places with the same two sides had different ones.
    """

    bases: dict[tuple[str, str], str | None]
    texts: tuple[str, str] | None

    def base_of(self, ours: str, theirs: str) -> str | None:
        """What stood there before, where that is known."""
        return self.bases.get((ours, theirs))

    def holds(self, ours: str, theirs: str) -> bool:
        """Whether these two sides are as a merge by bars, or git's own line by line, leaves them."""
        if self.texts is None or (ours, theirs) in self.bases:
            return True
        sides = zip((ours, theirs), self.texts, strict=True)
        return all(not own or f"\n{own}\n" in f"\n{text}" for own, text in sides)


def conflicted_solo(source: SourceText, versions: Versions | None = None) -> ConflictedSolo:
    """What is undecided in a solo. Raises `MarkersError` where its markers are not as a merge leaves them."""
    rows = tuple(source.lines())
    places = marked_places(rows)
    sides = [decided_for(side, rows, places) for side in ("ours", "theirs")]
    read = [read_version(from_text("\n".join((*one.rows, "")), source.path)) for one in sides]
    left = left_by_merge(versions, source.path)
    base_text = text_of(versions[0], source.path) if versions else None
    base = read_version(base_text) if base_text else None
    finder = _Finder(rows, places, (read[0], read[1]), (sides[0], sides[1]), base, left)
    return ConflictedSolo(source, tuple(finder.conflicts()), read[0], read[1], base, left)


def left_by_merge(versions: Versions | None, path: str) -> LeftByMerge:
    """What the merge of these versions left between markers; nothing is known where git has no versions."""
    texts = [text_of(content, path) for content in versions] if versions else []
    if len(texts) < 3 or texts[1] is None or texts[2] is None:
        return LeftByMerge({}, None)
    bases: dict[tuple[str, str], str | None] = {}
    try:
        contents = [(text.text if text else "").encode("utf-8") for text in texts]
        merged = merge_texts(contents[0], contents[1], contents[2], labels=MarkerLabels(base="base"))
    except MergeError:
        pass
    else:
        rows = merged.text.splitlines()
        for place in marked_places(rows):
            sides, was = (between(rows, place, "ours"), between(rows, place, "theirs")), between(rows, place, "base")
            bases[sides] = was if texts[0] is not None and bases.get(sides, was) == was else None
    return LeftByMerge(bases, (texts[1].text, texts[2].text))


def between(rows: Sequence[str], place: Marked, side: Side) -> str:
    """The lines of one side of a place, as one text without its last line end."""
    return "\n".join(rows[at] for at in place.of(side) or ())


@dataclass(frozen=True)
class _Finder:
    """What the places of a solo are about."""

    rows: Rows
    places: Sequence[Marked]
    versions: tuple[ReadVersion, ReadVersion]
    decided: tuple[Decided, Decided]
    base: ReadVersion | None
    left: LeftByMerge

    def conflicts(self) -> Iterator[OpenConflict]:
        """Places that are about one and the same part come together."""
        parts = [tuple(_parts_by_row(version)) for version in self.versions]
        found: list[tuple[list[int], set[str]]] = []
        at_place: list[tuple[tuple[Part, ...], tuple[Part, ...]]] = []
        for at in range(len(self.places)):
            ours, theirs = (
                tuple(part for part, first, end in parts[side] if _meet(self.decided[side].places[at], first, end))
                for side in range(2)
            )
            at_place.append((ours, theirs))
            names = {name for part in (*ours, *theirs) for name in names_of(part)} or {COMMENTS}
            same = [group for group in found if group[1] & names]
            for group in same:
                found.remove(group)
            places = sorted([at, *(one for group in same for one in group[0])])
            found.append((places, names.union(*(group[1] for group in same))))
        for places, _ in sorted(found, key=lambda group: group[0][0]):
            yield self._conflict(places, at_place)

    def _conflict(
        self, places: list[int], at_place: Sequence[tuple[tuple[Part, ...], tuple[Part, ...]]]
    ) -> OpenConflict:
        ours, theirs = (tuple(_once(part for at in places for part in at_place[at][side])) for side in range(2))
        names = tuple(frozenset(name for part in side for name in names_of(part)) for side in (ours, theirs))
        if not (names[0] or names[1]):
            names = frozenset({COMMENTS}), frozenset({COMMENTS})
        marked = tuple(self.places[at] for at in places)
        as_left = (self.left.holds(*(between(self.rows, one, side) for side in ("ours", "theirs"))) for one in marked)
        base = tuple(self._in_base(ours, theirs))
        return OpenConflict(marked, ours, theirs, base, (names[0], names[1]), is_edited=not all(as_left))

    def _in_base(self, ours: tuple[Part, ...], theirs: tuple[Part, ...]) -> Iterator[Part]:
        """What the parts were: fields by their names, all else by what it holds."""
        if self.base is None:
            return
        wanted = {part.name for part in (*ours, *theirs) if isinstance(part, Field)}
        yield from (field for field in self.base.solo.fields if field.name in wanted)
        indices: set[int] = set()
        for version, parts in zip(self.versions, (ours, theirs), strict=True):
            kept = {id(part) for part in parts}
            pairs = align(self.base.solo, version.solo).pairs
            indices.update(i for i, j in pairs if id(version.solo.items[j]) in kept)
        yield from (self.base.solo.items[index] for index in sorted(indices))


def _once(parts: Iterable[Part]) -> Iterator[Part]:
    return iter({id(part): part for part in parts}.values())


def _meet(own: range, first: int, end: int) -> bool:
    return max(own.start, first) < min(own.stop, end)


def _parts_by_row(version: ReadVersion) -> Iterator[tuple[Part, int, int]]:
    """Fields and items, each with its first line and the line behind it, as indices; comments go along."""
    parts: list[Part] = sorted((*version.solo.fields, *version.solo.items), key=lambda part: part.span)
    starts = [min([part.span, *(comment.span for comment in part.comments.above)]).start for part in parts]
    rows = [version.source.locate(start)[0] - 1 for start in starts]
    for part, (first, end) in zip(parts, pairwise([*rows, len(version.source.lines())]), strict=True):
        yield part, first, end


def names_of(part: Part) -> tuple[str, ...]:
    """What a command calls a part: bars by their numbers, fields by their names."""
    if isinstance(part, Bar | Like):
        return tuple(map(str, numbers_of(part)))
    if isinstance(part, Section):
        return (f"section {part.label}",)
    if isinstance(part, Passage):
        return (f"passage {part.range}",)
    return (part.name,)
