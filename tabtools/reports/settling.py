"""What a correction settles, or opens again, in a teacher's words: `place decided: D4 at 3:7`, `rhythm settled`."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from tabtools.checks.wording import fret_text, in_a_row, place
from tabtools.model.instrument import Instrument
from tabtools.model.solo import BeatLine, Heard, Mark, Note, Place
from tabtools.notation.write import reading_text
from tabtools.reports.chord_words import chords_in_words
from tabtools.reports.gap_words import gap_in_words
from tabtools.reports.playing_words import marks_in_words, playing_in_words
from tabtools.review.change import KINDS_IN_WORDS, Change, Kind, Part
from tabtools.review.classify import Known, known_of
from tabtools.timeline import TimedNote
from tabtools.timeline.readings import is_one_pitch

OF_A_BAR = {Part.METER: "other meter", Part.TEMPO: "other tempo", Part.FREE: "other length, out of time"}
"""What a bar line says of the time of its bar."""
FEWEST_FOLDED = 3
"""From so many placed notes of a bar on they are told in one line, with the bends that got their frets with them."""
NOT_MADE_OUT = "not made out any more"
Named = Callable[[TimedNote], str]
"""A note to the name of the pitch it begins with; empty where it has none."""


def words_of(change: Change, name: Named, instruments: tuple[Instrument, Instrument]) -> Iterator[str]:
    """The kinds of a change as they are told, what it settles in its own words; the instruments of both versions."""
    said = dict(KINDS_IN_WORDS)
    if change.part is Part.NOTE or (change.part is Part.NOTHING and isinstance(change.before, Note)):
        said |= _of_note(change, name, instruments)
    elif change.part is Part.NOTHING:
        said |= _of_stroke(change)
    elif change.part is Part.STROKE:
        both = change.sounds and change.sounded
        said |= {Kind.NOTES: "other notes" if both else "added" if change.sounds else "gone"}
    elif change.part in (Part.DOUBT, Part.LINES):
        said |= _of_rhythm(change)
    elif change.part in (Part.CHORDS, Part.ITEM):
        said |= chords_in_words(change)
    elif change.part in OF_A_BAR:
        said[Kind.RHYTHM] = OF_A_BAR[change.part]
    elif change.part is Part.FIELD and None in (change.before, change.after):
        said[Kind.HEADER] = "added" if change.before is None else "gone"
    elif change.part is Part.MARKS:
        said[Kind.TECHNIQUE] = _of_marks(change)
    yield from filter(None, (said[kind] for kind in change.kinds))
    if change.part is Part.NOTE and change.is_music and (still := _still_open(change)):
        yield still


def is_only_placed(change: Change) -> bool:
    """Whether a note keeps its pitch and gets its place, so that its name need not be told again."""
    return Kind.PLACED in change.kinds and not {Kind.PITCH, Kind.HEARD} & set(change.kinds)


def is_placed_as_heard(change: Change) -> bool:
    """Whether nothing happened to a note but that it got the string and the fret of the pitch it had."""
    return _got_its_fret(change) and not _sides(change).after.only_moves_pitch


def follows_its_note(change: Change) -> bool:
    """Whether a slot that only moves the pitch got its fret, as its note a place, and nothing else happened to it."""
    return _got_its_fret(change) and _sides(change).after.only_moves_pitch


def _got_its_fret(change: Change) -> bool:
    if change.part is not Part.NOTE or change.kinds != (Kind.PLACED,) or change.alike or change.follows:
        return False
    sides = _sides(change)
    return sides.before.pitch is not None and sides.after.pitch is None and sides.after.fret is not None


# ---- notes


def _of_stroke(change: Change) -> dict[Kind, str]:
    """Of a stroke that came or went."""
    if change.after is None:
        return {Kind.NOTES: "gone", Kind.OPENED: NOT_MADE_OUT}
    if all(timed.note.unheard for timed in change.sounds):
        return {Kind.NOTES: "not made out"}
    notes = [timed.note for timed in change.sounds]
    if all(note.unknown for note in notes):
        is_bend = all(note.only_moves_pitch for note in notes)
        heard = "heard now, how far still open" if is_bend else "counted now, pitch still open"
    else:
        places = [one for one in change.sounds if one.note.pitch and not one.string and not one.note.only_moves_pitch]
        heard = "heard now" + _its_place_open(len(places), len(notes))
    return {Kind.NOTES: "added", Kind.HEARD: heard}


def _its_place_open(places: int, notes: int) -> str:
    if not places:
        return ""
    return ", its place still open" if notes == 1 else ", places still open"


class _Sides(NamedTuple):
    """A note before and after, and how it sounds."""

    before: Note
    after: Note
    sounded: TimedNote | None
    sounds: TimedNote | None


def _sides(change: Change) -> _Sides:
    assert isinstance(change.before, Note) and isinstance(change.after, Note)
    sounded, sounds = (next(iter(notes), None) for notes in (change.sounded, change.sounds))
    return _Sides(change.before, change.after, sounded, sounds)


def _of_note(change: Change, name: Named, instruments: tuple[Instrument, Instrument]) -> dict[Kind, str]:
    sides = _sides(change)
    is_heard_whole = Kind.HEARD in change.kinds and (sides.before.unheard or sides.after.dead)
    said = {Kind.TECHNIQUE: "" if is_heard_whole else playing_in_words(sides.before, sides.after)}
    if Kind.HEARD in change.kinds:
        said |= {Kind.HEARD: _heard(sides, name, instruments[1]), Kind.PLACED: ""}
    elif Kind.PLACED in change.kinds:
        said[Kind.PLACED] = _placed(sides, name)
        if sides.after.unsure:
            said |= {Kind.PLACED: _proposed(sides, said[Kind.PLACED]), Kind.RAISED: ""}
    if Kind.OPENED in change.kinds:
        said[Kind.OPENED] = opened_in_words(sides.before, sides.after)
    if sides.after.unknown:
        said[Kind.PLACE] = "another string"
    if Kind.READINGS in change.kinds:
        said[Kind.READINGS] = _readings(sides.before, sides.after, *instruments)
    is_other_pitch = Kind.PITCH in change.kinds and sides.before.pitch_heard and sides.after.pitch_heard
    if is_other_pitch:
        said[Kind.COMMENT] = ""
    elif Kind.COMMENT in change.kinds:
        said[Kind.COMMENT] = noted_in_words(sides.before, sides.after)
    if taken := _taken(sides):
        is_heard = Kind.PITCH in change.kinds
        said[Kind.RESOLVED] = f"the other reading was taken: {(is_heard and _pitch(sides, name)) or taken}"
        said |= {Kind.PITCH: "", Kind.PLACE: "", Kind.COMMENT: ""}
    return said


def takes_other_reading(change: Change) -> bool:
    """Whether of a note that was in doubt another reading was taken than the first."""
    return change.part is Part.NOTE and bool(_taken(_sides(change)))


def _heard(sides: _Sides, name: Named, instrument: Instrument) -> str:
    before, after = sides.before, sides.after
    if after.only_moves_pitch and not before.unheard and not after.unknown:
        return f"heard how far: {_goal(after)}" + ", not certain yet" * after.unsure
    verb = "heard now" if before.unheard or after.dead else "pitch heard"
    if after.unknown:
        on = f": a note{_on_string(after)}" if after.string else ""
        return f"counted now{on}, pitch still open"
    if after.dead:
        return f"{verb}: a dead note"
    where = _where(sides.sounds)
    pitch = _pitch(sides, name)
    doubt = ", not certain yet" * after.unsure
    if after.only_moves_pitch:
        return f"{verb}: {_goal(after)}{doubt}"
    if sides.sounds is not None and is_one_pitch(sides.sounds, instrument):
        return f"{verb}: {pitch}, at {in_a_row([where, *(place(*other) for other in after.other_places)], 'or')}"
    if known_of(after, sides.sounds) is Known.ITS_PITCH and not (where or _on_string(after)):
        return f"{verb}: {pitch}, its place still open{doubt}"
    return f"{verb}: {pitch} at {where}{doubt}" if where else f"{verb}: {pitch}{doubt}"


def _goal(note: Note) -> str:
    """Where a slot goes that only moves the pitch: `b12`, `to B4`."""
    return f"to {note.pitch.name}" if note.pitch is not None else f"{note.via}{fret_text(note.fret or 0)}"


def _placed(sides: _Sides, name: Named) -> str:
    after = sides.after
    if after.unknown:
        return f"string decided: {after.string}"
    if after.only_moves_pitch and after.fret is not None:
        return f"fret decided: {after.via}{fret_text(after.fret)}"
    pitch, where = _pitch(sides, name), _where(sides.sounds)
    if after.pitch is not None and after.string:
        return f"string decided: {pitch}{_on_string(after)}" + (f", which is {where}" if where else "")
    if known_of(sides.before, sides.sounded) is Known.ITS_PLACE:
        return f"fret decided: {_frets(sides)}"
    return f"place decided: {pitch} at {where}" if pitch and where else "place decided"


def _proposed(sides: _Sides, decided: str) -> str:
    """Of a place that is in doubt: `place proposed: A4 at 3:14 or 2:10`."""
    others = [place(*other) for other in sides.after.other_places] if not sides.before.others else []
    return in_a_row([decided.replace("decided", "proposed", 1), *others], "or")


def placed_in_few_words(change: Change) -> str:
    """`note placed` where string and fret are known now, else what was decided."""
    sides = _sides(change)
    if sides.after.only_moves_pitch or known_of(sides.before, sides.sounded) is Known.ITS_PLACE:
        return "fret decided"
    return "note placed" if sides.sounds is not None and sides.sounds.is_placed else "string decided"


def opened_in_words(before: Note, after: Note) -> str:
    """What is not known any more of a note: `place open again`."""
    if after.unheard:
        return NOT_MADE_OUT
    if after.unknown:
        return f"{'string' if before.unknown else 'pitch'} open again"
    is_place = after.is_open and not after.only_moves_pitch
    return f"{'place' if is_place else 'fret'} open again"


def noted_in_words(before: Note, after: Note) -> str:
    """What became of the pitch noted behind a place, or of its name: `pitch noted: D4`."""
    was, now = before.pitch_heard, after.pitch_heard
    if now is None:
        return "pitch not noted any more"
    return f"pitch noted: {now.name}" if was is None else f"pitch spelled otherwise: {now.name}"


def _readings(before: Note, after: Note, was_on: Instrument, is_on: Instrument) -> str:
    come = [one for one in after.others if one not in before.others]
    went = [one for one in before.others if one not in after.others]
    parts = []
    for one in list(went):
        here = [other for other in come if type(other) is not type(one)]
        other = next((other for other in here if _sounding(other, is_on) == _sounding(one, was_on)), None)
        if other is not None:
            went.remove(one)
            come.remove(other)
            what = f"placed at {_reading(other)}" if isinstance(one, Heard) else f"open again: {_reading(other)}"
            parts.append(f"reading {_reading(one)} {what}")
    added, dropped = [_reading(one) for one in come], [_reading(one) for one in went]
    parts += [
        f"{'reading' if len(some) == 1 else 'readings'} {in_a_row(some, 'and')} {what}"
        for some, what in ((added, "added"), (dropped, "dropped"))
        if some
    ]
    return ", ".join(parts) or "readings in another order"


def _sounding(reading: Place | Heard, instrument: Instrument) -> float | None:
    """The pitch of a reading as a MIDI number; None on a string that is not there."""
    if isinstance(reading, Heard):
        return reading.midi
    return instrument.midi(reading.string, reading.fret) if instrument.has_string(reading.string) else None


def _reading(reading: Place | Heard) -> str:
    return reading_text(reading).removeprefix("=")


def _taken(sides: _Sides) -> str:
    """The other reading that was taken; empty where none was."""
    before, after, _, sounds = sides
    if sounds is None or not before.unsure or after.unsure:
        return ""
    for other in before.others:
        if other == (sounds.string, sounds.fret) or (isinstance(other, Heard) and other.midi == sounds.attack):
            return _reading(other)
    return ""


def _still_open(change: Change) -> str:
    """What is open before and after; empty where that is said already."""
    before, after = _sides(change)[:2]
    if Kind.HEARD in change.kinds or Kind.OPENED in change.kinds:
        return ""
    if after.unknown:
        return "pitch still open" if before.unknown else ""
    is_open = before.pitch is not None and after.pitch is not None and after.string is None and not after.via
    return "place still open" if is_open else ""


def _pitch(sides: _Sides, name: Named) -> str:
    heard = sides.after.pitch_heard or sides.before.pitch_heard
    if heard is not None and (sides.sounds is None or heard.midi == sides.sounds.attack):
        return heard.name
    return name(sides.sounds) if sides.sounds is not None else ""


def _where(timed: TimedNote | None) -> str:
    if timed is None or not timed.string or timed.fret is None:
        return ""
    return place(timed.string, timed.fret)


def _on_string(note: Note) -> str:
    return f" on string {note.string}" if note.string else ""


def _frets(sides: _Sides) -> str:
    """The moves that say a fret where they said a pitch."""
    pairs = zip(sides.before.motions, sides.after.motions, strict=False)
    found = [f"{now.sign}{fret_text(now.fret)}" for was, now in pairs if was.pitch and now.fret is not None]
    return in_a_row(found, "and")


# ---- rhythm and marks


def _of_rhythm(change: Change) -> dict[Kind, str]:
    gap = {Kind.HEARD: gap_in_words(change), Kind.OPENED: "" if Kind.HEARD in change.kinds else gap_in_words(change)}
    if Kind.RESOLVED in change.kinds:
        return gap | {Kind.RHYTHM: "", Kind.RESOLVED: "rhythm settled"}
    if Kind.RAISED in change.kinds:
        return gap | {Kind.RHYTHM: "", Kind.RAISED: "rhythm in doubt"}
    is_doubtful = isinstance(change.after, tuple) and any(
        isinstance(line, BeatLine) and line.doubtful for line in change.after
    )
    return gap | ({Kind.RHYTHM: "other rhythm, still in doubt"} if is_doubtful else {})


def _of_marks(change: Change) -> str:
    """Of the marks of a whole line."""
    return marks_in_words(*map(_marks, (change.before, change.after)))


def _marks(side: object) -> list[Mark]:
    return [mark for mark in side if isinstance(mark, Mark)] if isinstance(side, tuple) else []
