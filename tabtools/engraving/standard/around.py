"""What stands over and under the heads of a piece: tuplets, brackets of doubt, trills, vibrato, bar number."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from tabtools.engraving.lanes import Skyline, text_at
from tabtools.engraving.marks import wave_tiles
from tabtools.engraving.metrics import TUPLET_ROW, number, percent, text_width
from tabtools.engraving.open_stretches import CLEAR, INSTANT, ROUND, bracket, hatching
from tabtools.engraving.scene import Scene
from tabtools.engraving.standard.notated import LOWER, StaffEvent
from tabtools.engraving.standard.sizes import FOOT, HEAD
from tabtools.engraving.words import draw_bar_number
from tabtools.score import Tuplet
from tabtools.score.records import has_beam_of_its_own

HOOK = 5.0
TRILL, WIDE = "tr", "~~"
VIBRATO = frozenset(("~", WIDE))
SHORTEST = 14.0
"""A wavy line, at least."""
FIGURE_SIZE = 11.0
BRACKET = 12.0
WAVE = 10.0


def draw_around(scene: Scene, over: Skyline, under: Skyline) -> Iterator[str]:
    """All of it, what stands nearest to the heads first."""
    yield from _unheard(scene)
    for tuplet, events in _tuplets(scene):
        yield _tuplet(scene, tuplet, events, over, under)
    yield from _doubts(scene, under)
    yield from _waves(scene, over, under)
    yield draw_bar_number(scene, over)


def _tuplets(scene: Scene) -> list[tuple[Tuplet, list[StaffEvent]]]:
    """The tuplets with what stands in them, inner ones first; a bar out of time has none."""
    found: dict[tuple[int, Tuplet], list[StaffEvent]] = {}
    for one in () if scene.is_free else scene.notation:
        for tuplet in one.event.tuplets:
            found.setdefault((one.voice, tuplet), []).append(one)
    return sorted(((tuplet, events) for (_, tuplet), events in found.items()), key=lambda entry: -entry[0].depth)


def _tuplet(scene: Scene, tuplet: Tuplet, events: list[StaffEvent], over: Skyline, under: Skyline) -> str:
    """The figure at the side of the stems, within a bracket where no beam shows what belongs together."""
    heads = [one for one in events if one.heads]
    is_over = 2 * sum(one.is_up for one in heads) >= len(heads) and events[0].voice != LOWER
    left, right = scene.x_of(events[0].moment), scene.x_of(events[-1].moment)
    has_bracket = not has_beam_of_its_own([one.event for one in events])
    half = text_width(tuplet.figure, FIGURE_SIZE) / 2
    middle = (left + right) / 2
    if not has_bracket:
        left, right = middle - half, middle + half
    else:
        left, right = left - HEAD, right + HEAD

    def draw(y: float, way: int) -> str:
        line = y + way * (TUPLET_ROW / 2 - 1)
        figure = text_at(scene.at(middle), line + 4, tuplet.figure, "tuplet")
        if not has_bracket:
            return figure
        x1, x2, tip = scene.at(left), scene.at(right), number(line - way * HOOK)
        level = number(line)
        hooks = "".join(f'<line class="thin" x1="{x}" x2="{x}" y1="{level}" y2="{tip}"/>' for x in (x1, x2))
        return f'{hooks}<line class="thin" x1="{x1}" x2="{x2}" y1="{level}" y2="{level}"/>{figure}'

    if is_over:
        return over.place(left, right, TUPLET_ROW, lambda foot: draw(foot, -1))
    return under.place(left, right, TUPLET_ROW, lambda foot: draw(FOOT - foot, 1))


def _waves(scene: Scene, over: Skyline, under: Skyline) -> Iterator[str]:
    """Trills and vibrato, from where the note is struck to what comes next; those of a lower voice stand below."""
    for one in scene.notation:
        struck = [head.head.timed for head in one.heads if head.head.begins]
        signs = {motion.sign for timed in struck for motion in timed.motions}
        is_trill = any(mark.word == "trill" for timed in struck for mark in timed.marks)
        if not (is_trill or signs & VIBRATO):
            continue
        start = scene.x_of(one.moment) - HEAD
        wavy = start + (text_width(TRILL, FIGURE_SIZE) + 3 if is_trill else 0.0)
        end = max(wavy + SHORTEST, scene.end_of(one.moment) - 9)
        name = "wide" if WIDE in signs else "wave"
        wave = partial(wave_tiles, scene, start, end, name=name)
        drawn = partial(_trill, scene, start, wavy, end, name) if is_trill else wave
        yield _below(under, start, end, drawn) if one.voice == LOWER else over.place(start, end, WAVE, drawn)


def _below(under: Skyline, start: float, end: float, drawn: Callable[[float], str]) -> str:
    return under.place(start, end, WAVE, lambda foot: drawn(FOOT - foot + WAVE))


def _trill(scene: Scene, start: float, wavy: float, end: float, name: str, foot: float) -> str:
    return text_at(scene.at(start), foot, TRILL, "word from") + wave_tiles(scene, wavy, end, foot, name)


def _doubts(scene: Scene, under: Skyline) -> Iterator[str]:
    """A bracket with a question mark under what has no known rhythm."""
    for begins, ends in scene.doubtful:
        columns = [column for moment, column in scene.columns.items() if begins <= moment < ends]
        if not columns or ends <= scene.begins or begins >= scene.ends:
            continue
        starts, closes = begins >= scene.begins, ends <= scene.ends + INSTANT
        left = scene.xs[columns[0]] - HEAD if starts else scene.staff
        right = scene.xs[columns[-1]] + HEAD if closes else scene.width
        level = under.height(left, right) + BRACKET - 4
        under.block(left, right, level + 5)
        middle = scene.at((left + right) / 2)
        yield bracket(scene.at(left), scene.at(right), middle, FOOT + level, starts, closes)


def _unheard(scene: Scene) -> Iterator[str]:
    """Hatchings over what cannot be made out, from where it begins to what comes next."""
    upper = [one for one in scene.notation if one.voice != LOWER]
    for place, one in enumerate(upper):
        if not one.event.unheard:
            continue
        is_first = place == 0 or not upper[place - 1].event.unheard
        later = upper[place + 1 :]
        left = scene.x_of(one.moment) - (HEAD + ROUND if is_first else 0.0)
        if scene.opens and one.moment == 0:
            left = min(left, scene.staff + scene.meter_room + CLEAR)
        if later:
            right = scene.x_of(later[0].moment) - (0.0 if later[0].event.unheard else later[0].left + CLEAR)
        else:
            right = scene.width - CLEAR
        is_last = not later or not later[0].event.unheard
        width = percent(max(right - left, 2 * HEAD) / scene.width)
        yield hatching(scene.at(left), -ROUND, width, FOOT + 2 * ROUND, is_first, is_last)
