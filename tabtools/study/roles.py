"""What every note does: its role, and the rule that decided it.

A note is looked at against the chord it begins under (`tabtools.study.backing` says which tones belong there) and
between its neighbours, the strokes before and after it within the phrase; of a double stop, the nearest note. The
core of a chord is the chord up to its seventh, and its bass; a step is one or two semitones, a leap three or more. The
first rule that holds decides. All of them are common practice, made exact here; examples stand over C7 in C mixolydian
where nothing else is said.

- no pitch → no pitch: the note is dead.
- not known → not known: the pitch of the note is not known yet.
- not heard → not known: it is a stretch that cannot be made out yet.
- bent to → bend target: a bend of a semitone or more arrives there, or it is struck bent. `3:7b9`, `3:7pb9`.
- in the chord → chord tone: it is in the core. F over Dm7.
- named by the chord → extension: the symbol asks for it or offers it above the seventh. F# over Em9.
- no scale known → unclear: neither chord nor key says what belongs there. C over A5 without a key. Uncertain.
- anticipation → anticipation: in the core of another chord that begins within a count, and held into it, or struck
  again under it by the next stroke. B at the end of a bar of Dm7 where B begins the bar of G7 after it.
- left early → anticipation: the same where, after a chord, it is left under the next one by a leap to another tone of
  its core. B at the end of a bar of Dm7 where G begins the bar of G7 after it.
- three-note enclosure → enclosure: a step on one side of a chord tone, then two semitones and one semitone away on
  the other side, then the chord tone. F, D and D# in F D D# E.
- two-note enclosure → enclosure: two notes on either side of the chord tone that follows at once, a step away each,
  one of them a semitone. F and D# in F D# E. What of an enclosure is in the core stays a chord tone.
- double approach → approach: two notes outside the core lead by semitones in one direction to a chord tone; the
  second is outside the scale, the first is reached by a leap. D and D# in A D D# E.

Outside the scale:

- chromatic passing → passing tone: between two steps in one direction, one of them a semitone. F# in F F# G.
- chromatic neighbour → neighbour tone: a step away from a tone and back to it. F# in G F# G.
- passing in its voice → passing tone: in double stops, or while a tone on another string is struck again, between two
  steps in one direction in its own voice, one of them a semitone. F in F#+D F+C# E+C over D7, in sixths.
- approach by semitone → approach: a semitone from the next tone, which is in the scale, however it was reached.
  F# at the start of F# G. A minor third that rises to the major third is called that: Eb, b3 of C7, in A Eb E.
- colour of the chord → extension: none of these explains it, the key does not have it, but the chord's own scale does,
  and it can colour the chord as below. Eb over Db7 in C major.
- outside → outside: none of these explains it. F# in A F# C. Uncertain.

Where a device explains such a note it is told as that (`tabtools.study.agreement`): in a named scale → scale note. F#
and C# in a run up E dorian over Em7 in C major. A note outside the scale that leads to another is spelled by that, D#
to E and Gb to F, without a degree where the degree would name another letter.

In the scale:

- leant on → extension: it can colour the chord (over a sixth or seventh chord the 9, 11, #11 or 13, a whole tone or
  more above the chord tone below it) and is given weight: it lasts two counts, or one count and twice as long as the
  stroke before it lasted until it came, or it ends the phrase, or it stands between two leaps. E over Dm7, held.
- suspension → scale note: on a count, a tone of the chord before that is struck again first of all over the new one,
  strange to it, and gives way to a step below (`tabtools.study.suspensions`). F in F | F E, over F and C.
- appoggiatura → scale note: on a beat, reached by a leap, and the next note is a chord tone a step away. F in C F E
  over C, on the beat.
- passing in the scale → scale note: between two steps in one direction. D in C D E.
- neighbour in the scale → scale note: a step away from a tone and back to it. D in E D E.
- in the scale → scale note: anything else. F over Cmaj7, held.

What the transcriber marked with `?` stays uncertain, whatever the rule: the note itself, the chord it stands over, a
count within which chords change. Under a doubtful count nothing is held and nothing anticipated, and no neighbour lies
beyond a note whose pitch is not known.
"""

from __future__ import annotations

from collections.abc import Sequence

from tabtools.model.pitch import Tone, nearest_semitone
from tabtools.study.backing import Backing
from tabtools.study.melody import Melody
from tabtools.study.music import Music
from tabtools.study.open_parts import OpenPart
from tabtools.study.phrases import KnownStretch
from tabtools.study.role import NOT_HEARD, NOT_KNOWN, ROLE_KINDS, SILENT, Role, RoleKind
from tabtools.study.role_rules import NoteInLine, decided
from tabtools.timeline import Timeline
from tabtools.timeline.written_names import written_tone

__all__ = ["ROLE_KINDS", "Role", "RoleKind", "roles_of"]


def roles_of(timeline: Timeline, music: Music, doubts: Sequence[Sequence[OpenPart]]) -> tuple[Role, ...]:
    """The role of each note of the timeline, in its order; `doubts` is what of each is open."""
    melody = music.melody
    bent_to = melody.bent_to
    known: dict[int, dict[int, Role | None]] = {id(backing): {} for backing in melody.backings}
    bounds = [stretch for stretch in music.stretches for _ in range(stretch.first, stretch.last + 1)]
    roles = []
    for note, place, backing, parts in zip(timeline.notes, melody.stroke_of, melody.backings, doubts, strict=True):
        midi = note.midi
        if place is None or midi is None:
            role = NOT_HEARD if note.note.unheard else NOT_KNOWN if note.note.unknown else SILENT
        else:
            pitch = midi if type(midi) is int else nearest_semitone(midi)
            written = written_tone(note.note, pitch)
            if note.index in bent_to:
                role = _bent_to(pitch % 12, backing, written)
            elif written is not None:
                role = _alone(pitch % 12, backing, written) or _between(melody, place, bounds[place], pitch, written)
            else:
                alone = known[id(backing)]
                if pitch % 12 not in alone:
                    alone[pitch % 12] = _alone(pitch % 12, backing, None)
                role = alone[pitch % 12] or _between(melody, place, bounds[place], pitch, None)
        if parts and ("reading" in parts or (role.tone and "chord" in parts)):
            role = role._replace(uncertain=True)
        roles.append(role)
    return tuple(roles)


def _bent_to(pitch_class: int, backing: Backing, written: Tone | None) -> Role:
    tone = backing.tones[pitch_class]
    return Role("bend target", "bent to", tone, f"bent to {backing.said(pitch_class, tone == 'extension', written)}")


def _alone(pitch_class: int, backing: Backing, written: Tone | None) -> Role | None:
    """The role that chord and key decide whatever stands around."""
    tone = backing.tones[pitch_class]
    said = backing.said(pitch_class, tone == "extension", written)
    if tone == "chord tone":
        return Role("chord tone", "in the chord", tone, said)
    if tone == "extension":
        return Role("extension", "named by the chord", tone, f"{said}, which the chord names")
    if tone == "":
        return Role("unclear", "no scale known", tone, f"{said}, with no scale to place it in", uncertain=True)
    return None


def _between(melody: Melody, place: int, stretch: KnownStretch, pitch: int, written: Tone | None) -> Role:
    first, last, phrase_last = stretch
    before = _nearest(melody, place - 1, pitch, is_after=False) if place > first else None
    after = _nearest(melody, place + 1, pitch, is_after=True) if place < last else None
    struck, backing = melody.strokes[place], melody.stroke_backings[place]
    gap = 0 if after is None else abs(after - pitch)
    return decided(
        NoteInLine(melody, place, first, last, phrase_last, pitch, backing, before, after, written, struck, gap)
    )


def _nearest(melody: Melody, place: int, pitch: int, is_after: bool) -> int:
    """The pitch beside a note: of several the nearest, the higher of two as near."""
    struck = melody.strokes[place]
    if len(struck.pitches) == 1:
        return struck.entry if is_after else struck.top
    return min(struck.pitches, key=lambda other: (abs(other - pitch), -other))
