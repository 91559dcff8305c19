"""Odd instruments, odd solos, odd notes: never an exception, always an answer for each note."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from played import hand, line, text_of

from tabtools.checks import BY_NAME
from tabtools.checks.subject import subject_of
from tabtools.hand import HandProfile, hand_of
from tabtools.hand.demands import demands_of
from tabtools.hand.strain import strains_of
from tabtools.notation.build import read_solo
from tabtools.problem import Severity
from tabtools.source import from_text
from tabtools.timeline import timeline_of

HAND_CHECKS = (
    "finger-marks",
    "too-many-fingers",
    "reach",
    "shift-time",
    "pick-rate",
    "legato-rate",
    "tremolo-rate",
    "string-crossing",
    "bend-force",
    "bend-room",
    "tap-crossing",
)

NINE = "tuning: C#1 F#1 B1 E2 A2 D3 G3 B3 E4\n"


def findings(text: str) -> list:
    subject = subject_of(from_text(text))
    return [finding for name in HAND_CHECKS for finding in BY_NAME[name].check(subject)]


@pytest.mark.parametrize(
    ("bars", "header"),
    [
        ("bar 1\n1-4  3:7\n", ""),
        ("bar 1\n1-4  .\n", ""),
        ("bar 1\n1-4  3:0 - 2:0\n", ""),
        ("bar 1\n1-4  3:x 3:x\n", ""),
        ("bar 1\n1-4  t3:12 t3:15 t2:12\n", ""),
        ("bar 1\n1-4  9:1+8:3+7:3 1:5\n", NINE),
        ("bar 1\n1-4  1:36 1:33b36 3:30h36\n", "frets: 36\n"),
        ("bar 1\n1-4  4:1+3:3 1:15 4:0\n", "tuning: bass\nscale-length: 34 in\n"),
        ("bar 1\n1-4  3:1 2:3+1:3 1:10b12\n", "capo: 12\n"),
        ("bar 1\n1-4  3:1b3\n", "capo: 20\nfrets: 21\n"),
        ("bar 1\n1-4  4:<12> 4:<3.9> 4:5<17> 4:<2.67>+3:<2.67>\n", ""),
        ("bar 1\n1-4  3:5b5.5 3:5.5 3:7w5w7 /3:9 3:12\\\n", ""),
        ("bar 1\n1    6:1 1:5b7\n", "gauges: 5 5 5 5 5 5\n"),
        ("bar 1  free 4.5s\n1    3:5 3:7 3:8\n", ""),
        ("bar 1\n1-4  6:5[lh 4] p3[lh T]\n", ""),
        ("bar 1\n1-4  (((3:5 3:7) 3:8) 3:5h7p5) 3:5*3\n", ""),
    ],
)
def test_odd_but_sound(bars: str, header: str) -> None:
    played = hand(bars, header)
    assert len(played.notes) == len(played.timeline.notes)
    assert demands_of(played).seconds >= 0
    assert len(strains_of(played)) == len(played.timeline.bars)
    assert [one for one in findings(text_of(bars, header)) if one.severity is not Severity.WARNING] == []


@pytest.mark.parametrize(
    "bars",
    [
        "bar 1\n1-4  3:99 3:7\n",
        "bar 1\n1-4  12:5 3:7+3:9\n",
        "bar 1\n1-4  h5 p3 b9 r7 t14\n",
        "bar 1\n1-4  3:0b2 3:7b5 3:7r5 3:xb7\n",
        "bar 1\n1-4  4:<1.3> 4:5<6> 3:7[lh 9] 3:7[trill 99] 3:5[trill 0]\n",
        "bar 1\n1-4  3:999+2:999+1:999\n",
        "bar 1\n1-4  3:5 b999\n",
        "bar 1\n1    3:5\n1    3:7\n9    3:5\n",
        "bar 1 free 0.01s\n1    3:5 3:7 3:8\n",
        "bar 1\n1-4  6:1[ring] 5:2[ring] 4:3[ring] 3:4[ring] 2:5[ring] 1:6[ring]\n",
        "bar 1\n1-4  6:1+5:9+4:17+3:2+2:20+1:5\n",
        "bar 1\n1-4  6:1[lh 4]+5:2[lh 4]+4:3[lh 3]+3:1[lh 1]+2:4[lh T]+1:5[lh 2]\n",
        "bar 1\n1-4  3:5h7+3:5h8 3:5h7b9+3:14h15b17\n",
        "bar 1\n1-4  6:3[lh T] h5[lh 2] /7[lh T]\n",
        "bar 1\n1-4  6:1[lh T]+5:2[lh T]+4:3[lh T]\n",
        "bar 1\n1-4  3:5[ring] t3:7 p3:5 t2:5+3:5\n",
    ],
)
def test_faulty_solos_are_answered_too(bars: str) -> None:
    reading = read_solo(from_text(text_of(bars)))
    played = hand_of(timeline_of(reading.solo))
    assert len(played.notes) == len(played.timeline.notes)
    demands_of(played)
    strains_of(played)
    findings(text_of(bars))


WRITTEN = """3:5 3:7 2:0 1:22 6:1 h7 p5 /9 \\3 t12 b9 r7 w5 - . 3:x 4:<12> 3:7b9+2:6 3:5h7p5 3:5/7 3:7[ring] 4:5[ring]
6:1+5:3+4:3 3:5+2:5+1:5 3:7[lh_2] t2:15+1:12 3:5t12 (3:5_h7) 5:5+4:7[ring] h5:7+h4:9 1:12b15 3:7[trill_9]"""
SLOTS = st.sampled_from([slot.replace("_", " ") for slot in WRITTEN.split()])


@given(st.lists(SLOTS, min_size=1, max_size=24), st.sampled_from((20, 120, 400)))
def test_every_note_gets_its_answer(slots: list[str], tempo: int) -> None:
    bars = line(slots, tempo=tempo)
    reading = read_solo(from_text(text_of(bars)))
    played = hand_of(timeline_of(reading.solo))
    for note, fingered in zip(played.timeline.notes, played.notes, strict=True):
        assert fingered.finger in ("", "0", "1", "2", "3", "4", "T", "tap")
        assert (fingered.position is None) == (fingered.reach_mm is None)
        if note.via == "t":
            assert fingered.finger == "tap"
    findings(text_of(bars))
    strains_of(played)


@given(st.lists(SLOTS, min_size=1, max_size=12))
def test_one_grip_never_asks_two_things_of_a_finger(slots: list[str]) -> None:
    bars = line([slot.replace("[lh 2]", "") for slot in slots])
    played = hand_of(timeline_of(read_solo(from_text(text_of(bars))).solo))
    for grasp in played.grasps:
        frets: dict[int, int] = {}
        for finger, press in zip(grasp.grip.fingers, grasp.presses, strict=True):
            if finger:
                assert frets.setdefault(finger, press.fret) == press.fret
        order = [frets[finger] for finger in sorted(frets)]
        assert order == sorted(order)


def test_the_same_solo_gives_the_same_answer() -> None:
    bars = line("3:5 h7 p5 2:8 1:5 1:8 4:7 3:5+2:5")
    assert hand(bars).notes == hand(bars).notes


def test_sizes_move_the_limits() -> None:
    bars = "bar 1\n1-4  6:2+2:6\n"
    strains = [hand(bars, profile=HandProfile(size)).grasps[0].grip.strain for size in ("small", "medium", "large")]
    assert strains == sorted(strains, reverse=True)
    assert strains[0] > strains[2]
    assert hand(bars, "hand: large\n", HandProfile("small")).profile.size == "large"


def test_a_profile_sets_the_limits() -> None:
    text = text_of(line("3:5 3:7 " * 8, tempo=150))
    patient = HandProfile(pick_rate=(6, 9))
    (finding,) = BY_NAME["pick-rate"].check(subject_of(from_text(text), patient))
    assert "beyond 6" not in finding.message and "9" in finding.message
    assert list(BY_NAME["pick-rate"].check(subject_of(from_text(text)))) == []
