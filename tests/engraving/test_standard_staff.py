"""The standard staff tells what the exported document tells: every head is read back and held against music21."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Sequence
from xml.etree import ElementTree

import pytest
from exported import DEMO, demo, made, made_open, timeline
from music21 import converter, note, stream
from read_staff import ReadBar, ReadHead, read_bar, read_pitches
from thoroughness import IS_THOROUGH

from tabtools.engraving import NoteText, draw_solo
from tabtools.exchange import musicxml
from tabtools.model.pitch import LETTERS
from tabtools.score import Measure, measures_of, voices_of
from tabtools.score.accidentals import signed_tones
from tabtools.timeline import Timeline

MADE = range(300 if IS_THOROUGH else 40)


def drawn(timeline: Timeline) -> list[ReadBar]:
    """The staff of a solo as a musician reads it."""
    drawing = draw_solo(timeline, [NoteText("")] * len(timeline.notes), has_staff=True)
    bars = [read_bar(bar) for section in drawing.sections for bar in section.bars]
    signed = {tone.letter: tone.alteration for tone in signed_tones(timeline.solo.header.key)}
    read_pitches(bars, signed)
    return bars


def columns(measure: stream.Measure) -> list[note.GeneralNote]:
    """The notes, chords and rests of a measure, voice after voice, grace notes among them."""
    voices = list(measure.voices) or [measure]
    return [one for voice in voices for one in voice.notesAndRests if "Harmony" not in one.classes]


def in_order(voices: Sequence[Measure]) -> list[int]:
    """The events of all voices, counted voice after voice, as the staff has them."""
    events = [(event.onset, place) for place, voice in enumerate(voices) for event in voice.events]
    return sorted(range(len(events)), key=events.__getitem__)


def pitches(one: note.GeneralNote) -> list[tuple[float | None, int]]:
    """(MIDI number, step from C 0) of each note struck together; None for what has no pitch."""
    found = []
    for member in getattr(one, "notes", (one,)):
        if isinstance(member, note.Unpitched):
            found.append((None, 7 * member.displayOctave + LETTERS.index(member.displayStep)))
        else:
            tone = member.pitch
            altered = round(tone.accidental.alter * 2) / 2 if tone.accidental else 0
            natural = 12 * (tone.octave + 1) + {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[tone.step]
            found.append((natural + altered, 7 * tone.octave + LETTERS.index(tone.step)))
    return sorted(found, key=str)


def told(heads: Sequence[ReadHead]) -> list[tuple[float | None, int]]:
    return sorted(((head.midi, 7 * head.line[1] + LETTERS.index(head.line[0])) for head in heads), key=str)


def torn_ties(document: str) -> list[str]:
    """Where a tie ends at another pitch than it begins at, or nowhere."""
    found: list[str] = []
    leaving: Counter[tuple[str | None, str]] = Counter()
    for one in ElementTree.fromstring(document).iter("note"):
        pitch = one.find("pitch")
        key = one.findtext("voice"), "" if pitch is None else "".join(part.text or "" for part in pitch)
        ends = {tie.get("type") for tie in one.iter("tie")}
        if "stop" in ends:
            leaving[key] -= 1
            if leaving[key] < 0:
                found.append(f"to {key}")
        leaving[key] += "start" in ends
    return [*found, *(f"from {key}" for key in leaving.elements())]


def check(timeline: Timeline) -> None:
    document = musicxml(timeline, staves="standard")
    assert torn_ties(document) == []
    (part,) = converter.parse(document, format="musicxml", forceSource=True).parts
    measures, bars = list(part.getElementsByClass(stream.Measure)), drawn(timeline)
    for voices, measure, bar in zip(voices_of(timeline, measures_of(timeline)), measures, bars, strict=True):
        written = voices[0]
        number = written.bar.number
        every = [event for voice in voices for event in voice.events]
        told_events = [one for one in columns(measure) if not one.duration.isGrace]
        assert len(told_events) == len(every), number
        order = [at for at in in_order(voices) if not (every[at].unheard or told_events[at].style.hideObjectOnPrint)]
        events, mains = [every[at] for at in order], [told_events[at] for at in order]
        graces = [one for one in columns(measure) if one.duration.isGrace]
        assert len(mains) == len(bar.events), number
        assert sorted(len(column) for event in bar.events for column in event.graces) == sorted(
            len(getattr(one, "notes", (one,))) for one in graces
        ), number
        small = Counter(pitch for one in graces for pitch in pitches(one))
        assert small == Counter(pitch for read in bar.events for column in read.graces for pitch in told(column)), (
            number
        )
        for event, one, read in zip(events, mains, bar.events, strict=True):
            where = f"bar {number} at {event.onset}"
            assert read.is_rest == isinstance(one, note.Rest), where
            if event.has_value and not written.bar.written.free and not event.fills_bar:
                has_head = read.is_rest or any(head.shape != "asked" for head in read.heads)
                value = one.duration.type if has_head or one.duration.type != "half" else "quarter"
                assert (read.value, read.dots) == (value, one.duration.dots), where
            if read.is_rest:
                continue
            asked = [head for head in read.heads if head.shape == "asked"]
            if not asked:
                assert told(read.heads) == pitches(one), where
            ties = [member.tie.type for member in getattr(one, "notes", (one,)) if member.tie]
            if not any(timeline.notes[own.index].note.unheard for own in event.notes):
                assert read.ties_out == sum(tie in ("start", "continue") for tie in ties), where
        in_time = () if written.bar.written.free else voices
        figures = {
            (place, one): one.figure
            for place, voice in enumerate(in_time)
            for own in voice.events
            for one in own.tuplets
        }
        assert sorted(bar.tuplets) == sorted(figures.values()), number


@pytest.mark.parametrize("name", DEMO)
def test_the_staves_of_the_demo_solos_say_what_their_documents_say(name: str) -> None:
    check(demo(name))


@pytest.mark.parametrize("solo", [made, made_open])
@pytest.mark.parametrize("first", MADE[::20])
def test_generated_staves_say_what_their_documents_say(first: int, solo: Callable[[int], Timeline]) -> None:
    for seed in range(first, first + 20):
        try:
            check(solo(seed))
        except AssertionError as error:
            raise AssertionError(f"seed {seed}: {error}") from error


@pytest.mark.parametrize(
    ("beat", "strokes"), [("1-4  3:7[trem]", 1), ("1-2  3:7[trem]\n3-4  3:7 3:5[trem]", 2), ("1-4  3:7", 0)]
)
def test_a_tremolo_has_its_strokes(beat: str, strokes: int) -> None:
    solo = timeline(f"title: A\nmeter: 4/4\n\nbar 1\n{beat}\n")
    drawing = draw_solo(solo, [NoteText("")] * len(solo.notes), has_staff=True)
    (piece,) = (piece for section in drawing.sections for bar in section.bars for piece in bar.pieces)
    assert piece.standard.count('class="trembling"') == strokes


@pytest.mark.parametrize(
    ("beat", "waves", "words"),
    [
        ("3:5~ 3:7", ["wave"], []),
        ("3:5~~ 3:7~", ["wide", "wave"], []),
        ("3:5[trill 7]", ["wave"], ["tr"]),
        ("3:5", [], []),
    ],
)
def test_trills_and_vibrato_stand_at_the_staff_too(beat: str, waves: list[str], words: list[str]) -> None:
    solo = timeline(f"title: A\nmeter: 4/4\n\nbar 1\n1-4  {beat}\n")
    drawing = draw_solo(solo, [NoteText("")] * len(solo.notes), has_staff=True)
    (piece,) = (piece for section in drawing.sections for bar in section.bars for piece in bar.pieces)
    assert re.findall(r'class="wavy"[^>]*><use href="#tt-(\w+)"', piece.standard) == waves
    assert re.findall(r'class="word from"[^>]*>(\w+)<', piece.standard) == words


@pytest.mark.parametrize(
    ("beat", "signs"),
    [
        ("1-4  3:5.5", ["half-sharp"]),
        ("1-4  3:5.5 3:5", ["half-sharp", "natural"]),
        ("1-4  3:5.5 3:5.5", ["half-sharp"]),
        ("1-4  3:5b5.5", ["half-sharp"]),
        ("1-4  3:6.5", ["sharp-and-a-half"]),
        ("1-4  3:7b9", []),
    ],
)
def test_quarter_tones_have_signs(beat: str, signs: list[str]) -> None:
    """Half a sharp on C, and half a sharp more on C sharp, over A7."""
    assert signs_of(f"bar 1  A7\n{beat}\n") == signs


def signs_of(bars: str) -> list[str]:
    solo = timeline(f"title: A\nmeter: 4/4\n\n{bars}")
    drawing = draw_solo(solo, [NoteText("")] * len(solo.notes), has_staff=True)
    drawn = "".join(piece.standard for section in drawing.sections for bar in section.bars for piece in bar.pieces)
    return re.findall(r'href="#tt-([a-z-]*(?:sharp|flat|natural)[a-z-]*)"', drawn)


def in_heads(bars: str) -> list[str]:
    """A solo as its staff is read: values with MIDI numbers, grace notes in round brackets, `~` at the ends of ties."""
    found = []
    for event in (event for bar in drawn(timeline(f"title: A\nmeter: 4/4\n\n{bars}")) for event in bar.events):
        small = "".join(f"({_numbers(column)}) " for column in event.graces)
        value = event.value + "." * event.dots
        ties = "~" * event.ties_in, "~" * event.ties_out
        found.append(f"{small}{ties[0]}{_numbers(event.heads) or 'rest'} {value}{ties[1]}")
    return found


def _numbers(column: Sequence[ReadHead]) -> str:
    return "+".join(sorted("?" if head.midi is None else f"{head.midi:g}" for head in column))


@pytest.mark.parametrize(
    ("bars", "read"),
    [
        ("bar 1\n1  1:13b15 - - r13\n2-4  .\n", ["(77) 79 eighth.", "77 16th", "rest quarter", "rest half"]),
        (
            "bar 1\n1-2  1:13b15 - r13 p10\n3  3:7b9r7\n4  3:7pb9\n",
            ["(77) 79 quarter", "77 eighth", "74 eighth", "(62) (64) 62 quarter", "64 quarter"],
        ),
        ("bar 1\n1  3:5w4w5 - - w3\n2-4  w5 - .\n", ["(60) (59) 60 eighth.", "58 16th", "60 half", "rest quarter"]),
        ("bar 1\n1-2  2:8b10+1:8\n3-4  r8\n", ["(67) 69+72 half~", "~67+72 half"]),
        ("bar 1\n1-4  1:13b15\nbar 2\n1-2  -\n3-4  r13\n", ["(77) 79 whole~", "~79 half", "77 half"]),
        ("bar 1\n1-2  3:?b=E4\n3-4  3:7~ w7\n", ["? quarter", "62 quarter~", "~62 quarter"]),
    ],
)
def test_the_staff_has_the_pitches_that_sound(bars: str, read: list[str]) -> None:
    assert in_heads(bars) == read


def test_a_rolled_chord_has_its_line_over_both_voices() -> None:
    solo = timeline("title: A\nmeter: 4/4\n\nbar 1\n1-2  6:0[rh p]+3:0[rh i]+1:0[rh a, roll]\n3-4  2:1[rh a]\n")
    drawing = draw_solo(solo, [NoteText("")] * len(solo.notes), has_staff=True)
    (piece,) = (piece for section in drawing.sections for bar in section.bars for piece in bar.pieces)
    (line,) = re.findall(r'class="tt-line roll" d="M[^ ]+ ([0-9.-]+)(.*?)"', piece.standard)
    heads = [float(y) for y in re.findall(r'href="#tt-note\d" y="([^"]+)"', piece.standard)]
    assert float(line[0]) < min(heads)
    assert float(line[0]) + 6 * line[1].count("q") >= max(heads)


def test_out_of_time_one_voice_has_no_rest_beside_the_other() -> None:
    bar = "1    4:12[rh p] 3:12[rh i] 2:12[rh m]\n2    1:12[rh a] - -\n"
    solo = timeline(f"title: A\nmeter: 4/4\ntempo: 90\n\nbar 1  free 4s\n{bar}")
    drawing = draw_solo(solo, [NoteText("")] * len(solo.notes), has_staff=True)
    (piece,) = (piece for section in drawing.sections for bar in section.bars for piece in bar.pieces)
    rests = [one.get("print-object") for one in ElementTree.fromstring(musicxml(solo, staves="standard")).iter("note")]
    assert (piece.standard.count("rest-doubtful"), rests.count("no") > 0) == (0, True)


def test_a_trill_of_the_lower_voice_stands_under_the_staff() -> None:
    solo = timeline("title: A\nmeter: 4/4\n\nbar 1\n1  6:3[rh p][trill] - 1:3[rh a] 1:5[rh a]\n2-4  -\n")
    drawing = draw_solo(solo, [NoteText("")] * len(solo.notes), has_staff=True)
    (piece,) = (piece for section in drawing.sections for bar in section.bars for piece in bar.pieces)
    (y,) = re.findall(r'<text class="word from"[^>]* y="(-?[0-9.]+)">tr<', piece.standard)
    assert float(y) > 32
