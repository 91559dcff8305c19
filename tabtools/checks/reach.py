"""Fingers that would have to stand farther apart than a hand reaches.

What is held together, and two notes slurred on one string, must lie within one hand. The distance is measured in
millimetres along the neck, fret to fret, so that the same stretch is hard at fret 1 and easy at fret 12. A warning
means that of 2,069 published chord voicings fewer than one in a hundred asks so much; above 130 mm between first and
fourth finger (less between others) it is an error. In a slur the first finger and another come down one after the other
and get a fifth farther before a warning, and so they do where one of the fingers bends. `hand: small` or `hand: large`
moves the limits. Two fingers of the tapping hand are measured likewise.

Passes:

    bar 1  Am
    1-4  6:5+5:7

Fails:

    bar 1  Am
    1-4  6:1+5:7
"""

from collections.abc import Iterator, Mapping
from itertools import combinations

from tabtools.checks.playing import MOST_PROPOSALS, PlayingFault, findings, proposal, severity
from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import place
from tabtools.hand.grasp import Grasp, Press
from tabtools.hand.hand import Hand
from tabtools.hand.places import chord_elsewhere, slur_elsewhere
from tabtools.hand.profile import Limit
from tabtools.hand.stance import THUMB, reach_strain, slur_strain
from tabtools.hand.ties import Tie
from tabtools.problem import Severity

NAME = "reach"
SEVERITY = Severity.ERROR

ADVICE = "if it is played so, write # allow reach: and how you know"


def check(subject: Subject) -> Iterator[Finding]:
    """Grips and slurs, then taps of two fingers."""
    return findings(subject, _moments(subject.hand))


def _moments(hand: Hand) -> Iterator[PlayingFault]:
    proposals = 0
    for grasp, before in hand.composed:
        moment = None
        if level := severity(grasp.grip.strain):
            moment = _grip(hand, grasp, level, proposals < MOST_PROPOSALS)
        elif before is not None:
            moment = _slur(hand, before, grasp, proposals < MOST_PROPOSALS)
        if moment is not None:
            proposals += 1
            yield moment
    yield from _taps(hand)


def _grip(hand: Hand, grasp: Grasp, level: Severity, propose: bool) -> PlayingFault:
    held = [pair for pair in zip(grasp.grip.fingers, grasp.presses, strict=True) if 0 < pair[0] < THUMB]
    one, other = max(combinations(held, 2), key=lambda pair: _strain(hand, *pair))
    strain = _strain(hand, one, other)
    spots = [(press.string, press.fret) for press in reversed(grasp.presses)]
    spots += [(string, 0) for string in reversed(grasp.opens)]
    gap, instrument = hand.neck.gap(one[1].fret, other[1].fret), hand.timeline.solo.header.instrument
    elsewhere = chord_elsewhere(spots, instrument, hand.moves, gap) if propose else None
    message = f"this needs {_stretch(hand, one, other, strain, hand.profile.reach)}"
    return PlayingFault(grasp.struck.note, message, proposal(elsewhere, ADVICE), level)


def _slur(hand: Hand, before: Grasp, grasp: Grasp, propose: bool) -> PlayingFault | None:
    for tie, index, following in grasp.ties:
        one = before.grip.fingers[index], before.presses[index]
        other = grasp.grip.fingers[following], grasp.presses[following]
        if tie != Tie.LEGATO or not one[0] or not other[0] or one[0] == other[0]:
            continue
        strain = slur_strain(one[0], other[0], hand.neck.gap(one[1].fret, other[1].fret), hand.profile)
        if level := severity(strain):
            instrument, frets = hand.timeline.solo.header.instrument, (one[1].fret, other[1].fret)
            elsewhere = slur_elsewhere(one[1].string, frets, instrument, hand.neck, hand.profile) if propose else None
            message = f"the slur needs {_stretch(hand, one, other, strain, hand.profile.slur_reach)}"
            return PlayingFault(other[1].note, message, proposal(elsewhere, ADVICE), level)
    return None


def _strain(hand: Hand, one: tuple[int, Press], other: tuple[int, Press]) -> float:
    return reach_strain(one[0], other[0], hand.neck.gap(one[1].fret, other[1].fret), hand.profile)


def _stretch(
    hand: Hand, one: tuple[int, Press], other: tuple[int, Press], strain: float, limits: Mapping[tuple[int, int], Limit]
) -> str:
    (finger, low), (farther, high) = sorted((one, other), key=lambda held: held[0])
    gap, limit = hand.neck.gap(low.fret, high.fret), limits[finger, farther]
    places = f"{place(low.string, low.fret)} and {place(high.string, high.fret)}"
    return f"fingers {finger} and {farther} {gap:.0f} mm apart, at {places}; {_most(hand, limit, strain)}"


def _most(hand: Hand, limit: Limit, strain: float) -> str:
    if strain > 1:
        return f"no {hand.profile.size} hand spreads them beyond {limit.error:.0f} mm"
    return f"few {hand.profile.size} hands spread them beyond {limit.warning:.0f} mm"


def _taps(hand: Hand) -> Iterator[PlayingFault]:
    limit = hand.profile.reach[1, 4]
    strokes: dict[int, list[float]] = {}
    first = 0
    for note in hand.timeline.notes:
        first = note.index if note.part == 1 else first
        if note.via == "t" and note.fret is not None:
            strokes.setdefault(first, []).append(float(note.fret))
    for index, frets in strokes.items():
        gap = hand.neck.gap(min(frets), max(frets))
        strain = limit.strain(gap)
        if level := severity(strain):
            message = f"two taps at once lie {gap:.0f} mm apart; {_most(hand, limit, strain)}"
            yield PlayingFault(index, message, ADVICE, level)
