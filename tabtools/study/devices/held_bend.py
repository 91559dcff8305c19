"""A bend under a string that is held or rings on, and the unison bend.

Found: strokes of two notes of which one is bent by a semitone or more and the other is not, one after another within a
phrase as long as they do the same; and a single note that is bent while the one before it rings on. Where the bent
string arrives at the pitch of the other it is a unison bend.

`data`: `unison` (whether it is one), `from`, `to` and `held` (degrees over the chord, in either style, None without
chord and key), `let_down` (whether the bent string is heard falling back), `times`, `over` (the symbol, None
for no chord).

Example: `3:14b16+2:15` over G is "bend under a held string, 2 to 3 of G under 5".
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import NamedTuple

from tabtools.model.pitch import nearest_semitone
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import often
from tabtools.study.music import Music

KIND = "held bend"


class HeldPair(NamedTuple):
    """Pitch classes: where the bend leaves and arrives, and what is held; whether both arrive at one pitch."""

    leaves: int
    arrives: int
    held: int
    is_unison: bool
    is_above: bool


def find(music: Music) -> Iterator[Device]:
    """Each row of such bends, in order."""
    if not music.melody.bent_to:
        return
    for phrase in music.phrases:
        places = range(phrase.first, phrase.last + 1)
        for pair, same in groupby(places, key=lambda place: pair_of(music, place)):
            if pair is not None:
                for _, own in groupby(same, key=music.melody.backing):
                    yield _device(music, pair, list(own))


def pair_of(music: Music, place: int) -> HeldPair | None:
    """The bend and what is held beside it; None where a stroke is none."""
    struck = music.melody.strokes[place]
    notes = music.melody.timeline.notes
    is_single = len(struck.pitches) == 1
    if struck.has_unknown or len(struck.pitches) > 2 or (is_single and struck.notes[0] not in music.melody.bent_to):
        return None
    sounding = [(index, pitch) for index, pitch in zip(struck.notes, struck.pitches, strict=True)]
    if is_single:
        sounding += _ringing(music, place)
    if len(sounding) != 2:
        return None
    bent = [
        index in music.melody.bent_to and notes[index].address == notes[struck.notes[0]].address
        for index, _ in sounding
    ]
    if bent[0] == bent[1]:
        return None
    at = bent.index(True)
    arrives, held = sounding[at][1], sounding[1 - at][1]
    leaves = nearest_semitone(min(notes[sounding[at][0]].path))
    return HeldPair(leaves % 12, arrives % 12, held % 12, arrives == held, held > arrives)


def _ringing(music: Music, place: int) -> list[tuple[int, int]]:
    """What was struck just before, alone, and rings on while this string is bent."""
    if place == 0 or music.melody.single[place - 1] is None:
        return []
    before, struck = music.melody.strokes[place - 1 : place + 1]
    return [(before.notes[0], before.top)] if before.release >= struck.release else []


def is_let_down(music: Music, place: int) -> bool:
    """Whether the bent string is heard falling back."""
    strokes, notes = music.melody.strokes, music.melody.timeline.notes
    if place + 1 == len(strokes):
        return False
    return any(
        notes[index].via == "r" and notes[index].origin in strokes[place].notes for index in strokes[place + 1].notes
    )


def _device(music: Music, pair: HeldPair, places: list[int]) -> Device:
    backing = music.melody.backing(places[0])
    names = backing.told or backing.names
    of = f" of {backing.place}" if backing.degrees else ""
    if pair.is_unison:
        said = f"unison bend, {names[pair.leaves]} to {names[pair.arrives]}{of}"
    else:
        said = f"bend {'under' if pair.is_above else 'above'} a held string, "
        said += f"{names[pair.leaves]} to {names[pair.arrives]}{of} "
        said += f"{'under' if pair.is_above else 'above'} {names[pair.held]}"
    falls = is_let_down(music, places[-1])
    said += ", let down" if falls and len(places) == 1 else ""
    if len(places) > 1:
        said += f", {often(len(places))}"
    data = {
        "unison": pair.is_unison,
        "from": names[pair.leaves] if backing.degrees else None,
        "to": names[pair.arrives] if backing.degrees else None,
        "held": names[pair.held] if backing.degrees else None,
        "let_down": falls,
        "times": len(places),
        "over": backing.symbol,
    }
    return music.device(KIND, places[0], places[-1], said, data, main=False)
