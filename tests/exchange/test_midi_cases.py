"""How single things sound in MIDI, and what the tracks say."""

from __future__ import annotations

from math import log2

import pytest
from exported import bar, timeline
from sounded import COPYRIGHT, KEY, MARKER, METER, NAME, TEXT, Tone, read

from tabtools.exchange import midi
from tabtools.timeline import Timeline

CENT = 0.01


def tones(solo: Timeline) -> list[Tone]:
    return sorted(read(midi(solo)).tones, key=lambda tone: tone.start)


def near(*moments: float) -> list:
    return [pytest.approx(moment, abs=0.001) for moment in moments]


def test_format_and_a_track_and_channel_for_each_string() -> None:
    """Format 1; channel 10 is percussion in General MIDI and never used."""
    strings = "E1 A1 D2 G2 C3 F3 A3 D4 G4"
    file = read(midi(bar("1  1:3+2:3+3:3\n2  4:3+5:3+6:3\n3  7:3+8:3+9:3\n4  .", tuning=strings)))
    assert (file.format, file.division) == (1, 6720)
    assert sorted({(event.track, event.channel) for event in file.events if event.kind >= 0x80}) == [
        (string, string - 1) for string in range(1, 10)
    ]
    assert file.meta(NAME)[1] == (0, b"String 1, G4")


def test_names_rights_sections_key_and_meter() -> None:
    file = read(
        midi(
            timeline(
                "title: Été\nplayer: P\nrights: CC0-1.0\nkey: Eb dorian\nmeter: 12/8 in 4\n\nsection A  Call\n\n"
                "bar 0\n4  1:5\nbar 1\n1-4  1:5\n\nsection B\n\nbar 2  meter 7/8\n1-7  1:5\n"
            )
        )
    )
    assert file.meta(NAME)[0] == (0, "Été".encode())
    assert file.meta(COPYRIGHT) == [(0, b"CC0-1.0")]
    assert file.meta(TEXT) == [(0, b"player: P")]
    assert file.meta(KEY) == [(0, bytes((256 - 5, 1)))]
    beat = 3 * 3360
    assert file.meta(METER) == [
        (0, bytes((3, 3, 36, 8))),
        (beat, bytes((12, 3, 36, 8))),
        (5 * beat, bytes((7, 3, 12, 8))),
    ]
    assert file.meta(MARKER) == [(0, b"A Call"), (5 * beat, b"B")]


def test_hammer_ons_and_pull_offs_are_softer() -> None:
    struck, hammered, pulled = tones(bar("1  3:5 h7 p5\n2-4  ."))
    assert struck.velocity > pulled.velocity > hammered.velocity
    assert (struck.key, hammered.key, pulled.key) == (60, 62, 60)
    assert hammered.start == struck.end


def test_accents_are_louder_and_ghost_notes_softer() -> None:
    accent, plain, ghost = tones(bar("1  3:5[accent] 3:5 3:5[ghost]\n2-4  ."))
    assert accent.velocity > plain.velocity > ghost.velocity


def test_a_bend_arrives_in_its_slot_and_goes_back() -> None:
    (tone,) = tones(bar("1  3:7b9\n2  -\n3  r7\n4  -", tempo="60"))
    assert (tone.key, tone.end) == (62, *near(4.0))
    assert tone.pitch_at(0.0) == 62
    assert tone.pitch_at(0.2) == pytest.approx(64, abs=CENT)
    assert tone.pitch_at(1.8) == pytest.approx(64, abs=CENT)
    assert 62 < tone.pitch_at(1.95) < 64
    assert tone.pitch_at(2.001) == pytest.approx(62, abs=CENT)


def test_quick_bends_leave_half_of_the_time_to_the_pitch_before() -> None:
    (tone,) = tones(bar("1  3:5 b7 r5 b7\n2-4  .", tempo="120"))
    assert [tone.pitch_at(moment) for moment in (0.06, 0.1251, 0.18, 0.2501)] == pytest.approx(
        [60, 62, 62, 60], abs=CENT
    )


def test_quarter_tones_pre_bends_and_the_vibrato_bar() -> None:
    quarter, bent, dipped = tones(bar("1  3:5b5.5\n2  3:7pb9\n3  3:7w5w7\n4  .", tempo="60"))
    assert quarter.pitch_at(0.9) == pytest.approx(60.5, abs=CENT)
    assert (bent.key, bent.pitch_at(1.0)) == (64, 64)
    assert min(pitch for _, pitch in dipped.pitches) == pytest.approx(60, abs=CENT)
    assert dipped.pitch_at(2.9) == pytest.approx(62, abs=CENT)


@pytest.mark.parametrize(("fret", "mode"), [("12", 2), ("7", 3), ("5", 4), ("3.9", 5), ("3.2", 6), ("2.7", 7)])
def test_harmonics_sound_pure(fret: str, mode: int) -> None:
    """The m-th harmonic is 12·log2(m) semitones above the open string (acoustics of the ideal string)."""
    (tone,) = tones(bar(f"1  4:<{fret}>\n2-4  ."))
    assert tone.pitch_at(tone.start) == pytest.approx(50 + 12 * log2(mode), abs=CENT)


def test_wide_slides_and_dives_widen_the_range_of_their_string_alone() -> None:
    file = read(midi(bar("1  3:2 /14 2:5\n2  4:12w2w12\n3-4  .")))
    assert file.ranges == {0: 2, 1: 2, 2: 11, 3: 10, 4: 2, 5: 2}


def test_a_slide_glides_into_the_note_it_reaches() -> None:
    before, after = tones(bar("1  3:5\n2  /9\n3-4  .", tempo="60"))
    assert [before.key, after.key] == [60, 64]
    assert 60 < before.pitch_at(0.95) < 64
    assert after.pitch_at(1.0) == 64


def test_slides_from_and_to_nowhere() -> None:
    into, away = tones(bar("1  /3:9\n2  3:9\\\n3-4  .", tempo="60"))
    assert (into.key, into.pitch_at(0.0), into.pitch_at(0.2)) == (64, 62, 64)
    assert away.pitch_at(1.7) == 64
    assert away.pitch_at(2.0) == 61


def test_swing_sounds_as_played() -> None:
    assert [tone.start for tone in tones(bar("1  3:5 3:7\n2-4  .", feel="swing 2:1", tempo="60"))] == near(0, 2 / 3)
    assert [tone.start for tone in tones(bar("1  3:5 3:7\n2-4  .", feel="swing 3:2", tempo="60"))] == near(0, 0.6)


def test_grace_notes_are_struck_within_their_slot() -> None:
    first, second, third = tones(bar("1  3:5h7p5\n2-4  .", tempo="60"))
    assert [first.key, second.key, third.key] == [60, 62, 60]
    assert 0 < second.start < third.start < 0.2
    assert third.end == pytest.approx(1.0, abs=0.001)


def test_trills_and_tremolo_are_played_out() -> None:
    assert {tone.key for tone in tones(bar("1  3:5[trill 7]\n2-4  ."))} == {60, 62}
    repeated = tones(bar("1  3:5[trem]\n2-4  .", tempo="60"))
    assert {tone.key for tone in repeated} == {60}
    assert len(repeated) > 8
    assert repeated[-1].end == pytest.approx(1.0, abs=0.001)


def test_rolled_chords_run_from_the_low_string_or_down() -> None:
    up = tones(bar("1-4  6:3+5:2+4:0[roll]"))
    assert [tone.channel for tone in up] == [5, 4, 3]
    assert up[0].start < up[1].start < up[2].start < 0.1
    assert [tone.channel for tone in tones(bar("1-4  6:3+5:2+4:0[roll, up]"))] == [3, 4, 5]


def test_palm_mutes_and_dead_notes_have_the_muted_sound() -> None:
    played = tones(bar("1  6:0[pm] 6:0\n2  6:x 6:3\n3-4  ."))
    assert [tone.program for tone in played] == [29, 28, 29, 28]
    assert played[2].end - played[2].start < 0.1


def test_staccato_halves_and_ringing_lasts() -> None:
    short, ringing, _ = tones(bar("1  3:5[stacc]\n2  3:5[ring]\n3  2:5\n4  -", tempo="60"))
    assert (short.end, ringing.end) == tuple(near(0.5, 4.0))


def test_vibrato_turns_the_wheel_and_a_swell_the_expression_and_both_come_back() -> None:
    file = read(midi(bar("1-2  3:5~~[swell]\n3-4  3:5", tempo="60")))
    for number, rest in ((1, 0), (11, 127)):
        values = [
            (file.seconds(one.tick), one.data[1]) for one in file.events if one.kind == 0xB0 and one.data[0] == number
        ]
        assert values[-1][1] == rest
        assert values[-1][0] <= 2.001


def test_the_wheel_turns_as_far_as_the_vibrato_is_wide() -> None:
    """At its full the wheel moves the pitch by 50 cents either way (General MIDI 2): 18 cents are 46, 45 are 114."""
    file = read(midi(bar("1-2  3:5~\n3-4  3:5~~")))
    assert [one.data[1] for one in file.events if one.kind == 0xB0 and one.data[0] == 1] == [46, 0, 114, 0]


def test_another_concert_pitch_is_a_tuning_of_every_channel() -> None:
    """Registered parameter 1 has 100 cents either way in 14 bits, 2 whole semitones (MIDI 1.0)."""
    solo = bar("1-4  3:5", reference="442")
    coarse, fine = read(midi(solo)).parameters[2, 1]
    cents = ((coarse << 7 | fine) - 8192) / 8192 * 100
    assert cents == pytest.approx(1200 * log2(442 / 440), abs=0.02)
    assert read(midi(bar("1-4  3:5", reference="415"))).parameters[2, 2] == (63, 0)
    assert (2, 1) not in read(midi(bar("1-4  3:5"))).parameters


def test_bars_out_of_time_last_as_long_as_they_say() -> None:
    file = read(midi(timeline("meter: 4/4\ntempo: 90\n\nbar 1  free 4.5s\n1  3:5 3:7 3:5\n\nbar 2\n1-4  3:5\n")))
    assert [tone.start for tone in file.tones] == near(0.0, 1.5, 3.0, 4.5)
    assert all(tick % (4 * file.division) == 0 for tick, _ in file.tempos), "bars stay on the grid"


def test_a_tempo_that_microseconds_cannot_hold_does_not_drift() -> None:
    """97.3 beats a minute are 616,649.537 µs a beat; after 3,000 bars the sound is still within a millisecond."""
    solo = timeline("meter: 4/4\ntempo: 97.3\n\nbar 1\n1-4  3:5\n\nbars 2-3000 like 1-1\n")
    file = read(midi(solo))
    starts = [tone.start for tone in file.tones]
    assert max(abs(start - note.start) for start, note in zip(starts, solo.notes, strict=True)) < 0.001


def test_the_slowest_and_the_fastest_tempo() -> None:
    for meter, tempo in (("7/32", "10"), ("2/1", "600"), ("64/32 in 2", "10"), ("12/1 in 1", "600")):
        counts = meter.partition(" in ")[2] or meter.partition("/")[0]
        solo = bar(f"1-{counts}  3:5 3:7 3:5", meter=meter, tempo=tempo)
        assert [tone.start for tone in tones(solo)] == near(*(note.start for note in solo.notes))


def test_what_has_no_string_yet_stands_behind_the_strings_a_channel_for_each_that_sounds_at_once() -> None:
    file = read(midi(bar("1  =D4b=E4\n2  =C4+=E4 h=D4\n3  3:=D4 ?\n4  ??", tempo="60")))
    assert [name.decode() for _, name in file.meta(NAME)][7:] == ["String not known yet"] * 2
    played = sorted(file.tones, key=lambda tone: (tone.start, tone.channel))
    assert [(tone.channel, tone.key) for tone in played] == [(10, 62), (10, 60), (11, 64), (10, 62), (2, 62)]
    assert played[0].pitch_at(0.9) == pytest.approx(64, abs=CENT)
    assert [tone.start for tone in played] == near(0, 1, 1, 1.5, 2)
    assert file.length == pytest.approx(4.0)


def test_a_solo_with_all_strings_known_has_no_other_tracks() -> None:
    file = read(midi(bar("1  3:=D4 3:7b=E4\n2-4  .")))
    assert len(file.meta(NAME)) == 7


def test_more_pitches_at_once_than_channels_are_struck_all_the_same() -> None:
    pitches = ("C3", "E3", "G3", "B3", "D4", "F4", "A4", "C5")
    file = read(midi(bar(f"1-4  {'+'.join(f'={name}' for name in pitches)}")))
    assert sorted(tone.key for tone in file.tones) == [48, 52, 55, 59, 62, 65, 69, 72]
    assert {tone.channel for tone in file.tones} == set(range(10, 16))


def test_a_doubtful_count_does_not_swing() -> None:
    played = tones(bar("1  3:5 3:7\n2?  3:5 3:7\n3-4  .", feel="swing 2:1", tempo="60"))
    assert [tone.start for tone in played] == near(0, 2 / 3, 1, 1.5)


def test_nothing_at_all() -> None:
    assert read(midi(timeline("title: a\n"))).tones == []
