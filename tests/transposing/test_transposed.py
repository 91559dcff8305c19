"""A solo moved to another key or onto other strings stays the same music."""

from __future__ import annotations

import re
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from thoroughness import crossed, share
from thrown_solos import any_solo

from tabtools.hand import hand_of
from tabtools.model.solo import Solo
from tabtools.notation.build import read_solo
from tabtools.notation.write import canonical, note_text
from tabtools.source import from_text
from tabtools.study import study_of
from tabtools.timeline import Timeline, timeline_of
from tabtools.timeline.places import range_named
from tabtools.transposing.excerpt import bars_alone, stretch_alone
from tabtools.transposing.interval import interval_by
from tabtools.transposing.moving import Move
from tabtools.transposing.transposed import Transposed, TransposeError, transpose, unplayable

DEMO = sorted((Path(__file__).parents[2] / "transcriptions").glob("*.solo"))
WAYS = (-2, 1, 3, 6, -1, 2, -3, 5, 4, -4, -5, -6, 7, -7, 8, -9, 10, 11, -11)


def timeline(text: str) -> Timeline:
    return timeline_of(read_solo(from_text(text)).solo)


def moved(before: Timeline, semitones: int, strings: int = 0) -> Transposed:
    interval = interval_by(semitones, before.solo.header.key)
    return transpose(before, Move(before.solo.header.instrument, interval, strings), "Transposed")


def written(solo: Solo) -> Timeline:
    """The solo as it reads once it is written."""
    reading = read_solo(from_text(canonical(solo)))
    assert not reading.problems, reading.problems
    return timeline_of(reading.solo)


def pitches(one: Timeline, semitones: int = 0) -> list[tuple[float | None, ...]]:
    return [
        tuple(None if pitch is None else pitch + semitones for pitch in (note.attack, note.midi)) for note in one.notes
    ]


@pytest.mark.parametrize(
    ("path", "semitones"), crossed(DEMO, WAYS), ids=lambda one: one.stem if isinstance(one, Path) else str(one)
)
def test_what_can_be_played_keeps_its_music(path: Path, semitones: int) -> None:
    before = timeline(path.read_text(encoding="utf-8"))
    found = moved(before, semitones)
    if found.unplayable:
        return
    after = written(found.solo)
    assert pitches(after) == pitches(before, semitones)
    assert [bar.length for bar in after.bars] == [bar.length for bar in before.bars]
    one, other = study_of(before), study_of(after)
    assert [(note.degree, note.key_degree, note.path) for note in one.labels] == [
        (note.degree, note.key_degree, note.path) for note in other.labels
    ]
    assert len(unplayable(hand_of(after)) - unplayable(hand_of(before))) == 0
    if not found.placed_anew:
        assert [(role.kind, role.rule, role.tone, role.target) for role in one.roles] == [
            (role.kind, role.rule, role.tone, role.target) for role in other.roles
        ]
        assert [(device.kind, device.notes) for device in one.devices if device.main] == [
            (device.kind, device.notes) for device in other.devices if device.main
        ]
    back = moved(after, -semitones)
    if not back.unplayable:
        assert pitches(written(back.solo)) == pitches(before)


@settings(max_examples=share(120), deadline=None)
@given(st.integers(0, 2**40), st.integers(-12, 12), st.integers(-2, 2))
def test_any_solo_is_moved_or_refused(seed: int, semitones: int, strings: int) -> None:
    before = timeline(any_solo(Random(seed)))
    try:
        found = moved(before, semitones, strings)
    except TransposeError:
        return
    if not found.unplayable:
        after = timeline(canonical(found.solo))
        for one, other in zip(pitches(before, semitones), pitches(after), strict=True):
            assert one == pytest.approx(other)


def test_enough_can_be_played() -> None:
    """The demo solos leave room on the neck; most of them go up a tone."""
    playable = [path for path in DEMO if not moved(timeline(path.read_text(encoding="utf-8")), 2).unplayable]
    assert len(playable) >= len(DEMO) - 1


def refused(found: Transposed) -> list[tuple[str, str]]:
    """Where notes stand that no hand can play, and what they would be."""
    return [(str(timed.address), note_text(note)) for timed, note in found.unplayable]


HEAD = "title: A\nplayer: B\nrecording: C\nrights: CC0-1.0\nsummary: D\nkey: A minor\nmeter: 4/4\n"


def lines(bars: str, semitones: int, strings: int = 0, header: str = "") -> list[str]:
    """The beat lines of a solo moved."""
    found = moved(timeline(f"{HEAD}{header}\n{bars}"), semitones, strings)
    assert found.unplayable == ()
    return [line for line in canonical(found.solo).splitlines() if line[:1].isdigit()]


@pytest.mark.parametrize(
    ("line", "semitones", "strings", "expected"),
    [
        ("3:7 h9 p7 3:5b7", 3, 0, "3:10 h12 p10 3:8b10"),
        ("3:7=D4 3:9=E4?4:14", -2, 0, "3:5=C4 3:7=D4?4:12"),
        ("3:0 2:0", 2, 0, "3:2 2:2"),
        ("3:<12> 3:5<17>", 2, 0, "3:2<14> 3:7<19>"),
        ("3:x 3:7[trill 9]", 2, 0, "3:x 3:9[trill 11]"),
        ("=D4 h=E4 ? ??", 3, 0, "=F4 h=G4 ? ??"),
        ("3:?b=A4 ? 3:? ??", 3, 1, "4:?b=C5 ? 4:? ??"),
        ("2:5 2:8 h10", 0, 1, "3:9 3:12 h14"),
        ("3:9 2:8 2:10", 0, -1, "2:5 1:3 1:5"),
        ("1:20 1:22", 2, 0, "1:22 1:24"),
    ],
)
def test_a_shape_moves_as_it_is(line: str, semitones: int, strings: int, expected: str) -> None:
    assert lines(f"bar 1\n1-4  {line}\n", semitones, strings, "frets: 24\n") == [f"1-4  {expected}"]


def test_what_leaves_the_neck_is_placed_anew() -> None:
    assert lines("bar 1\n1-4  2:1 3:2 h4 p2\n", -2) == ["1-4  3:3 3:0 h2 p0"]
    assert lines("bar 1\n1-4  2:1[trill 3] 3:2\n", -2) == ["1-4  3:3[trill 5] 3:0"]


@pytest.mark.parametrize(
    ("line", "semitones", "expected"),
    [
        ("5:5+4:7+3:5+2:6", -6, "6:4+5:6+4:4+3:4"),
        ("6:17+4:17+3:18+2:17", 7, "5:19+3:19+2:21+1:19"),
        ("5:2+4:1+3:2", -2, "6:5+5:4+4:5"),
        ("5:3+3:5 5:2+3:4", -3, "6:5+4:7 6:4+4:6"),
        ("3:9+2:8 3:7+2:7 3:5+2:5", -5, "4:9+3:7 4:7+3:6 4:5+3:4"),
        ("3:9+2:8 1:7 3:5+2:5", -5, "3:4+2:3 1:2 4:5+3:4"),
        ("6:1+5:3+4:3+3:2+2:1+1:1", -1, "6:0+5:2+4:2+3:1+2:0+1:0"),
        ("5:2+4:4+3:4+2:3+1:2 5:7+4:9+3:9+2:8+1:7", -2, "5:0+4:2+3:2+2:1+1:0 5:5+4:7+3:7+2:6+1:5"),
        ("6:1+5:3+4:3+3:2+2:1+1:1 5:1+4:3+3:3+2:3+1:1", -1, "6:0+5:2+4:2+3:1+2:0+1:0 5:0+4:2+3:2+2:2+1:0"),
        ("5:3[lh 1] 5:5[lh 3]", -3, "5:0 5:2[lh 3]"),
        ("5:0+4:2 3:2+2:0", 0, "5:0+4:2 3:2+2:0"),
    ],
)
def test_a_grip_that_leaves_the_neck_goes_to_strings_near_by(line: str, semitones: int, expected: str) -> None:
    assert lines(f"bar 1\n1-4  {line}\n", semitones) == [f"1-4  {expected}"]


def test_a_grip_on_other_strings_is_placed_anew() -> None:
    found = moved(timeline(f"{HEAD}\nbar 1\n1-4  5:5+4:7+3:5+2:6\n"), -6)
    assert len(found.placed_anew) == 4


@pytest.mark.parametrize("semitones", [0, 3])
def test_no_string_is_changed_where_none_is_known(semitones: int) -> None:
    with pytest.raises(TransposeError, match="no note here has a string yet"):
        moved(timeline(f"{HEAD}\nbar 1\n1-4  =F4+=A4 =C5\n"), semitones, 1)
    assert lines("bar 1\n1-4  =F4 3:=A4\n", semitones=0, strings=1) == ["1-4  =F4 4:=A4"]


def test_what_no_hand_can_play_is_named() -> None:
    found = moved(timeline(f"{HEAD}\nbar 1\n1-4  6:1 3:<12> 3:5\n"), -2)
    assert refused(found) == [("1.1.1", "6:-1"), ("1.1.2", "3:-2<10>")]


def test_of_a_chord_what_is_in_the_way_is_named() -> None:
    found = moved(timeline(f"{HEAD}\nbar 1\n1-4  6:3+5:2+4:0+3:0+2:0+1:3\n"), -2)
    assert refused(found) == [("1.1.1", "4:-2"), ("1.1.1", "3:-2"), ("1.1.1", "2:-2")]


def test_what_no_hand_can_reach_is_named_as_it_would_be() -> None:
    found = moved(timeline(f"{HEAD}\nbar 1\n1-4  6:18+5:13+4:13+3:13+2:13+1:13\n"), -12)
    assert refused(found) == [("1.1.1", "5:1")]


def test_a_bent_harmonic_stays_where_it_is() -> None:
    found = moved(timeline(f"{HEAD}\nbar 1\n1-4  3:<12> b14 3:5 -\n"), 2)
    assert refused(found) == [("1.1.2", "b16")]


def test_chords_and_key_are_spelled_by_the_interval() -> None:
    text = f"{HEAD}\nbar 1  Am7 D7(b9,#11)@3\n1-4  3:7\n\nbar 2  F#m7b5/C@1 NC@2 Bb6/9@3\n1-4  3:7\n"
    new = canonical(moved(timeline(text), 3).solo)
    assert "key:          C minor\n" in new
    assert "bar 1  Cm7 F7(b9,#11)@3\n" in new
    assert "bar 2  Am7b5/Eb@1 NC@2 Db6/9@3\n" in new
    assert new.startswith("# Transposed\n# An exercise: nobody played it so\ntitle:        A, in C minor\n")
    assert "rights:       CC0-1.0\nsummary:      D\n" in new


def test_tones_added_by_a_slash_are_no_bass() -> None:
    text = f"{HEAD}\nbar 1  A7/13/E D7(#9 b13)@2 Bsus7@3 C7M@4\n1-4  3:7\n"
    assert "bar 1  C7/13/G F7(#9,b13)@2 Dsus7@3 Eb7M@4\n" in canonical(moved(timeline(text), 3).solo)


def test_a_chord_that_cannot_be_read_stops_it() -> None:
    with pytest.raises(TransposeError, match="the chord Hx of bar 1 cannot be read"):
        moved(timeline(f"{HEAD}\nbar 1  Hx\n1-4  3:7\n"), 2)


def test_nobody_played_it_so() -> None:
    text = f"{HEAD}\nbar 1  at 0:12\n1-4  3:7\n"
    new = canonical(moved(timeline(text), 2).solo)
    assert "recording" not in new
    assert "bar 1\n" in new
    nameless = canonical(moved(timeline(text.replace("player: B\n", "")), 2).solo)
    assert "recording:    C\n" in nameless


@pytest.mark.parametrize(
    ("semitones", "strings", "key", "title"),
    [
        (3, 0, "key: A minor\n", "A, in C minor"),
        (3, 1, "key: A minor\n", "A, in C minor, 1 string lower on the neck"),
        (-12, 0, "key: A minor\n", "A, 12 semitones down"),
        (0, -2, "key: A minor\n", "A, 2 strings higher on the neck"),
        (1, 0, "", "A, 1 semitone up"),
    ],
)
def test_the_title_says_what_was_done(semitones: int, strings: int, key: str, title: str) -> None:
    head = HEAD.replace("key: A minor\n", key)
    found = moved(timeline(f"{head}\nbar 1\n1-4  3:14\n"), semitones, strings)
    assert f"title:        {title}\n" in canonical(found.solo)


def test_some_bars_say_what_was_in_force_before_them() -> None:
    text = f"{HEAD}\nbar 1  Am7 D7@3  meter 3/4  tempo 90\n1-3  3:7\n\nbar 2  G@2\n1-3  3:5\n\npassage 2.1-2.2  X\n"
    alone = canonical(bars_alone(timeline(text), 2, 2))
    assert alone.startswith("title:        A, bar 2\n")
    assert alone.partition("\n\n")[2] == "bar 1  D7 G@2  meter 3/4  tempo 90\n1-3  3:5\n\npassage 1.1-1.2  X\n"


def test_a_pickup_keeps_its_number() -> None:
    text = f"{HEAD}\nbar 0\n4    3:7\n\nbar 1\n1-4  3:5\n\nbar 2\n1-4  3:7\n"
    assert [bar.number for bar in bars_alone(timeline(text), 0, 1).bars] == [0, 1]
    assert [bar.number for bar in bars_alone(timeline(text), 2, 2).bars] == [1]


@pytest.mark.parametrize("line", ["- 3:7", "h7 p5", "(- 3:7) 3:5"])
def test_a_bar_that_goes_on_with_the_note_before_is_not_torn_from_it(line: str) -> None:
    before = timeline(f"{HEAD}\nbar 1\n1-4  3:5\n\nbar 2\n1-4  {line}\n")
    assert len(bars_alone(before, 1, 2).bars) == 2
    with pytest.raises(
        TransposeError, match="bar 2 goes on with the note before it; name a longer stretch, from bar 1"
    ):
        bars_alone(before, 2, 2)


@pytest.mark.parametrize("line", ["3:5 - 3:7", "h3:7 p5", ". 3:5"])
def test_a_bar_that_begins_by_itself_stands_alone(line: str) -> None:
    before = timeline(f"{HEAD}\nbar 1\n1-4  3:5\n\nbar 2\n1-4  {line}\n")
    assert len(bars_alone(before, 2, 2).bars) == 1


def test_some_bars_alone() -> None:
    text = (
        f"{HEAD}\nsection A\n\nbar 1\n1-4  3:7\n\nsection B\n\nbar 2\n1-4  3:5\n\nbar 3 like 2\n\npassage 1.1-2.1  X\n"
    )
    alone = canonical(bars_alone(timeline(text), 2, 3))
    assert alone.partition("\n\n")[2] == "section B\n\nbar 1\n1-4  3:5\n\nbar 2 like 1\n"
    with pytest.raises(TransposeError, match="bar 3 repeats bar 2, which is not among these"):
        bars_alone(timeline(text), 3, 3)
    with pytest.raises(TransposeError, match="no bars 7-9"):
        bars_alone(timeline(text), 7, 9)


STRETCHED = f"""{HEAD}
bar 1  Am7
1    3:5 3:7
2    (2:5 2:8 - 2:5) 3:7[pm]
3-4  1:5 -

bar 2  D7
1    - 1:8
2    1:5 p3
3    2:5 -
4    3:7

passage 1.1-1.2  Before
passage 1.3-2.1  Within
"""


def alone(stretch: str, text: str = STRETCHED) -> str:
    named = range_named(stretch)
    assert named is not None
    return canonical(stretch_alone(timeline(text), named, stretch))


def test_a_stretch_within_bars_has_rests_around_it() -> None:
    text = alone("1.3-2.1")
    assert text.startswith("title:        A, 1.3-2.1\n")
    assert text.partition("\n\n")[2] == (
        "bar 1  Am7\n1    .\n2    .\n3-4  1:5 -\n\nbar 2  D7\n1    - 1:8\n2    .\n3    .\n4    .\n\n"
        "passage 1.3-2.1  Within\n"
    )


def test_a_stretch_can_begin_within_a_beat_and_its_last_note_sounds_on() -> None:
    bars = "bar 1  Am7\n1    . 3:7\n2    (2:5 2:8 - .) .\n3-4  .\n"
    assert alone("1.1.2-1.2.2").partition("\n\n")[2] == bars
    assert alone("1.2.4-1.2.4").partition("\n\n")[2] == "bar 1  Am7\n1    .\n2    . 3:7[pm]\n3-4  .\n"


def test_whole_bars_are_a_stretch_as_well() -> None:
    assert alone("1-2").partition("\n\n")[2] == canonical(timeline(STRETCHED).solo).partition("\n\n")[2]


@pytest.mark.parametrize(
    ("stretch", "said"),
    [
        ("2.2.2-2.3", "2.2.2 goes on from 2.2.1; name a longer stretch, from 2.2.1"),
        ("2.3-2.2", "2.3-2.2 runs backwards"),
        ("1.1-7.1", "there is no bar 7: the bars are 1 to 2"),
    ],
)
def test_a_stretch_that_cannot_stand_alone(stretch: str, said: str) -> None:
    with pytest.raises(TransposeError, match=re.escape(said)):
        alone(stretch)


def test_a_stretch_of_repeated_bars_is_taken_whole() -> None:
    text = f"{HEAD}\nbar 1\n1-4  3:5 3:7\n\nbar 2 like 1\n"
    with pytest.raises(TransposeError, match="bar 2 repeats bar 1; name whole bars, like 1-2"):
        alone("1.1-2.1", text)
    with pytest.raises(TransposeError, match=r"1\.3 has no notes"):
        alone("1.3", f"{HEAD}\nbar 1\n1-2  3:5 3:7\n3-4  .\n")
