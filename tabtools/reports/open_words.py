"""What is open in a solo, in a musician's words, for the terminal and for pages alike."""

from __future__ import annotations

from collections.abc import Sequence

from tabtools.checks import alternative_pitch, open_chord, open_pitch, open_place, open_rhythm, unsure_reading
from tabtools.checks.wording import first_arrival, fret_text, in_a_row, place, which_place, written, written_with_goals
from tabtools.model.rhythm import clock_in_tenths
from tabtools.model.solo import AddressRange, Heard, Place, notes_of
from tabtools.notation.move_words import goal_not_known
from tabtools.study.open_things import OpenKind, OpenThing
from tabtools.study.periods import ORDINALS
from tabtools.timeline import TimedNote
from tabtools.wording import several

OPEN_CHECKS = frozenset(
    check.NAME for check in (open_pitch, open_place, open_rhythm, open_chord, unsure_reading, alternative_pitch)
)
"""What these find is only not known for certain yet, and said in other words here."""


def what_is_open(thing: OpenThing) -> str:
    """`the pitch of this note is not known yet`, `D4 has no place on the neck yet`."""
    if thing.kind is OpenKind.PITCH:
        return _pitch(thing)
    if thing.kind is OpenKind.RHYTHM:
        return "the rhythm is not known yet"
    if thing.kind is OpenKind.READING:
        return _reading(thing)
    if thing.kind is OpenKind.CHORD:
        assert thing.chord is not None
        return f"the chord {thing.chord.symbol} is not certain"
    return _place(thing)


def what_is_open_to_readers(thing: OpenThing) -> str:
    """The same for those who do not read the file: `string 2 fret 12 is not certain; it may be string 3 fret 16`."""
    if thing.kind is not OpenKind.READING:
        return what_is_open(thing)
    (timed,) = thing.notes
    return _doubt(_spoken(timed), [_spoken_place(other) for other in timed.note.others], thing)


def how_much(things: Sequence[OpenThing]) -> str:
    """`1 gap, 3 pitches, 2 uncertain chords`: each kind, its notes one by one; empty where nothing is."""
    counts = dict.fromkeys(("gap", *_NOUNS.values()), 0)
    for thing in things:
        counts["gap" if thing.is_stretch else _NOUNS[thing.kind]] += 1 if thing.is_stretch else _counted(thing)
    return ", ".join(several(count, noun) for noun, count in counts.items() if count)


_NOUNS = {
    OpenKind.PITCH: "pitch",
    OpenKind.RHYTHM: "rhythm",
    OpenKind.READING: "uncertain reading",
    OpenKind.CHORD: "uncertain chord",
    OpenKind.PLACE: "place",
    OpenKind.FRET: "unwritten fret",
}


def _counted(thing: OpenThing) -> int:
    return len(thing.notes) if thing.kind in (OpenKind.PITCH, OpenKind.PLACE, OpenKind.FRET) else 1


def where(stretch: AddressRange, dash: str = "-") -> str:
    """`bar 5`, `bars 5-8`, `bar 5, count 3`, `bar 5, counts 3-4`; strokes are left out, and counts over bars."""
    first, last = stretch
    if first.bar != last.bar:
        return f"bars {first.bar}{dash}{last.bar}"
    if first.count is None:
        return f"bar {first.bar}"
    if last.count in (None, first.count):
        return f"bar {first.bar}, count {first.count}"
    return f"bar {first.bar}, counts {first.count}{dash}{last.count}"


def when(thing: OpenThing) -> str:
    """Where it is in the recording, `0:42.3`; empty where that is not known."""
    return "" if thing.starts is None else clock_in_tenths(thing.starts)


def _pitch(thing: OpenThing) -> str:
    if thing.is_stretch:
        return "what is played here cannot be made out yet"
    begun = [timed for timed in thing.notes if not timed.note.only_moves_pitch]
    goals = [timed for timed in thing.notes if timed.note.only_moves_pitch]
    how_far = goal_not_known(goals[0].note) if len(goals) == 1 else f"how far the pitch goes at {len(goals)} places"
    if not begun:
        return f"{how_far} is not known yet"
    return _pitches(begun) + (f", nor {how_far}" if goals else "")


def _pitches(notes: Sequence[TimedNote]) -> str:
    string = _their_string(notes)
    on_string = f" on string {string}" if string else ""
    if len(notes) == 1:
        which = _which(notes[0])
        if arrival := first_arrival(notes[0]):
            return f"{which}{on_string} comes to {arrival} from a pitch that is not known yet"
        return f"the pitch of {which}{on_string} is not known yet"
    return f"the pitches of {len(notes)} notes{on_string} are not known yet"


def _which(timed: TimedNote) -> str:
    """The note is named by its place in its line where the count alone does not tell which it is."""
    stroke, line = timed.address.stroke or 0, timed.line
    notes = [note for note in notes_of(line) if not note.only_moves_pitch]
    is_one_of_several = line.first == line.last and len(notes) > 1 and not any(note.unheard for note in notes)
    is_named = (line.doubtful or is_one_of_several) and 0 < stroke < len(ORDINALS)
    return f"the {ORDINALS[stroke]} note" if is_named else "this note"


def _reading(thing: OpenThing) -> str:
    note = thing.notes[0].note
    others = [other.name if isinstance(other, Heard) else place(*other) for other in note.others]
    if not others and note.motions and (said := written_with_goals(note)) != written(note):
        return f"{said} is not certain"
    return _doubt(note.pitch.name if note.pitch else written(note), others, thing)


def _doubt(said: str, others: list[str], thing: OpenThing) -> str:
    """A doubt of the ear names pitches, a doubt of the place names places: `3:11 is F#4; it may be F4 at 3:10`."""
    own, *pitches = thing.pitches or ("",)
    if thing.only_place:
        return which_place(own, [said, *others])
    if any(pitch != own for pitch in pitches) and own != said:
        places: dict[str, list[str]] = {}
        for pitch, other in zip(pitches, others, strict=True):
            places.setdefault(pitch, []).append(other)
        named = [f"{pitch} at {in_a_row(said_at, 'or')}" for pitch, said_at in places.items()]
        return f"{said} is {own}; it may be {in_a_row(named, 'or')}"
    if others:
        return f"{said} is not certain; it may be {in_a_row(others, 'or')}"
    return f"{said} ({own}) is not certain" if own not in ("", said) else f"{said} is not certain"


def _spoken(timed: TimedNote) -> str:
    note = timed.note
    if note.pitch:
        return note.pitch.name
    if note.dead:
        return f"the dead note on string {timed.string}"
    if note.touch is not None:
        return f"the harmonic on string {timed.string}, touched at fret {fret_text(note.touch)},"
    assert note.fret is not None, "a note that is unsure is a place or a pitch"
    return _spoken_place(Place(timed.string, note.fret))


def _spoken_place(other: Place | Heard) -> str:
    if isinstance(other, Heard):
        return other.name
    fret = f"fret {fret_text(other.fret)}"
    return f"string {other.string} {fret}" if other.string else fret


def _place(thing: OpenThing) -> str:
    """The pitches that begin a note have no place; those that it goes to have no fret."""
    notes = [timed.note for timed in thing.notes]
    own = (
        note.pitch or next((goal.pitch for goal in note.motions if note.unknown and goal.pitch), None) for note in notes
    )
    names = list(dict.fromkeys(pitch.name for pitch in own if pitch))
    goals = list(dict.fromkeys(goal.pitch.name for note in notes for goal in note.motions if goal.pitch))
    if not names:
        return f"where the note goes to {in_a_row(goals, 'and')}, the fret is not written yet"
    have = "has" if len(names) == 1 else "have"
    if thing.kind is OpenKind.FRET:
        string = _their_string(thing.notes)
        which = in_a_row(names, "and") + (f" on string {string}" if string else "")
        return f"{which} {'is not written as a fret' if len(names) == 1 else 'are not written as frets'} yet"
    return f"{in_a_row(names, 'and')} {have} no place on the neck yet"


def _their_string(notes: Sequence[TimedNote]) -> int:
    """The string that all of some notes are on; 0 where that is not known, or not one."""
    strings = {timed.string for timed in notes}
    return strings.pop() if len(strings) == 1 else 0
