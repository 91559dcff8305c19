"""Page and download are played alike: what the page's records and a MIDI file say sounds within a millisecond.

Both are read back as what they are: JSON numbers, and the bytes of a file as music21 reads them.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from typing import Any

import pytest
from exported import DEMO, demo, made, made_open
from sounded import CONTROL, File, Tone, read
from thoroughness import IS_THOROUGH

from tabtools.exchange import midi
from tabtools.performance import voices_of
from tabtools.timeline import Timeline
from tabtools.website.solo_page.playback import score_of

MADE = range(500 if IS_THOROUGH else 40)
MILLISECOND = 0.001
LEAST = 2
"""Milliseconds for which a pitch has to stay to be looked at."""
CENTS = 3.0
"""The steps of a bend, and what 14 bits leave of a wide one."""
JUMP, FRETS = 0, 2
FIRST_OPEN_CHANNEL = 10
TICK = 8
"""What the page plays for what is not known yet: in a file it is silent."""
MODULATION, EXPRESSION, FULL = 1, 11, 127


def check(timeline: Timeline) -> None:
    voices = json.loads(json.dumps(score_of(timeline)))["voices"]
    file = read(midi(timeline))
    tones = file.tones
    check_strikes([voice for voice in voices if voice[2][1] != TICK], tones)
    check_controls(voices, file)
    for voice, played in zip(voices, voices_of(timeline), strict=True):
        if voice[2][1] == TICK:
            continue
        if played.string:
            check_voice(voice, tones, played.string - 1)
        else:
            check_open_voice(voice, tones)


def check_voice(voice: list, tones: list[Tone], channel: int) -> None:
    """A voice ends with a note of its channel, and the channel takes the way of its pitch."""
    own = [tone for tone in tones if tone.channel == channel]
    end = (voice[0] + voice[1]) / 1000
    assert own and min(abs(tone.end - end) for tone in own) <= MILLISECOND, (channel, end)
    if voice[3]:
        check_curve(voice, own)


def check_open_voice(voice: list, tones: list[Tone]) -> None:
    """The same of a voice whose string is not known: on one of the channels for that, whichever it is."""
    faults = []
    for channel in sorted({tone.channel for tone in tones if tone.channel >= FIRST_OPEN_CHANNEL}):
        try:
            check_voice(voice, tones, channel)
        except AssertionError as fault:
            faults.append(f"on channel {channel}: {fault}")
        else:
            return
    raise AssertionError("; ".join(faults))


def thirds(flat: list[int]) -> list[tuple[int, int, int]]:
    return list(zip(flat[::3], flat[1::3], flat[2::3], strict=True))


def check_strikes(voices: list[list], tones: list[Tone]) -> None:
    """What is struck on the page begins in the file, and nothing else does but where a slide arrives."""
    struck = sorted((voice[0] + at) / 1000 for voice in voices for at, _, _ in thirds(voice[2]))
    slid = sorted((voice[0] + at) / 1000 for voice in voices for at, _, shape in thirds(voice[3]) if shape == FRETS)
    begun = sorted(tone.start for tone in tones)
    for moment in struck:
        place = min(range(len(begun)), key=lambda one: abs(begun[one] - moment))
        assert begun.pop(place) == pytest.approx(moment, abs=MILLISECOND)
    for moment in begun:
        assert min(abs(moment - arrival) for arrival in slid) <= MILLISECOND


def check_controls(voices: list[list], file: File) -> None:
    """Vibrato and swells last as long on the page as in the file."""
    extras = [(voice[0], *voice[4:], None, None, None) for voice in voices]
    shaken = [begin + at for begin, vibrato, *_ in extras for at in edges(vibrato or (), 3)]
    swelled = [begin + at for begin, _, swells, *_ in extras for at in edges(swells or (), 2)]
    turns = {MODULATION: [], EXPRESSION: []}
    for event in file.events:
        if event.kind == CONTROL and event.data[0] in turns:
            turns[event.data[0]].append((file.seconds(event.tick), event.data[1]))
    assert [moment for moment, _ in sorted(turns[MODULATION])] == near(shaken)
    assert [moment for moment, level in sorted(turns[EXPRESSION]) if level in (0, FULL)] == near(swelled)


def edges(flat: Sequence[int], width: int) -> list[int]:
    """The first two numbers of each record written flat: from when, to when."""
    return [at for place in range(0, len(flat), width) for at in flat[place : place + 2]]


def near(milliseconds: list[int]) -> list[Any]:
    return [pytest.approx(moment / 1000, abs=MILLISECOND) for moment in sorted(milliseconds)]


def check_curve(voice: list, tones: list[Tone]) -> None:
    """At every turn of a voice's curve the string is at its pitch in the file, neither sooner nor later."""
    begin, length, _, curve = voice[:4]
    points = [(begin + at, cents, shape) for at, cents, shape in thirds(curve)]
    turns = [*(moment for moment, _, _ in points[2:]), begin + length]
    for (before, was, _), (moment, cents, shape), after in zip(points, points[1:], turns, strict=False):
        if moment - before <= LEAST or after - moment <= LEAST:
            continue
        around = [heard(tones, moment / 1000 + late) for late in (-MILLISECOND, 0, MILLISECOND)]
        assert min(abs(pitch - cents) for pitch in around) <= CENTS, (moment, around, cents)
        if shape != JUMP and abs(cents - was) > 20:
            early = heard(tones, (moment - 0.2 * (moment - before)) / 1000)
            assert abs(early - cents) > CENTS, "it has not arrived before"


def heard(tones: list[Tone], seconds: float) -> float:
    """The pitch of a string at a moment, in cents."""
    begun = [tone for tone in tones if tone.start <= seconds]
    assert begun, "nothing sounds yet"
    return 100 * max(begun, key=lambda tone: tone.start).pitch_at(seconds)


@pytest.mark.parametrize("name", DEMO)
def test_demo(name: str) -> None:
    check(demo(name))


@pytest.mark.parametrize("solo", [made, made_open])
@pytest.mark.parametrize("first", MADE[::20])
def test_generated(first: int, solo: Callable[[int], Timeline]) -> None:
    for seed in range(first, first + 20):
        try:
            check(solo(seed))
        except (AssertionError, StopIteration) as error:
            raise AssertionError(f"seed {seed}: {error}") from error
