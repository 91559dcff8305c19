"""An ordinary bend that carries its phrase: where it leads, whether it stays there, and where it is let down.

Found: in each phrase the note bent up by a semitone or a whole tone whose goal is held for a pulse or longer, on a
count for half of one, and is the longest note of the phrase but the last; of several the first. What is bent before
it is struck, goes on to another height, or has a string held beside it is told as that; three semitones and more are
a wide bend. The same bend later in the solo, in whatever octave, is counted with the first, with what it is over
other chords.

`data`: `semitones`, `from` and `to` (names), `degree` (of the goal over its chord, in either style, None without chord
and key), `held` (a pulse or longer), `let_down` (whether it is heard falling back), `times`, `over` (the symbol),
`later` (degrees over other chords, later on).

Example: `3:7b9 - - -` then `r7` over A7 is "bend of a whole tone, D to E, 5 of A7, held and let down".
"""

from __future__ import annotations

from collections.abc import Iterator

from tabtools.model.pitch import nearest_semitone
from tabtools.study.devices.device import Device
from tabtools.study.devices.held_bend import is_let_down, pair_of
from tabtools.study.devices.wording import INTERVALS, listed, often
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music
from tabtools.study.phrases import Phrase, pulse_of

KIND = "bend goal"
WIDEST = 2
MOST_LATER = 3
"""Other chords that are told."""


def find(music: Music) -> Iterator[Device]:
    """Each such bend, in order of the first time it is played."""
    found: dict[tuple[int, int], list[int]] = {}
    for phrase in music.phrases if music.goals else ():
        place = _longest_goal(music, phrase)
        if place is not None:
            tones = _left(music, place) % 12, music.melody.strokes[place].top % 12
            found.setdefault(tones, []).append(place)
    for places in found.values():
        yield _device(music, places)


def _longest_goal(music: Music, phrase: Phrase) -> int | None:
    """The bend whose goal is held longest, where only the last note of the phrase may be longer."""
    places = range(phrase.first, phrase.last + 1)
    if music.goals.isdisjoint(places) or any(music.melody.strokes[place].doubt for place in places):
        return None
    longest = max([_length(music, place) for place in places[:-1]], default=0)
    for place in places:
        if place in music.goals and _length(music, place) >= longest and _is_ordinary(music, place, phrase.last):
            return place
    return None


def _length(music: Music, place: int) -> int:
    """How long a note is heard before anything else is, in ticks."""
    strokes = music.melody.strokes
    ends = strokes[place].release
    return (min(ends, strokes[place + 1].onset) if place + 1 < len(strokes) else ends) - strokes[place].onset


def _is_ordinary(music: Music, place: int, last: int) -> bool:
    """Whether it is a plain bend, long enough to be heard as a goal."""
    struck, note = music.melody.strokes[place], music.melody.timeline.notes[music.melody.strokes[place].notes[0]]
    length, pulse = _length(music, place), pulse_of(struck)
    if music.melody.single[place] is None or length < (pulse / 2 if struck.is_on_beat else pulse):
        return False
    if not 1 <= struck.top - _left(music, place) <= WIDEST or any(motion.sign == "pb" for motion in note.motions):
        return False
    goes_on = (place < last and _via(music, place + 1) == "b") or (note.via == "b" and place - 1 in music.goals)
    return not goes_on and pair_of(music, place) is None


def _left(music: Music, place: int) -> int:
    """The pitch that is bent."""
    note = music.melody.timeline.notes[music.melody.strokes[place].notes[0]]
    return nearest_semitone(min(note.path))


def _via(music: Music, place: int) -> str:
    return music.melody.timeline.notes[music.melody.strokes[place].notes[0]].via


# ---- what is said


def _device(music: Music, places: list[int]) -> Device:
    melody = music.melody
    place = places[0]
    left, goal = _left(music, place), melody.strokes[place].top
    backing = melody.backing(place)
    names = backing.names
    degree = backing.told[goal % 12] if backing.degrees else None
    is_held = _length(music, place) >= pulse_of(melody.strokes[place])
    falls = is_let_down(music, place)
    said = f"bend of {INTERVALS[goal - left]}, {names[left % 12]} to {names[goal % 12]}"
    said += f", {degree} of {backing.place}" if degree else ""
    is_always = all(is_let_down(music, other) == falls for other in places)
    ways = ["held"] * is_held + [f"let down{'' if is_always else ' the first time'}"] * falls
    said += f", {listed(ways)}" if ways else ""
    said += f", {often(len(places))} in this solo" if len(places) > 1 else ""
    later = _later(music, goal, places) if degree else {}
    if later:
        said += f"; {listed([f'{degree} of {over}' for over, degree in later.items()])} later on"
    data = {
        "semitones": goal - left,
        "from": names[left % 12],
        "to": names[goal % 12],
        "degree": degree,
        "held": is_held,
        "let_down": falls,
        "times": len(places),
        "over": backing.symbol,
        "later": list(later.values()),
    }
    first = melody.strokes[place].notes[0]
    return Device(KIND, stretch_of(melody.timeline.notes, first, first), (first,), said, data, main=False)


def _later(music: Music, goal: int, places: list[int]) -> dict[str, str]:
    """The chords under which the same bend has another degree, with that."""
    first = music.melody.backing(places[0])
    backings = dict.fromkeys(music.melody.backing(place) for place in places[1:])
    found = {
        backing.place: backing.told[goal % 12]
        for backing in backings
        if backing.degrees and backing.told[goal % 12] != first.told[goal % 12]
    }
    return dict(list(found.items())[:MOST_LATER])
