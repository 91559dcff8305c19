"""How notes are played: accents, pick strokes, fingers, vibrato, trills, the bar, and marks that span several."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from tabtools.engraving.dips import dip_reaches
from tabtools.engraving.glyphs import use
from tabtools.engraving.lanes import Skyline, Standing, on_one_line, text_at
from tabtools.engraving.metrics import WORD_SIZE, number, shown, text_width
from tabtools.engraving.scene import DrawnStroke, Scene
from tabtools.model.solo import Mark

SPANNING = {"pm": "PM", "ring": "let ring"}
SIGNS = {"stacc": 5.0, "accent": 8.0}
PICKS, PICK = ("down", "up"), 9.0
"""The strokes of the pick, which stand on one line in a bar, and how high they are."""
FINGER = 10.0
WORDS = {"pinch": "PH", "rake": "rake"}
FINGERS = ("lh", "rh")
SHORTEST_WAVE = 14
SIGN_HALF = 5.0
HAIRPIN = 9.0


@dataclass(frozen=True, slots=True)
class MarkSpan:
    """A mark over the strokes `first` to `last` of a bar; `starts` and `ends` are False at bar lines it crosses.

    `said` is the word written where it starts, and in brackets again where it goes on: `again` says that this is seen
    only where a system begins there on the page.
    """

    word: str
    first: int
    last: int
    starts: bool
    ends: bool
    said: str
    again: bool = False


def trace_spans(scenes: Sequence[Scene]) -> list[list[MarkSpan]]:
    """Palm mutes and ringing, joined over all the strokes that follow each other with the mark."""
    spans: list[list[MarkSpan]] = [[] for _ in scenes]
    for word in SPANNING:
        for place, scene in enumerate(scenes):
            marked = [_has(struck, word) for struck in scene.struck]
            for first, last in _runs(marked):
                before = first == 0 and place > 0 and _ends_with(scenes[place - 1], word)
                after = last == len(marked) - 1 and place + 1 < len(scenes) and _starts_with(scenes[place + 1], word)
                said = f"({SPANNING[word]})" if before else SPANNING[word]
                spans[place].append(
                    MarkSpan(word, first, last, not before, not after, said, before and not scene.leads)
                )
    return spans


def _runs(marked: list[bool]) -> Iterator[tuple[int, int]]:
    first = None
    for place, one in enumerate([*marked, False]):
        if one and first is None:
            first = place
        elif not one and first is not None:
            yield first, place - 1
            first = None


def _has(struck: DrawnStroke, word: str) -> bool:
    return any(mark.word == word for note in struck.notes for mark in note.marks)


def _ends_with(scene: Scene, word: str) -> bool:
    return bool(scene.struck) and _has(scene.struck[-1], word)


def _starts_with(scene: Scene, word: str) -> bool:
    return bool(scene.struck) and _has(scene.struck[0], word)


def draw_signs(scene: Scene, skyline: Skyline) -> str:
    """What belongs to single strokes and stands close to the staff."""
    parts: list[str] = []
    for struck in scene.struck:
        x = scene.xs[struck.column]
        at = scene.cells[struck.column]
        for word in dict.fromkeys(word for word, _ in _marks(struck)):
            if word in SIGNS:
                draw = _sign(at, word)
                parts.append(skyline.place(x - SIGN_HALF, x + SIGN_HALF, SIGNS[word], draw))
            elif word in WORDS:
                parts.append(_word(skyline, at, x, WORDS[word], "word"))
    return "".join(parts)


def draw_hands(pieces: Sequence[Scene], skylines: Sequence[Skyline]) -> list[str]:
    """Strokes of the pick, then fingers, for each piece of a bar: those of the lowest notes on one line, then upwards.

    So what several fingers pluck stands one over the other as it sounds.
    """
    picks: list[tuple[int, Standing]] = []
    fingers: dict[int, list[tuple[int, Standing]]] = {}
    for place, (scene, skyline) in enumerate(zip(pieces, skylines, strict=True)):
        for struck in scene.struck:
            x, at = scene.xs[struck.column], scene.cells[struck.column]
            for word, _ in _marks(struck):
                if word in PICKS:
                    picks.append((place, Standing(skyline, x - SIGN_HALF, x + SIGN_HALF, _sign(at, word))))
            for row, text in enumerate(_fingers(struck)):
                half = text_width(text, WORD_SIZE) / 2 + 1
                draw = partial(_finger, at, text)
                fingers.setdefault(row, []).append((place, Standing(skyline, x - half, x + half, draw)))
    drawn = [""] * len(pieces)
    for own, size in ((picks, PICK), *((one, FINGER) for one in fingers.values())):
        for (place, _), svg in zip(own, on_one_line([one for _, one in own], size), strict=True):
            drawn[place] += svg
    return drawn


def _finger(at: str, text: str, foot: float) -> str:
    return text_at(at, foot, shown(text), "finger")


def _marks(struck: DrawnStroke) -> list[tuple[str, str]]:
    """The words and arguments of a stroke's marks, each once."""
    return list(dict.fromkeys((mark.word, mark.argument) for note in struck.notes for mark in note.marks))


def _fingers(struck: DrawnStroke) -> list[str]:
    """The fingers of each note of a stroke that tells them, the lowest note first."""
    notes = sorted(zip(struck.figures, struck.notes, strict=True), key=lambda one: -one[0].y)
    told = [" ".join(mark.argument for mark in note.marks if mark.word in FINGERS) for _, note in notes]
    return [text for text in told if text]


def _centred(struck: DrawnStroke) -> list[str]:
    """The words that stand in the middle over a stroke."""
    return [*(WORDS[word] for word, _ in _marks(struck) if word in WORDS), *_fingers(struck)]


def _sign(at: str, word: str) -> Callable[[float], str]:
    return lambda foot: f'<svg x="{at}">{use(word, "", foot)}</svg>'


def _word(skyline: Skyline, at: str, x: float, text: str, kind: str) -> str:
    half = text_width(text, WORD_SIZE) / 2 + 1
    return skyline.place(x - half, x + half, 10, lambda foot: text_at(at, foot, text, kind))


def reaches(scene: Scene) -> list[tuple[DrawnStroke, float]]:
    """How far words over the strokes of a bar reach to the right of their columns; those without words are left out."""
    found: list[tuple[DrawnStroke, float]] = []
    named = {first: word for word in SPANNING for first, _ in _runs([_has(struck, word) for struck in scene.struck])}
    for place, struck in enumerate(scene.struck):
        ends = list(dip_reaches(struck))
        ends += [text_width(_trilled(mark), WORD_SIZE) + 2 for mark in _trills(struck)]
        ends += [text_width(text, WORD_SIZE) / 2 + 1 for text in _centred(struck)]
        if place in named:
            ends.append(text_width(f"({SPANNING[named[place]]})", WORD_SIZE) + 4 - struck.half)
        if ends:
            found.append((struck, max(ends)))
    return found


def draw_waves(scene: Scene, skyline: Skyline) -> str:
    """Vibrato and trills."""
    parts: list[str] = []
    for struck in scene.struck:
        for timed in struck.notes:
            signs = [motion.sign for motion in timed.motions]
            if "~" in signs or "~~" in signs:
                parts.append(_wave(scene, skyline, struck, "wide" if "~~" in signs else "wave"))
                break
        parts.extend(_trill(scene, skyline, struck, mark) for mark in _trills(struck))
    return "".join(parts)


def _trills(struck: DrawnStroke) -> list[Mark]:
    return [
        mark for mark in dict.fromkeys(mark for note in struck.notes for mark in note.marks) if mark.word == "trill"
    ]


def _trilled(mark: Mark) -> str:
    return f"tr ({mark.argument})"


def _reach(scene: Scene, struck: DrawnStroke) -> tuple[float, float]:
    start = scene.xs[struck.column] - 2
    return start, max(start + SHORTEST_WAVE, scene.end_of(struck.moment) - 9)


def _wave(scene: Scene, skyline: Skyline, struck: DrawnStroke, name: str) -> str:
    start, end = _reach(scene, struck)
    return skyline.place(start, end, 8, lambda foot: wave_tiles(scene, start, end, foot, name))


def wave_tiles(scene: Scene, start: float, end: float, foot: float, name: str) -> str:
    """A wavy line from a place to another over this height."""
    return (
        f'<svg class="wavy" x="{scene.at(start)}" y="{number(foot - 10)}" width="{scene.at(end - start)}" '
        f'height="12">{use(name)}</svg>'
    )


def _trill(scene: Scene, skyline: Skyline, struck: DrawnStroke, mark: Mark) -> str:
    start, end = _reach(scene, struck)
    width = text_width(_trilled(mark), WORD_SIZE) + 4

    def draw(foot: float) -> str:
        words = text_at(scene.at(start), foot, shown(_trilled(mark)), "word from")
        return words + (wave_tiles(scene, start + width, end, foot, "wave") if end - start - width > 8 else "")

    return skyline.place(start, max(end, start + width), 10, draw)


def draw_swells(pieces: Sequence[Scene], skylines: Sequence[Skyline]) -> list[str]:
    """Hairpins that open with the sound, for each piece of a bar, all at one height."""
    row: list[tuple[int, Standing]] = []
    for place, (scene, skyline) in enumerate(zip(pieces, skylines, strict=True)):
        for struck in scene.struck:
            if _has(struck, "swell"):
                start, end = _reach(scene, struck)
                row.append((place, Standing(skyline, start, end, partial(_hairpin, scene, start, end))))
    drawn = [""] * len(pieces)
    for (place, _), svg in zip(row, on_one_line([one for _, one in row], HAIRPIN), strict=True):
        drawn[place] += svg
    return drawn


def _hairpin(scene: Scene, start: float, end: float, foot: float) -> str:
    return (
        f'<svg x="{scene.at(start)}" y="{number(foot - HAIRPIN)}" width="{scene.at(end - start)}" height="8" '
        'viewBox="0 0 100 8" preserveAspectRatio="none"><path class="tt-line even" d="M100 0.5L0 4L100 7.5"/></svg>'
    )


def span_reach(scene: Scene, span: MarkSpan) -> tuple[float, float]:
    """From where to where a span is drawn, its word included."""
    first, last = scene.struck[span.first], scene.struck[span.last]
    start = scene.xs[first.column] - first.half if span.starts else scene.staff
    end = scene.xs[last.column] + last.half + 1 if span.ends else scene.width
    return start, max(end, start + _word_width(span))


def _word_width(span: MarkSpan) -> float:
    return text_width(span.said, WORD_SIZE) + 4


def span_levels(scenes: Sequence[Scene], spans: Sequence[Sequence[MarkSpan]], skylines: Sequence[Skyline]) -> None:
    """Lift the skylines under spans that cross bar lines, so that their lines meet at one height."""
    for word in SPANNING:
        chain: list[tuple[int, MarkSpan]] = []
        for place, own in enumerate(spans):
            for span in own:
                if span.word != word:
                    continue
                if not span.starts:
                    chain.append((place, span))
                else:
                    chain = [(place, span)]
                if span.ends and len(chain) > 1:
                    _level(chain, scenes, skylines)


def _level(chain: Sequence[tuple[int, MarkSpan]], scenes: Sequence[Scene], skylines: Sequence[Skyline]) -> None:
    reaches = [(skylines[place], *span_reach(scenes[place], span)) for place, span in chain]
    level = max(skyline.height(start, end) for skyline, start, end in reaches)
    for skyline, start, end in reaches:
        skyline.block(start, end, level)


def draw_spans(scene: Scene, spans: Sequence[MarkSpan], skyline: Skyline) -> str:
    """A word, then a dashed line as far as the mark holds."""
    return "".join(_span(scene, span, skyline) for span in spans)


def _span(scene: Scene, span: MarkSpan, skyline: Skyline) -> str:
    start, reach = span_reach(scene, span)
    last = scene.struck[span.last]
    end = scene.xs[last.column] + last.half + 1 if span.ends else scene.width

    def draw(foot: float) -> str:
        y = number(foot - 3.5)
        line = ""
        if end > start + _word_width(span) + 4 or not span.ends:
            line = f'<line class="dashed" x1="{scene.at(start)}" x2="{scene.at(end)}" y1="{y}" y2="{y}"/>'
            if span.ends:
                at = scene.at(end)
                line += f'<line class="thin" x1="{at}" x2="{at}" y1="{y}" y2="{number(foot + 1)}"/>'
        return line + text_at(
            scene.at(start), foot, span.said, "word from over again" if span.again else "word from over"
        )

    return skyline.place(start, reach, 11.5, draw)


def is_trembling(struck: DrawnStroke) -> bool:
    """Whether a stroke is struck again and again."""
    return _has(struck, "trem")


def tremolo(struck: DrawnStroke, y: float) -> str:
    """Three strokes through the stem of a tremolo."""
    if not is_trembling(struck):
        return ""
    strokes = "".join(f"M-4 {number(y + 4 * one + 2)}L4 {number(y + 4 * one - 1)}" for one in range(3))
    return f'<path class="tremolo" d="{strokes}"/>'
