"""The devices: one module each. `ALL_DEVICES` names them in the order they are found.

`EXPLANATIONS` propose what the notes of a phrase are, and one choice is made among them (`tabtools.study.explaining`);
`BASS` does the same for the bass of a solo in two voices, and `SHAPES` say what the hands hold and pluck there.
`PLAYED` say how a stretch is played, whatever it is; varied answers and returning figures say what a stretch is to an
earlier one; variations do so where nothing else has.
"""

from types import ModuleType

from tabtools.study.devices import (
    altered_line,
    alternating_bass,
    appoggiatura,
    approach,
    arpeggio,
    bar_dip,
    bass_line,
    bass_pedal,
    bend_figure,
    bend_goal,
    blue_note,
    broken_chord,
    chromatic_run,
    curl,
    double_stops,
    drone,
    grace_into_third,
    guide_tones,
    harmonics,
    held_bend,
    landing,
    moved_cell,
    neighbour_note,
    octave_displacement,
    octaves,
    pedal_note,
    picking_pattern,
    pinch_harmonics,
    position_shift,
    power_chords,
    repeated_cell,
    returning_figure,
    root_cell,
    scale_run,
    sequence,
    stacked_fourths,
    suspension,
    sweep,
    swept_chords,
    tapped_figure,
    tremolo_picking,
    triad_pair,
    variation,
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
    octaves,
    power_chords,
    triad_pair,
    octave_displacement,
    altered_line,
    swept_chords,
    approach,
)
BASS: tuple[ModuleType, ...] = (bass_line, bass_pedal)
SHAPES: tuple[ModuleType, ...] = (
    broken_chord,
    suspension,
    appoggiatura,
    neighbour_note,
    alternating_bass,
    picking_pattern,
    drone,
    harmonics,
)
PLAYED: tuple[ModuleType, ...] = (
    moved_cell,
    tapped_figure,
    wide_bend,
    held_bend,
    bend_figure,
    bend_goal,
    bar_dip,
    blue_note,
    curl,
    grace_into_third,
    sweep,
    pinch_harmonics,
    tremolo_picking,
    guide_tones,
    landing,
    position_shift,
)
ALL_DEVICES: tuple[ModuleType, ...] = (
    *EXPLANATIONS,
    *BASS,
    *SHAPES,
    *PLAYED,
    varied_answer,
    returning_figure,
    variation,
)
