"""What changed, in one line: how many notes were placed, heard, moved, and in which bars."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tabtools.checks.wording import listed
from tabtools.reports.settling import gap_in_words
from tabtools.review.change import Change, Kind, Part
from tabtools.wording import plural, several


def summary(changes: Iterable[Change]) -> str:
    """What changed, in one line: `2 notes to another pitch (bars 12 and 14); 1 bar added (bar 5); header (tempo)`."""
    counted: dict[str, list[Change]] = {}
    for change in changes:
        if not change.follows and change.part is not Part.NUMBERS:
            for what in _what_happened(change):
                counted.setdefault(what, []).append(change)
    return "; ".join(_counted(what, some) for what, some in counted.items()) or "nothing but the numbers of bars"


def _what_happened(change: Change) -> list[str]:
    """The change in few words; what it settles, or brings into doubt, counts beside another harmony."""
    doubts = [_DOUBTS[key] for kind in change.kinds if (key := (change.part, kind)) in _DOUBTS]
    if doubts and change.kinds[0] is not Kind.HARMONY:
        return doubts
    return [_kind_in_few_words(change), *doubts]


def _kind_in_few_words(change: Change) -> str:
    if change.part is Part.LINES and (gap := gap_in_words(change)):
        return gap
    if change.kinds[0] is Kind.BARS:
        if change.part is Part.ORDER:
            return "bar moved"
        return "bar added" if change.before is None else "bar gone" if change.after is None else "repeat changed"
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
    Kind.HEARD: "note heard",
    Kind.PLACED: "note placed",
    Kind.OPENED: "note open again",
    Kind.RHYTHM: "rhythm",
    Kind.TECHNIQUE: "technique",
    Kind.NOTES: "stroke more or less",
    Kind.HARMONY: "harmony",
    Kind.HEADER: "header",
    Kind.PARTS: "sections and passages",
    Kind.RECORDING: "place in the recording",
    Kind.RESOLVED: "doubt resolved",
    Kind.RAISED: "doubt raised",
    Kind.READINGS: "readings",
    Kind.COMMENT: "comments",
    Kind.LAYOUT: "layout",
}


def _counted(what: str, changes: list[Change]) -> str:
    noun, _, rest = what.partition(" ")
    if noun in ("note", "stroke", "bar", "doubt", "gap", "chord", "repeat"):
        what = f"{several(len(changes), noun)} {rest}"
    places = {change.name: None for change in changes if change.name}
    bars = sorted({place.bar for change in changes if (place := change.new or change.old)})
    said = [*places, *([bars_in_words(bars)] if bars and changes[0].kinds != (Kind.LAYOUT,) else [])]
    return f"{what} ({', '.join(said)})" if said else what


def bars_in_words(numbers: Sequence[int]) -> str:
    """`bar 5`, `bars 5 to 8 and 12`."""
    return f"{plural('bar', len(numbers))} {listed(numbers)}"
