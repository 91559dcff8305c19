"""What the page plays, made offline by its own strings and measured: the written pitches at the written moments."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import numpy as np
import pytest
from drawn import ROOT
from heard import RATE, Samples, cents, heard_cents, loudness, onsets, pitch
from playwright.sync_api import Browser
from practised import Desk
from thoroughness import IS_THOROUGH

from tabtools.model.solo import PITCH_MOVES
from tabtools.timeline import TimedNote, Timeline

pytestmark = pytest.mark.browser

IN_TUNE = 10
"""Cents."""
ON_TIME = 0.010
ATTACK, JOIN = 0.012, 0.004
"""Seconds after which the pick is heard no more, and in which a note gives way to the next."""

DEMOS = ("tide-tables", "becalmed", "seven-piles", "rigging-lines", "winch-house")
"""Swung with bends, tuned down to another pitch, in 7/8; two more for a thorough run."""

LADDER = """
bar 1  Am
1    6:0 5:0
2    4:0 3:0
3    2:0 1:0
4    1:12 1:22

bar 2
1    6:3 5:7
2    4:9 3:11
3    2:13 1:17
4    1:19 .
"""

SWUNG = "title: A\nrights: CC0-1.0\nmeter: 4/4\ntempo: 120\nfeel: swing 2:1\n\nbar 1\n" + "".join(
    f"{count}    3:{5 + count} 2:{5 + count}\n" for count in range(1, 5)
)

BENDS = """
bar 1  Am
1    3:7 -
2    b9 -
3    r7 -
4    . .

bar 2
1-2  3:7b9
3-4  3:7b9r7

bar 3
1-2  3:7pb9
3-4  3:5b5.5

bar 4
1    1:15 -
2    b17 b19
3    - b17
4    r15 .
"""

OTHERS = """
bar 1  Am
1    1:10 -
2    w8 -
3    w10 -
4    . .

bar 2
1    4:<12> -
2    3:<3.9> -
3    5:3<15> -
4    1:<7> -

bar 3
1    3:5 h7
2    p5 /9
3    \\7 -
4    t1:15 p12

bar 4
1-2  2:8/10
3-4  3:5h7p5
"""


@pytest.fixture(scope="module")
def sounding(browser: Browser, tmp_path_factory: pytest.TempPathFactory):
    """A solo's text to its timeline and its samples."""

    @lru_cache(maxsize=4)
    def play(text: str, **options: object) -> tuple[Timeline, Samples]:
        with Desk(browser, tmp_path_factory.mktemp("desk"), text) as desk:
            return desk.timeline, desk.rendered(**options)

    return play


def alone(timeline: Timeline) -> list[TimedNote]:
    """Notes with one steady pitch that sound alone, for long enough to be measured."""
    found = []
    moved = {note.origin for note in timeline.notes if note.via and note.via in {*PITCH_MOVES, "/", "\\"}}
    for index, note in enumerate(timeline.notes):
        others = timeline.notes[max(0, index - 8) : index] + timeline.notes[index + 1 : index + 8]
        is_alone = all(other.end <= note.start or other.start >= note.end for other in others)
        is_steady = len(note.path) == 1 and index not in moved and not note.note.motions
        is_plain = not {mark.word for mark in note.marks} & {"trill", "trem", "rake", "swell", "roll"}
        if is_alone and is_steady and is_plain and note.end - note.start > 0.08:
            found.append(note)
    return found


def arriving(timeline: Timeline) -> list[TimedNote]:
    """Slots in which a bend, its release or the vibrato bar reaches a pitch and stays there."""
    moved = [note for note in timeline.notes if note.via in PITCH_MOVES and not note.note.motions]
    followed = {note.origin for note in moved}
    at = {note.address: index for index, note in enumerate(timeline.notes)}
    return [note for note in moved if at[note.address] not in followed and note.end - note.start > 0.1]


def struck(timeline: Timeline) -> list[TimedNote]:
    """Notes that begin with a stroke of either hand at their own moment."""
    early = {"roll", "rake", "swell"}
    glided = {*PITCH_MOVES, "/", "\\"}
    return [n for n in timeline.notes if n.via not in glided and not early & {mark.word for mark in n.marks}]


def test_the_measure_knows_the_pitch_and_the_onset_of_a_sum_of_sines() -> None:
    moments = np.arange(RATE) / RATE
    for hertz in (82.4, 440.0, 1318.5):
        wave = sum(np.sin(2 * np.pi * hertz * partial * moments) / partial for partial in range(1, 6))
        assert abs(1200 * np.log2(pitch(wave[:8820]) / hertz)) < 0.1
        late = np.concatenate([np.zeros(RATE // 2), wave])
        assert onsets(late) == [pytest.approx(0.5, abs=0.001)]


def test_every_string_sounds_its_pitch_from_low_to_high(sounding) -> None:
    timeline, samples = sounding(LADDER)
    notes = alone(timeline)
    assert len(notes) == 15
    for note in notes:
        off = heard_cents(samples, note.start + ATTACK, note.end - JOIN, note.midi)
        assert abs(off) < IN_TUNE, f"{note.address}: {off:+.1f} cents"


@pytest.mark.parametrize("slug", DEMOS if IS_THOROUGH else DEMOS[:3])
def test_the_demo_solos_are_in_tune_and_on_time(sounding, slug: str) -> None:
    timeline, samples = sounding((ROOT / "transcriptions" / f"{slug}.solo").read_text(encoding="utf-8"))
    reference = timeline.solo.header.instrument.reference
    notes = alone(timeline)
    assert len(notes) > 60
    for note in notes:
        end = min(note.end - JOIN, note.start + 0.4)
        off = heard_cents(samples, note.start + ATTACK, end, note.midi, reference)
        assert abs(off) < IN_TUNE, f"{note.address}: {off:+.1f} cents"
    for note in arriving(timeline):
        off = heard_cents(samples, note.start, note.start + 0.05, note.midi, reference)
        assert abs(off) < IN_TUNE, f"{note.address}: {off:+.1f} cents where a bend arrives"
    heard = np.array(onsets(samples))
    for note in struck(timeline):
        late = np.abs(heard - note.start).min()
        assert late < ON_TIME, f"{note.address}: {1000 * late:.0f} ms"


def test_notes_begin_when_they_are_written_and_nothing_else_does(sounding) -> None:
    timeline, samples = sounding(LADDER)
    written = [note.start for note in timeline.notes]
    heard = onsets(samples)
    assert len(heard) == len(written)
    assert max(abs(one - other) for one, other in zip(heard, written, strict=True)) < ON_TIME


def test_a_swung_pair_is_heard_long_and_short(sounding) -> None:
    _, samples = sounding(SWUNG)
    expected = [count * 0.5 + part for count in range(4) for part in (0, 0.5 * 2 / 3)]
    assert onsets(samples) == [pytest.approx(moment, abs=ON_TIME) for moment in expected]


def test_slower_is_later_at_the_same_pitch(sounding) -> None:
    timeline, samples = sounding(LADDER, rate=0.25)
    heard = onsets(samples)
    assert heard == [pytest.approx(note.start * 4, abs=ON_TIME) for note in timeline.notes]
    for note in alone(timeline):
        off = heard_cents(samples, note.start * 4 + ATTACK, note.start * 4 + 0.4, note.midi)
        assert abs(off) < IN_TUNE, f"{note.address}: {off:+.1f} cents"


def test_part_of_a_solo_begins_with_what_still_sounds(sounding) -> None:
    timeline, samples = sounding("bar 1\n1-4  3:7\n\nbar 2\n1-4  -\n\nbar 3\n1    5:3\n2-4  -\n")
    _, part = sounding("bar 1\n1-4  3:7\n\nbar 2\n1-4  -\n\nbar 3\n1    5:3\n2-4  -\n", **{"from": 3000})
    assert onsets(part) == [pytest.approx(1.0, abs=ON_TIME)]
    assert abs(heard_cents(part, 0.1, 0.9, timeline.notes[0].midi)) < IN_TUNE
    assert loudness(part, 0.1, 0.9) == pytest.approx(loudness(samples, 3.1, 3.9), rel=0.01)


def near(samples: Samples, moment: float, midi: float, width: float = 0.03) -> float:
    return abs(heard_cents(samples, moment, moment + width, midi))


def test_a_bend_has_arrived_when_its_slot_begins_and_not_long_before(sounding) -> None:
    timeline, samples = sounding(BENDS)
    low, high = 62, 64
    bend, release = (next(n for n in timeline.notes if n.note.via == via and n.address.bar == 1) for via in "br")
    assert (bend.start, release.start) == (0.5, 1.0)
    assert near(samples, 0.02, low) < IN_TUNE
    assert near(samples, bend.start - 0.2, low) < IN_TUNE
    for moment in (bend.start, bend.start + 0.1, release.start - 0.2):
        assert near(samples, moment, high) < IN_TUNE
    assert near(samples, release.start, low) < IN_TUNE
    assert [moment for moment in onsets(samples) if moment < 1.9] == [pytest.approx(0, abs=ON_TIME)]


def test_bends_within_a_slot_go_up_at_once_and_back(sounding) -> None:
    _, samples = sounding(BENDS)
    assert near(samples, 2.17, 64) < IN_TUNE
    assert near(samples, 2.95, 64) < IN_TUNE
    assert near(samples, 3.2, 64) < IN_TUNE
    assert near(samples, 3.8, 62) < IN_TUNE
    assert near(samples, 4.02, 64) < IN_TUNE
    assert near(samples, 4.9, 64) < IN_TUNE
    assert near(samples, 5.5, 60.5) < IN_TUNE


def test_bends_follow_one_another(sounding) -> None:
    timeline, samples = sounding(BENDS)
    later = [note for note in timeline.notes if note.address.bar == 4]
    for note in later:
        assert near(samples, note.start + (ATTACK if not note.via else 0), note.midi) < IN_TUNE, note.address


def test_the_pitch_of_a_bend_rises_without_a_step_back(sounding) -> None:
    _, samples = sounding(BENDS)
    track = [heard_cents(samples, moment, moment + 0.025, 62) for moment in np.arange(0.30, 0.52, 0.01)]
    assert all(later > before - 3 for before, later in pairwise(track))
    assert track[0] == pytest.approx(0, abs=IN_TUNE)
    assert track[-1] == pytest.approx(200, abs=IN_TUNE)


def test_the_vibrato_bar_harmonics_slides_and_hammers_reach_their_pitches(sounding) -> None:
    timeline, samples = sounding(OTHERS)
    reached = [note for note in timeline.notes if note.address.bar < 4]
    assert len(reached) == 14
    for note in reached:
        moment = note.start + (0 if note.via in PITCH_MOVES and note.via else ATTACK)
        off = heard_cents(samples, moment, moment + 0.05, note.midi)
        assert abs(off) < IN_TUNE, f"{note.address} {note.note.via}: {off:+.1f} cents"
    slid, ornamented = (note for note in timeline.notes if note.address.bar == 4)
    assert near(samples, slid.end - 0.2, 69) < IN_TUNE
    assert near(samples, ornamented.start + ATTACK, 60, 0.04) < IN_TUNE
    assert near(samples, ornamented.end - 0.2, 60) < IN_TUNE
    assert near(samples, ornamented.start + 0.09, 62) < IN_TUNE


def test_hammered_notes_begin_softer_than_plucked_ones(sounding) -> None:
    _, samples = sounding("bar 1\n1    3:5 -\n2    3:7 -\n3    h9 -\n4    . .\n")
    assert onsets(samples)[:3] == [pytest.approx(moment, abs=ON_TIME) for moment in (0, 0.5, 1.0)]
    plucked, hammered = loudness(samples, 0.5, 0.55), loudness(samples, 1.0, 1.05)
    assert 0.4 * plucked < hammered < 0.8 * plucked


def test_vibrato_moves_around_the_pitch_and_wide_vibrato_further(sounding) -> None:
    _, samples = sounding("bar 1\n1-4  3:7~\n\nbar 2\n1-4  3:7~~\n")
    widths = []
    for start in (0.5, 2.5):
        track = [heard_cents(samples, moment, moment + 0.03, 62) for moment in np.arange(start, start + 1.1, 0.01)]
        assert np.mean(track) == pytest.approx(0, abs=IN_TUNE)
        widths.append(max(track) - min(track))
    assert 15 < widths[0] < 45
    assert 60 < widths[1] < 100


def test_mutes_die_away_and_dead_notes_have_no_pitch(sounding) -> None:
    _, samples = sounding("bar 1\n1-2  5:3\n3-4  5:3[pm]\n\nbar 2\n1-2  5:x\n3-4  .\n")
    tails = [loudness(samples, start + 0.5, start + 0.6) / loudness(samples, start, start + 0.05) for start in (0, 1)]
    assert tails[0] > 0.3
    assert tails[1] < 0.05
    assert loudness(samples, 2.0, 2.03) > 10 * loudness(samples, 2.2, 2.3)
    assert heard_cents(samples, 1 + ATTACK, 1.12, 48) == pytest.approx(0, abs=IN_TUNE)


def test_what_is_not_known_is_a_soft_tick_and_then_silence(sounding) -> None:
    _, samples = sounding("bar 1\n1    3:x\n2    ?\n3-4  ??\n\nbar 2\n1-2  =D4b=E4\n3-4  3:7\n")
    dead, note, stretch = (loudness(samples, start, start + 0.03) for start in (0.0, 0.5, 1.0))
    assert 1e-4 < note < 0.6 * dead
    assert stretch == pytest.approx(note, rel=0.01)
    assert loudness(samples, 0.6, 0.99) < 1e-4
    assert loudness(samples, 1.1, 1.99) < 1e-4
    assert heard_cents(samples, 2.3, 2.9, 64) == pytest.approx(0, abs=IN_TUNE)


def test_ghosts_are_softer_accents_louder_and_swells_grow(sounding) -> None:
    _, samples = sounding("bar 1\n1    3:5\n2    3:5[ghost]\n3    3:5[accent]\n4    .\n\nbar 2\n1-4  3:5[swell]\n")
    plain, ghost, accent = (loudness(samples, start + 0.01, start + 0.1) for start in (0, 0.5, 1.0))
    assert ghost < 0.6 * plain < plain < 0.9 * accent
    assert loudness(samples, 2.0, 2.05) < 0.1 * loudness(samples, 2.5, 2.6)


def brightness(samples: Samples, start: float, end: float) -> float:
    """The middle of the spectrum in hertz, each part by its amplitude."""
    part = samples[round(start * RATE) : round(end * RATE)]
    spectrum = np.abs(np.fft.rfft(part * np.hanning(len(part))))
    return float((np.fft.rfftfreq(len(part), 1 / RATE) * spectrum).sum() / spectrum.sum())


def test_a_plucked_string_is_bright_and_darkens_in_a_small_room(sounding) -> None:
    _, samples = sounding("bar 1\n1-2  5:3\n3    3:7\n4    .\n")
    assert brightness(samples, 0.01, 0.2) > 900 > 700 > brightness(samples, 0.3, 0.6)
    assert brightness(samples, 1.01, 1.2) > 1200
    ended = 1.5 + 0.03  # the finger has stopped it
    assert loudness(samples, ended, ended + 0.02) > 2e-4
    assert loudness(samples, ended + 0.04, 2.0) < 1e-6


def test_rests_and_the_end_are_silent(sounding) -> None:
    _, samples = sounding("bar 1\n1    3:5+2:5\n2    .\n3    3:5\n4    .\n")
    assert loudness(samples, 0.6, 0.95) < 1e-4
    assert loudness(samples, 1.6, 1.99) < 1e-4


def test_a_chord_has_all_its_pitches_and_does_not_clip(sounding) -> None:
    timeline, samples = sounding("bar 1  E\n1-4  6:0+5:2+4:2+3:1+2:0+1:0[accent]\n")
    assert np.abs(samples).max() < 0.99
    window = samples[2000 : 2000 + RATE]
    spectrum = np.abs(np.fft.rfft(window * np.hanning(len(window))))
    for note in timeline.notes:
        hertz = 440 * 2 ** ((note.midi - 69) / 12)
        around = spectrum[round(hertz) - 4 : round(hertz) + 5]
        peak = round(hertz) - 4 + int(np.argmax(around))
        assert abs(cents(peak, note.midi)) < 1200 * np.log2(1 + 1 / hertz), note.string
        assert around.max() > 20 * np.median(spectrum[:2000]), note.string


def test_a_rolled_chord_goes_through_the_strings(sounding) -> None:
    _, samples = sounding("bar 1  E\n1-4  6:0+5:2+4:2[roll]\n")
    first = heard_cents(samples, 0.0, 0.028, 40)
    assert abs(first) < 60
    assert loudness(samples, 0.07, 0.1) > loudness(samples, 0.0, 0.025)


def test_a_trill_alternates_and_tremolo_repeats(sounding) -> None:
    _, samples = sounding("bar 1\n1-2  1:5[trill 7]\n3-4  1:5[trem]\n")
    heard = onsets(samples)
    trilled = [moment for moment in heard if moment < 0.99]
    repeated = [moment for moment in heard if moment > 0.99]
    assert len(trilled) == 11
    assert len(repeated) == 12
    for place, (start, end) in enumerate(pairwise(trilled)):
        assert abs(heard_cents(samples, start + ATTACK, end - JOIN, 69 + 2 * (place % 2))) < IN_TUNE


def test_the_metronome_and_the_count_in_click_on_the_counts(sounding) -> None:
    text = "bar 1  meter 3/4\n1-3  .\n\nbar 2\n1-3  .\n"
    _, samples = sounding(text, metronome=True)
    assert onsets(samples) == [pytest.approx(count * 0.5, abs=ON_TIME) for count in range(6)]
    _, counted = sounding(text, counted=True, rate=0.5, **{"from": 1000})
    assert onsets(counted) == [pytest.approx(float(count), abs=ON_TIME) for count in range(5)]
    strong, weak = (pitch(samples[round(at * RATE) : round((at + 0.02) * RATE)]) for at in (0.0, 0.5))
    assert strong > 1.3 * weak
