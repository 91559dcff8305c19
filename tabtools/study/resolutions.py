"""Where a line resolves: to a tone of the next chord by step, as it comes or just after, and what is suspended.

The first note under a new chord, within a count of its beginning, that is a third, a fifth or a seventh of it (or its
root, by a semitone) and a step from the note before resolves that note; so does one that was anticipated. Its role says
so: "B, 3 of G7, to which C, b7 of Dm7, resolves". A suspended note is called that, whatever the chord makes of it, and
names what it gives way to: "F, 4 of C, a 4-3 suspension, gives way to E, 3 of C".
"""

from __future__ import annotations

from collections.abc import Sequence

from tabtools.study.music import Music
from tabtools.study.role import Role
from tabtools.study.suspensions import Suspended

STEP = 2


def with_resolutions(roles: Sequence[Role], music: Music) -> tuple[Role, ...]:
    """The roles; chord tones to which the note before resolves say so."""
    melody = music.melody
    strokes, single, backings = melody.strokes, melody.single, melody.stroke_backings
    found = list(roles)
    for stretch in music.stretches:
        for place in range(stretch.first + 1, stretch.last + 1):
            backing, before = backings[place], backings[place - 1]
            here, there = single[place], single[place - 1]
            if backing is before or here is None or there is None or not 1 <= abs(here - there) <= STEP:
                continue
            index = strokes[place].notes[0]
            role = found[index]
            is_root = backing.root == here % 12
            if role.kind == "chord tone" and backing.chord is not None and (not is_root or abs(here - there) == 1):
                said = f"{role.sentence}, to which {before.said(there % 12)}, resolves"
                found[index] = role._replace(sentence=said)
    return tuple(found)


def with_suspensions(roles: Sequence[Role], music: Music) -> tuple[Role, ...]:
    """The roles; what is suspended says so."""
    found = list(roles)
    for one in music.suspensions:
        found[one.note] = _suspended(found[one.note], one)
    return tuple(found)


def _suspended(role: Role, one: Suspended) -> Role:
    goal = one.backing.said(one.resolved % 12)
    said = ", ".join(role.sentence.split(", ")[:2])
    if one.held_from is not None:
        return role._replace(sentence=f"{said}, held over as a {one.name} suspension, gives way to {goal}")
    sentence = f"{said}, a {one.name} suspension, gives way to {goal}"
    if role.tone == "scale note":
        return role._replace(kind="scale note", rule="suspension", sentence=sentence, target=None)
    if role.tone == "chromatic":
        return role._replace(kind="approach", rule="suspension", sentence=sentence, target=one.goal, uncertain=False)
    return role._replace(sentence=sentence)
