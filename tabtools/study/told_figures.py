"""The kinds of figures whose notes are told by the figure, and not one by one."""

from __future__ import annotations

from tabtools.study.devices import (
    arpeggio,
    chromatic_run,
    double_stops,
    moved_cell,
    octave_displacement,
    repeated_cell,
    sequence,
    stacked_fourths,
    swept_chords,
    triad_pair,
)

FIGURES = frozenset(
    module.KIND
    for module in (
        arpeggio,
        chromatic_run,
        double_stops,
        moved_cell,
        octave_displacement,
        repeated_cell,
        sequence,
        stacked_fourths,
        swept_chords,
        triad_pair,
    )
)
