"""How a stroke is played, in the words `find --technique` takes."""

from __future__ import annotations

from collections.abc import Iterable

from tabtools.timeline import TimedNote

_MOVES = {
    "h": "hammer-on",
    "p": "pull-off",
    "/": "slide",
    "\\": "slide",
    "b": "bend",
    "r": "release",
    "t": "tap",
    "w": "vibrato-bar",
}
_MARKS = {
    "pm": "palm-mute",
    "ring": "let-ring",
    "stacc": "staccato",
    "accent": "accent",
    "ghost": "ghost-note",
    "down": "down-stroke",
    "up": "up-stroke",
    "roll": "roll",
    "rake": "rake",
    "trem": "tremolo-picking",
    "trill": "trill",
    "pinch": "pinch-harmonic",
    "swell": "volume-swell",
}
TECHNIQUES = tuple(
    dict.fromkeys((*_MOVES.values(), "pre-bend", "vibrato", "wide-vibrato", "harmonic", "dead-note", *_MARKS.values()))
)
"""Every technique. A wide vibrato is a vibrato too, a pre-bend a bend, a pinch harmonic a harmonic."""


def techniques_of(notes: Iterable[TimedNote]) -> tuple[str, ...]:
    """The techniques of the notes of one stroke, each once, in the order of `TECHNIQUES`."""
    found: set[str] = set()
    for timed in notes:
        note = timed.note
        found.add(_MOVES.get(timed.via, ""))
        for motion in note.motions:
            found.add(_MOVES.get(motion.sign, ""))
            if motion.sign == "pb":
                found |= {"bend", "pre-bend"}
            elif motion.sign.startswith("~"):
                found.add("vibrato")
                if motion.sign == "~~":
                    found.add("wide-vibrato")
        if note.touch is not None:
            found.add("harmonic")
        if note.dead:
            found.add("dead-note")
        for mark in timed.marks:
            found.add(_MARKS.get(mark.word, ""))
            if mark.word == "pinch":
                found.add("harmonic")
    return tuple(name for name in TECHNIQUES if name in found)
