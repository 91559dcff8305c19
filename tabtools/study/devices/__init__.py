"""The devices: one module each. `ALL_DEVICES` names them in the order they are found."""

from types import ModuleType

from tabtools.study.devices import (
    arpeggio,
    chromatic_run,
    double_stops,
    moved_cell,
    pedal_note,
    position_shift,
    repeated_cell,
    returning_figure,
    scale_run,
    sequence,
    tapped_figure,
    wide_bend,
)

ALL_DEVICES: tuple[ModuleType, ...] = (
    arpeggio,
    scale_run,
    chromatic_run,
    repeated_cell,
    moved_cell,
    sequence,
    pedal_note,
    double_stops,
    tapped_figure,
    wide_bend,
    position_shift,
    returning_figure,
)
