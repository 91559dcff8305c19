"""The devices: one module each. `ALL_DEVICES` names them in the order they are found.

`EXPLANATIONS` propose what the notes of a phrase are, and one choice is made among them (`tabtools.study.explaining`);
`PLAYED` say how a stretch is played, whatever it is; varied answers and returning figures say what a stretch is to an
earlier one.
"""

from types import ModuleType

from tabtools.study.devices import (
    approach,
    arpeggio,
    blue_note,
    chromatic_run,
    curl,
    double_stops,
    grace_into_third,
    guide_tones,
    held_bend,
    moved_cell,
    octave_displacement,
    pedal_note,
    position_shift,
    power_chords,
    repeated_cell,
    returning_figure,
    root_cell,
    scale_run,
    sequence,
    stacked_fourths,
    sweep,
    tapped_figure,
    triad_pair,
    varied_answer,
    wide_bend,
)

EXPLANATIONS: tuple[ModuleType, ...] = (
    arpeggio,
    scale_run,
    chromatic_run,
    stacked_fourths,
    root_cell,
    repeated_cell,
    sequence,
    pedal_note,
    double_stops,
    power_chords,
    triad_pair,
    octave_displacement,
    approach,
)
PLAYED: tuple[ModuleType, ...] = (
    moved_cell,
    tapped_figure,
    wide_bend,
    held_bend,
    blue_note,
    curl,
    grace_into_third,
    sweep,
    guide_tones,
    position_shift,
)
ALL_DEVICES: tuple[ModuleType, ...] = (*EXPLANATIONS, *PLAYED, varied_answer, returning_figure)
