"""Declared fingers that no hand could use so.

`[lh 1]` to `[lh 4]` and `[lh T]` name the finger of the fretting hand. Fingers held together do not cross along the
neck, one finger holds one fret, an open string has no finger, and a tap belongs to the other hand. A slur goes from
one finger to another.

Passes:

    bar 1  Am
    1-4  4:2[lh 2]+3:2[lh 3]+2:1[lh 1]

Fails:

    bar 1  Am
    1-4  4:2[lh 1]+3:2[lh 3]+2:1[lh 2]
"""

from collections.abc import Iterator
from itertools import combinations

from tabtools.checks.playing import PlayingFault, findings
from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import place
from tabtools.hand.grasp import Grasp, Press
from tabtools.hand.grip import FINGER_NAMES
from tabtools.hand.hand import Hand
from tabtools.hand.stance import THUMB
from tabtools.hand.ties import Tie
from tabtools.problem import Severity

NAME = "finger-marks"
SEVERITY = Severity.ERROR

ADVICE = "name the finger that holds it, or leave the mark out"


def check(subject: Subject) -> Iterator[Finding]:
    """Marks on notes that take no finger, then fingers held together, then slurs."""
    if "lh" in subject.source.text:
        yield from findings(subject, _moments(subject.hand))


def _moments(hand: Hand) -> Iterator[PlayingFault]:
    for note in hand.timeline.notes:
        finger = next((mark.argument for mark in note.note.marks if mark.word == "lh"), "")
        if finger and note.via == "t":
            message = f"finger {finger} of the fretting hand is declared for a tap of the other hand"
            yield PlayingFault(note.index, message, "the tapping finger is marked like [rh m]", SEVERITY)
        elif finger and note.fret == 0 and note.note.fret is not None:
            yield PlayingFault(note.index, f"finger {finger} is declared for an open string", ADVICE, SEVERITY)
    for grasp, before in hand.composed:
        fault = _held_together(grasp) or _slurred(before, grasp)
        if fault:
            yield PlayingFault(grasp.struck.note, fault, ADVICE, SEVERITY)


def _held_together(grasp: Grasp) -> str | None:
    declared = sorted((press for press in grasp.presses if press.declared), key=lambda press: press.fret)
    for low, high in combinations(declared, 2):
        if low.declared == high.declared and low.fret != high.fret:
            return f"finger {FINGER_NAMES[low.declared]} would have to hold {_at(low)} and {_at(high)}"
        if low.fret < high.fret and low.declared > high.declared and low.declared != THUMB:
            fingers = FINGER_NAMES[low.declared], FINGER_NAMES[high.declared]
            return f"fingers {fingers[0]} at {_at(low)} and {fingers[1]} at {_at(high)} cross"
    return None


def _slurred(before: Grasp | None, grasp: Grasp) -> str | None:
    if before is None:
        return None
    for tie, index, following in grasp.ties:
        old, press = before.presses[index], grasp.presses[following]
        if tie != Tie.LEGATO or not old.declared or not press.declared or THUMB in (old.declared, press.declared):
            continue
        if old.declared == press.declared:
            return f"finger {FINGER_NAMES[old.declared]} cannot slur to itself, from {_at(old)} to {_at(press)}"
        if (old.declared < press.declared) != (old.fret < press.fret):
            fingers = FINGER_NAMES[old.declared], FINGER_NAMES[press.declared]
            return f"in the slur fingers {fingers[0]} at {_at(old)} and {fingers[1]} at {_at(press)} cross"
    return None


def _at(press: Press) -> str:
    return place(press.string, press.fret)
