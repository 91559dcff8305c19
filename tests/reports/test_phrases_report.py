"""What annotate says of phrases, in its own words."""

from __future__ import annotations

import json
import re

from click.testing import CliRunner

from tabtools.cli import main
from tabtools.study.telling import FEWEST

SOLO = """\
title: Low Tide
player: Ida Marlow
rights: CC0-1.0
key: C major
meter: 4/4

bar 1  Dm7
1    5:5 4:3
2    4:7 3:5
3-4  4:7 - - .

bar 2  Cmaj7
1    4:5 4:6
2    4:7 4:8
3-4  4:9 - - .

bar 3  Cmaj7
1-4  3:5
"""


def annotate(*options: str) -> str:
    result = CliRunner().invoke(main, ["annotate", "-", *options], input=SOLO, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def test_phrases_below_the_tab() -> None:
    below = annotate("--phrases").partition("What the phrases do\n")[2]
    devices, _, whole = below.partition("\n\nThe whole solo\n")
    assert devices.splitlines() == [
        "  1.1-1.3  Dm7 arpeggio over Dm7: 1 b3 5 b7",
        "  2.1-2.3  chromatic run up over Cmaj7: 5 b6 6 b7 7",
        "  2.3  lands on B, 7 of Cmaj7, and stays",
    ]
    assert "  chord tones on strong beats: 100%\n" in whole
    assert "  over m7: 5 ×2, 1 ×1, b3 ×1, b7 ×1\n" in whole
    assert max(len(line) for line in below.splitlines()) <= 80


def test_only_the_bars_asked_for() -> None:
    below = annotate("--phrases", "--bars", "1").partition("What the phrases do\n")[2]
    assert "Cmaj7" not in below.partition("The whole solo")[0]
    assert "  nothing that has a name here\n" in annotate("--phrases", "--bars", "3")


def test_of_many_devices_the_less_telling_are_told_by_their_places() -> None:
    run = "1  1:8 1:5\n2  2:8 2:5\n3  3:7 3:5\n4  4:7 .\n"
    bars = "\n".join(f"bar {number}  Am7\n{run}" for number in range(1, 11))
    solo = SOLO.partition("bar 1")[0] + bars
    told = CliRunner().invoke(main, ["annotate", "-", "--phrases"], input=solo, catch_exceptions=False).output
    devices = told.partition("What the phrases do\n")[2].partition("\n\n")[0]
    many = CliRunner().invoke(main, ["annotate", "-", "--format", "json"], input=solo, catch_exceptions=False).output
    returns = [device["range"] for device in json.loads(many)["devices"] if device["kind"] == "returning figure"]
    said = " ".join(devices.split())
    assert all(place in said for place in returns)
    folded = re.search(r" and (\d+) more: [^(]+\(--bars (\d+) tells what is in bar \2\)$", said)
    assert folded
    assert int(folded[1]) == 1 + len(returns) - FEWEST > 0
    assert said.count("pentatonic run") == 1


def test_json_holds_roles_devices_and_statistics() -> None:
    found = json.loads(annotate("--format", "json"))
    by_address = {note["address"]: note for note in found["notes"]}
    assert (by_address["2.1.2"]["role"], by_address["2.1.2"]["rule"]) == ("passing tone", "chromatic passing")
    assert found["statistics"]["notes"] == len(found["notes"]) == 11
    (run,) = (device for device in found["devices"] if device["kind"] == "chromatic run")
    assert run["notes"] == ["2.1.1", "2.1.2", "2.2.1", "2.2.2", "2.3.1"]
