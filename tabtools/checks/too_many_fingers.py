"""More places held at once than four fingers can hold, or a place whose finger is needed elsewhere.

A finger holds one fret, and may bar it over several strings where none between them must sound lower. A string that
goes on sounding keeps its finger; where it is only marked to ring the finger may leave, and a note says so. A pull-off
finds its second finger waiting, a slide carries one finger along. The thumb takes part only where it is declared
(`[lh T]`).

Passes:

    bar 1  F
    1-4  6:1+5:3+4:3+3:2+2:1+1:1

Fails:

    bar 1  Am
    1-4  6:5+5:6+4:7+3:8+2:9
"""

from collections.abc import Iterator

from tabtools.checks.playing import MOST_PROPOSALS, PlayingFault, all_of, findings, proposal
from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import place
from tabtools.hand.grasp import Grasp
from tabtools.hand.hand import Hand
from tabtools.hand.places import chord_elsewhere
from tabtools.hand.ties import Tie
from tabtools.problem import Severity

NAME = "too-many-fingers"
SEVERITY = Severity.ERROR

FINGERS = 4
RING_ADVICE = "it stops sounding here if it is played so; write where it ends, or take [ring] away"
ADVICE = "if one of them only seems to be held, leave it out or let it end; check the strings and the frets"


def check(subject: Subject) -> Iterator[Finding]:
    """Grips of more than four fingers, and fingers that would be at two places."""
    return findings(subject, _moments(subject.hand))


def _moments(hand: Hand) -> Iterator[PlayingFault]:
    proposals = 0
    for grasp, before in hand.composed:
        if grasp.shape.needed > FINGERS:
            proposals += 1
            yield _grip(hand, grasp, proposals <= MOST_PROPOSALS)
        elif before is not None:
            yield from _tied(before, grasp)


def _grip(hand: Hand, grasp: Grasp, propose: bool) -> PlayingFault:
    spots = [(press.string, press.fret) for press in reversed(grasp.presses)]
    message = f"{all_of(spots)} take {grasp.shape.needed} fingers at once; a hand has {FINGERS}"
    ringing = [(press.string, press.fret) for press in reversed(grasp.presses) if press.grasp is not grasp]
    if ringing:
        message += f"; {all_of(ringing)} still sound{'s' if len(ringing) == 1 else ''}"
    spots += [(string, 0) for string in reversed(grasp.opens)]
    elsewhere = chord_elsewhere(spots, hand.timeline.solo.header.instrument, hand.moves) if propose else None
    return PlayingFault(grasp.struck.note, message, proposal(elsewhere, ADVICE), SEVERITY)


def _tied(before: Grasp, grasp: Grasp) -> Iterator[PlayingFault]:
    for tie, index, following in grasp.ties:
        finger, next_finger = before.grip.fingers[index], grasp.grip.fingers[following]
        old, press = before.presses[index], grasp.presses[following]
        where, to = place(old.string, old.fret), place(press.string, press.fret)
        if tie == Tie.HELD and finger and not next_finger:
            message = f"{where} is marked to ring on, but the hand needs its finger from here"
            yield PlayingFault(grasp.struck.note, message, RING_ADVICE, Severity.NOTE)
            continue
        if not finger or not next_finger:
            continue
        if tie == Tie.HELD and finger != next_finger:
            message = f"{where} still sounds, and the finger on it is needed elsewhere"
        elif (
            tie == Tie.LEGATO
            and not (old.declared and press.declared)
            and _cannot_slur(before, grasp, index, following)
        ):
            message = f"no finger is left to slur from {where} to {to}"
        elif tie == Tie.SLIDE and finger != next_finger:
            message = f"the finger that slides from {where} cannot be the one for {to}"
        else:
            continue
        yield PlayingFault(grasp.struck.note, message, ADVICE, SEVERITY)


def _cannot_slur(before: Grasp, grasp: Grasp, index: int, following: int) -> bool:
    finger, next_finger = before.grip.fingers[index], grasp.grip.fingers[following]
    up = grasp.presses[following].fret > before.presses[index].fret
    return finger == next_finger or (next_finger > finger) != up or (not up and next_finger in before.grip.fingers)
