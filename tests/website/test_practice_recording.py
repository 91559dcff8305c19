"""The student's own recording: in time with the tab through the `at` marks, slower at pitch, looped."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from practised import Desk, write_tones

pytestmark = pytest.mark.browser

MARKED = """title: A
rights: CC0-1.0
meter: 4/4
tempo: 120

bar 1  at 0:01
1-4  3:5 3:7 3:5 3:7

bar 2
1-4  3:5 3:7 3:5 3:7

bar 3  at 0:06
1-4  3:5 3:7 3:5 3:7

bar 4
1-4  3:5 3:7 3:5 3:7
"""
TONES = [(330.0, 1.0), (440.0, 5.0), (550.0, 5.0)]
"""The recording takes five seconds for the first two bars, which last four as written."""

LISTEN = """
async () => {
  const { audio } = tabtools.practice.player.recording;
  const context = new AudioContext();
  await context.resume();
  const analyser = new AnalyserNode(context, { fftSize: 16384 });
  context.createMediaStreamSource(audio.captureStream()).connect(analyser);
  await new Promise((resolve) => setTimeout(resolve, 700));
  const bins = new Float32Array(analyser.frequencyBinCount);
  analyser.getFloatFrequencyData(bins);
  const best = bins.indexOf(Math.max(...bins));
  return [(best * context.sampleRate) / 16384, bins[best]];
}
"""


@pytest.fixture
def desk(browser: Browser, tmp_path: Path) -> Iterator[Desk]:
    with Desk(browser, tmp_path, MARKED) as desk:
        write_tones(tmp_path / "tape.wav", TONES)
        desk.open_settings()
        desk.page.set_input_files(desk.field("file"), tmp_path / "tape.wav")
        desk.page.wait_for_function("tabtools.practice.player.recording.isLoaded")
        desk.page.wait_for_function("document.querySelector('.tt-said').textContent !== ''")
        yield desk


def seconds(desk: Desk) -> float:
    return desk.player("recording.audio.currentTime")


def expected(place: float) -> float:
    """Where a place, in milliseconds of the score, is in the recording."""
    return 1 + place / 1000 * 5 / 4 if place <= 4000 else 6 + (place - 4000) / 1000


def in_step(desk: Desk) -> tuple[float, float]:
    return tuple(
        desk.page.evaluate("[tabtools.practice.player.place, tabtools.practice.player.recording.audio.currentTime]")
    )


def test_opening_a_file_makes_it_what_is_heard(desk: Desk) -> None:
    assert desk.said == "The recording is ready."
    assert desk.page.input_value(desk.field("hear")) == "recording"
    for name in ("hear", "shift", "recording"):
        assert desk.page.is_enabled(desk.field(name))


def test_the_recording_runs_with_the_tab_between_the_marks_and_beyond(desk: Desk) -> None:
    for start in (0, 1000, 3000, 5000):
        desk.page.evaluate("(ms) => tabtools.practice.goTo(ms)", start)
        desk.play()
        desk.wait_for_place(start + 250)
        place, heard = in_step(desk)
        assert heard == pytest.approx(expected(place), abs=0.06)
        desk.page.click(desk.button("stop"))
        assert desk.player("recording.audio.paused") is True
    desk.page.evaluate("tabtools.practice.goTo(1000)")
    desk.play()
    desk.wait_for_place(1200)
    assert desk.player("recording.audio.playbackRate") == 1
    before = in_step(desk)
    time.sleep(1)
    after = in_step(desk)
    assert after[1] > before[1]
    assert (after[0] - before[0]) / 1000 / (after[1] - before[1]) == pytest.approx(4 / 5, abs=0.02)


@pytest.mark.parametrize("percent", [25, 50, 125])
def test_slower_or_faster_it_keeps_its_pitch(desk: Desk, percent: int) -> None:
    desk.page.fill(desk.field("tempo"), str(percent))
    desk.play()
    desk.wait_for_place(100)
    assert desk.player("recording.audio.playbackRate") == percent / 100
    hertz, level = desk.page.evaluate(LISTEN)
    assert hertz == pytest.approx(440, abs=6)
    assert level > -60
    before = in_step(desk)
    time.sleep(1)
    after = in_step(desk)
    assert after[1] > before[1]
    assert after[1] == pytest.approx(expected(after[0]), abs=0.06)


def test_a_loop_goes_back_in_the_recording(desk: Desk) -> None:
    desk.page.evaluate("tabtools.practice.setBars(2, 2)")
    desk.page.evaluate("tabtools.practice.goTo(5500)")
    desk.play()
    desk.wait_for_place(5700)
    desk.page.wait_for_function("tabtools.practice.player.place < 5000")
    place, heard = in_step(desk)
    assert desk.player("round.from") == 4000
    assert heard == pytest.approx(expected(place), abs=0.08)
    assert desk.player("isPlaying") is True


def test_it_is_counted_in_and_can_be_counted_in_every_round(desk: Desk) -> None:
    desk.page.evaluate("tabtools.practice.setBars(2, 2)")
    desk.page.evaluate("tabtools.practice.goTo(5700)")
    desk.page.fill(desk.field("tempo"), "125")
    desk.play(countin="each")
    time.sleep(0.5)
    assert desk.player("recording.audio.paused") is True
    desk.wait_for_place(5750)
    desk.page.wait_for_function("tabtools.practice.player.place < 5000")
    assert desk.player("recording.audio.paused") is True
    desk.page.wait_for_function("!tabtools.practice.player.recording.audio.paused")
    desk.wait_for_place(4200)
    place, heard = in_step(desk)
    assert heard == pytest.approx(expected(place), abs=0.06)


def test_it_can_be_shifted(desk: Desk) -> None:
    desk.page.fill(desk.field("shift"), "0.5")
    desk.page.press(desk.field("shift"), "Tab")
    desk.play()
    desk.wait_for_place(300)
    place, heard = in_step(desk)
    assert heard == pytest.approx(expected(place) + 0.5, abs=0.06)


def test_the_guitar_is_silent_beside_the_recording_unless_both_are_wanted(desk: Desk) -> None:
    desk.play()
    desk.wait_for_place(100)
    assert desk.player("band.guitar.gain.value") == 0
    desk.page.select_option(desk.field("hear"), "both")
    desk.page.wait_for_function("tabtools.practice.player.band.guitar.gain.value > 0")
    desk.wait_for_place(600)
    place, heard = in_step(desk)
    assert heard == pytest.approx(expected(place), abs=0.06)
    desk.page.select_option(desk.field("hear"), "tab")
    desk.wait_for_place(900)
    assert desk.player("recording.audio.paused") is True


def test_the_end_of_the_file_ends_the_playing(desk: Desk) -> None:
    desk.page.evaluate("tabtools.practice.player.recording.shift = 2.5")
    desk.page.evaluate("tabtools.practice.goTo(6000)")
    desk.play()
    desk.page.wait_for_function("!tabtools.practice.player.isPlaying")
    assert desk.player("recording.audio.ended") is True


def test_what_cannot_be_played_is_refused_and_the_tab_goes_on(browser: Browser, tmp_path: Path) -> None:
    with Desk(browser, tmp_path, MARKED) as desk:
        (tmp_path / "notes.wav").write_text("This is no sound at all.", encoding="utf-8")
        desk.open_settings()
        desk.page.set_input_files(desk.field("file"), tmp_path / "notes.wav")
        desk.page.wait_for_function("document.querySelector('.tt-said').textContent.includes('cannot play')")
        assert desk.page.is_disabled(desk.field("hear"))
        desk.play()
        desk.wait_for_place(200)
        assert desk.player("band.guitar.gain.value") > 0


def test_a_place_that_the_file_does_not_reach_is_said_and_played_from_the_tab(browser: Browser, tmp_path: Path) -> None:
    with Desk(browser, tmp_path, MARKED.replace("0:01", "1:01").replace("0:06", "1:06")) as desk:
        write_tones(tmp_path / "tape.wav", [(440.0, 3.0)])
        desk.open_settings()
        desk.page.set_input_files(desk.field("file"), tmp_path / "tape.wav")
        desk.page.wait_for_function("document.querySelector('.tt-said').textContent.includes('does not reach')")
        desk.play()
        desk.wait_for_place(200)
        assert desk.player("recording.audio.paused") is True
        assert desk.player("band.guitar.gain.value") > 0


def test_without_marks_the_recording_begins_with_the_first_bar(browser: Browser, tmp_path: Path) -> None:
    with Desk(browser, tmp_path, MARKED.replace("  at 0:01", "").replace("  at 0:06", "")) as desk:
        write_tones(tmp_path / "tape.wav", [(440.0, 9.0)])
        desk.open_settings()
        desk.page.set_input_files(desk.field("file"), tmp_path / "tape.wav")
        desk.page.wait_for_function("document.querySelector('.tt-said').textContent === 'The recording is ready.'")
        desk.page.evaluate("tabtools.practice.goTo(2000)")
        desk.play()
        desk.wait_for_place(2300)
        place, heard = in_step(desk)
        assert heard == pytest.approx(place / 1000, abs=0.06)


def opened_again(desk: Desk) -> None:
    desk.page.reload()
    desk.page.wait_for_function("tabtools.practice.player.recording.isLoaded")


def test_it_is_remembered_for_the_next_time_with_its_place(desk: Desk) -> None:
    desk.page.fill(desk.field("shift"), "0.5")
    desk.page.press(desk.field("shift"), "Tab")
    desk.page.evaluate("tabtools.practice.goTo(3000)")
    opened_again(desk)
    desk.page.wait_for_function(
        "document.querySelector('.tt-said').textContent === 'tape.wav is ready, as the last time.'"
    )
    assert desk.player("hear") == "recording"
    assert desk.page.evaluate("document.querySelector('[name=\"file\"]').files[0].name") == "tape.wav"
    assert desk.page.input_value(desk.field("shift")) == "0.5"
    assert desk.place == 3000
    desk.play()
    desk.wait_for_place(3300)
    place, heard = in_step(desk)
    assert heard == pytest.approx(expected(place) + 0.5, abs=0.06)


def test_a_link_to_a_bar_counts_more_than_the_place_that_is_remembered(desk: Desk) -> None:
    desk.page.evaluate("tabtools.practice.goTo(3000)")
    desk.page.evaluate("location.hash = '#b4'")
    opened_again(desk)
    assert desk.place == 6000


def test_it_is_forgotten_when_asked_to(desk: Desk) -> None:
    desk.page.click(desk.button("forget"))
    desk.page.wait_for_function("document.querySelector('.tt-said').textContent === 'The recording is forgotten.'")
    assert desk.page.is_disabled(desk.field("hear"))
    assert desk.page.is_disabled(desk.button("forget"))
    desk.page.reload()
    desk.page.evaluate("new Promise((resolve) => setTimeout(resolve, 300))")
    assert desk.player("recording.isLoaded") is False


def test_each_solo_has_its_own(desk: Desk, tmp_path: Path) -> None:
    other = tmp_path / "other.html"
    other.write_text((tmp_path / "solo.html").read_text(encoding="utf-8"), encoding="utf-8")
    desk.page.goto(other.as_uri())
    desk.page.evaluate("new Promise((resolve) => setTimeout(resolve, 300))")
    assert desk.player("recording.isLoaded") is False
