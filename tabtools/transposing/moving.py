"""One note moved by an interval and over strings: in shape where the neck allows, otherwise as a pitch to be placed."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tabtools.hand.places import WIDEST_FRETS
from tabtools.model.instrument import Instrument
from tabtools.model.pitch import pitch_name
from tabtools.model.solo import PITCH_MOVES, Fret, Heard, Motion, Note, Place
from tabtools.placing.placed import moved_mark
from tabtools.timeline import TimedNote
from tabtools.transposing.interval import Interval
from tabtools.wording import several

BENT_BEYOND = WIDEST_FRETS


@dataclass(frozen=True)
class Move:
    """What happens to every note: an interval, and so many strings further down."""

    instrument: Instrument
    interval: Interval
    strings: int = 0

    @property
    def last_fret(self) -> int:
        return self.instrument.frets - self.instrument.capo

    @property
    def in_words(self) -> str:
        """`3 semitones up, 1 string lower on the neck`."""
        semitones = self.interval.semitones
        ways = [f"{several(abs(semitones), 'semitone')} {'up' if semitones > 0 else 'down'}"] if semitones else []
        return ", ".join([*ways, *([self.strings_in_words] if self.strings else [])]) or "as it is"

    @property
    def strings_in_words(self) -> str:
        return f"{several(abs(self.strings), 'string')} {'lower' if self.strings > 0 else 'higher'} on the neck"

    def in_shape(self, timed: TimedNote) -> Note | None:
        """The note with its frets and strings moved; None where that is off the neck, or no fret there gives it."""
        note = timed.note
        if note.unheard:
            return note
        if note.unknown or note.pitch is not None or not self.instrument.has_string(timed.string):
            return self._open(note)
        string = timed.string + self.strings
        if not self.instrument.has_string(string):
            return None
        further = self._further(timed.string, string)
        beyond = BENT_BEYOND if note.via in PITCH_MOVES else 0
        fret, touch = _plus(note.fret, further), _plus(note.touch, further)
        if note.touch is not None and note.fret is None:
            fret = further or None
        goals = [_plus(motion.fret, further) for motion in note.motions]
        if note.dead:
            fret = fret if self._is_on_neck(fret, 0) else None
        if not (self._is_on_neck(fret, beyond) and all(self._is_on_neck(goal, BENT_BEYOND) for goal in goals)):
            return None
        return replace(
            note,
            string=None if note.string is None else string,
            fret=fret,
            touch=touch,
            motions=tuple(self._motion(motion, goal) for motion, goal in zip(note.motions, goals, strict=True)),
            heard=note.heard and self.interval.heard(note.heard),
            others=tuple(other for one in note.others if (other := self._other(one)) is not None),
            marks=tuple(moved_mark(mark, further) for mark in note.marks if fret or mark.word != "lh"),
        )

    def as_pitch(self, timed: TimedNote) -> Note | None:
        """The note as a pitch whose place is open; None for one that has no pitch of a fret."""
        note = timed.note
        if note.dead or note.touch is not None or not isinstance(note.fret, int):
            return None
        if not self.instrument.has_string(timed.string):
            return None
        open_midi = self.instrument.open_midi(timed.string)
        if any(motion.fret is not None and motion.fret != int(motion.fret) for motion in note.motions):
            return None
        return replace(
            note,
            string=self._string(note.string) if note.via and note.string else None,
            fret=None,
            pitch=self._pitch(open_midi + note.fret),
            motions=tuple(
                motion if motion.fret is None else Motion(motion.sign, None, self._pitch(open_midi + int(motion.fret)))
                for motion in note.motions
            ),
            heard=None,
            others=tuple(
                self._pitch(self.instrument.open_midi(other.string) + int(other.fret))
                for other in note.other_places
                if self.instrument.has_string(other.string)
            ),
            marks=tuple(mark for mark in note.marks if mark.word not in ("lh", "trill")),
        )

    def beyond(self, timed: TimedNote) -> Note:
        """The note in shape as if the neck had no end; as a pitch where there is no such string."""
        note, string = timed.note, timed.string + self.strings
        if note.pitch is not None or not self.instrument.has_string(timed.string):
            return replace(note, pitch=note.pitch and self.interval.heard(note.pitch))
        if not self.instrument.has_string(string):
            return self.as_pitch(timed) or note
        further = self._further(timed.string, string)
        return Note(
            string if note.string is not None else None,
            further if note.touch is not None and note.fret is None else _plus(note.fret, further),
            note.via,
            note.dead,
            _plus(note.touch, further),
            tuple(motion._replace(fret=_plus(motion.fret, further)) for motion in note.motions),
        )

    def _open(self, note: Note) -> Note | None:
        """A note whose place is open already: its pitches are moved, and frets on a string that is not known."""
        fret = _plus(note.fret, self.interval.semitones)
        goals = [_plus(motion.fret, self.interval.semitones) for motion in note.motions]
        if not all(self._is_on_neck(one, BENT_BEYOND) for one in (fret, *goals)):
            return None
        return replace(
            note,
            fret=fret,
            string=note.string and self._string(note.string),
            pitch=note.pitch and self.interval.heard(note.pitch),
            motions=tuple(self._motion(motion, goal) for motion, goal in zip(note.motions, goals, strict=True)),
            heard=note.heard and self.interval.heard(note.heard),
            others=tuple(other for one in note.others if (other := self._other(one)) is not None),
        )

    def _string(self, string: int) -> int:
        moved = string + self.strings
        return moved if self.instrument.has_string(moved) else string

    def _further(self, one: int, other: int) -> int:
        """How many frets further a pitch so much higher lies on another string."""
        opens = self.instrument.open_midi(one) - self.instrument.open_midi(other)
        return self.interval.semitones + opens

    def _is_on_neck(self, fret: Fret | None, beyond: int) -> bool:
        return fret is None or 0 <= fret <= self.last_fret + beyond

    def _motion(self, motion: Motion, goal: Fret | None) -> Motion:
        return motion._replace(fret=goal, pitch=motion.pitch and self.interval.heard(motion.pitch))

    def _other(self, other: Place | Heard) -> Place | Heard | None:
        if isinstance(other, Heard):
            return self.interval.heard(other)
        string = other.string + self.strings
        if not self.instrument.has_string(other.string) or not self.instrument.has_string(string):
            return None
        fret = other.fret + self._further(other.string, string)
        return Place(string, fret) if self._is_on_neck(fret, 0) else None

    def _pitch(self, midi: int) -> Heard:
        return self.interval.heard(Heard(midi, pitch_name(midi)))


def _plus(fret: Fret | None, further: int) -> Fret | None:
    return None if fret is None else fret + further
