"""Finding, against the same search done plainly over the timeline, and against the laws of transposition."""

from __future__ import annotations

from itertools import pairwise

import plainly
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_music import line, places_of, subject, texts
from searching import searched
from thoroughness import share

from tabtools.search.collection import Excerpts
from tabtools.search.match import Stretch, example_of, stretches
from tabtools.search.query import (
    Query,
    Rhythm,
    read_degrees,
    read_device,
    read_intervals,
    read_rhythm,
    read_wanted_chord,
)
from tabtools.search.reading import strokes_of
from tabtools.search.transposition import Transposition, in_words, transposition
from tabtools.study import study_of
from tabtools.study.devices.run import KINDS
from tabtools.study.techniques import TECHNIQUES

CHORDS = ("m7", "7", "m7b5", "Am7", "major", "D", "D/F#", "NC", "Em")


@st.composite
def copied(draw: st.DrawFn, row: list[plainly.Stroke]) -> tuple[int, Query]:
    """A stroke, and sequences copied from the music there: they have to be found there at least."""
    at = draw(st.integers(0, len(row) - 1))
    part = row[at : at + draw(st.integers(1, 5))]
    query = {}
    steps = [
        None if None in (one.pitch, two.pitch) else int((two.pitch - one.pitch) * 2) for one, two in pairwise(part)
    ]
    if steps and None not in steps and draw(st.booleans()):
        query["intervals"] = tuple(steps)
    if all(stroke.degree is not None for stroke in part) and draw(st.booleans()):
        query["degrees"] = tuple((stroke.start if draw(st.booleans()) else None, stroke.degree) for stroke in part)
    times = plainly.both_times(row, at, len(part))
    if times and (not query or draw(st.booleans())):
        values = draw(st.sampled_from(times))
        is_exact = len(values) == 1 or draw(st.booleans())
        query["rhythm"] = Rhythm(tuple(values if is_exact else [value * 3 for value in values]), is_exact)
    return at, Query(**query)


@st.composite
def narrowed(draw: st.DrawFn, query: Query) -> Query:
    """The query with a chord, techniques or both besides."""
    chord = draw(st.one_of(st.none(), st.sampled_from(CHORDS).map(read_wanted_chord)))
    techniques = draw(st.sets(st.sampled_from(TECHNIQUES[:12]), max_size=2))
    return Query(query.intervals, query.degrees, query.rhythm, chord=chord, techniques=tuple(techniques))


@settings(max_examples=share(40))
@given(texts, st.data())
def test_the_same_stretches_as_the_plain_search(text: str, data: st.DataObject) -> None:
    solo = subject(text)
    row = plainly.strokes(solo.timeline)
    columns = strokes_of(solo)
    for _ in range(4 if row else 0):
        at, query = data.draw(copied(row))
        if not query:
            continue
        found = stretches(query, columns)
        assert found == plainly.stretches(query, solo.timeline)
        assert at in [stretch.first for stretch in found]
        narrow = data.draw(narrowed(query))
        assert stretches(narrow, columns) == plainly.stretches(narrow, solo.timeline)


@settings(max_examples=share(40))
@given(texts, st.data())
def test_an_example_is_found_where_the_plain_search_finds_it(text: str, data: st.DataObject) -> None:
    solo = subject(text)
    columns = strokes_of(solo)
    if len(columns) < 2:
        return
    first = data.draw(st.integers(0, len(columns) - 2))
    example = Stretch(first, data.draw(st.integers(first + 1, min(len(columns) - 1, first + 5))))
    query = Query(example=example_of(columns, example))
    found = stretches(query, columns)
    assert example in found
    assert found == plainly.stretches(query, solo.timeline)
    strict = stretches(Query(example=example_of(columns, example, with_rhythm=True)), columns)
    assert strict == [stretch for stretch in found if proportions(solo, stretch) == proportions(solo, example)]


def proportions(solo, stretch: Stretch) -> list:
    row = plainly.strokes(solo.timeline)
    onsets = [row[at].onset for at in range(stretch.first, stretch.last + 1)]
    times = [after - before for before, after in pairwise(onsets)]
    return [after / before for before, after in pairwise(times)]


# ---- whatever the key, the octave and the string

MELODIES = st.lists(st.integers(52, 76), min_size=3, max_size=12)


@settings(max_examples=share(50))
@given(MELODIES, st.integers(-5, 5), st.data())
def test_transposed_and_on_other_strings_it_is_the_same_music(midi: list[int], by: int, data: st.DataObject) -> None:
    here = searched(line(*(data.draw(places_of(pitch)) for pitch in midi))).strokes
    there = searched(line(*(data.draw(places_of(pitch + by)) for pitch in midi))).strokes
    whole = Stretch(0, len(midi) - 1)
    assert there.steps == here.steps
    assert whole in stretches(Query(example=example_of(here, whole)), there)
    assert transposition(here, whole, there, whole) == Transposition(2 * by, is_exact=True)


@settings(max_examples=share(50))
@given(MELODIES, st.data())
def test_an_example_is_found_with_notes_in_other_octaves(midi: list[int], data: st.DataObject) -> None:
    moved = [
        data.draw(st.sampled_from([at for at in (pitch - 12, pitch, pitch + 12) if 40 <= at <= 86])) for pitch in midi
    ]
    here = searched(line(*(data.draw(places_of(pitch)) for pitch in midi))).strokes
    there = searched(line(*(data.draw(places_of(pitch)) for pitch in moved))).strokes
    whole = Stretch(0, len(midi) - 1)
    assert stretches(Query(example=example_of(here, whole)), there) == [whole]
    is_exact = len({one - other for one, other in zip(midi, moved, strict=True)}) == 1
    assert transposition(here, whole, there, whole).is_exact is is_exact


@settings(max_examples=share(50))
@given(MELODIES, st.integers(0, 10), st.data())
def test_another_note_is_another_figure(midi: list[int], wrong: int, data: st.DataObject) -> None:
    changed = [pitch + (at == wrong % len(midi)) for at, pitch in enumerate(midi)]
    here = searched(line(*(data.draw(places_of(pitch)) for pitch in midi))).strokes
    there = searched(line(*(data.draw(places_of(pitch)) for pitch in changed))).strokes
    assert stretches(Query(example=example_of(here, Stretch(0, len(midi) - 1))), there) == []


@given(st.lists(st.sampled_from((0, 3, 5, 7, 10)), min_size=1, max_size=8), st.integers(0, 11))
def test_degrees_follow_the_chord_through_every_key(semitones: list[int], by: int) -> None:
    roots = ("A", "Bb", "B", "C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab")
    names = {0: "1", 3: "b3", 5: "11", 7: "5", 10: "b7"}
    wanted = Query(degrees=read_degrees(" ".join(names[semitone] for semitone in semitones)))
    solo = searched(line(*(f"6:{5 + by + semitone}" for semitone in semitones), chord=f"{roots[by]}m7"))
    assert stretches(wanted, solo.strokes) == [Stretch(0, len(semitones) - 1)]


# ---- case by case


def find(text: str, **wanted) -> list[str]:
    """The addresses a query is found at."""
    strokes = searched(text).strokes
    excerpts = Excerpts(strokes)
    return [excerpts.range(stretch) for stretch in stretches(Query(**wanted), strokes)]


def bars(*lines: str) -> str:
    """Bars of one line for all four counts."""
    return "meter: 4/4\n\n" + "\n".join(f"bar {number}{line}" for number, line in enumerate(lines, 1))


@pytest.mark.parametrize(
    ("beat", "intervals", "expected"),
    [
        ("3:7b9 r7 p5", "-2 -2", ["1.1.1-1.1.3"]),
        ("3:7 b9 r7", "2 -2", ["1.1.1-1.1.3"]),
        ("3:7 3:5/9", "2", ["1.1.1-1.1.2"]),
        ("3:5 3:5b5.5", "0.5", ["1.1.1-1.1.2"]),
        ("3:5 3:x 3:7", "2", []),
        ("3:5+1:5 1:7", "2", ["1.1.1-1.1.2"]),
        ("3:5 . 3:7", "2", ["1.1.1-1.1.2"]),
        ("4:0 4:<3.9>", "28", ["1.1.1-1.1.2"]),
        ("3:5 3:7 3:9 3:11", "2 2", ["1.1.1-1.1.3", "1.1.2-1.1.4"]),
        ("3:5 =D4 3:=E4 =F#4?=F4", "2 2", ["1.1.1-1.1.3", "1.1.2-1.1.4"]),
        ("3:5 =C4b=D4 h=E4", "2 2", ["1.1.1-1.1.3"]),
        ("3:5 ? 3:7", "2", []),
        ("3:5 3:? 3:7", "2", []),
        ("3:5 ?? 3:7", "2", []),
    ],
)
def test_intervals(beat: str, intervals: str, expected: list[str]) -> None:
    assert find(bars(f"\n1-4 {beat}\n"), intervals=read_intervals(intervals)) == expected


@pytest.mark.parametrize(
    ("chord", "beat", "degrees", "expected"),
    [
        ("G7", "2:11 2:12", "b3 3", ["1.1.1-1.1.2"]),
        ("G7", "2:11", "#9", ["1.1.1"]),
        ("Bm7b5", "2:6", "#11", ["1.1.1"]),
        ("Am", "3:7b9 r7", "4>5", ["1.1.1"]),
        ("Am", "3:7 b9 r7", "4>5 5>4", ["1.1.2-1.1.3"]),
        ("Am", "3:7b9", "4", []),
        ("Am@1 Dm@3", "4:7 4:7", "1 5", ["1.1.1-1.1.2"]),
        ("NC", "4:7", "1", []),
        ("Am?", "=A3 =C4", "1 b3", ["1.1.1-1.1.2"]),
        ("Am", "? =A3 ??", "1", ["1.1.2"]),
    ],
)
def test_degrees(chord: str, beat: str, degrees: str, expected: list[str]) -> None:
    assert find(bars(f"  {chord}\n1-4 {beat}\n"), degrees=read_degrees(degrees)) == expected


@pytest.mark.parametrize(
    ("beat", "rhythm", "expected"),
    [
        ("3:5*2 3:7 3:9", "1/2 1/4 1/4", ["1.1.1-1.1.3"]),
        ("3:5*2 3:7 3:9", "2 1 1", ["1.1.1-1.1.3"]),
        ("3:5*2 3:7 3:9", "half quarter quarter", ["1.1.1-1.1.3"]),
        ("3:5*2 3:7 3:9", "quarter eighth eighth", []),
        ("(3:5 3:7 3:9) 3:7", "triplet quarter, triplet quarter, triplet quarter, half", ["1.1.1-1.1.4"]),
        ("(3:5 3:7 3:9) 3:7", "1 1 1 3", ["1.1.1-1.1.4"]),
        ("3:5*3 3:7", "dotted-half quarter", ["1.1.1-1.1.2"]),
        ("3:5 . 3:7 3:9", "half quarter", ["1.1.1-1.1.2"]),
        ("3:5 . 3:7 3:9", "quarter", ["1.1.1", "1.1.2", "1.1.3"]),
    ],
)
def test_rhythm(beat: str, rhythm: str, expected: list[str]) -> None:
    assert find(bars(f"\n1-4 {beat}\n"), rhythm=read_rhythm(rhythm)) == expected


@pytest.mark.parametrize(
    ("lines", "rhythm", "expected"),
    [
        ("1-4? 3:5 3:7", "half", []),
        ("1-4? 3:5 3:7", "1 1", []),
        ("1-2 3:5 3:7\n3-4? 3:9 3:7", "quarter", ["1.1.1"]),
        ("1-2? 3:5 3:7\n3-4 3:9 3:7", "quarter", ["1.3.1", "1.3.2"]),
        ("1-2 3:5 3:7\n3-4? . 3:9", "1 1", []),
        ("1-4 =C4 ?? ? =D4", "1 1 1 1", ["1.1.1-1.1.4"]),
    ],
)
def test_under_a_doubtful_count_there_is_no_rhythm(lines: str, rhythm: str, expected: list[str]) -> None:
    assert find(bars(f"\n{lines}\n"), rhythm=read_rhythm(rhythm)) == expected


def test_an_excerpt_shows_what_is_open_as_it_is_written() -> None:
    strokes = searched(bars("\n1-4 =D4 3:=D4 h=E4 =F#4?=F4[pm] ? 3:? ?? =C4+=E4\n")).strokes
    assert strokes.texts == "=D4 3:=D4 h3:=E4 =F#4?=F4 ? 3:? ?? =C4+=E4"


SLUR = "  Am7\n1 3:5 h7 p5 3:5b7~\n2 t1:12 . 4:<12> 3:9\\\n3 3:x 3:5[pm] 3:7 3:9w7w9\n4 3:7pb9r7 - - -\n"


@pytest.mark.parametrize(
    ("technique", "expected"),
    [
        ("hammer-on", ["1.1.2"]),
        ("pull-off", ["1.1.3"]),
        ("bend", ["1.1.4", "1.4.1"]),
        ("vibrato", ["1.1.4"]),
        ("tap", ["1.2.1"]),
        ("harmonic", ["1.2.2"]),
        ("slide", ["1.2.3"]),
        ("dead-note", ["1.3.1"]),
        ("palm-mute", ["1.3.2"]),
        ("vibrato-bar", ["1.3.4"]),
        ("pre-bend", ["1.4.1"]),
        ("release", ["1.4.1"]),
        ("trill", []),
    ],
)
def test_technique(technique: str, expected: list[str]) -> None:
    assert find(bars(SLUR), techniques=(technique,)) == expected


def test_strokes_played_alike_one_after_another_are_one_stretch() -> None:
    assert find(bars("\n1-4 t1:12 t1:14 p10 t1:12\n"), techniques=("tap",)) == ["1.1.1-1.1.2", "1.1.4"]


def test_all_techniques_are_on_one_stroke_without_a_sequence_and_anywhere_in_one_with_it() -> None:
    assert find(bars(SLUR), techniques=("bend", "vibrato")) == ["1.1.4"]
    assert find(bars(SLUR), techniques=("hammer-on", "vibrato")) == []
    assert find(bars(SLUR), techniques=("hammer-on", "vibrato"), intervals=read_intervals("2 -2 2")) == ["1.1.1-1.1.4"]


CHANGES = ("  Am7\n1-4 4:7 3:5\n", "  A-7@1 Dm7@3\n1-4 4:7 3:5\n", "  D/F#\n1-4 4:4 3:7\n", "  NC\n1-4 4:4 3:7\n")


@pytest.mark.parametrize(
    ("chord", "expected"),
    [
        ("m7", ["1.1.1-1.1.2", "2.1.1", "2.1.2"]),
        ("-7", ["1.1.1-1.1.2", "2.1.1", "2.1.2"]),
        ("Am7", ["1.1.1-1.1.2", "2.1.1"]),
        ("Dm7", ["2.1.2"]),
        ("major", ["3.1.1-3.1.2"]),
        ("D", ["3.1.1-3.1.2"]),
        ("D/F#", ["3.1.1-3.1.2"]),
        ("D/A", []),
        ("NC", ["4.1.1-4.1.2"]),
        ("7", []),
    ],
)
def test_chord(chord: str, expected: list[str]) -> None:
    assert find(bars(*CHANGES), chord=read_wanted_chord(chord)) == expected


@settings(max_examples=share(40))
@given(texts)
def test_devices_are_where_the_study_finds_them(text: str) -> None:
    solo = subject(text)
    strokes = strokes_of(solo)
    at = {address: number for number, address in enumerate(strokes.addresses.split(" "))}
    for kind in KINDS:
        expected = [
            [at[str(solo.timeline.notes[note].address)] for note in device.notes]
            for device in study_of(solo.timeline).devices
            if device.kind == kind
        ]
        found = stretches(Query(devices=(read_device(kind),)), strokes)
        assert found == [(min(places), max(places)) for places in expected]


def test_a_sequence_lies_within_a_device_and_a_device_over_a_chord() -> None:
    text = "key: A minor\n" + bars("  Am7@1 D7@3\n1-2 4:7 3:5 3:9 -\n3-4 3:7 4:16 3:14 .\n")
    arpeggio = ("arpeggio",)
    assert find(text, devices=arpeggio) == ["1.1.1-1.1.3", "1.3.1-1.3.3"]
    assert find(text, devices=arpeggio, chord=read_wanted_chord("7")) == ["1.3.1-1.3.3"]
    assert find(text, devices=arpeggio, intervals=read_intervals("3")) == ["1.1.1-1.1.2", "1.3.2-1.3.3"]
    assert find(text, intervals=read_intervals("-2")) == ["1.1.3-1.3.1"]
    assert find(text, devices=arpeggio, intervals=read_intervals("-2")) == []
    assert find(text, devices=("position-shift", "arpeggio")) == ["1.3.1-1.3.2"]
    assert find(text, devices=("arpeggio", "position-shift")) == []


def test_every_stroke_of_a_sequence_stands_over_the_chord() -> None:
    assert find(bars(*CHANGES), chord=read_wanted_chord("m7"), intervals=read_intervals("3")) == [
        "1.1.1-1.1.2",
        "2.1.1-2.1.2",
    ]
    assert find(bars(*CHANGES), chord=read_wanted_chord("Am7"), intervals=read_intervals("3")) == ["1.1.1-1.1.2"]


def test_what_a_lost_line_leaves_unclear_is_not_searched() -> None:
    text = "meter: 4/4\n\nbar 1\n1-4 3:5 3:7\n\nbar 2\n1-2 3:9 ?!\n3-4 3:9\n\nbar 3\n1-4 3:9\n\nbar 4\n1-4 3:5 3:7\n"
    strokes = searched(text, is_damaged=True).strokes
    assert strokes.unreadable_lines == (7,)
    assert strokes.addresses.split(" ") == ["1.1.1", "1.1.2", "4.1.1", "4.1.2"]
    assert stretches(Query(intervals=(4,)), strokes) == [Stretch(0, 1), Stretch(2, 3)]
    assert stretches(Query(intervals=(-4,)), strokes) == []


@pytest.mark.parametrize(
    ("quarter_tones", "is_exact", "words"),
    [
        (0, True, "same pitches"),
        (0, False, "octaves changed"),
        (4, True, "a tone higher"),
        (-10, True, "a fourth lower"),
        (24, True, "an octave higher"),
        (-28, False, "an octave and a tone lower, octaves changed"),
        (1, True, "a quarter tone higher"),
        (150, True, "6 octaves and a minor third higher"),
    ],
)
def test_how_far_it_lies_in_words(quarter_tones: int, is_exact: bool, words: str) -> None:
    assert in_words(Transposition(quarter_tones, is_exact)) == words
