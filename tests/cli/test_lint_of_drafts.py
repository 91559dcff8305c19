"""tabtools lint of solos of which much is not known yet."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from invoked import tabtools, write

DRAFT = """\
title:        Rope Ferry
player:       the Slipway Trio
rights:       CC0-1.0
meter:        4/4
draft:        yes

bar 1  Am7
1-2  =E4 =G4
3-4  =A4 - ? -

bar 2  D7?
1-4  =C4 =E4

bar 3  Am7
1-3  =A3?
"""


def test_many_notes_of_one_kind_are_told_in_one_behind_the_errors(folder: Path) -> None:
    write(folder, dusk=DRAFT)
    assert tabtools("lint", "dusk.solo") == (
        1,
        "dusk.solo:14:1: error: bar 3: count 4 of 4/4 is missing [bar-duration]\n"
        "   14 | bar 3  Am7\n"
        "      | ^^^^^^^^^^\n"
        "        write what is played there, - if a note is held, . for a rest\n"
        "\n"
        "dusk.solo:9:12: remark: 1.3.2: the pitch of this note is not known yet [open-pitch]\n"
        "    9 | 3-4  =A4 - ? -\n"
        "      |            ^\n"
        "        listen again; write the pitch as soon as you have it, like =D4\n"
        "\n"
        "dusk.solo:11:8: remark: bar 2: D7 is not certain [open-chord]\n"
        "   11 | bar 2  D7?\n"
        "      |        ^^^\n"
        "        listen to the bass and the band again, and take the ? away when sure\n"
        "\n"
        "dusk.solo:15:6: remark: 3.1.1: =A3 is an uncertain reading [unsure-reading]\n"
        "   15 | 1-3  =A3?\n"
        "      |      ^^^^\n"
        "        listen again, and take the ? away when sure\n"
        "\n"
        "dusk.solo:8:6: remark: 6 notes have no place or no fret yet [open-place]\n"
        "        in bars 1 to 3; tabtools todo dusk.solo lists them, --all shows each\n"
        "\n"
        "1 error, 9 remarks in 1 of 1 solo\n",
        "",
    )


@pytest.mark.parametrize("wish", [["--all"], ["--select", "open-place"]])
def test_who_asks_for_each_is_told_each(folder: Path, wish: list[str]) -> None:
    write(folder, dusk=DRAFT)
    assert tabtools("lint", "dusk.solo", *wish).out.count("[open-place]") == 6


def test_json_and_standard_input_have_each_note_by_itself(folder: Path) -> None:
    write(folder, dusk=DRAFT)
    assert (
        sum(one["check"] == "open-place" for one in json.loads(tabtools("lint", "--format", "json", "dusk.solo").out))
        == 6
    )
    assert tabtools("lint", "-", text=DRAFT).out.count("[open-place]") == 6


def test_each_solo_tells_its_own_notes_together(folder: Path) -> None:
    few = DRAFT.replace("1-2  =E4 =G4\n3-4  =A4 - ? -", "1-4  ?")
    write(folder, dawn=few, dusk=DRAFT, noon=DRAFT)
    out = tabtools("lint", ".").out
    assert out.count("6 notes have no place or no fret yet [open-place]") == 2
    assert out.count("tabtools todo dusk.solo lists them") == 1
    assert sum(row.startswith("dawn.solo") and "[open-place]" in row for row in out.splitlines()) == 3


def test_a_draft_full_of_open_things_passes_also_if_strict(folder: Path) -> None:
    write(folder, dusk=DRAFT.replace("1-3  =A3?", "1-4  =A3?"))
    assert tabtools("lint", "--strict", "dusk.solo").status == 0


def test_what_is_told_together_can_be_allowed(folder: Path) -> None:
    write(folder, dusk=DRAFT.replace("bar 1  Am7", "# allow open-place: found next week\nbar 1  Am7"))
    out = tabtools("lint", "dusk.solo").out
    assert out.count("[open-place]") == 3
    assert "unused-permission" not in out
