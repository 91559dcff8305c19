"""What players prefer where the hand itself does not mind, as costs in the units of `hand.grip`.

Few and simple: the hand's own costs decide, these tell apart what they hold for equal. A hundred is a finger one
fret out of its place, a shift costs from 120 on. They were set on the demo solos, whose places stand for the trade's,
and are common practice, not measurements.
"""

from __future__ import annotations

from collections.abc import Sequence

from tabtools.hand.neck import neck_of
from tabtools.hand.places import Spot
from tabtools.hand.profile import BEND_FORCE, HandProfile
from tabtools.hand.stance import BEYOND, level_weight, strain_weight
from tabtools.hand.string import strings_of
from tabtools.model.instrument import Instrument
from tabtools.placing.strokes import Option
from tabtools.placing.wish import NO_WISH, Wish

HIGH_FROM, HIGH_COST = 12, 12
"""Above this fret, less a fret for each string down, each fret costs: low strings sound dull there, and wide necks
are hard to get round."""
LOW_COST, LOW_TO = 6, 5
"""Below this fret each one costs: solos lie in the middle of the neck, where bends and vibrato are easy."""
OPEN_COST, OPEN_IN_CHORD_COST, OPEN_BONUS = 90, 30, -60
"""An open string in a line or a double stop rings on, has no vibrato and sounds unlike its neighbours, which in a
chord is welcome; asked for, it is preferred."""
OPEN_CHORDS_TO, OPEN_IN_GRIP_COST = 3, 1000
"""A chord whose fretted notes all lie above this fret is gripped: a string left open in it costs so much, unless asked
for, and is taken where there is no other way (common practice)."""
FAR_FROM_OPEN, OPEN_AMID_COST = 7, 280
"""From this fret on a line is played without open strings: so much for each way there and back, unless asked for."""
STRING_COST = (0, 10, 50, 90)
"""From a note to the next on its own string, on the next one, over one, over two and more."""
SAME_COST = 200
"""A note struck again at another place of its pitch."""
WOUND_BEND_COST = 200
"""Bends are done on the plain strings, where they travel far."""
LEAP_COST_PER_MM = 6
"""A shift over more than a hand's width is a leap: a line takes it where nothing nearer will do."""
CUT_COST = 400
"""A note that is to ring on is stopped by the next one on its string."""
ELSEWHERE_COST = 500
"""A slur written on a string that the note before is not on."""
BROKEN_COST = level_weight(BEYOND)
"""A slur that cannot be: its notes are placed on two strings."""
OUTSIDE_COST = 250
"""A place below the position asked for, or above the fret of its fourth finger, for each fret; half of it for the
first, which a finger reaches from there."""
MISSED_COST = 1000
"""A place out of reach of the position asked for, where the same note lies within it."""


class Taste:
    """The costs of single places on one instrument."""

    def __init__(self, instrument: Instrument, profile: HandProfile, wish: Wish = NO_WISH):
        self.likes_open = wish.open_strings
        self.open_midi = {string: instrument.open_midi(string) for string in range(1, instrument.strings + 1)}
        self.neck = neck_of(instrument)
        self.strings = strings_of(instrument)
        self.bend_limit = BEND_FORCE.times(profile.scale)

    def place(self, spot: Spot, wish: Wish, in_chord: bool = False) -> int:
        """What a place costs by itself, whoever comes before and after."""
        string, fret = spot
        if not fret:
            if wish.open_strings:
                return OPEN_BONUS
            return OPEN_IN_CHORD_COST if in_chord else OPEN_COST
        return HIGH_COST * max(0, fret - HIGH_FROM + (string - 1)) + LOW_COST * max(0, LOW_TO - fret)

    def outside(self, option: Option, options: Sequence[Option], wish: Wish) -> int:
        """What it costs that one of the places of a note is not in the position asked for."""
        if wish.position is None or option.fret is None:
            return 0
        if not option.fret:
            return 2 * OUTSIDE_COST if wish.position > 1 and not wish.open_strings else 0
        away = max(wish.position - option.fret, option.fret - wish.position - 3)
        cost = int(OUTSIDE_COST * away) - OUTSIDE_COST // 2 if away > 0 else 0
        if wish.holds(option.string, option.fret):
            return cost
        return cost + (MISSED_COST if any(one.fret and wish.holds(one.string, one.fret) for one in options) else 0)

    def in_grip(self, option: Option, options: Sequence[Option], wish: Wish) -> int:
        """What an open string costs besides, whose note a chord could have under a finger as well."""
        if option.fret != 0 or wish.open_strings:
            return 0
        lowest = min([one.fret for one in options if one.fret], default=0)
        return OPEN_IN_GRIP_COST if lowest > OPEN_CHORDS_TO else 0

    def between(self, one: Option, other: Option) -> int:
        """What going from one place to another costs besides what the hand does."""
        if one.string not in self.open_midi or other.string not in self.open_midi:
            return 0
        strings = abs(one.string - other.string)
        cost = STRING_COST[min(len(STRING_COST) - 1, strings)]
        if one.fret is None or other.fret is None:
            return cost
        if strings and self.open_midi[one.string] + one.fret == self.open_midi[other.string] + other.fret:
            cost += SAME_COST
        if not (one.fret and other.fret) and max(one.fret, other.fret) >= FAR_FROM_OPEN and not self.likes_open:
            cost += OPEN_AMID_COST
        return cost

    def bend(self, spot: Spot, semitones: float) -> int:
        """What a bend from there costs besides the finger it takes."""
        string, fret = spot
        if semitones <= 0:
            return 0
        one = self.strings[string - 1]
        bend = one.bend(fret, semitones)
        if not fret or bend.stress >= 1 or bend.travel_mm > self.neck.room(string, fret):
            return level_weight(BEYOND)
        return strain_weight(self.bend_limit.strain(bend.force)) + (WOUND_BEND_COST if one.gauge.wound else 0)
