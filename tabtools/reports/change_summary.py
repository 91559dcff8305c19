"""What changed, in one line: how many notes were placed, heard, moved, and in which bars."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from tabtools.checks.wording import listed
from tabtools.model.solo import Address, BeatLine, Field, Note
from tabtools.reports.chord_words import other_chords
from tabtools.reports.gap_words import gap_in_words
from tabtools.reports.settling import (
    FEWEST_FOLDED,
    NOT_MADE_OUT,
    OF_A_BAR,
    follows_its_note,
    is_placed_as_heard,
    noted_in_words,
    opened_in_words,
    placed_in_few_words,
    takes_other_reading,
)
from tabtools.review.change import Change, Kind, Part, Written
from tabtools.wording import plural, several


def summary(changes: Iterable[Change]) -> str:
    """What changed, in one line: `2 notes to another pitch (bars 12 and 14); 1 bar added (bar 5); header (tempo)`."""
    counted: dict[str, list[Change]] = {}
    gaps = _Gaps()
    changes = list(changes)
    placed = Counter(change.new.bar for change in changes if change.new and is_placed_as_heard(change))
    for change in changes:
        if change.new and placed[change.new.bar] >= FEWEST_FOLDED and follows_its_note(change):
            continue
        if not change.follows and change.part is not Part.NUMBERS:
            for what in (*gaps.told(change), *_what_happened(change)):
                counted.setdefault(what, []).append(change)
    if len(counted) > 1:
        counted.pop(_FEW_WORDS[Kind.LAYOUT], None)
    return "; ".join(_counted(what, some) for what, some in counted.items()) or "nothing but the numbers of bars"


class _Gaps:
    """What became of stretches that are not heard where no change of the lines around them says it."""

    def __init__(self) -> None:
        self._lines: set[Address | None] = set()

    def told(self, change: Change) -> Iterator[str]:
        if change.part is Part.LINES and gap_in_words(change):
            self._lines = {*_counts(change.old, change.before), *_counts(change.new, change.after)}
        elif change.part in (Part.NOTE, Part.NOTHING) and change.kinds != (Kind.LAYOUT,):
            was, now = _is_gap(change.before), _is_gap(change.after)
            place = change.old or change.new
            if was is not now and place is not None and place._replace(stroke=None) not in self._lines:
                yield "gap more" if now else "gap gone" if change.after is None else "gap filled"


def _counts(place: Address | None, lines: Written | None) -> Iterator[Address]:
    """Where some lines of the bar of a place begin."""
    if place is not None and isinstance(lines, tuple):
        yield from (Address(place.bar, line.first) for line in lines if isinstance(line, BeatLine))


def _is_gap(written: Written | None) -> bool:
    note = written[0] if isinstance(written, tuple) and written else written
    return isinstance(note, Note) and note.unheard


def _what_happened(change: Change) -> list[str]:
    """The change in few words; what it settles, or brings into doubt, counts beside another harmony."""
    doubts = [_DOUBTS[key] for kind in change.kinds if (key := (change.part, kind)) in _DOUBTS]
    if is_of_draft(change):
        return [draft_in_words(change)]
    if doubts and change.kinds[0] is not Kind.HARMONY:
        return doubts
    if change.part in (Part.NOTE, Part.STROKE, Part.NOTHING):
        return list(_of_notes(change))
    if change.kinds[0] is Kind.HARMONY:
        return [*["chord changed"] * len(other_chords(change)), *doubts]
    return [_kind_in_few_words(change), *doubts]


def _of_notes(change: Change) -> Iterator[str]:
    """What happened to notes, a phrase for each of them."""
    kind, before, after = change.kinds[0], change.before, change.after
    come, gone = ([timed.note for timed in side if not timed.note.unheard] for side in (change.sounds, change.sounded))
    if takes_other_reading(change) and kind in (Kind.PITCH, Kind.PLACE):
        yield "other reading taken"
    elif kind is Kind.NOTES:
        yield from ["note added"] * len(come) + ["note gone"] * len(gone)
    elif kind is Kind.HEARD:
        yield from map(_heard_in_few_words, come)
    elif kind is Kind.OPENED and not (isinstance(before, Note) and isinstance(after, Note)):
        yield from [f"note {NOT_MADE_OUT}"] * len(gone)
    elif kind is Kind.OPENED and isinstance(before, Note) and isinstance(after, Note):
        words = opened_in_words(before, after)
        yield f"note {words}" if words == NOT_MADE_OUT else words
    elif kind is Kind.PLACED:
        yield placed_in_few_words(change)
    elif kind is Kind.PLACE and isinstance(after, Note) and after.unknown:
        yield "note to another string"
    elif kind is Kind.COMMENT and isinstance(before, Note) and isinstance(after, Note):
        yield noted_in_words(before, after).partition(":")[0]
    else:
        yield _kind_in_few_words(change)


def _heard_in_few_words(note: Note) -> str:
    if note.via in ("b", "r"):
        return "bend heard"
    return "note counted" if note.unknown else "note heard"


def _kind_in_few_words(change: Change) -> str:
    if change.part is Part.LINES and (gap := gap_in_words(change)):
        return gap
    if change.part is Part.MARKS:
        return "marks"
    if change.kinds[0] is Kind.BARS:
        if change.part is Part.ORDER:
            return "bar moved"
        return "bar added" if change.before is None else "bar gone" if change.after is None else "repeat changed"
    if change.kinds[0] is Kind.RHYTHM and change.part in OF_A_BAR:
        return OF_A_BAR[change.part]
    return _FEW_WORDS[change.kinds[0]]


_DOUBTS = {
    (Part.DOUBT, Kind.RESOLVED): "rhythm settled",
    (Part.DOUBT, Kind.RAISED): "rhythm in doubt",
    (Part.LINES, Kind.RESOLVED): "rhythm settled",
    (Part.LINES, Kind.RAISED): "rhythm in doubt",
    (Part.CHORDS, Kind.RESOLVED): "chord settled",
    (Part.CHORDS, Kind.RAISED): "chord in doubt",
    (Part.ITEM, Kind.RESOLVED): "chord settled",
    (Part.ITEM, Kind.RAISED): "chord in doubt",
}
_FEW_WORDS = {
    Kind.PITCH: "note to another pitch",
    Kind.PLACE: "note to another place",
    Kind.RHYTHM: "other rhythm",
    Kind.TECHNIQUE: "note played otherwise",
    Kind.HEADER: "header",
    Kind.PARTS: "sections and passages",
    Kind.RECORDING: "place in the recording",
    Kind.RESOLVED: "note certain now",
    Kind.RAISED: "note in doubt",
    Kind.READINGS: "readings",
    Kind.COMMENT: "comments",
    Kind.LAYOUT: "written otherwise",
}
_COUNTED = frozenset({"note", "string", "place", "fret", "pitch", "bar", "gap", "bend", "chord", "repeat"})
"""Words that a number stands before."""


def is_of_draft(change: Change) -> bool:
    """Whether a solo became a draft or is none any more, which is said in words alone."""
    return change.part is Part.FIELD and change.name == "draft" and Kind.HEADER in change.kinds


def draft_in_words(change: Change) -> str:
    """What a solo is now, of a change of that."""
    is_draft = isinstance(change.after, Field) and change.after.value == "yes"
    return "a draft now" if is_draft else "no longer a draft"


def _counted(what: str, changes: list[Change]) -> str:
    if is_of_draft(changes[0]):
        return what
    noun, _, rest = what.partition(" ")
    if noun in _COUNTED and what != _FEW_WORDS[Kind.RECORDING]:
        what = f"{several(len(changes), noun)} {rest}"
    places = {change.name: None for change in changes if change.name}
    bars = sorted({place.bar for change in changes if (place := change.new or change.old)})
    said = [*places, *([bars_in_words(bars)] if bars and changes[0].kinds != (Kind.LAYOUT,) else [])]
    return f"{what} ({', '.join(said)})" if said else what


def bars_in_words(numbers: Sequence[int]) -> str:
    """`bar 5`, `bars 5 to 8 and 12`."""
    return f"{plural('bar', len(numbers))} {listed(numbers)}"
