"""What a search found, as text for people and JSON for programs."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterable, Iterator, Sequence

from tabtools.search.collection import Excerpts, Found, FoundPlace, Searched
from tabtools.search.devices import devices_named
from tabtools.search.match import Stretch
from tabtools.search.query import Query
from tabtools.search.shared import SharedFigure
from tabtools.search.transposition import Transposition, in_words, transposition
from tabtools.wording import several

WIDTH = 80
MOST_PLACES = 5
MOST_SOLOS = 20
_CHORDS_WIDTH = 24
_MARGIN = " " * 6


def as_text(
    found: Sequence[Found], searched: int, query: Query, model: FoundPlace | None = None, is_short: bool = True
) -> str:
    """Each solo with its places: address range, a line of tab, the chords or what is said of the device.

    `model` is the example of the query. Places that overlap stand on one line, unless devices are looked for. A short
    report shows the first places of the first solos.
    """
    blocks = [_solo_block(one, query, model, is_short) for one in (found[:MOST_SOLOS] if is_short else found)]
    left = len(found) - len(blocks)
    if left:
        blocks.append(f"… and {several(left, 'more solo')}; --all shows everything")
    places = sum(len(one.stretches) for one in found)
    blocks.append(f"{several(places, 'place')} in {len(found)} of {several(searched, 'solo')}")
    return "\n\n".join(blocks)


def nothing(searched: int, advice: Iterable[str]) -> str:
    """That nothing was found, and what to try."""
    lines = [f"nothing found in {several(searched, 'solo')}"]
    for sentence in advice:
        lines.append(textwrap.fill(sentence, WIDTH, initial_indent="  ", subsequent_indent="  "))
    return "\n".join(lines)


def as_json(found: Iterable[Found], query: Query, model: FoundPlace | None = None) -> str:
    """A list of records, one a place: path, slug, title, range, tab, chords; devices; how far from the example."""
    records = []
    for one in found:
        excerpts = Excerpts(one.solo.strokes)
        for stretch in one.stretches:
            moved = _moved(one.solo, stretch, model)
            record = _record(one.solo, excerpts, stretch)
            if query.devices:
                record["devices"] = _sentences(one.solo, stretch, query)
            if model is not None:
                record["semitones"] = None if moved is None else moved.quarter_tones / 2
                record["octaves_changed"] = moved is not None and not moved.is_exact
            records.append(record)
    return json.dumps(records, ensure_ascii=False, allow_nan=False, indent=2)


def shared_as_text(figures: Sequence[SharedFigure], searched: int, is_short: bool = True) -> str:
    """Each figure that solos share: how many notes, then a line a place."""
    blocks = [_figure_block(figure, is_short) for figure in (figures[:MOST_SOLOS] if is_short else figures)]
    left = len(figures) - len(blocks)
    if left:
        blocks.append(f"… and {several(left, 'more figure')}; --all shows everything")
    blocks.append(f"{several(len(figures), 'figure')} shared among {several(searched, 'solo')}")
    return "\n\n".join(blocks)


def shared_as_json(figures: Iterable[SharedFigure]) -> str:
    """A list of figures: number of notes, steps in semitones, places as in `as_json`."""
    records = [
        {
            "notes": figure.notes,
            "steps": [step / 2 for step in figure.steps],
            "places": [_record(place.solo, Excerpts(place.solo.strokes), place.stretch) for place in figure.places],
        }
        for figure in figures
    ]
    return json.dumps(records, ensure_ascii=False, allow_nan=False, indent=2)


def _solo_block(found: Found, query: Query, model: FoundPlace | None, is_short: bool) -> str:
    solo = found.solo
    excerpts = Excerpts(solo.strokes)
    groups = [(stretch, 1) for stretch in found.stretches] if query.devices else list(_overlapping(found.stretches))
    shown = groups[:MOST_PLACES] if is_short else groups
    head = f"{solo.slug}  {_credit(solo)}" if _credit(solo) else solo.slug
    rows = []
    for stretch, times in shown:
        remarks = _sentences(solo, stretch, query) or [_short(excerpts.chords(stretch))]
        if times == 1 and (moved := _moved(solo, stretch, model)):
            remarks.append(in_words(moved))
        elif times > 1:
            remarks.append(f"{times} overlapping")
        rows.append((excerpts.range(stretch), excerpts.tab(stretch), ("; " if query.devices else ", ").join(remarks)))
    if len(shown) < len(groups):
        left = sum(times for _, times in groups[MOST_PLACES:])
        return "\n".join([_cut(head), *_rows(rows), f"  … and {several(left, 'more place')} in this solo"])
    return "\n".join([_cut(head), *_rows(rows)])


def _figure_block(figure: SharedFigure, is_short: bool) -> str:
    first = figure.places[0]
    rows = []
    for place in figure.places[:MOST_PLACES] if is_short else figure.places:
        excerpts = Excerpts(place.solo.strokes)
        remarks = [_short(excerpts.chords(place.stretch))]
        if place is not first:
            moved = transposition(first.solo.strokes, first.stretch, place.solo.strokes, place.stretch)
            remarks += [in_words(moved)] if moved else []
        where = f"{place.solo.slug} {excerpts.range(place.stretch)}"
        rows.append((where, excerpts.tab(place.stretch), ", ".join(remarks)))
    lines = [several(figure.notes, "note"), *_rows(rows)]
    if len(rows) < len(figure.places):
        lines.append(f"  … and {several(len(figure.places) - len(rows), 'more place')}")
    return "\n".join(lines)


def _rows(rows: Sequence[tuple[str, list[str], str]]) -> Iterator[str]:
    """Place, tab and remarks on one line, or the remarks on lines of their own."""
    widest = max(len(place) for place, _, _ in rows)
    for place, cells, remarks in rows:
        head = f"  {place:<{widest}}  "
        if len(line := f"{head}{' '.join(cells)}  ({remarks})") <= WIDTH:
            yield line
        else:
            yield head + _tab(cells, WIDTH - len(head))
            yield textwrap.fill(f"({remarks})", WIDTH, initial_indent=_MARGIN, subsequent_indent=_MARGIN)


def _tab(cells: Sequence[str], room: int) -> str:
    text = " ".join(cells)
    if len(text) <= room:
        return text
    return text[: max(0, room - 1)].rpartition(" ")[0].removesuffix(" |") + " …"


def _overlapping(stretches: Iterable[Stretch]) -> Iterator[tuple[Stretch, int]]:
    """Stretches that overlap as one, and how many they are."""
    group: Stretch | None = None
    times = 0
    for stretch in stretches:
        if group is not None and stretch.first <= group.last:
            group, times = Stretch(group.first, max(group.last, stretch.last)), times + 1
            continue
        if group is not None:
            yield group, times
        group, times = stretch, 1
    if group is not None:
        yield group, times


def _moved(solo: Searched, stretch: Stretch, model: FoundPlace | None) -> Transposition | None:
    if model is None:
        return None
    return transposition(model.solo.strokes, model.stretch, solo.strokes, stretch)


def _sentences(solo: Searched, stretch: Stretch, query: Query) -> list[str]:
    """What is said of the devices that were looked for and that the stretch lies within."""
    return [
        device.sentence
        for device in devices_named(solo.strokes, query.devices)
        if device.first <= stretch.first and stretch.last <= device.last
    ]


def _record(solo: Searched, excerpts: Excerpts, stretch: Stretch) -> dict[str, object]:
    return {
        "path": solo.path,
        "slug": solo.slug,
        "title": solo.strokes.title,
        "range": excerpts.range(stretch),
        "tab": " ".join(excerpts.tab(stretch)),
        "chords": excerpts.chords(stretch),
    }


def _credit(solo: Searched) -> str:
    return ", ".join(filter(None, (solo.strokes.title, solo.strokes.player)))


def _short(chords: Sequence[str]) -> str:
    text = " ".join(chords)
    return text if len(text) <= _CHORDS_WIDTH else text[: _CHORDS_WIDTH - 1].rpartition(" ")[0] + " …"


def _cut(line: str) -> str:
    return line if len(line) <= WIDTH else line[: WIDTH - 1] + "…"
