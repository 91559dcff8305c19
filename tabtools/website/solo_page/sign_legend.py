"""What the letters over the strings mean; only those that stand in a tab are explained."""

from __future__ import annotations

from markupsafe import Markup

from tabtools.timeline import Timeline
from tabtools.website.markup import html

MOVES = {"h": ("H", "hammer-on"), "p": ("P", "pull-off"), "t": ("T", "tap")}
MARKS = {
    "rh": ("p i m a", "thumb, index, middle, ring finger plucks"),
    "lh": ("1–4", "in italics: finger on the frets"),
}


def sign_legend(timeline: Timeline) -> Markup:
    """The list; nothing where no such letter stands."""
    moves = {timed.note.via for timed in timeline.notes}
    moves |= {motion.sign for timed in timeline.notes for motion in timed.note.motions}
    marks = {mark.word for timed in timeline.notes for mark in timed.marks}
    shown = [MOVES[sign] for sign in MOVES if sign in moves] + [MARKS[word] for word in MARKS if word in marks]
    entries = Markup().join(html("<li><b>{sign}</b> {said}</li>", sign=sign, said=said) for sign, said in shown)
    return (
        html('<ul class="tt-legend tt-letters" aria-label="Over the strings">{e}</ul>', e=entries) if shown else entries
    )
