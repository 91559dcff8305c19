"""What the signs for what is not known yet mean, for whoever reads a plain tab that has some."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from tabtools.notation.move_words import goal_not_known
from tabtools.notation.write import played_text, reading_text
from tabtools.timeline import TimedBar, TimedNote

WIDTH = 80
INDENT = 2


def legend(
    bars: Sequence[TimedBar],
    notes: Sequence[TimedNote],
    more_signs: Sequence[tuple[str, str]] = (),
    width: int = WIDTH,
) -> str:
    """A line for each sign that stands in these bars, with an example from them; empty where all is known."""
    signs = [*_signs(bars, notes), *more_signs]
    column = max((len(sign) for sign, _ in signs), default=0) + 2
    lines: list[str] = []
    for sign, meaning in signs:
        first, *rest = textwrap.wrap(meaning, width - INDENT - column)
        lines.append(f"{'':{INDENT}}{sign:{column}}{first}")
        lines += [f"{'':{INDENT + column}}{line}" for line in rest]
    return "\n".join(lines)


def _signs(bars: Sequence[TimedBar], notes: Sequence[TimedNote]) -> Iterator[tuple[str, str]]:
    written = [note.note for note in notes]
    over = next((one.note.pitch for one in notes if one.note.pitch and not one.string), None)
    if over is not None:
        yield f"={over.name}", f"{over.name} is heard; where it lies on the neck is open"
    on = next((one.note.pitch for one in notes if one.note.pitch and one.string), None)
    if on is not None:
        yield f"-={on.name}-", f"{on.name} is heard, on this string"
    goal = next((one for note in written for one in note.motions if one.pitch), None)
    if goal is not None and goal.pitch is not None:
        yield f"{goal.sign}={goal.pitch.name}", f"from there to {goal.pitch.name}; the fret is not written yet"
    perhaps = next((note.pitch for note in written if note.pitch and note.unsure), None)
    if perhaps is not None:
        yield f"={perhaps.name}?", f"{perhaps.name} is heard, but not certain"
    unsure = next((note for note in written if note.unsure and not note.pitch), None)
    if unsure is not None:
        yield f"{played_text(unsure, with_string=False)}?", "a note that is not certain"
    other = next((other for note in written for other in note.others), None)
    if other is not None:
        yield f"({reading_text(other)})", "another reading of the note before it, not a second note"
    if any(note.unknown and not note.only_moves_pitch for note in written):
        yield "?", "a note whose pitch is not known yet"
    goal_open = next((note for note in written if note.unknown and note.only_moves_pitch), None)
    if goal_open is not None:
        yield f"{goal_open.via}?", f"{goal_not_known(goal_open)} is not known yet"
    if any(note.unheard for note in written):
        yield "??__", "something is played that is not heard yet, as far as the line goes"
    doubtful = next((one.line for bar in bars for one in bar.lines if one.line.doubtful), None)
    if doubtful is not None:
        count = f"{doubtful.first}" if doubtful.first == doubtful.last else f"{doubtful.first}-{doubtful.last}"
        yield f"{count}?", "a count whose rhythm is not known yet; the order is right"
    chord = next((one.mark.symbol for bar in bars for one in bar.chords if one.mark.doubtful), None)
    if chord is not None:
        yield f"{chord}?", "a chord that is not certain"
