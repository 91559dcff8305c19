"""The roles of notes where two voices sound: each note between the neighbours of its own voice.

The rules are those of `tabtools.study.roles`. A note of the tune is looked at between notes of the tune, fill among all
that stands above the bass, a bass note between bass notes. What is a tone of the chord in the bass is said to be that:
the root in the bass, the fifth in the bass; whatever else stands there is said to be in the bass.
"""

from __future__ import annotations

from collections.abc import Sequence

from tabtools.study.devices.wording import BASS_WORDS
from tabtools.study.music import Music
from tabtools.study.open_parts import OpenPart
from tabtools.study.role import Role
from tabtools.study.roles import roles_of
from tabtools.timeline import Timeline


def roles_in_voices(timeline: Timeline, music: Music, doubts: Sequence[Sequence[OpenPart]]) -> tuple[Role, ...]:
    """The role of each note of the timeline, in its order; `doubts` is what of each is open."""
    roles = list(roles_of(timeline, music.upper_voice, doubts))
    tune, bass = (roles_of(timeline, voice, doubts) for voice in (music.tune, music.lower_voice))
    in_the_tune = music.tune.melody.stroke_of
    for at in range(len(roles)):
        if at in music.bass:
            roles[at] = _in_the_bass(bass[at], music, at)
        elif in_the_tune[at] is not None:
            roles[at] = tune[at]
    return tuple(roles)


def _in_the_bass(role: Role, music: Music, note: int) -> Role:
    backing = music.melody.backings[note]
    if role.rule != "in the chord" or backing.chord is None:
        return role._replace(sentence=f"{role.sentence}, in the bass")
    place = music.melody.stroke_of[note]
    pitches = music.melody.strokes[place].pitches if place is not None else ()
    number = int(backing.degrees[pitches[-1] % 12][-1]) if pitches else 1
    word = BASS_WORDS[number]
    return role._replace(sentence=f"{role.sentence}, the {word} in the bass")
