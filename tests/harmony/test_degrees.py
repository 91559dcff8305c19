"""Degrees and names over chords and in keys: case files of common practice, and music21's intervals.

Outside truth: music21 10.5.1 `interval` and `pitch`, over every root, every chord type the grammar reads and every
pitch class. `tests/outside/chord_types.json` (`tonal` 6.5.1) names the degrees of its chord types.
"""

from __future__ import annotations

import time
from functools import cache

import pytest
from harmony_cases import ROOTS, blocks_of, chord_of, chord_types, key_of, outside_rows, rows_of
from hypothesis import given
from hypothesis import strategies as st
from music21 import interval, pitch

from tabtools.harmony.chords import tones_of
from tabtools.harmony.degrees import STYLES, degree, degree_names, key_degree, spelled, tone_names
from tabtools.model.harmony import MODES, Degree, Key, parse_degree, tone_above
from tabtools.model.pitch import FLAT_NAMES, Tone, parse_pitch, parse_tone

PLAIN = {"1", "b2", "2", "b3", "3", "4", "#4", "b5", "5", "#5", "b6", "6", "b7", "7"}
EXTENDED = PLAIN | {"b9", "9", "#9", "11", "#11", "b13", "13", "bb7"}


@pytest.mark.parametrize("block", blocks_of("degrees.txt"), ids=lambda block: block[0])
def test_over_a_chord(block: list[str]) -> None:
    symbol, plain, extended, names = block
    chord = chord_of(symbol)
    assert ["plain", *degree_names(chord, "plain")] == plain.split()
    assert ["extended", *degree_names(chord, "extended")] == extended.split()
    spellings = tone_names(chord, None)
    found = [str(spellings[(chord.root.pitch_class + semitones) % 12]) for semitones in range(12)]
    assert ["names", *found] == names.split()


@pytest.mark.parametrize("block", blocks_of("keys.txt"), ids=lambda block: block[0])
def test_in_a_key(block: list[str]) -> None:
    head, degrees, *names = block
    key = key_of(head)
    octave = range(60 + key.tonic.pitch_class, 72 + key.tonic.pitch_class)
    assert ["degrees", *(key_degree(midi, key) for midi in octave)] == degrees.split()
    for line in names:
        symbol, *expected = line.split()
        spellings = tone_names(None if symbol == "names" else chord_of(symbol), key)
        assert [str(spellings[midi % 12]) for midi in octave] == expected, line


def test_what_the_trade_says_of_g7() -> None:
    """Common practice: over G7, A is the ninth, Bb the sharp ninth (plain: b3), C# the sharp eleventh."""
    g7 = chord_of("G7")
    assert [degree(parse_pitch(name), g7, "extended") for name in ("A4", "Bb4", "C#5")] == ["9", "#9", "#11"]
    assert degree(parse_pitch("Bb4"), g7) == "b3"
    assert {degree(parse_pitch("Bb4"), chord_of("Gm7"), style) for style in STYLES} == {"b3"}
    assert degree(parse_pitch("F4"), chord_of("Bm7b5")) == "b5"
    assert [degree(parse_pitch("B4"), chord_of("Fmaj7#11"), style) for style in STYLES] == ["#4", "#11"]


@pytest.mark.parametrize(
    ("symbol", "name", "plain", "extended"),
    [
        ("Cm7", "F#4", "#4", "#11"),
        ("Cm7", "Gb4", "b5", "b5"),
        ("C7", "Gb4", "b5", "b5"),
        ("C6", "F#4", "#4", "#11"),
        ("C", "F#4", "#4", "#4"),
        ("Cm7", "G#4", "#5", "#5"),
        ("Cm7", "Ab4", "b6", "b13"),
        ("Cm7b5", "F#4", "b5", "b5"),
        ("C7#5", "Ab4", "#5", "#5"),
        ("C7alt", "G#4", "b6", "b13"),
        ("Cm7", "D#4", "b3", "b3"),
        ("Cm7", "C#4", "b2", "b9"),
    ],
)
def test_a_written_name_decides_between_two_degrees(symbol: str, name: str, plain: str, extended: str) -> None:
    """Common practice: #4 and b5, #5 and b6 are told apart by their letters, where the chord itself does not say."""
    chord, midi, tone = chord_of(symbol), parse_pitch(name), parse_tone(name[:-1])
    assert [degree(midi, chord, style, tone) for style in STYLES] == [plain, extended]
    assert spelled(midi, chord, None, tone) == name


def test_a_written_name_in_a_key() -> None:
    minor = key_of("C minor")
    tones = [(name, parse_pitch(name), parse_tone(name[:-1])) for name in ("F#4", "Gb4", "G#4", "Ab4")]
    assert [key_degree(midi, minor, tone) for _, midi, tone in tones] == ["#4", "b5", "b6", "b6"]


def test_names_carry_their_octave() -> None:
    assert spelled(66, None, key_of("A major")) == "F#4"
    assert spelled(63, chord_of("Cm7")) == "Eb4"
    assert [spelled(59, chord_of("Abm")), spelled(60, chord_of("C#maj7"))] == ["Cb4", "B#3"]
    assert [spelled(midi) for midi in (61, 70)] == ["C#4", "A#4"]


@pytest.mark.parametrize(
    ("midi", "over_chord", "in_key", "name"),
    [
        (63.0, "b3", "b3", "Eb4"),
        (63.04, "b3", "b3", "Eb4"),
        (63.05, "b3", "b3", "Eb4"),
        (62.94, "b3-6c", "b3-6c", "Eb4-6c"),
        (63.25, "b3+25c", "b3+25c", "Eb4+25c"),
        (63.5, "b3+50c", "b3+50c", "Eb4+50c"),
        (63.51, "3-49c", "3-49c", "E4-49c"),
        (59.75, "1-25c", "1-25c", "C4-25c"),
    ],
)
def test_microtones_say_so(midi: float, over_chord: str, in_key: str, name: str) -> None:
    key = key_of("C minor")
    assert (degree(midi, chord_of("Cm7")), key_degree(midi, key), spelled(midi, chord_of("Cm7"), key)) == (
        over_chord,
        in_key,
        name,
    )


def test_an_unknown_style_is_refused() -> None:
    with pytest.raises(ValueError, match="roman"):
        degree(60, chord_of("C"), "roman")  # type: ignore[arg-type]


# ---- outside truth


def music21_interval(label: Degree) -> interval.Interval:
    """The interval a degree names: b3 is a minor third, #11 an augmented eleventh, bb7 a diminished seventh."""
    is_perfect = label.number in (1, 4, 5, 8, 11)
    quality = {1: "A", 0: "P" if is_perfect else "M", -1: "d" if is_perfect else "m", -2: "d"}[label.alteration]
    return interval.Interval(f"{quality}{label.number}")


@cache
def music21_semitones(label: str) -> int:
    return music21_interval(parse_degree(label)).semitones


@cache
def music21_tone(root: str, label: str) -> tuple[str, int]:
    """Letter and alteration of a degree above a root, and its pitch class, as music21 spells it."""
    found = music21_interval(parse_degree(label)).transposePitch(pitch.Pitch(root.replace("b", "-") + "3"))
    return found.name.replace("-", "b"), found.pitchClass


@pytest.mark.parametrize("root", ROOTS)
def test_letters_above_a_root_are_music21s(root: str) -> None:
    for label in sorted(EXTENDED):
        found = tone_above(parse_tone(root), parse_degree(label))
        assert (str(found), found.pitch_class) == music21_tone(root, label), label


@pytest.mark.parametrize("root", ROOTS)
def test_every_degree_and_name_over_every_chord(root: str) -> None:
    """A degree is the interval it says; a name is that interval's, but for the four exceptions degrees.py names."""
    for suffix in chord_types():
        chord = chord_of(root + suffix)
        asked = {(chord.root.pitch_class + semitones) % 12 for semitones in tones_of(chord).degrees}
        plain, extended = degree_names(chord, "plain"), degree_names(chord, "extended")
        assert set(plain) <= PLAIN
        assert set(extended) <= EXTENDED
        spellings = tone_names(chord, None)
        for semitones in range(12):
            assert music21_semitones(plain[semitones]) == semitones
            assert music21_semitones(extended[semitones]) % 12 == semitones
            pitch_class = (chord.root.pitch_class + semitones) % 12
            label = "b3" if extended[semitones] == "#9" else extended[semitones]
            theirs, their_class = music21_tone(root, label)
            ours = spellings[pitch_class]
            assert ours.pitch_class == their_class == pitch_class
            is_double = len(theirs) > 2
            is_outlying = theirs in ("B#", "E#", "Cb", "Fb") and (pitch_class not in asked or label == "bb7")
            if is_double:
                assert abs(ours.alteration) < 2, (root + suffix, theirs)
            elif is_outlying:
                assert ours.alteration == 0, (root + suffix, theirs)
            else:
                assert str(ours) == theirs, (root + suffix, extended[semitones])


@pytest.mark.parametrize("tonic", ROOTS)
def test_every_degree_and_name_in_every_key(tonic: str) -> None:
    for mode in MODES:
        key = Key(parse_tone(tonic), mode)
        spellings = tone_names(None, key)
        for semitones in range(12):
            pitch_class = (key.tonic.pitch_class + semitones) % 12
            label = key_degree(60 + pitch_class, key)
            assert label in PLAIN
            assert music21_semitones(label) == semitones
            theirs, their_class = music21_tone(tonic, label)
            ours = spellings[pitch_class]
            assert ours.pitch_class == their_class == pitch_class
            if semitones in key.semitones and len(theirs) <= 2:
                assert str(ours) == theirs, key
            assert abs(ours.alteration) < 2, key


def test_chord_tones_have_the_degrees_that_tonal_gives_them() -> None:
    differs_in_tones = {row[0] for row in rows_of("tonal.txt")}
    found = {}
    for record in outside_rows("chord_types.json", "chord_types"):
        theirs = {tonal_degree(name) for name in record["intervals"].split()}
        for alias in record["aliases"]:
            if alias not in differs_in_tones:
                ours = set(map(str, chord_of(f"C{alias}").degrees))
                if ours != theirs:
                    found[alias] = (" ".join(theirs - ours), " ".join(ours - theirs))
    assert found == {alias: (theirs, ours) for alias, theirs, ours, _ in rows_of("tonal_degrees.txt")}


def tonal_degree(name: str) -> str:
    """`3m` as b3, `11A` as #11, `7d` as bb7."""
    number, quality = int(name[:-1]), name[-1]
    is_perfect = number in (1, 4, 5, 8, 11)
    return str(Degree(number, {"P": 0, "M": 0, "m": -1, "A": 1, "d": -1 if is_perfect else -2}[quality]))


# ---- properties


MIDI = st.integers(24, 96)


@given(st.sampled_from(chord_types()), st.sampled_from(ROOTS), MIDI, st.integers(-12, 12), st.sampled_from(STYLES))
def test_transposing_note_and_chord_changes_no_degree(suffix: str, root: str, midi: int, by: int, style: str) -> None:
    there = FLAT_NAMES[(parse_tone(root).pitch_class + by) % 12]
    assert degree(midi, chord_of(root + suffix), style) == degree(midi + by, chord_of(there + suffix), style)


@given(st.sampled_from(tuple(MODES)), st.sampled_from(ROOTS), MIDI, st.integers(-12, 12))
def test_transposing_note_and_key_changes_no_degree(mode: str, tonic: str, midi: int, by: int) -> None:
    here = parse_tone(tonic)
    there = parse_tone(FLAT_NAMES[(here.pitch_class + by) % 12])
    assert key_degree(midi, Key(here, mode)) == key_degree(midi + by, Key(there, mode))


@given(
    st.floats(24, 96, allow_nan=False),
    st.one_of(st.none(), st.builds("".join, st.tuples(st.sampled_from(ROOTS), st.sampled_from(chord_types())))),
    st.one_of(st.none(), st.builds(Key, st.sampled_from(ROOTS).map(parse_tone), st.sampled_from(tuple(MODES)))),
)
def test_a_name_is_the_pitch_it_names(midi: float, symbol: str | None, key: Key | None) -> None:
    name = spelled(midi, chord_of(symbol) if symbol else None, key)
    at = max(name.find("+"), name.find("-", 1))
    plain, cents = (name[:at], int(name[at:-1])) if at > 0 else (name, 0)
    assert abs(parse_pitch(plain) + cents / 100 - midi) <= 0.055 + 1e-9
    assert "##" not in plain and "bb" not in plain


def test_a_hundred_degrees_and_names_take_less_than_a_millisecond() -> None:
    chord, key = chord_of("Bb13#11"), key_of("Eb major")

    def once() -> float:
        start = time.process_time()
        for midi in range(100):
            degree(midi, chord, "extended")
            spelled(midi, chord, key)
        return time.process_time() - start

    assert min(once() for _ in range(20)) < 0.001


def test_tones_are_spelled_without_a_key_or_chord_in_sharps() -> None:
    assert tone_names(None, None)[10] == Tone("A", 1)
