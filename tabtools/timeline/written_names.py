"""The names that the writer gave to the pitches of a note: behind its place, instead of one, or where a move goes."""

from __future__ import annotations

from tabtools.model.pitch import Tone, nearest_semitone, parse_tone
from tabtools.model.solo import Note


def written_tone(note: Note, midi: float) -> Tone | None:
    """How a pitch of a note (a MIDI number) was spelled as it was heard: F# for that of `3:11=F#4`; None where it was
    not written."""
    if note.heard is None and note.pitch is None and not note.motions:
        return None
    nearest = nearest_semitone(midi)
    for heard in (note.heard, note.pitch, *(motion.pitch for motion in note.motions)):
        if heard is not None and heard.midi == nearest:
            return parse_tone(heard.name.rstrip("-0123456789"))
    return None
