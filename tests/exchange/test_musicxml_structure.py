"""What has to fit together in every document: values and durations, beginnings and ends, places and pitches."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

import pytest
from exported import DEMO, MADE, bar, demo, made, made_open, timeline

from tabtools.exchange import compressed, musicxml
from tabtools.timeline import Timeline

QUARTERS = {"maxima": 32, "long": 16, "breve": 8, "whole": 4, "half": 2, "quarter": 1, "eighth": Fraction(1, 2)}
QUARTERS |= {
    name: Fraction(4, int(name[:-2])) for name in ("16th", "32nd", "64th", "128th", "256th", "512th", "1024th")
}
SPANNERS = ("slur", "slide", "hammer-on", "pull-off", "wavy-line", "tuplet", "wedge", "dashes")
STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
ALL = [("demo", name) for name in DEMO] + [(kind, seed) for kind in ("made", "open") for seed in MADE]


def solo(kind: str, which: str | int) -> Timeline:
    return {"demo": demo, "made": made, "open": made_open}[kind](which)


@cache
def document(kind: str, which: str | int) -> Element:
    return ElementTree.fromstring(musicxml(solo(kind, which)))


def divided(root: Element) -> Iterator[tuple[Element, int]]:
    """Each measure with the divisions that hold in it."""
    divisions = 0
    for measure in root.iter("measure"):
        divisions = int(measure.findtext("attributes/divisions", str(divisions)))
        yield measure, divisions


def written(note: Element) -> Fraction:
    """The length of a note by its value, dots and tuplets, in quarter notes."""
    length = Fraction(QUARTERS[note.findtext("type")])
    length += length / 2 * len(note.findall("dot"))
    actual, normal = (int(note.findtext(f"time-modification/{tag}-notes", "1")) for tag in ("actual", "normal"))
    return length * normal / actual


@pytest.mark.parametrize(("kind", "which"), ALL)
def test_values_are_as_long_as_durations_and_fill_the_bars(kind: str, which: str | int) -> None:
    bars = solo(kind, which).bars
    for (measure, divisions), own in zip(divided(document(kind, which)), bars, strict=True):
        total = 0
        for note in measure.iter("note"):
            if note.find("grace") is None:
                duration = int(note.findtext("duration"))
                if note.find("type") is not None:
                    assert written(note) * divisions == duration
                total += 0 if note.find("chord") is not None else duration
        if not own.written.free:
            assert total == own.length * divisions


@pytest.mark.parametrize(("kind", "which"), ALL)
def test_what_begins_ends(kind: str, which: str | int) -> None:
    open_ends: Counter[tuple[str, str]] = Counter()
    for element in document(kind, which).iter():
        if element.tag in SPANNERS:
            key = element.tag, element.get("number", "1")
            open_ends[key] += -1 if element.get("type") == "stop" else 1
            assert open_ends[key] in (0, 1), key
    assert not any(open_ends.values())


@pytest.mark.parametrize(("kind", "which"), ALL)
def test_string_and_fret_give_the_pitch(kind: str, which: str | int) -> None:
    root = document(kind, which)
    details = root.find(".//staff-details")
    strings = int(details.findtext("staff-lines"))
    capo = int(details.findtext("capo", "0"))
    tuning = {strings + 1 - int(one.get("line")): midi(one, "tuning-") + capo for one in details.iter("staff-tuning")}
    checked = 0
    for note in root.iter("note"):
        technical = note.find("notations/technical")
        is_harmonic = technical is not None and technical.find("harmonic") is not None
        if note.find("pitch") is None or is_harmonic or note.find("tie") is not None:
            continue
        if technical is None or technical.find("fret") is None:
            assert "not known yet" in note.findtext("footnote", "")
            continue
        place = tuning[int(technical.findtext("string"))] + int(technical.findtext("fret"))
        assert midi(note.find("pitch")) == place
        checked += 1
    assert checked or kind != "demo"


def midi(element: Element, prefix: str = "") -> float:
    alter = float(element.findtext(f"{prefix}alter", "0"))
    return STEPS[element.findtext(f"{prefix}step")] + alter + 12 * (int(element.findtext(f"{prefix}octave")) + 1)


def test_the_head_of_the_first_measure() -> None:
    root = ElementTree.fromstring(
        musicxml(timeline("title: T\ntuning: half step down\ncapo: 2\nkey: Eb dorian\nmeter: 7/8\n\nbar 1\n1-7  3:7\n"))
    )
    attributes = root.find(".//attributes")
    assert [one.tag for one in attributes] == ["divisions", "key", "time", "clef", "staff-details"]
    assert [attributes.findtext(f"key/{tag}") for tag in ("fifths", "mode")] == ["-5", "dorian"]
    assert [attributes.findtext(f"time/{tag}") for tag in ("beats", "beat-type")] == ["7", "8"]
    assert attributes.findtext("clef/sign") == "TAB"
    names = [[one.text for one in tuning] for tuning in attributes.iter("staff-tuning")]
    assert names[0] == ["E", "-1", "2"]
    assert names[-1] == ["E", "-1", "4"]
    assert attributes.findtext("staff-details/capo") == "2"


@pytest.mark.parametrize(
    ("key", "fifths", "mode"),
    [
        ("C major", "0", "major"),
        ("C# minor", "4", "minor"),
        ("F# lydian", "7", "lydian"),
        ("A blues", "0", "minor"),
        ("A phrygian dominant", "-1", "phrygian"),
        ("D lydian dominant", "1", "mixolydian"),
        ("Bb major pentatonic", "-2", "major"),
    ],
)
def test_key_signatures(key: str, fifths: str, mode: str) -> None:
    """Common practice: the signature of the mode's parent major key."""
    element = ElementTree.fromstring(musicxml(bar("1-4  3:7", key=key))).find(".//key")
    assert (element.findtext("fifths"), element.findtext("mode")) == (fifths, mode)


def test_a_pickup_is_implicit_and_a_bass_is_a_bass() -> None:
    root = ElementTree.fromstring(musicxml(timeline("tuning: bass\nmeter: 4/4\n\nbar 0\n4  1:5\nbar 1\n1-4  4:0\n")))
    assert [one.attrib for one in root.iter("measure")] == [{"number": "0", "implicit": "yes"}, {"number": "1"}]
    assert root.findtext(".//midi-program") == "34"
    assert root.findtext(".//staff-lines") == "4"


def test_stems_point_down_from_the_tab_staff() -> None:
    root = ElementTree.fromstring(
        musicxml(timeline("meter: 4/4\n\nbar 1\n1-2  3:5h7\n3-4  3:5+2:5 .\nbar 2\n1-4  3:5\n"))
    )
    stems = [note.findtext("stem") for note in root.iter("note")]
    assert stems == [None, "down", "down", "down", None, "none"]


def test_divisions_stay_readable_where_they_can() -> None:
    """Beyond 16,383, which the standard advises not to exceed, they follow the measures."""
    lines = {count: " ".join(["3:5"] * count) for count in (3, 5, 7, 11, 13, 17)}
    bars = "\n\n".join(f"bar {number}\n1-4  {line}" for number, line in enumerate(lines.values(), 1))
    root = ElementTree.fromstring(musicxml(timeline(f"meter: 4/4\n\n{bars}\n")))
    assert [divisions for _, divisions in divided(root)] == list(lines)


def test_more_shares_than_the_shortest_value_allows() -> None:
    shares = "(3:5*64 3:6*63 (3:7*64 3:8*63 (3:9*64 3:5)))"
    root = ElementTree.fromstring(musicxml(bar(f"1    {shares} {shares}\n2-4  .")))
    for measure, divisions in divided(root):
        assert all(written(note) * divisions == int(note.findtext("duration")) for note in measure.iter("note"))


def test_the_same_solo_is_the_same_document_and_archive() -> None:
    first, second = (musicxml(demo(DEMO[0])) for _ in range(2))
    assert first == second
    assert compressed(first) == compressed(second)
