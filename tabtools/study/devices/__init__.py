"""The devices: one module each. `ALL_DEVICES` names them in the order they are found."""

from types import ModuleType

from tabtools.study.devices import (
    arpeggio,
    chromatic_run,
    moved_cell,
    pedal_note,
    repeated_cell,
    scale_run,
    sequence,
)

ALL_DEVICES: tuple[ModuleType, ...] = (
    arpeggio,
    scale_run,
    chromatic_run,
    repeated_cell,
    moved_cell,
    sequence,
    pedal_note,
)
