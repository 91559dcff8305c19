"""Choices that the search need not look at: those that are a long way off, whatever the fingers do.

A coarse search over places alone, in which the hand is anywhere from where its first to where its fourth finger
stands: what it costs to come to a choice and to go on from it, more than by the best way, is the detour of the choice.
Fingers differ by less than `MOST_DETOUR` as a rule, so that a choice with a longer one is not the best. Where hard
moves are left or a note gets no place, nothing is taken for granted: all choices are looked at then.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from operator import add

from tabtools.hand.moves import Moves
from tabtools.hand.ways import time_class
from tabtools.placing.choices import Choice
from tabtools.placing.strokes import WantedStroke
from tabtools.placing.taste import Taste

MOST_DETOUR = 300
HAND_FRETS = 4

Positions = tuple[int, int] | None
"""The lowest and the highest position in which the hand can take a choice; None where it takes no finger."""


def narrowed(
    strokes: Sequence[WantedStroke], choices: Sequence[list[Choice]], moves: Moves, taste: Taste
) -> list[list[Choice]]:
    """The choices of each stroke without those that are a long way off; one at least of each stroke that has any."""
    costs = [
        _costs((strokes[number - 1], strokes[number]), choices[number - 1], choices[number], moves, taste)
        for number in range(1, len(strokes))
    ]
    own = [[float(choice.cost) for choice in some] for some in choices]
    coming = _ways(own, costs)
    going = _ways(own[::-1], [list(map(list, zip(*table, strict=True))) for table in costs[::-1]])[::-1]
    kept = []
    for some, come, go, cost in zip(choices, coming, going, own, strict=True):
        whole = [one + other - mine for one, other, mine in zip(come, go, cost, strict=True)]
        best = min(whole, default=inf)
        kept.append([choice for choice, value in zip(some, whole, strict=True) if value <= best + MOST_DETOUR])
    return kept


def _ways(own: Sequence[list[float]], costs: Sequence[list[list[float]]]) -> list[list[float]]:
    """The least cost up to each choice; `costs` has for each stroke after the first, by its choices, that from each."""
    ways = [own[0]] if own else []
    for mine, table in zip(own[1:], costs, strict=True):
        before = ways[-1]
        if not before:
            ways.append(mine)
            continue
        ways.append([cost + min(map(add, before, row)) for cost, row in zip(mine, table, strict=True)])
    return ways


def _costs(
    strokes: tuple[WantedStroke, WantedStroke],
    one: Sequence[Choice],
    other: Sequence[Choice],
    moves: Moves,
    taste: Taste,
) -> list[list[float]]:
    """For each choice of a stroke, what it costs at least to come to it from each choice of the stroke before."""
    before, stroke = strokes
    time = time_class(stroke.start - before.start)
    note = stroke.voices[0].timed.note
    stays = bool(note.via) and note.string is None
    ones = [(choice.options[0], _positions(choice)) for choice in one]
    table = []
    for choice in other:
        first, there = choice.options[0], _positions(choice)
        row: list[float] = []
        for earlier, here in ones:
            cost: float = taste.between(earlier, first)
            if stays and earlier.string != first.string and earlier.string and first.string:
                cost = inf
            elif here is not None and there is not None:
                if here[1] < there[0]:
                    cost += moves.ways.shift(here[1], there[0], time)
                elif there[1] < here[0]:
                    cost += moves.ways.shift(here[0], there[1], time)
            row.append(cost)
        table.append(row)
    return table


def _positions(choice: Choice) -> Positions:
    frets = [down.fret for step in choice.steps[:1] for down in step.downs]
    if not frets:
        return None
    lowest = max(1, max(frets) - HAND_FRETS)
    return lowest, max(lowest, min(frets))
