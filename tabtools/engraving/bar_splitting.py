"""A bar too wide for a small page is cut at counts into pieces, each drawn as a bar is, but for its bar lines.

On a wide page the pieces of a bar join without a seam; on a narrow one they follow each other like words. A cut may
only pass through what can be drawn open to an edge: ties, slurs, marks that span several strokes. Where nothing else
is possible the bar stays whole.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from tabtools.engraving.layout import extents, farthest
from tabtools.engraving.marks import reaches
from tabtools.engraving.metrics import CHORD_SIZE, percent, text_width, with_accidentals
from tabtools.engraving.scene import Scene
from tabtools.engraving.standard.notated import voices_in
from tabtools.score import WrittenEvent
from tabtools.timeline import TimedNote

WIDEST = 300.0
"""What a page 320 pixels wide has room for (WCAG 2.2, 1.4.10)."""
BEFORE, AFTER = 7.0, 4.0
"""Room on either side of a cut."""
_LASTING = frozenset(("trill", "swell"))
_UNCUT = frozenset("/\\brw")


class _Cut(NamedTuple):
    """A place where a bar may be cut: before this column, at `edge`, once what comes after has moved by `missing`.

    `slurs` is how many slurs and ties it opens.
    """

    column: int
    slurs: int
    edge: float
    missing: float


def pieces_of(scene: Scene) -> list[Scene]:
    """The pieces of a bar that has been laid out: the bar itself where it is narrow enough or cannot be cut."""
    if scene.width <= WIDEST or scene.is_silent:
        return [scene]
    cuts = _best(scene.width, list(_cuts(scene)))
    if not cuts:
        return [scene]
    edges, moved = [0.0], 0.0
    for cut in cuts:
        moved += cut.missing
        edges.append(cut.edge + moved)
        scene.xs[cut.column :] = [x + cut.missing for x in scene.xs[cut.column :]]
    scene.width += moved
    return list(_parts(scene, [0, *(cut.column for cut in cuts), len(scene.columns)], [*edges, scene.width]))


def _cuts(scene: Scene) -> Iterator[_Cut]:
    """Where a bar may be cut."""
    lefts, rights = farthest(extents(scene))
    for column, slurs in _openings(scene):
        edge = scene.xs[column] - lefts[column] - BEFORE
        missing = max(0.0, scene.xs[column - 1] + rights[column - 1] + AFTER - edge)
        if _is_clear(scene, column, edge + missing):
            yield _Cut(column, slurs, edge, missing)


def _openings(scene: Scene) -> Iterator[tuple[int, int]]:
    """The columns before which nothing would be torn apart, and how many slurs and ties would be opened there."""
    beat = float(scene.bar.meter.beat)
    places = {event.moment: place for place, event in enumerate(scene.events)}
    for column, moment in enumerate(scene.columns):
        if not column or not (scene.is_free or moment % beat == 0):
            continue
        slurs = _slurs(scene, moment)
        if slurs is None:
            continue
        if scene.is_free:
            yield column, slurs
            continue
        place = places.get(moment, 0)
        if place and not _belong_together(scene.events[place - 1], scene.events[place]):
            tied = scene.events[place].is_tied
            if (not tied or _may_be_tied(scene, moment)) and not _splits_a_voice(scene, moment):
                yield column, slurs + tied


def _belong_together(before: WrittenEvent, after: WrittenEvent) -> bool:
    return after.continues_beam or bool(set(before.tuplets) & set(after.tuplets))


def _splits_a_voice(scene: Scene, moment: float) -> bool:
    """Whether a beam or tuplet of a voice on the standard staff leads over a moment."""
    for voice in voices_in(scene.notation):
        place = next((at for at, one in enumerate(voice) if one.moment >= moment), 0)
        if place and _belong_together(voice[place - 1].event, voice[place].event):
            return True
    return False


def _slurs(scene: Scene, moment: float) -> int | None:
    """How many slurs cross a moment; None where a bend or slide does."""
    first = next((one.first for one in scene.struck if one.moment >= moment), None)
    slurs = 0
    for one in scene.struck:
        if first is None or one.moment < moment:
            continue
        for timed in one.notes:
            if timed.origin is None or timed.origin >= first:
                continue
            if timed.note.via and timed.note.via in _UNCUT:
                return None
            slurs += timed.note.via in ("h", "p")
    return slurs


def _may_be_tied(scene: Scene, moment: float) -> bool:
    """Whether what is held at a moment is a plain tone that stops within the bar or is only tied on."""
    before = [one for one in scene.struck if one.moment < moment]
    goes_on = scene.tied_out and not any(one.moment >= moment for one in scene.struck)
    return bool(before) and not goes_on and not any(_lasts(timed) for timed in before[-1].notes)


def _lasts(timed: TimedNote) -> bool:
    """Whether something is drawn along a note for as long as it sounds."""
    signs = {motion.sign for motion in timed.motions}
    return bool(signs & {"~", "~~", "b", "pb", "w"}) or any(mark.word in _LASTING for mark in timed.marks)


def _is_clear(scene: Scene, column: int, edge: float) -> bool:
    """Whether the words and the names of chords that stand before a column end before it."""
    ends = [scene.words_left + scene.head]
    ends += [
        scene.xs[one] + text_width(with_accidentals(symbol), CHORD_SIZE, bold=True)
        for one, symbol in scene.chords
        if one < column
    ]
    ends += [scene.xs[one.column] + reach for one, reach in reaches(scene) if one.column < column]
    return max(ends) <= edge


def _best(width: float, cuts: Sequence[_Cut]) -> tuple[_Cut, ...]:
    """The cuts that leave the fewest pieces of a width that fits, then the fewest open slurs, then even widths."""
    ways: list[tuple[tuple[float, int, int, float], float, tuple[_Cut, ...]]] = [((0.0, 0, 0, 0.0), 0.0, ())]
    for cut in (*cuts, _Cut(0, 0, width, 0.0)):
        found = []
        for (excess, pieces, slurs, squares), start, chosen in ways:
            own = cut.edge + cut.missing - start
            cost = (excess + max(0.0, own - WIDEST), pieces + 1, slurs + cut.slurs, squares + own * own)
            found.append((cost, cut.edge, (*chosen, cut)))
        ways.append(min(found, key=lambda way: way[0]))
    return ways[-1][2][:-1]


def _parts(scene: Scene, columns: Sequence[int], edges: Sequence[float]) -> Iterator[Scene]:
    moments = [*scene.columns, float(scene.bar.length)]
    last_part = len(columns) - 2
    for part, ((first, after), (left, right)) in enumerate(zip(pairwise(columns), pairwise(edges), strict=True)):
        begins, ends = (moments[first] if part else 0.0), moments[after]
        if part == last_part:
            ends = max(ends, float(scene.bar.length))
        struck = [one for one in scene.struck if first <= one.column < after]
        for one in struck:
            one.column -= first
        events, following = _between(scene, moments[first], moments[after] if part < last_part else None)
        xs = [x - left for x in scene.xs[first:after]]
        yield replace(
            scene,
            struck=struck,
            events=events,
            shows_meter=scene.shows_meter and not part,
            tied_out=scene.tied_out if following is None else following.is_tied,
            held=scene.held if not part else [],
            columns={moment: place for place, moment in enumerate(moments[first:after])},
            rests=[rest for rest in scene.rests if begins <= rest and (part == last_part or rest < ends)],
            chords=[(one - first, symbol) for one, symbol in scene.chords if first <= one < after],
            xs=xs,
            cells=[percent(x / (right - left)) for x in xs],
            width=right - left,
            staff=scene.staff if not part else 0.0,
            begins=begins,
            ends=ends,
            opens=not part,
            leads=scene.leads and not part,
            closes=part == last_part,
            courtesy=scene.courtesy if part == last_part else None,
            notation=tuple(
                [one for one in scene.notation if begins <= one.moment and (part == last_part or one.moment < ends)]
            ),
        )


def _between(scene: Scene, begins: float, ends: float | None) -> tuple[tuple[WrittenEvent, ...], WrittenEvent | None]:
    """The events between two moments, and the one that follows."""
    later = [event for event in scene.events if event.moment >= begins]
    inside = tuple([event for event in later if ends is None or event.moment < ends])
    return inside, next(iter(later[len(inside) :]), None)
