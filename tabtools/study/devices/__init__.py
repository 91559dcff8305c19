"""The devices: one module each. `ALL_DEVICES` names them in the order they are found.

`EXPLANATIONS` propose what the notes of a phrase are, and one choice is made among them (`tabtools.study.explaining`);
`PLAYED` say how a stretch is played, whatever it is; varied answers and returning figures say what a stretch is to an
earlier one.
"""

from types import ModuleType

from tabtools.study.devices import (
    arpeggio,
    blue_note,
    chromatic_run,
    double_stops,
    held_bend,
    moved_cell,
    pedal_note,
    position_shift,
    repeated_cell,
    returning_figure,
    root_cell,
    scale_run,
    sequence,
    stacked_fourths,
    tapped_figure,
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
)
PLAYED: tuple[ModuleType, ...] = (
    moved_cell,
    tapped_figure,
    wide_bend,
    held_bend,
    blue_note,
    position_shift,
)
ALL_DEVICES: tuple[ModuleType, ...] = (*EXPLANATIONS, *PLAYED, varied_answer, returning_figure)
