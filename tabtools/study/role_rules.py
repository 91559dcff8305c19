"""The rules that decide a role by the notes around: one function each, as `tabtools.study.roles` documents them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple, TypeGuard

from tabtools.model.pitch import Tone
from tabtools.study.backing import Backing, backing_of
from tabtools.study.melody import Melody, Struck
from tabtools.study.role import Role, RoleKind
from tabtools.study.spelling import spelled_towards
from tabtools.timeline.written_names import written_tone

STEP, LEAP = 2, 3
MINOR_THIRD = 3


class NoteInLine(NamedTuple):
    """A note outside chord tones and named extensions, among its neighbours.

    `place` is its stroke, `first` and `last` are those of its phrase, or of the part of it in which all pitches are
    known; `phrase_last` is where the phrase ends. `before` and `after` are the pitches it is heard between, None at the
    ends of the phrase and beside what is not known. `written` is its name where it was written as it was heard,
    `struck` the stroke itself, `gap` the semitones to the pitch after it, 0 where there is none.
    """

    melody: Melody
    place: int
    first: int
    last: int
    phrase_last: int
    pitch: int
    backing: Backing
    before: int | None
    after: int | None
    written: Tone | None
    struck: Struck
    gap: int

    def is_leap(self, other: int | None) -> TypeGuard[int]:
        return other is not None and abs(other - self.pitch) >= LEAP

    def is_step(self, other: int | None) -> TypeGuard[int]:
        return other is not None and 1 <= abs(other - self.pitch) <= STEP

    def passed(self) -> tuple[int, int] | None:
        """The pitches before and after it, where two steps in one direction lead through it."""
        before, after = self.before, self.after
        if not self.is_step(before) or not self.is_step(after):
            return None
        return (before, after) if (self.pitch > before) == (after > self.pitch) else None

    def turned_from(self) -> int | None:
        """The pitch it is a step away from and goes back to, where it does."""
        return self.before if self.before == self.after and self.is_step(self.before) else None

    @property
    def is_third_to_third(self) -> bool:
        """Whether it is the minor third that rises into the major third of one chord."""
        root, after, goal = self.backing.root, self.after, self.melody.backing(self.place + 1)
        if root is None or after is None or goal.root != root or (self.pitch - root) % 12 != MINOR_THIRD:
            return False
        return after == self.pitch + 1 and after % 12 in goal.core

    def step_in_voice(self, way: int) -> tuple[int, int] | None:
        """The nearest pitch a step away, within two counts of the phrase, and how many strokes away it is.

        `way` is 1 forwards and -1 backwards. What lies farther off is another voice, and is looked over.
        """
        end = self.last if way > 0 else self.first
        for place in range(self.place + way, end + way, way):
            other = self.melody.strokes[place]
            if abs(other.onset - self.struck.onset) > 2 * self.struck.beat:
                return None
            for pitch in other.pitches:
                if self.is_step(pitch):
                    return place - self.place, pitch
        return None

    def line(self, first: int, last: int) -> tuple[int, ...] | None:
        """The pitches of these strokes, counted from this one; None where they are not single notes of the phrase.

        The last counts as it is first heard, before any bend.
        """
        if self.place + first < self.first or self.place + last > self.last:
            return None
        single = self.melody.single[self.place + first : self.place + last]
        goal = self.melody.strokes[self.place + last]
        pitches = tuple([pitch for pitch in single if pitch is not None])
        return None if len(pitches) < len(single) or len(goal.pitches) > 1 else (*pitches, goal.entry)

    def in_core(self, offset: int, pitch: int) -> bool:
        """Whether a pitch is a chord tone where the stroke so many after this one stands."""
        return pitch % 12 in self.melody.backing(self.place + offset).core

    def name_at(self, offset: int, pitch: int) -> str:
        note = self.melody.timeline.notes[self.note_at(offset, pitch)].note
        return str(written_tone(note, pitch) or self.melody.backing(self.place + offset).names[pitch % 12])

    def note_at(self, offset: int, pitch: int) -> int:
        """The note of a stroke that has this pitch, the highest where none has (a bend that begins there)."""
        struck = self.melody.strokes[self.place + offset]
        return struck.notes[struck.pitches.index(pitch) if pitch in struck.pitches else 0]

    def led(self, kind: RoleKind, rule: str, sentence: str, offset: int, goal: int, target: int | None = None) -> Role:
        """The role of a note that leads to the pitch `goal` of the stroke so many after this one.

        Outside the scale it is spelled by that, where it was not written as it was heard, and without a degree where
        that would name another letter, or the third or seventh that the chord has otherwise.
        """
        tone = self.backing.tones[self.pitch % 12]
        name = spelled_towards(self.backing, self.pitch, goal, self.melody.backing(self.place + offset))
        if self.written is not None:
            if self.backing.degree_told(self.pitch % 12, written=self.written) != self.backing.told[self.pitch % 12]:
                return self.role(kind, rule, sentence, target)
            name = str(self.written)
        if name == self.backing.names[self.pitch % 12] and not self._is_other_third_or_seventh:
            return self.role(kind, rule, sentence, target)
        return Role(kind, rule, tone, f"{name}, {sentence}", target)

    @property
    def _is_other_third_or_seventh(self) -> bool:
        root, core = self.backing.root, self.backing.core
        if root is None or self.backing.tones[self.pitch % 12] != "chromatic":
            return False
        return (self.pitch - root) % 12 in (4, 11) and (self.pitch - 1) % 12 in core

    def role(
        self, kind: RoleKind, rule: str, sentence: str, target: int | None = None, uncertain: bool = False
    ) -> Role:
        tone = self.backing.tones[self.pitch % 12]
        said = self.backing.said(self.pitch % 12, kind == "extension", self.written)
        return Role(kind, rule, tone, f"{said}, {sentence}", target, uncertain)


def anticipation(here: NoteInLine) -> Role | None:
    """A tone of the chord to come, before it comes."""
    struck = here.struck
    change = here.melody.coming_chords[here.place]
    if change is None or change[1] is None or change[0] - struck.onset > struck.beat or struck.doubt:
        return None
    coming = backing_of(change[1], here.backing.key, here.backing.style)
    if here.pitch % 12 not in coming.core:
        return None
    said = f"{coming.told[here.pitch % 12]} of {coming.place}"
    if struck.release > change[0]:
        return here.role("anticipation", "anticipation", f"held into the next chord: {said}")
    is_last = here.place < here.last and here.melody.strokes[here.place + 1].onset >= change[0]
    if is_last and here.after == here.pitch:
        return here.role("anticipation", "anticipation", f"struck again in the next chord: {said}")
    has_chord = here.backing.chord is not None
    if is_last and has_chord and here.is_leap(here.after) and here.after % 12 in coming.core:
        return here.role("anticipation", "left early", f"already {said}, which comes next")
    return None


def three_note_enclosure(here: NoteInLine) -> Role | None:
    """A step on one side, then two semitones and one on the other, then the chord tone."""
    for offset in (0, -1, -2):
        line = here.line(offset, offset + 3)
        if line is None:
            continue
        one, two, three, goal = line
        side = 1 if one > goal else -1
        is_shape = 1 <= side * (one - goal) <= STEP and side * (goal - two) == 2 and side * (goal - three) == 1
        if is_shape and here.in_core(offset + 3, goal):
            return _encloses(here, "three-note enclosure", offset + 3, goal, side=-side if offset else 0)
    return None


def two_note_enclosure(here: NoteInLine) -> Role | None:
    """A step on either side of the chord tone that follows at once, one of them a semitone."""
    for offset in (0, -1):
        line = here.line(offset, offset + 2)
        if line is None:
            continue
        one, two, goal = line
        above, below = sorted((one - goal, two - goal), reverse=True)
        is_shape = 1 <= above <= STEP and -STEP <= below <= -1 and above - below <= 3
        if is_shape and here.in_core(offset + 2, goal):
            return _encloses(here, "two-note enclosure", offset + 2, goal)
    return None


def _encloses(here: NoteInLine, rule: str, offset: int, goal: int, side: int = 0) -> Role:
    """The role of a note that encloses another; `side` is 1 and -1 for the two that lead to it from above and below."""
    backing = here.melody.backing(here.place + offset)
    does = f"leads by semitones from {'above' if side > 0 else 'below'} to" if side else "encloses"
    said = f"{does} {backing.names[goal % 12]}, {backing.told[goal % 12]} of {backing.place}"
    return here.led("enclosure", rule, said, offset, goal, here.note_at(offset, goal))


def double_approach(here: NoteInLine) -> Role | None:
    """Two notes lead by semitones in one direction to a chord tone; the first comes by a leap."""
    for offset in (0, -1):
        line = here.line(offset, offset + 2)
        if line is None:
            continue
        one, two, goal = line
        if two - one != goal - two or abs(two - one) != 1 or not here.in_core(offset + 2, goal):
            continue
        is_outside = here.melody.backing(here.place + offset + 1).tones[two % 12] == "chromatic"
        lead = here.line(offset - 1, offset - 1)
        if is_outside and not here.in_core(offset, one) and lead is not None and abs(one - lead[0]) >= LEAP:
            backing = here.melody.backing(here.place + offset + 2)
            said = f"leads by semitones to {backing.names[goal % 12]}, {backing.told[goal % 12]} of {backing.place}"
            return here.led("approach", "double approach", said, offset + 2, goal, here.note_at(offset + 2, goal))
    return None


def chromatic_passing(here: NoteInLine) -> Role | None:
    """Outside the scale, between two steps in one direction, one of them a semitone."""
    passed = here.passed()
    if passed is None or abs(passed[1] - passed[0]) > 3:
        return None
    said = f"between {here.name_at(-1, passed[0])} and {here.name_at(1, passed[1])}"
    if passed[1] == here.pitch + 1 and here.melody.backing(here.place + 1).root == passed[1] % 12:
        said += ", its leading note"
    return here.led("passing tone", "chromatic passing", said, 1, passed[1])


def chromatic_neighbour(here: NoteInLine) -> Role | None:
    """Outside the scale, a step away from a tone and back to it."""
    main = here.turned_from()
    if main is None:
        return None
    side = "upper" if here.pitch > main else "lower"
    said = f"the {side} neighbour of {here.name_at(1, main)}"
    return here.led("neighbour tone", "chromatic neighbour", said, 1, main)


def passing_in_its_voice(here: NoteInLine) -> Role | None:
    """Outside the scale, in double stops or under a note that is struck again: steps in one direction in its voice."""
    before, after = here.step_in_voice(-1), here.step_in_voice(1)
    if before is None or after is None:
        return None
    (back, one), (ahead, other) = before, after
    is_in_two_voices = max(len(here.struck.pitches), len(here.melody.strokes[here.place + ahead].pitches)) > 1
    if not is_in_two_voices or abs(other - one) not in (2, 3) or (one < here.pitch) != (here.pitch < other):
        return None
    said = f"between {here.name_at(back, one)} and {here.name_at(ahead, other)} in its voice"
    return here.led("passing tone", "passing in its voice", said, ahead, other)


def approach_by_semitone(here: NoteInLine) -> Role | None:
    """Outside the scale, a semitone from the next tone, which is in the scale."""
    if here.after is None or abs(here.after - here.pitch) != 1:
        return None
    goal = here.melody.backing(here.place + 1)
    if goal.tones[here.after % 12] in ("chromatic", ""):
        return None
    said = f"a semitone {'below' if here.after > here.pitch else 'above'} {goal.names[here.after % 12]}"
    if here.is_third_to_third:
        said = f"rises to the major third, {here.name_at(1, here.after)}"
        return here.role("approach", "approach by semitone", said, here.note_at(1, here.after))
    if here.is_leap(here.before) and _gives_way(here):
        said = f"an appoggiatura, gives way to {_goal(here)}"
    return here.led("approach", "approach by semitone", said, 1, here.after, here.note_at(1, here.after))


def outside(here: NoteInLine) -> Role:
    """Outside the scale, and nothing explains it; but what the chord's own scale offers as a colour is a tone of it."""
    if here.backing.offers(here.pitch % 12):
        said = here.backing.said(here.pitch % 12, is_extension=True, written=here.written)
        return Role("extension", "colour of the chord", "scale note", f"{said}, a colour of the chord outside the key")
    is_cut = here.before is None and here.melody.strokes[here.place].is_apart
    is_cut = is_cut or (here.after is None and here.place < here.phrase_last)
    said = "beside what is not known yet" if is_cut else "and no neighbour explains it"
    return here.role("outside", "outside", f"outside the scale, {said}", uncertain=True)


def leant_on(here: NoteInLine) -> Role | None:
    """A scale note that colours the chord and is given weight."""
    if not here.backing.is_available(here.pitch % 12):
        return None
    if _is_held(here):
        return here.role("extension", "leant on", "held")
    if here.place == here.phrase_last and not here.struck.is_left_open:
        return here.role("extension", "leant on", "where the phrase ends")
    if here.is_leap(here.before) and here.is_leap(here.after):
        return here.role("extension", "leant on", "between two leaps")
    return None


def _is_held(here: NoteInLine) -> bool:
    """Whether it lasts two counts, or one and twice as long as it took to come after the stroke before."""
    struck = here.struck
    length = struck.release - struck.onset
    following = here.melody.strokes[here.place + 1] if here.place < here.phrase_last else None
    if struck.doubt or (following is not None and following.doubt):
        return False
    if length < struck.beat or length >= 2 * struck.beat:
        return length >= struck.beat
    if here.before is not None and here.melody.strokes[here.place - 1].doubt:
        return False
    return here.before is not None and length >= 2 * (struck.onset - here.melody.strokes[here.place - 1].onset)


def appoggiatura(here: NoteInLine) -> Role | None:
    """On the beat, reached by a leap, and given way to a chord tone a step away."""
    if not here.is_leap(here.before) or not _gives_way(here):
        return None
    return here.role("scale note", "appoggiatura", f"an appoggiatura, gives way to {_goal(here)}")


def _gives_way(here: NoteInLine) -> bool:
    """Whether it stands on a beat and the next note is a chord tone a step away, under the same chord."""
    if here.struck.doubt or not here.struck.is_on_beat or not here.is_step(here.after):
        return False
    is_same = here.melody.backing(here.place + 1) is here.backing
    return is_same and here.after % 12 in here.backing.core


def _goal(here: NoteInLine) -> str:
    """`E, 3 of C`: the note it gives way to."""
    return here.backing.said((here.after or 0) % 12)


def passing_in_scale(here: NoteInLine) -> Role | None:
    """A scale note between two steps in one direction."""
    passed = here.passed()
    if passed is None:
        return None
    said = f"between {here.name_at(-1, passed[0])} and {here.name_at(1, passed[1])}"
    return here.role("scale note", "passing in the scale", said)


def neighbour_in_scale(here: NoteInLine) -> Role | None:
    """A scale note a step away from a tone and back to it."""
    main = here.turned_from()
    if main is None:
        return None
    side = "upper" if here.pitch > main else "lower"
    return here.role("scale note", "neighbour in the scale", f"the {side} neighbour of {here.name_at(1, main)}")


def in_scale(here: NoteInLine) -> Role:
    """Any other tone of the scale."""
    return here.role("scale note", "in the scale", "in the scale")


Find = Callable[[NoteInLine], Role | None]
BY_STEP = frozenset(range(1, STEP + 1))
WIDEST_GAP = 4


class Rule(NamedTuple):
    """A rule, and the gaps to the note after at which alone it can hold; None where any will do."""

    find: Find
    gaps: frozenset[int] | None = None


LEADING = (
    Rule(anticipation),
    Rule(three_note_enclosure, frozenset((1, 3, 4))),
    Rule(two_note_enclosure, frozenset((1, 2, 3))),
    Rule(double_approach, frozenset((1,))),
)
OUTSIDE_SCALE = (
    *LEADING,
    Rule(chromatic_passing, BY_STEP),
    Rule(chromatic_neighbour, BY_STEP),
    Rule(passing_in_its_voice),
    Rule(approach_by_semitone, frozenset((1,))),
)
IN_SCALE = (
    *LEADING,
    Rule(leant_on),
    Rule(appoggiatura, BY_STEP),
    Rule(passing_in_scale, BY_STEP),
    Rule(neighbour_in_scale, BY_STEP),
)
"""The first that answers decides; what none of them explains is `outside`, or `in_scale`."""


def _at_gaps(rules: Sequence[Rule]) -> list[tuple[Find, ...]]:
    """Those of the rules that can hold at each gap, the widest and what is wider in one."""
    return [
        tuple(rule.find for rule in rules if rule.gaps is None or gap in rule.gaps) for gap in range(WIDEST_GAP + 2)
    ]


_IN_SCALE, _OUTSIDE_SCALE = _at_gaps(IN_SCALE), _at_gaps(OUTSIDE_SCALE)


def decided(here: NoteInLine) -> Role:
    """The role of a note by what stands around it."""
    is_in_scale = here.backing.tones[here.pitch % 12] == "scale note"
    gap = min(here.gap, WIDEST_GAP + 1)
    for find in (_IN_SCALE if is_in_scale else _OUTSIDE_SCALE)[gap]:
        role = find(here)
        if role is not None:
            return role
    return in_scale(here) if is_in_scale else outside(here)
