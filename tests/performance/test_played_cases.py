"""Case by case: what sounds, as the records of a performance say it.

A line is a voice: its string, from when to when, what begins in it and how loud (1 is not said; `!` is damped); its
curve, where `D4@70` is there at once, `E4~160` has been bent to and `G4/500` slid to; then vibrato, swells, fading.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from case_files import Case, cases_in
from exported import timeline

from tabtools.model.pitch import pitch_name
from tabtools.performance import Attack, CurvePoint, CurveShape, Strike, Voice, voices_of

HEADER = "title: A\nmeter: 4/4\ntempo: 120\n"
SHAPES = {CurveShape.JUMP: "@", CurveShape.GLIDE: "~", CurveShape.FRETS: "/"}


def in_words(voice: Voice) -> str:
    parts = [" ".join(map(_strike, voice.strikes)), " ".join(map(_point, voice.curve)), " ".join(_more(voice))]
    return f"{voice.string} {_ms(voice.start)}-{_ms(voice.end)}: {' | '.join(filter(None, parts))}"


def _strike(strike: Strike) -> str:
    level = f"*{round(strike.level, 4):g}" if strike.level != 1 else ""
    is_told = strike.is_damped != (strike.attack in (Attack.MUTED, Attack.DEAD))
    assert not is_told or strike.attack not in (Attack.MUTED, Attack.DEAD)
    return f"{strike.attack.name.lower()}@{_ms(strike.moment)}{level}{'!' * strike.is_damped}"


def _point(point: CurvePoint) -> str:
    return f"{pitch_name(point.pitch)}{SHAPES[point.shape]}{_ms(point.moment)}"


def _more(voice: Voice) -> Iterator[str]:
    for one in voice.vibrato:
        yield f"vibrato@{_ms(one.start)}-{_ms(one.end)}*{one.cents}"
    for swell in voice.swells:
        yield f"swell@{_ms(swell.start)}-{_ms(swell.end)}"
    if voice.fades_from is not None:
        yield f"fades@{_ms(voice.fades_from)}"


def _ms(seconds: float) -> int:
    return round(1000 * seconds)


@pytest.mark.parametrize("case", cases_in(Path(__file__).parent / "cases", ".."), ids=str)
def test_case(case: Case) -> None:
    played = timeline(HEADER + ("" if case.text.startswith("feel") else "\n") + case.text)
    assert [in_words(voice) for voice in voices_of(played)] == case.said[".."]
