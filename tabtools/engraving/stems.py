"""Rhythm under the staff: stems, beams, flags, dots, ties and tuplets; rests within the staff."""

from __future__ import annotations

from itertools import groupby, pairwise

from tabtools.engraving.glyphs import use
from tabtools.engraving.metrics import (
    BEAM,
    BEAM_STEP,
    STEM_BOTTOM,
    STEM_TOP,
    STRING_GAP,
    TUPLET_ROW,
    number,
)
from tabtools.engraving.moves import slur
from tabtools.engraving.rhythm import REST, TIED, Symbol, Tuplet
from tabtools.engraving.scene import Scene

STUB = 7
WHOLE, HALF, QUARTER = 0, 1, 2


def draw_rhythm(scene: Scene) -> str:
    """Everything that tells how long things last."""
    base = (scene.strings - 1) * STRING_GAP
    symbols = scene.rhythm.symbols
    parts = [_rest(scene, one, base) for one in symbols if one.kind == REST]
    played = [one for one in symbols if one.kind != REST]
    for beam, run in groupby(played, key=lambda one: one.beam):
        if beam is None:
            parts.extend(_alone(scene, one, base) for one in run)
        else:
            parts.append(_beamed(scene, list(run), base))
    parts.append(_ties(scene, base))
    levels = _levels(scene)
    for place, tuplet in enumerate(scene.rhythm.tuplets):
        parts.append(_tuplet(scene, tuplet, base + STEM_BOTTOM + 4 + TUPLET_ROW * levels[place]))
    return "".join(parts)


def tuplet_rows(scene: Scene) -> int:
    """How many rows of tuplet figures stand under the beams."""
    return max(_levels(scene), default=-1) + 1


def _levels(scene: Scene) -> list[int]:
    """Inner tuplets stand nearest to the notes."""
    tuplets = scene.rhythm.tuplets
    depth = [0] * len(tuplets)
    for symbol in scene.rhythm.symbols:
        for inside, one in enumerate(reversed(symbol.tuplets)):
            depth[one] = max(depth[one], inside)
    return depth


def _x(scene: Scene, symbol: Symbol) -> float:
    return scene.xs[scene.columns[symbol.moment]]


def _rest(scene: Scene, symbol: Symbol, base: float) -> str:
    middle = base / 2
    if symbol.fills_bar:
        return use("rest0", scene.at((scene.staff + scene.width) / 2), middle, "rest")
    x = _x(scene, symbol)
    value = min(max(symbol.value, WHOLE), 6)
    dots = "".join(
        f'<circle class="tt-ink" cx="{8 + 4 * dot}" cy="{number(middle - 3)}" r="1.5"/>' for dot in range(symbol.dots)
    )
    return f'<svg x="{scene.at(x)}">{use(f"rest{value}", "", middle, "rest")}{dots}</svg>'


def _stem(scene: Scene, symbol: Symbol, base: float) -> str:
    if symbol.value <= WHOLE:
        return ""
    top = base + (STEM_TOP if symbol.value != HALF else (STEM_TOP + STEM_BOTTOM) / 2)
    x = scene.at(_x(scene, symbol))
    return f'<line class="stem" x1="{x}" x2="{x}" y1="{number(top)}" y2="{number(base + STEM_BOTTOM)}"/>'


def _dots(scene: Scene, symbol: Symbol, base: float) -> str:
    if not symbol.dots:
        return ""
    at = scene.at(_x(scene, symbol))
    y = number(base + STEM_TOP + 6)
    return (
        f'<svg x="{at}">'
        + "".join(f'<circle class="tt-ink" cx="{4.5 + 4 * dot:g}" cy="{y}" r="1.5"/>' for dot in range(symbol.dots))
        + "</svg>"
    )


def _alone(scene: Scene, symbol: Symbol, base: float) -> str:
    flag = ""
    if symbol.value > QUARTER:
        name = f"flag{min(symbol.value - QUARTER, 4)}"
        flag = f'<svg x="{scene.at(_x(scene, symbol))}">{use(name, "", base + STEM_BOTTOM)}</svg>'
    return _stem(scene, symbol, base) + flag + _dots(scene, symbol, base)


def _beamed(scene: Scene, run: list[Symbol], base: float) -> str:
    parts = [_stem(scene, one, base) + _dots(scene, one, base) for one in run]
    for level in range(1, max(one.value for one in run) - QUARTER + 1):
        y = number(base + STEM_BOTTOM - BEAM / 2 - BEAM_STEP * (level - 1))
        for first, last in _stretches(run, level):
            if first == last:
                parts.append(_stub(scene, run, first, y))
            else:
                x1, x2 = scene.at(_x(scene, run[first])), scene.at(_x(scene, run[last]))
                parts.append(f'<line class="beam" x1="{x1}" x2="{x2}" y1="{y}" y2="{y}"/>')
    return "".join(parts)


def _stretches(run: list[Symbol], level: int) -> list[tuple[int, int]]:
    """Where the beam of a level runs: neighbours short enough for it."""
    stretches: list[tuple[int, int]] = []
    for place, symbol in enumerate(run):
        if symbol.value - QUARTER < level:
            continue
        if stretches and stretches[-1][1] == place - 1:
            stretches[-1] = (stretches[-1][0], place)
        else:
            stretches.append((place, place))
    return stretches


def _stub(scene: Scene, run: list[Symbol], place: int, y: str) -> str:
    """A short beam of one note: it points into the beat it belongs to."""
    leads = place + 1 < len(run) and (place == 0 or _starts_pair(run, place))
    end = STUB if leads else -STUB
    return f'<svg x="{scene.at(_x(scene, run[place]))}"><line class="beam" x1="0" x2="{end}" y1="{y}" y2="{y}"/></svg>'


def _starts_pair(run: list[Symbol], place: int) -> bool:
    return (run[place].onset / (2 * run[place].length)).denominator == 1


def _ties(scene: Scene, base: float) -> str:
    """Arcs under the staff from a value to the one it is tied to."""
    parts = []
    y = base + STEM_TOP - 4
    symbols = scene.rhythm.symbols
    if symbols and symbols[0].kind == TIED:
        parts.append(slur(scene, scene.staff, _x(scene, symbols[0]), y, 5, False, True))
    for before, after in pairwise(symbols):
        if after.kind == TIED:
            parts.append(slur(scene, _x(scene, before), _x(scene, after), y, 5, True, True))
    if scene.tied_out and symbols and symbols[-1].kind != REST:
        parts.append(slur(scene, _x(scene, symbols[-1]), scene.width, y, 5, True, False))
    return "".join(parts)


def _tuplet(scene: Scene, tuplet: Tuplet, y: float) -> str:
    """The figure under its beam, within a bracket where no beam shows what belongs together."""
    symbols = scene.rhythm.symbols[tuplet.first : tuplet.last + 1]
    left, right = _x(scene, symbols[0]), _x(scene, symbols[-1])
    figure = f'<text class="tuplet" x="{scene.at((left + right) / 2)}" y="{number(y + 8.5)}">{tuplet.text}</text>'
    if symbols[0].beam is not None and all(one.beam == symbols[0].beam for one in symbols):
        return figure
    x1, x2, low = scene.at(left - 3), scene.at(right + 3), number(y + 5)
    hooks = "".join(f'<line class="thin" x1="{x}" x2="{x}" y1="{number(y)}" y2="{low}"/>' for x in (x1, x2))
    return f'{hooks}<line class="thin" x1="{x1}" x2="{x2}" y1="{low}" y2="{low}"/>{figure}'
