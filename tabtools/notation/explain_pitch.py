"""How a pitch behind `=` is written, said of one that cannot be read."""

from __future__ import annotations

import re

_SHARPS = {"is": "#", "s": "b", "es": "b", "♯": "#", "♭": "b", "♮": ""}


def pitch_advice(here: str, before: str = "") -> str:
    """What to write in place of `here`, the text behind an `=` or a move; `before` is what stands before that `=`."""
    named = re.match(r"(\s*)([A-Ha-h])(is|es|s|♯|♭|♮|##|bb|#|b)?(-?[0-9])?(?![\w#♯♭])", here)
    if named is None:
        return f"write a pitch with its octave, like {before}=D4 or {before}=C#4"
    space, letter, sign, octave = named.groups()
    sign = _SHARPS.get(sign or "", sign or "")
    name = f"{'B' if letter in 'Hh' else letter.upper()}{sign}{octave or 4}"
    if letter in "Hh":
        return f"the note below C is called B here: {before}={name}"
    if not octave:
        return f"say its octave too; the open first string is E4: {before}={name}"
    if letter.islower():
        return f"pitches begin with a capital letter: {before}={name}"
    if named[3] in _SHARPS:
        return f"write # for a sharp and b for a flat: {before}={name}"
    if space:
        return f"write it without a space: {before}={name}"
    return f"write it like {before}={name}"
