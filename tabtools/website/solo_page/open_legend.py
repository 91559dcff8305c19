"""What the signs in the tab for what is not known yet mean; only those that stand in it are explained."""

from __future__ import annotations

from collections.abc import Iterator

from markupsafe import Markup

from tabtools.engraving.open_samples import doubt_sample, doubtful_sample, name_sample, unheard_sample
from tabtools.model.solo import PITCH_MOVES
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
    named = [timed for timed in timeline.notes if timed.note.pitch is not None and not timed.note.only_moves_pitch]
    goals = [timed for timed in timeline.notes if timed.note.unknown and timed.note.only_moves_pitch]
    unknown = [timed for timed in timeline.notes if timed.note.unknown and not timed.note.only_moves_pitch]
    if not all(timed.string for timed in named):
        yield (
            name_sample("D4"),
            "heard, its place on the neck not known yet; single notes are higher as they sound, chords are stacked",
        )
    if any(timed.string for timed in named):
        yield name_sample("D4", on_string=True), "heard on this string, its fret not written yet"
    if not all(timed.string for timed in unknown):
        yield name_sample("?", is_round=True), "a note, its string and pitch not known yet; its height says nothing"
    if any(timed.string for timed in unknown):
        yield name_sample("?", on_string=True), "a note on this string, its pitch not known yet"
    if goals:
        which = "a bend" if any(timed.note.via != "w" for timed in goals) else "the vibrato bar"
        sample = name_sample("?", on_string=True) if goals[0].string else name_sample("?", is_round=True)
        yield sample, f"{which}, how far it goes not known yet"
    if any(move.pitch is not None and move.sign not in PITCH_MOVES for note in notes for move in note.motions):
        yield doubtful_sample("E4", "ornament"), "goes on to this pitch at once, its fret not written yet"
    if any(note.unheard for note in notes):
        yield unheard_sample(), "something is played, not made out yet"
    if any(note.unsure for note in notes):
        yield doubtful_sample("5?", "fret unsure"), "not certain"
    if any(note.others for note in notes):
        yield doubtful_sample("or 9", "other"), "another reading of that note, not a second note"
    if any(line.line.doubtful for bar in timeline.bars for line in bar.lines):
        yield doubt_sample(), "the rhythm is not known yet"
    if any(chord.mark.doubtful for bar in timeline.bars for chord in bar.chords):
        yield doubtful_sample("G?", "chord"), "the chord is not certain"
