"""What players prefer where the hand itself does not mind, as costs in the units of `hand.grip`.

Few and simple: the hand's own costs decide, these tell apart what they hold for equal. A hundred is a finger one
fret out of its place, a shift costs from 120 on. They were set on the demo solos, whose places stand for the trade's,
and are common practice, not measurements.
"""

from __future__ import annotations

from collections.abc import Sequence

from tabtools.hand.neck import neck_of
from tabtools.hand.places import Spot
from tabtools.hand.position import HAND_FRETS
from tabtools.hand.profile import BEND_FORCE, HandProfile
from tabtools.hand.stance import BEYOND, level_weight, strain_weight
from tabtools.hand.string import strings_of
from tabtools.model.instrument import Instrument
from tabtools.placing.rows import DOUBLE, OCTAVE, leaves_a_row, sounding
from tabtools.placing.strokes import Option
from tabtools.placing.wish import NO_WISH, Wish

HIGH_FROM, HIGH_COST = 12, 12
"""Above this fret, less a fret for each string down, each fret costs: low strings sound dull there, and wide necks
are hard to get round."""
LOW_COST, LOW_TO = 6, 5
"""Below this fret each one costs: solos lie in the middle of the neck, where bends and vibrato are easy."""
OPEN_COST, OPEN_IN_CHORD_COST, OPEN_BONUS = 90, 30, -60
"""An open string in a line or a double stop rings on, has no vibrato and sounds unlike its neighbours, which in a
chord and in a double stop at the nut is welcome; asked for, it is preferred."""
OPEN_CHORDS_TO, OPEN_IN_GRIP_COST = 3, 400
"""A chord whose fretted notes all lie from this fret on is gripped: a string left open in it costs so much, unless
asked for, and is taken where there is no other way (common practice)."""
FULL_CHORD, OPEN_CHORD_BONUS = 4, -150
"""A chord of so many strings, none between them silent, that lies up to that fret with open strings in it is one that
everybody has learnt."""
STRUMMED_CHORD, HALF_A_BARRE_COST = 5, 600
"""A grip of so many strings, none between them silent, is held down to the first string: the shape of six without it is
taken where there is no other (common practice)."""
FAR_FROM_OPEN, OPEN_AMID_COST = 7, 280
"""From this fret on a line is played without open strings: so much for each way there and back, unless asked for."""
CROSSED_COST = 400
"""And where the lower string of the two sounds the higher note: nobody goes there from an open string."""
PICKED_BONUS = 40
"""From note to note where one is open and none above `OPEN_CHORDS_TO`: open chords are picked so, and lines there."""
WIDE_GRIP_COST = 100
"""A double stop up to an octave is fretted with one silent string between at most: so much for each more."""
STRING_COST = (0, 10, 50, 90)
"""From a note to the next on its own string, on the next one, over one, over two and more."""
ROW_COST = 400
"""A row of like double stops leaves its pair of strings, a row of like chords its grip (common practice)."""
SAME_COST = 200
"""A note struck again at another place of its pitch."""
WOUND_BEND_COST = 150
"""Bends are done on the plain strings, where they travel far: so much for each semitone on others."""
LEAP_COST_PER_MM = 6
"""A shift over more than a hand's width is a leap: a line takes it where nothing nearer will do."""
CUT_COST = 400
"""A note that is to ring on is stopped by the next one on its string."""
ELSEWHERE_COST = 500
"""A slur written on a string that the note before is not on."""
BROKEN_COST = level_weight(BEYOND)
"""A slur that cannot be: its notes are placed on two strings."""
OUTSIDE_COST, STRETCHED_COST = 250, 60
"""A place below the position asked for, or above the fret of its fourth finger, for each fret. To the first above, the
fourth finger stretches while the hand stays; to one below, the first finger goes, and takes the position along."""
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
        below, above = wish.position - option.fret, option.fret - wish.position - HAND_FRETS
        cost = int(OUTSIDE_COST * max(0, below, above)) + (STRETCHED_COST if above >= 0 else 0)
        if wish.holds(option.string, option.fret):
            return cost
        return cost + (MISSED_COST if any(one.fret and wish.holds(one.string, one.fret) for one in options) else 0)

    def together(self, options: Sequence[Option], wish: Wish) -> int:
        """What places cost besides because they sound together."""
        return self._double_stop(options) if len(options) == DOUBLE else self._chord(options, wish)

    def _double_stop(self, options: Sequence[Option]) -> int:
        """What two strings cost that are far from each other, an open one above a place far from it too."""
        one, other = sorted(options, key=lambda option: option.string)
        pitches = sounding(options, self.open_midi)
        if pitches is None or one.fret is None or other.fret is None:
            return 0
        if not one.fret and other.fret >= FAR_FROM_OPEN and not self.likes_open:
            return OPEN_AMID_COST
        if not (one.fret and other.fret) and max(one.fret, other.fret) <= OPEN_CHORDS_TO and not self.likes_open:
            return (OPEN_IN_CHORD_COST - OPEN_COST) * sum(not option.fret for option in options)
        if not one.fret or not other.fret or pitches[1] - pitches[0] > OCTAVE:
            return 0
        return WIDE_GRIP_COST * max(0, other.string - one.string - 2)

    def _chord(self, options: Sequence[Option], wish: Wish) -> int:
        """What its open strings cost: much in a grip, less than nothing in a chord that is learnt with them."""
        frets = [option.fret for option in options if option.fret is not None]
        fretted = [fret for fret in frets if fret]
        strings = [option.string for option in options]
        if not fretted or len(fretted) == len(frets):
            is_strummed = len(strings) >= STRUMMED_CHORD and max(strings) - min(strings) < len(strings)
            return HALF_A_BARRE_COST if fretted and is_strummed and min(strings) > 1 else 0
        is_full = len(frets) >= FULL_CHORD and max(strings) - min(strings) < len(strings)
        if is_full and max(fretted) <= OPEN_CHORDS_TO:
            return OPEN_CHORD_BONUS
        if min(fretted) < OPEN_CHORDS_TO or wish.open_strings:
            return 0
        spare = [one for one in options if one.fret == 0 and self._is_fretted_elsewhere(one)]
        return OPEN_IN_GRIP_COST * len(spare)

    def _is_fretted_elsewhere(self, option: Option) -> bool:
        """Whether the pitch of an open string lies under a finger as well; that of the lowest does not."""
        return any(midi < self.open_midi[option.string] for midi in self.open_midi.values())

    def between(self, before: Sequence[Option], after: Sequence[Option]) -> int:
        """What going from the places of a stroke to those of the next costs besides what the hand does."""
        cost = self._between(before[0], after[0])
        is_row = 1 < len(after) == len(before) and leaves_a_row(before, after, self.open_midi)
        return cost + ROW_COST if is_row else cost

    def _between(self, one: Option, other: Option) -> int:
        """The same of the first note of each."""
        if one.string not in self.open_midi or other.string not in self.open_midi:
            return 0
        strings = abs(one.string - other.string)
        cost = STRING_COST[min(len(STRING_COST) - 1, strings)]
        if one.fret is None or other.fret is None:
            return cost
        if strings and self.open_midi[one.string] + one.fret == self.open_midi[other.string] + other.fret:
            cost += SAME_COST
        if (one.fret and other.fret) or self.likes_open:
            return cost
        highest = max(one.fret, other.fret)
        if highest >= FAR_FROM_OPEN:
            cost += OPEN_AMID_COST
            cost += CROSSED_COST if self._is_crossed(one, other) else 0
        elif highest <= OPEN_CHORDS_TO:
            cost -= PICKED_BONUS
        return cost

    def _is_crossed(self, one: Option, other: Option) -> bool:
        """Whether the lower of two strings sounds the higher note, from a fret."""
        high, low = sorted((one, other), key=lambda option: option.string)
        heights = [self.open_midi[each.string] + float(each.fret or 0) for each in (high, low)]
        return bool(low.fret) and heights[1] > heights[0]

    def bend(self, spot: Spot, semitones: float) -> int:
        """What a bend from there costs besides the finger it takes."""
        string, fret = spot
        if semitones <= 0:
            return 0
        one = self.strings[string - 1]
        bend = one.bend(fret, semitones)
        if not fret or bend.stress >= 1 or bend.travel_mm > self.neck.room(string, fret):
            return level_weight(BEYOND)
        return strain_weight(self.bend_limit.strain(bend.force)) + (
            int(WOUND_BEND_COST * semitones) if one.gauge.wound else 0
        )
