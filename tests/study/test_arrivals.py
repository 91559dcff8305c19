"""A note that begins on a pitch that is not known has the degree and the role of the pitch where it arrives."""

from __future__ import annotations

import pytest
from study_cases import timeline_of_text

from tabtools.checks.run import lint
from tabtools.checks.subject import subject_of
from tabtools.source import SourceText
from tabtools.study import study_of

HEAD = "title: Oar\nrights: CC0-1.0\nplayer: B\nmeter: 4/4\nkey: C major\n\nbar 1  C\n"
ARRIVALS = {
    "?h=E4": (None, "E4", "3", "chord tone"),
    "3:?h9": (None, "E4", "3", "chord tone"),
    "3:?h9p=D4": (None, "D4", "2", "scale note"),
    "?b=E4": (None, "E4", "3", "bend target"),
    "?pb=E4": ("E4", "E4", "3", "bend target"),
    "?": (None, None, None, "not known"),
}


@pytest.mark.parametrize("written", ARRIVALS)
def test_it_is_told_by_where_it_arrives(written: str) -> None:
    study = study_of(timeline_of_text(f"{HEAD}1-4  {written}\n"))
    (labels,), (role,), (parts,) = study.labels, study.roles, study.open_parts
    assert (labels.attack_pitch, labels.pitch, labels.degree, role.kind) == ARRIVALS[written]
    assert "pitch" in parts


@pytest.mark.parametrize("line", ["?h=E4 p=D4", "3:?b9 r7", "?pb=E4 r=D4", "? b=E4"])
def test_nothing_is_wrong_with_a_move_from_nobody_knows_where(line: str) -> None:
    found = lint([subject_of(SourceText("oar.solo", f"{HEAD}1-4  {line}\n"))])
    assert {problem.check for problem in found} <= {"open-pitch", "open-place"}


def test_a_bend_from_a_pitch_that_is_not_known_is_no_note_of_a_line() -> None:
    sure, open_bend = (
        study_of(timeline_of_text(f"{HEAD}1-2  {first} =D4 =E4 =F4\n3-4  =G4\n")) for first in ("=C4", "?b=C4")
    )
    assert sure.melody.single[0] == 60
    assert open_bend.melody.single[0] is None
