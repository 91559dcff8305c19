"""What it costs to say something of a phrase, in bits: `site_docs/explaining.md` has the table in words.

The figures are judgement, held against phrases that musicians had explained beforehand. A bit more doubles how unlikely
a thing is held to be before it is heard: rare claims need more notes that bear them out.
"""

from __future__ import annotations

LEFT_OUT = 4.0
"""A note that nothing explains: of some sixteen notes any might have come next."""
LEFT_OUT_OUTSIDE = 6.0
"""The same of a note outside chord and scale."""
LEFT_OUT_BESIDE = 2.0
"""Each further note of a stroke."""
WORTH_TELLING = 3.0
"""What an explanation has to save to be told."""

NAMING = {
    "arpeggio": 2.0,
    "scale run": 2.5,
    "chromatic run": 3.5,
    "stacked fourths": 3.5,
    "root cell": 3.5,
    "repeated cell": 4.0,
    "sequence": 4.0,
    "pedal note": 3.0,
    "double stops": 3.0,
    "octaves": 3.0,
    "power chords": 3.0,
    "approach": 4.0,
    "triad pair": 4.0,
    "octave displacement": 4.0,
    "altered line": 4.0,
    "swept chords": 2.0,
    "bass line": 3.0,
    "bass pedal": 3.0,
    "ostinato": 3.5,
    "moving line": 3.5,
}
"""Naming a kind: the more usual, the cheaper."""

NOTE = {
    "arpeggio": 1.5,
    "scale run": 0.5,
    "chromatic run": 0.3,
    "stacked fourths": 0.5,
    "root cell": 0.5,
    "double stops": 1.5,
    "octaves": 1.5,
    "power chords": 1.5,
    "approach": 1.5,
    "triad pair": 0.5,
    "octave displacement": 0.5,
    "altered line": 1.5,
    "bass line": 0.5,
    "moving line": 1.0,
}
"""Each stroke of it, once the kind is known."""

FIRST_TIME = 2.5
"""A stroke of a figure when it is played first, before it comes again; less where something else explains it."""
AGAIN = 0.2
"""A stroke of a figure that comes again, or of a pedal note."""
MOVED = 1.5
"""How far the figure moves each time it comes again."""

ROOT = 1.5
"""Each note of a bass that has the roots of the chords."""
BASS_BETWEEN = 1.0
"""What the bass plays between the notes of its line, or of its pedal, each stroke."""

DISPLACED = 0.5
"""Each leap to another octave in a line that goes on by step."""

SOUNDING_CHORD, TOP_OF_CHORD, OTHER_IN_SCALE, SUPERIMPOSED = 1.0, 2.0, 3.0, 6.0
"""Which chord: the one that sounds; one of its upper tones; another within the scale of the moment; a strange one."""
RARE_SHAPE = 5.0
"""A minor chord with a major seventh, an augmented one, where it is not the sounding chord."""
OWN_SCALE, USUAL_SCALE, RARE_SCALE = 1.0, 4.0, 8.0
"""Which scale: the one of chord or key; a usual one elsewhere; a rare one."""
EXCEPTION = 4.0
"""A passing note, where the rest of a run lies in the scale."""

CUT_SHORT = 4.0
"""A run that ends though the line goes on the same way by a step."""

OFF_THE_BEAT = 1.5
IN_A_SLUR = 2.0
IN_A_CELL = 3.0
TURN = 1.0
"""Each turn of direction but the first within an arpeggio of six notes or fewer."""
STRUCK_AGAIN = 1.5
"""A pitch struck again at once within an arpeggio."""
FAR_LEAP = 4.0
"""A leap of more than an octave within an arpeggio: another voice, as a rule."""
BREATH = 4.0
"""A silence of half a count or more within an arpeggio."""
LEANT = 3.0
"""A first note of an arpeggio that is foreign to the chord and gives way to one of its tones by a semitone."""
ACROSS_CHORDS = 5.0
"""Notes of an arpeggio on the other side of a change of chord, for each change."""
EARLY = 2.5
"""One note that comes before the chord it belongs to."""
GOAL = 6.0
"""Where a bend leads, amid the tones of an arpeggio."""
NINTH, NINTH_STACKED = 5.0, 2.0
"""A ninth on top of a chord whose symbol does not ask for it; the same where its thirds are stacked one way."""
JOINED = 1.5
"""What it saves that one explanation begins with the note another ends with."""

RETURN = 7.0
"""Saying that a stretch comes again, and where it was."""
ANOTHER_PITCH, AN_OCTAVE = 3.0, 1.0
TURNED_ROUND = 4.0
"""What comes again upside down."""
BY_STEPS = 1.0
"""What comes again by the same steps of the key, but other intervals."""
SAME_RHYTHM = 1.5
"""What a return in the same rhythm saves besides, for every change of that rhythm."""
WHOLE_PHRASE = 3.0
"""What a return saves that is a whole phrase, there and here."""
LOOSE_END = 6.0
"""A return that begins within what was explained, there or here."""
