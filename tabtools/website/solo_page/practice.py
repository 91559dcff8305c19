"""The controls that a student practises with, and the score they play; HTML as text, without mkdocs.

Where no script runs they are not shown, so that a page without it reads on undisturbed.
"""

from __future__ import annotations

from collections.abc import Iterator

from markupsafe import Markup

from tabtools.model.solo import AddressRange, Section
from tabtools.timeline import TimedBar, Timeline
from tabtools.timeline.places import PlaceError, notes_at
from tabtools.website.markup import html
from tabtools.website.records import inlined
from tabtools.website.solo_page.playback import score_of

SLOWEST, FASTEST = 25, 125
NOTHING = Markup()

KEYS = (
    ("Space", "play, or pause"),
    ("Escape", "stop: back to where playing began"),
    ("← →", "a note back, a note on"),
    ("Shift ← →", "a bar back, a bar on"),
    ("Home, End", "to the first note, to the last"),
    ("[ ]", "loop from this bar, loop to this bar"),
    ("L", "loop on or off"),
    ("− +", "slower, faster"),
    ("M", "metronome on or off"),
    ("C", "next kind of count-in"),
)
CAUTION = (
    "Begin with the volume low, above all with headphones, and with a tempo at which every note is easy. "
    "Warm up before wide stretches and bends, rest after ten minutes of one passage, "
    "and stop when a hand, an arm or your hearing hurts or tingles."
)


def controls(timeline: Timeline, view: Markup = NOTHING) -> Markup:
    """The controls of a solo with its score inlined, in one row with `view`, the choices of how the tab is seen;
    nothing where there are no bars to play."""
    if not timeline.bars:
        return Markup()
    return html(
        '<section class="tt-practice" aria-label="Practice" data-search-exclude>'
        '<div class="tt-transport" role="group" aria-label="Playing">{buttons}{tempo}{view}'
        '<span class="tt-place"></span><p class="tt-said" role="status"></p>{settings}</div>'
        '<script type="application/json" class="tt-score">{inlined}</script></section>',
        buttons=_buttons(),
        tempo=_tempo(timeline),
        view=view,
        settings=_settings(timeline),
        inlined=inlined(score_of(timeline)),
    )


def _buttons() -> Markup:
    return Markup(
        '<button type="button" data-do="play">Play</button>'
        '<button type="button" data-do="stop">Stop</button>'
        '<button type="button" data-do="loop" aria-pressed="false">Loop</button>'
    )


def _tempo(timeline: Timeline) -> Markup:
    """The tempo in counts a minute, and as a share of the written one."""
    pace = float(timeline.solo.header.tempo)
    return html(
        '<span class="tt-tempo"><button type="button" data-do="slower" aria-label="Slower">−</button>'
        '<label><span>Tempo</span> <input type="number" name="pace" inputmode="decimal" step="any" '
        'min="{least:g}" max="{most:g}" value="{pace:g}"></label>'
        '<button type="button" data-do="faster" aria-label="Faster">+</button>'
        '<input type="range" name="tempo" aria-label="Tempo in per cent" min="{slowest}" max="{fastest}" value="100">'
        '<span class="tt-rate"></span></span>',
        least=pace * SLOWEST / 100,
        most=pace * FASTEST / 100,
        pace=pace,
        slowest=SLOWEST,
        fastest=FASTEST,
    )


def _settings(timeline: Timeline) -> Markup:
    numbers = [bar.number for bar in timeline.bars]
    limits = html('type="number" inputmode="numeric" min="{least}" max="{most}"', least=min(numbers), most=max(numbers))
    return html(
        '<details class="tt-settings"><summary>More</summary><div class="tt-sheet"><div class="tt-fields">'
        "<fieldset><legend>What is played</legend>"
        '<label>Passage <select name="stretch">{stretches}</select>'
        '</label><label>From bar <input name="from" {limits} value="{first}"></label>'
        '<label>to bar <input name="to" {limits} value="{last}"></label>'
        '<p>Or drag over the bars.</p><div class="tt-steps">{steps}</div>'
        '<button type="button" data-do="link">Copy a link to this loop and tempo</button></fieldset>'
        '<fieldset><legend>Counting</legend><label>Count-in <select name="countin">'
        '<option value="none">none</option><option value="once" selected>at the start</option>'
        '<option value="each">before every round</option></select></label>'
        '<label><input type="checkbox" name="metronome"> Metronome</label>'
        '<label>Drone <select name="held"><option value="">none</option><option value="fifth">root and fifth</option>'
        '<option value="chord">the chord</option></select></label>'
        '<label><input type="checkbox" name="scroll" checked> Page follows the music</label></fieldset>'
        '<fieldset><legend>Rising tempo</legend><label><input type="checkbox" name="rises"> Rising tempo</label>'
        '<label>by <input type="number" name="by" min="1" step="any" value="4"> counts a minute</label>'
        '<label>every <input type="number" name="every" min="1" value="2"> turns</label>'
        '<label>up to <input type="number" name="goal" min="1" step="any" value="{pace:g}"></label></fieldset>'
        "<fieldset><legend>Your recording</legend>"
        '<label>File <input type="file" name="file" accept="audio/*,video/*"></label>'
        "<p>Your browser remembers it for this page. It stays on this device and goes nowhere.</p>"
        '<button type="button" data-do="forget" disabled>Forget it</button>'
        '<label>Hear <select name="hear" disabled><option value="tab">the tab</option>'
        '<option value="recording">the recording</option>'
        '<option value="both">both</option></select></label>'
        "<label>Recording later by "
        '<input type="number" name="shift" value="0" step="0.05" disabled> seconds</label>'
        '</fieldset><fieldset class="tt-volumes"><legend>Volume</legend>'
        '<label>Guitar <input type="range" name="guitar" min="0" max="100" value="70"></label>'
        '<label>Clicks <input type="range" name="clicks" min="0" max="100" value="50"></label>'
        '<label>Drone <input type="range" name="drone" min="0" max="100" value="50"></label>'
        "<label>Recording "
        '<input type="range" name="recording" min="0" max="100" value="70" disabled></label>'
        "</fieldset></div>{help}</div></details>",
        stretches=_stretches(timeline),
        limits=limits,
        first=numbers[0],
        pace=float(timeline.solo.header.tempo),
        last=numbers[-1],
        steps=_steps(),
        help=_help(),
    )


def _steps() -> Markup:
    steps = (("bar-back", "Bar back"), ("back", "Note back"), ("on", "Note on"), ("bar-on", "Bar on"))
    return Markup().join(
        html('<button type="button" data-do="{does}">{says}</button>', does=does, says=says) for does, says in steps
    )


def _help() -> Markup:
    rows = Markup().join(
        html("<div><dt><kbd>{key}</kbd></dt><dd>{does}</dd></div>", key=key, does=does) for key, does in KEYS
    )
    return html(
        '<details class="tt-help"><summary>Keys, and taking care</summary>'
        "<p>With the focus on the tab or on these buttons:</p><dl>{rows}</dl><p>{caution}</p></details>",
        rows=rows,
        caution=CAUTION,
    )


def _stretches(timeline: Timeline) -> Markup:
    """What can be chosen to be looped: each value is where it begins and ends, in milliseconds."""
    whole = Markup('<option value="">the whole solo</option><option value="bars" hidden>the bars chosen</option>')
    groups = (("Passages", _passages(timeline)), ("Sections", _sections(timeline)))
    return whole + Markup().join(_group(name, list(options)) for name, options in groups)


def _group(name: str, options: list[tuple[str, float, float]]) -> Markup:
    listed = Markup().join(
        html(
            '<option value="{start} {end}">{said}</option>', start=round(start * 1000), end=round(end * 1000), said=said
        )
        for said, start, end in options
        if end > start
    )
    return html('<optgroup label="{name}">{listed}</optgroup>', name=name, listed=listed) if listed else Markup()


def _passages(timeline: Timeline) -> Iterator[tuple[str, float, float]]:
    for passage in timeline.solo.passages:
        try:
            start, end = stretch_seconds(timeline, passage.range)
        except PlaceError:
            continue
        where = f"{passage.range}".replace("-", "–")
        yield f"{passage.name}, {where}" if passage.name else where, start, end


def stretch_seconds(timeline: Timeline, stretch: AddressRange) -> tuple[float, float]:
    """When a stretch begins and ends. Raises `PlaceError`."""
    first, last = stretch.first, stretch.last
    notes = notes_at(timeline, stretch)
    opening, closing = timeline.bar_numbers[first.bar], timeline.bar_numbers[last.bar]
    start, end = opening.start, closing.end
    if first.count is not None:
        start = _line_seconds(opening, first.count)[0]
    if last.count is not None:
        end = _line_seconds(closing, last.count)[1]
    if first.stroke is not None and notes:
        start = notes[0].start
    if last.stroke is not None and notes:
        end = notes[-1].end
    return start, end


def _line_seconds(bar: TimedBar, count: int) -> tuple[float, float]:
    line = next(line for line in bar.lines if line.line.first <= count <= line.line.last)
    per_quarter = (bar.end - bar.start) / float(bar.length)
    start = bar.start + float(line.begins.offset) * per_quarter
    return start, start + float(line.length) * per_quarter


def _sections(timeline: Timeline) -> Iterator[tuple[str, float, float]]:
    starts: dict[int, float] = {}
    for bar in timeline.bars:
        starts.setdefault(id(bar.written if bar.like is None else bar.like), bar.start)
    begun: list[tuple[str, float]] = []
    named = ""
    for item in timeline.solo.items:
        if isinstance(item, Section):
            named = f"{item.label} {item.name}".strip()
        elif named and id(item) in starts:
            begun.append((named, starts[id(item)]))
            named = ""
    ends = [*(start for _, start in begun[1:]), timeline.seconds][: len(begun)]
    for (name, start), end in zip(begun, ends, strict=True):
        yield name, start, end
