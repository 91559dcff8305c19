"""What the signs in the tab for what is not known yet mean; only those that stand in it are explained."""

from __future__ import annotations

from collections.abc import Iterator

from markupsafe import Markup

from tabtools.engraving.open_samples import doubt_sample, name_sample, unheard_sample
from tabtools.timeline import Timeline
from tabtools.website.markup import html


def open_legend(timeline: Timeline) -> Markup:
    """The list; nothing where all is known."""
    entries = Markup().join(html("<li>{sign} {said}</li>", sign=sign, said=said) for sign, said in _signs(timeline))
    if not entries:
        return Markup()
    return html('<ul class="tt-legend tt-signs" aria-label="What is not known yet">{entries}</ul>', entries=entries)


def _signs(timeline: Timeline) -> Iterator[tuple[Markup, str]]:
    """A sign, drawn, and what it says."""
    notes = [timed.note for timed in timeline.notes]
    if any(note.pitch is not None and not note.only_moves_pitch for note in notes):
        yield name_sample("D4"), "heard, its place on the neck not known yet"
    if any(note.unknown for note in notes):
        yield name_sample("?"), "a note, its pitch not known yet"
    if any(note.unheard for note in notes):
        yield unheard_sample(), "something is played, not made out yet"
    if any(line.line.doubtful for bar in timeline.bars for line in bar.lines):
        yield doubt_sample(), "the rhythm is not known yet"
