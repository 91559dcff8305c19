"""Syntax errors of moves that do not say where they go, in musicians' words."""

from __future__ import annotations

import re

from tabtools.notation.explain_pitch import pitch_advice
from tabtools.notation.explanation import Explanation, ReadingStop, quoted
from tabtools.notation.marks import MARKS

_STEPS = {"p": -2, "\\": -2, "w": -2, "t": 5}
"""In which direction an example goes; all other moves go up two frets."""
_DEFAULT = 7


def after_move(stop: ReadingStop) -> Explanation | None:
    """A move without its fret."""
    move = re.search(r"(?<![A-Za-z])(pb|[hptbrw/\\])$", stop.before)
    if move is None or "FRET" not in stop.awaited:
        return None
    sign = move[1]
    start = len(stop.before) - len(sign)
    if stop.here.startswith("/") and sign == "/":
        return Explanation(
            f"{quoted(sign + stop.word)} cannot stand here", "if this is a comment, write # in its place", start
        )
    if (sign == "p" and stop.here.startswith("b")) or (sign == "pb" and "STRING" in stop.awaited):
        return Explanation("pb stands within a note", "write it behind the fret it is fingered at, like 3:7pb9", start)
    if (mark := (sign + stop.word).rstrip("]")) in MARKS:
        message = f"{quoted(mark)} is a mark and stands in square brackets"
        return Explanation(message, f"write it behind the note: 3:7[{mark}]", start)
    if re.match(r"[A-G](#|b)?[0-9]|\s+=?[A-G](#|b)?[0-9]", stop.here):
        advice = pitch_advice(stop.here.replace("=", "", 1), sign)
        return Explanation(f"the move {quoted(sign)} does not say which pitch it reaches", advice)
    if re.match(r"[A-Za-z]", stop.here):
        message = f"{quoted(sign + stop.word)} cannot be read as a move"
        return Explanation(message, "write one move and its fret, like h7; more moves in one slot like 3:5h7p5", start)
    if stop.here.startswith("="):
        advice = pitch_advice(stop.here[1:], sign)
        return Explanation(f"the pitch that {quoted(sign)} reaches is not readable", advice)
    what = "slide" if sign in "/\\" else "move"
    message = f"the {what} {quoted(sign)} does not say to which fret"
    example = f"{sign}{_goal(stop.before[:start], sign)}"
    if stop.here.startswith("?") and sign != "pb":
        return Explanation(message, _not_known(stop.here, sign, example))
    return Explanation(message, f"write it like {example}")


def _goal(before: str, sign: str) -> int:
    """A fret that the move could go to from where its note is."""
    frets = [int(fret) for fret in re.findall(r"(?<![0-9.=])([0-9]{1,2})(?![0-9:.])", re.split(r"[\s(+]", before)[-1])]
    if not frets:
        return _DEFAULT
    if sign == "r":
        return frets[0]
    return max(0, frets[-1] + _STEPS.get(sign, 2))


def _not_known(here: str, sign: str, example: str) -> str:
    """A move to what is not known is a slot of its own; within a note it goes somewhere."""
    heard = re.match(r"\?=?([A-G](?:##|bb|#|b)?-?[0-9])", here)
    return (
        f"write {sign}? in a slot of its own while that is not known; "
        f"{sign}={heard[1] if heard else 'B4'} where you know the pitch alone, {example} where you know the fret"
    )
