"""The devices: one module each. `ALL_DEVICES` names them in the order they are found."""

from types import ModuleType

from tabtools.study.devices import arpeggio, chromatic_run, repeated_cell, scale_run

ALL_DEVICES: tuple[ModuleType, ...] = (arpeggio, scale_run, chromatic_run, repeated_cell)
