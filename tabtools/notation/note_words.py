"""One note from its tokens: the place or the pitch that stands for it, what happens to it, what is said of it."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from tabtools.model.pitch import parse_pitch
from tabtools.model.solo import Fret, Heard, Mark, Motion, Note, Place
from tabtools.notation.read import Children, RefusedError, Token
from tabtools.source import Span


class Marks(NamedTuple):
    """Marks in their brackets, and where those end."""

    marks: tuple[Mark, ...]
    end: int


def note_of(children: Children) -> Note:
    """A note. Raises `RefusedError` for what fits the grammar and says nothing that can be played."""
    words = _NoteWords()
    for child in children:
        if isinstance(child, Marks):
            words.marks += child.marks
            words.end = child.end
        else:
            words.take(child)
            words.end = child.end_pos
    return words.note(children[0].start_pos)


@lru_cache(maxsize=4096)
def fret_of(text: str) -> Fret:
    """A fret as it is written."""
    value = Fraction(text)
    return int(value) if value.denominator == 1 else value


class _NoteWords:
    """What has been read of a note so far; `take` is given its tokens in order."""

    def __init__(self) -> None:
        self.via = ""
        self.string: int | None = None
        self.fret: Fret | None = None
        self.touch: Fret | None = None
        self.pitch: Heard | None = None
        self.heard: Heard | None = None
        self.unknown = self.dead = self.placed = self.unsure = False
        self.doubt: Token | None = None
        self.other_string = 0
        self.others: list[Place | Heard] = []
        self.motions: list[Motion] = []
        self.marks: tuple[Mark, ...] = ()
        self.end = 0

    def take(self, token: Token) -> None:
        """The next word of the note."""
        _TAKERS[token.type](self, token)

    def note(self, start: int) -> Note:
        if self.doubt is not None and self.others:
            raise _left_open(self.doubt, self.pitch, self.others[-1])
        return Note(
            self.string,
            self.fret,
            self.via,
            self.dead,
            self.touch,
            tuple(self.motions),
            self.heard,
            self.pitch,
            self.unknown,
            unsure=self.unsure,
            others=tuple(self.others),
            marks=self.marks,
            span=Span(start, self.end),
        )

    # ---- the place, or what stands for it

    def _take_string(self, token: Token) -> None:
        if self.unsure:
            self.other_string = int(token[:-1])
        else:
            self.string = int(token[:-1])

    def _take_fret(self, token: Token) -> None:
        if self.unsure:
            self._other(token, Place(self.other_string, fret_of(token)))
        elif not self.placed:
            self.fret, self.placed = fret_of(token), True
        else:
            self.motions[-1] = Motion(self.motions[-1].sign, fret_of(token))

    def _take_touch(self, token: Token) -> None:
        self.touch, self.placed = fret_of(token[1:-1]), True

    def _take_dead(self, token: Token) -> None:
        self.dead = self.placed = True

    # ---- what happens to it

    def _take_move(self, token: Token) -> None:
        if self.placed:
            self.motions.append(_motion(token, self.motions))
        else:
            self.via = str(token)

    def _take_motion(self, token: Token) -> None:
        self.motions.append(_motion(token, self.motions))

    # ---- what was heard, and what is not known

    def _take_heard(self, token: Token) -> None:
        pitch = heard_of(token[1:])
        if not self.placed:
            self.pitch, self.placed = pitch, True
        elif self.motions and not self.unsure and _awaits_goal(self.motions[-1]):
            self.motions[-1] = Motion(self.motions[-1].sign, None, pitch)
        elif self.unknown:
            advice = f"write ={pitch.name}? where you heard that and are not sure"
            raise RefusedError(token.start_pos, "a pitch stands behind one that is not known", advice)
        elif self.pitch is not None and self.unsure:
            self._other(token, pitch)
        elif self.pitch is not None or self.heard is not None:
            advice = "keep one =; ? says you are not sure"
            if self.unsure:
                advice = "another reading of a placed note is a place: 3:9?4:14"
            if self.pitch is not None:
                advice = f"keep one =; another reading stands behind a ?, like ={self.pitch.name}?={pitch.name}"
            raise RefusedError(token.start_pos, "one note is heard as two pitches", advice)
        else:
            self.heard = pitch

    def _other(self, token: Token, reading: Place | Heard) -> None:
        if self.pitch is not None and isinstance(reading, Place):
            advice = f"write it like ={self.pitch.name}?=F#4, or place the note first"
            raise RefusedError(token.start_pos, "another reading of a pitch is a pitch", advice)
        if self.doubt is None:
            raise RefusedError(
                token.start_pos, "two readings stand behind one ?", "each has its own, like =E4?=F#4?=G4"
            )
        self.others.append(reading)
        self.doubt = None

    def _take_unsure(self, token: Token) -> None:
        if not self.placed:
            self.unknown = self.placed = True
        elif self.unknown:
            raise RefusedError(token.start_pos, "two ? stand on one note", "one says that its pitch is not known: ?")
        elif self.doubt is not None:
            raise _twice_unsure(token)
        else:
            self.unsure = True
            self.doubt = token


_TAKERS: dict[str, Callable[[_NoteWords, Token], None]] = {
    "STRING": _NoteWords._take_string,
    "FRET": _NoteWords._take_fret,
    "TOUCH": _NoteWords._take_touch,
    "DEAD": _NoteWords._take_dead,
    "MOVE": _NoteWords._take_move,
    "SLIDE": _NoteWords._take_move,
    "VIBRATO": _NoteWords._take_motion,
    "PREBEND": _NoteWords._take_motion,
    "HEARD": _NoteWords._take_heard,
    "UNSURE": _NoteWords._take_unsure,
}
"""What is done with each kind of word."""


def _twice_unsure(token: Token) -> RefusedError:
    advice = "keep one; between two readings stands one ?, like 3:9?4:14 or =E4?=Eb4"
    return RefusedError(token.start_pos, "two ? stand on one note", advice)


def _left_open(token: Token, pitch: Heard | None, last: Place | Heard) -> RefusedError:
    like = f"={pitch.name}?={last.name}" if pitch and isinstance(last, Heard) else "3:9?4:14"
    advice = f"put one ? between two readings, and none behind the last: {like}"
    return RefusedError(token.start_pos, "a ? stands behind the last reading", advice)


def heard_of(name: str) -> Heard:
    """A pitch as it is written behind `=`."""
    return Heard(parse_pitch(name), str(name))


def _awaits_goal(motion: Motion) -> bool:
    return not motion.arrives and motion.sign not in ("/", "\\", "~", "~~")


_BARE = {sign: Motion(sign) for sign in ("h", "p", "/", "\\", "t", "b", "r", "w", "pb", "~", "~~")}


def _motion(sign: Token, before: list[Motion]) -> Motion:
    """The next thing that happens to a note. Raises `RefusedError` where nothing can follow what came before."""
    if before:
        last = before[-1]
        if sign.type == "PREBEND":
            raise RefusedError(sign.start_pos, "pb comes after another move", "write it first, like 3:7pb9r7")
        if last.fret is None and last.sign in "/\\":
            advice = "write the fret it slides to, or end the note with the slide"
            raise RefusedError(sign.start_pos, "something follows a slide to nowhere", advice)
        if sign.type == "VIBRATO" and last.sign in ("~", "~~"):
            raise RefusedError(sign.start_pos, "two vibratos stand together", "write ~ or, for a wide one, ~~")
    return _BARE[sign]
