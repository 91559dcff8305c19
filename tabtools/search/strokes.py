"""A solo as searching sees it: one row of strokes, each with its pitch, degree, chord, techniques and time."""

from __future__ import annotations

from dataclasses import dataclass

LOWEST, HIGHEST = 0, 127
OCTAVE = 24
"""In quarter tones."""
CHORD_PARTS = 4
PHRASE = "|"
DEGREE_CELLS = "0123456789AB"


@dataclass(frozen=True, slots=True)
class Strokes:
    """The strokes of a solo in columns, one character a stroke (`search.columns`).

    - `steps` are the intervals from the stroke before, `pitches` the pitches, both in quarter tones.
    - `degrees` and `starts` are the semitones above the root of the chord, 0 to B, where the pitch arrives and where
      it starts.
    - `chords` points into `chord_table` (symbol as written, root, type, bass; spaces between), `plays` into
      `play_table` (techniques; spaces between).
    - `beats` (time until the next stroke), `lengths` (how long it sounds), `proportions` (`beats` over that of the
      stroke before) and `closings` (`lengths` over `beats` of the stroke before) point into `time_table`: quarter
      notes and ratios as `n` or `n/d`.
    - `phrases` has PHRASE where a phrase begins.

    `addresses` and `texts` (what the format would write, every string named) have a space between strokes. `devices`
    has a line each: kind, first and last stroke, sentence (`search.devices`).
    """

    title: str
    player: str
    unreadable_lines: tuple[int, ...]
    steps: str
    pitches: str
    degrees: str
    starts: str
    chords: str
    chord_table: tuple[str, ...]
    plays: str
    play_table: tuple[str, ...]
    beats: str
    lengths: str
    proportions: str
    closings: str
    time_table: tuple[str, ...]
    phrases: str
    addresses: str
    texts: str
    devices: str = ""

    def __len__(self) -> int:
        return len(self.steps)
