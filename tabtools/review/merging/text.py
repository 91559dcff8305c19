"""Three texts to one: read, merged, written in canonical form, conflicts between markers, and read again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from tabtools.model.solo import NO_COMMENTS, Bar, BeatLine, Comment, Field, Item, Passage, Solo
from tabtools.notation.build import read_solo
from tabtools.notation.write import canonical
from tabtools.review.align import music_of
from tabtools.review.merging.merge import SIDES, Conflict, Merged, Remarks, Side, is_of_beats, items_of, merge
from tabtools.review.merging.strings import name_moved_strings
from tabtools.review.pairing import blocks_of
from tabtools.source import SourceError, SourceText, decode, from_text

MARKER_SIZE = 7


class MergeError(Exception):
    """These versions cannot be merged as music; the text says why."""


Piece = Field | Item | BeatLine | Remarks


@dataclass(frozen=True)
class MarkerLabels:
    """What stands behind the markers; `base` None leaves the base out of conflicts."""

    ours: str = "ours"
    theirs: str = "theirs"
    base: str | None = None


PLAIN_LABELS = MarkerLabels()


@dataclass(frozen=True)
class MergedText:
    """The merged text; `conflicts` is how many places are left to be decided between markers, `bars` in how many bars
    the changes of both sides came together."""

    text: str
    conflicts: int
    bars: int = field(default=0, compare=False)


def merge_texts(
    base: bytes, ours: bytes, theirs: bytes, marker_size: int = MARKER_SIZE, labels: MarkerLabels = PLAIN_LABELS
) -> MergedText:
    """Merge two corrections of one file. Raises `MergeError` where one of the three cannot be read whole, and
    where the outcome does not prove itself: then a merge of the texts line by line is the thing to do.
    """
    sources = [_source(data, name) for data, name in ((base, "the base"), (ours, "ours"), (theirs, "theirs"))]
    solos = [_whole(source) for source in sources]
    merged = merge(*solos)
    merged = _with_strings(merged, solos)
    if merged.conflicts:
        text = _assembled(merged, marker_size, labels)
        _prove_conflicts(text, merged, marker_size)
    else:
        text = canonical(merged.solo())
        _prove(text, merged.solo())
    if sources[1].had_crlf:
        text = text.replace("\n", "\r\n")
    return MergedText(text, len(merged.conflicts), sum(_bars_of_both(merged, solos)))


def _bars_of_both(merged: Merged, solos: Sequence[Solo]) -> Iterator[bool]:
    """Of every merged bar, whether both sides changed its music, differently."""
    for item, origins in zip(merged.items, merged.origins, strict=True):
        if isinstance(item, Bar):
            found = (solo.items[at] for solo, at in zip(solos, origins, strict=True) if at is not None)
            music = [music_of(bar) for bar in found if isinstance(bar, Bar)]
            yield len(music) == 3 and len(set(music)) == 3


def _source(data: bytes, name: str) -> SourceText:
    try:
        return decode(data, name)
    except SourceError as error:
        raise MergeError(f"{name} is no solo: {error.message}") from None


def _whole(source: SourceText) -> Solo:
    reading = read_solo(source)
    if reading.unreadable:
        line, _ = source.locate(reading.unreadable[0].start)
        raise MergeError(f"line {line} of {source.path} cannot be read as music")
    return reading.solo


def _with_strings(merged: Merged, solos: Sequence[Solo]) -> Merged:
    """Strings named where a move would change to another, in what is merged and on both sides of single beats."""
    items = list(merged.items)
    sides = SIDES if any(map(is_of_beats, items)) else SIDES[:1]
    for side in sides:
        flat: list[Item] = []
        places: dict[int, int] = {}
        for at, part in enumerate(items):
            if isinstance(part, Bar) or is_of_beats(part):
                places[len(flat)] = at
            flat.extend(items_of(part, side))
        origins = {index: merged.origins[at] for index, at in places.items()}
        named = name_moved_strings(replace(merged, items=tuple(items)).solo(side), tuple(solos), origins)
        for index, at in places.items():
            items[at] = _with_side(items[at], side, named.items[index])
    return replace(merged, items=tuple(items))


def _with_side(part: Item | Conflict[Item], side: Side, item: Item) -> Item | Conflict[Item]:
    if not isinstance(part, Conflict):
        return item
    return part._replace(ours=(item,)) if side == "ours" else part._replace(theirs=(item,))


# ---- writing


def _assembled(merged: Merged, marker_size: int, labels: MarkerLabels) -> str:
    blocks: list[str] = []
    if merged.remarks:
        blocks.append(_block(merged.remarks, marker_size, labels))
    if merged.fields:
        blocks.append("\n".join(_block(field, marker_size, labels) for field in merged.fields))
    previous: Item | Conflict[Item] | None = None
    for item in merged.items:
        text = _block(item, marker_size, labels)
        if isinstance(item, Passage) and isinstance(previous, Passage):
            blocks[-1] += f"\n{text}"
        else:
            blocks.append(text)
        previous = item
    return "\n\n".join(blocks) + "\n"


def _block(part: Piece | Conflict[Any], marker_size: int, labels: MarkerLabels) -> str:
    if not isinstance(part, Conflict):
        return _text((part,))
    if is_of_beats(part):
        return "\n".join(_beats(part, marker_size, labels))
    return "\n".join(_between_markers(part, _where(part), marker_size, labels))


def _between_markers(part: Conflict[Any], where: str, marker_size: int, labels: MarkerLabels) -> list[str]:
    rows = [f"{'<' * marker_size} {labels.ours}{where}", _text(part.ours)]
    if labels.base is not None:
        rows += [f"{'|' * marker_size} {labels.base}{where}", _text(part.base)]
    rows += ["=" * marker_size, _text(part.theirs), f"{'>' * marker_size} {labels.theirs}{where}"]
    return [row for row in rows if row]


def _beats(part: Conflict[Any], marker_size: int, labels: MarkerLabels) -> Iterator[str]:
    """A bar of which only the beats that clash stand between markers."""
    (ours,), (base,), (theirs,) = part.ours, part.base, part.theirs
    yield _text((replace(ours, lines=()),))
    for block in blocks_of(base.lines, ours.lines, theirs.lines):
        lines = [tuple(bar.lines[index] for index in own) for bar, own in zip((base, ours, theirs), block, strict=True)]
        if lines[1] == lines[2]:
            yield from filter(None, [_text(lines[1])])
        else:
            beats = Conflict(lines[1], lines[0], lines[2])
            yield from _between_markers(beats, _where(part), marker_size, labels)


def _text(parts: Sequence[Piece]) -> str:
    fields = tuple(part for part in parts if isinstance(part, Field))
    remarks = tuple(part for group in parts if isinstance(group, tuple) for part in group)
    items = tuple(part for part in parts if not isinstance(part, Field | BeatLine | tuple))
    if lines := tuple(part for part in parts if isinstance(part, BeatLine)):
        return canonical(Solo(items=(Bar(0, lines=lines),))).partition("\n")[2].rstrip("\n")
    return canonical(Solo(fields, items=items, remarks=remarks)).rstrip("\n")


def _where(conflict: Conflict[Any]) -> str:
    """What the conflict is about, behind the label of a marker."""
    part = next(iter((*conflict.ours, *conflict.theirs, *conflict.base)), None)
    if isinstance(part, Field):
        return f": {part.name}"
    if isinstance(part, Bar):
        return f": bar {part.number}" + (f", {conflict.why}" if conflict.why else "")
    return ""


# ---- proof


def _prove(text: str, wanted: Solo) -> None:
    """Raises `MergeError` unless the text reads to this solo, all its comments in it."""
    reading = read_solo(from_text(text))
    if reading.unreadable or _music(reading.solo) != _music(wanted) or _comments(reading.solo) != _comments(wanted):
        raise MergeError("what came out does not read as what was meant")


def _prove_conflicts(text: str, merged: Merged, marker_size: int) -> None:
    """Deciding every conflict for one side has to leave that side whole."""
    for side in ("ours", "theirs"):
        _prove(decided(text, side, marker_size), merged.solo(side))


def decided(text: str, side: str, marker_size: int = MARKER_SIZE) -> str:
    """The text with this side of every conflict."""
    markers = {sign * marker_size: name for sign, name in (("<", "ours"), ("|", "base"), ("=", "theirs"), (">", ""))}
    rows: list[str] = []
    here = ""
    for row in text.split("\n"):
        marker = markers.get(row.partition(" ")[0])
        if marker is not None:
            here = marker
        elif here in ("", side):
            rows.append(row)
    return "\n".join(rows)


def _music(solo: Solo) -> tuple[object, ...]:
    fields = [(field.name, field.value) for field in solo.fields]
    return fields, [_bare(item) for item in solo.items]


def _bare(item: Item) -> Item:
    if isinstance(item, Bar):
        item = replace(item, lines=tuple(replace(line, comments=NO_COMMENTS) for line in item.lines))
    return replace(item, comments=NO_COMMENTS)


def _comments(solo: Solo) -> list[str]:
    found: list[Comment] = list(solo.remarks)
    for part in (*solo.fields, *solo.items):
        found.extend(part.comments.all())
        for line in part.lines if isinstance(part, Bar) else ():
            found.extend(line.comments.all())
    return sorted(comment.text for comment in found)
