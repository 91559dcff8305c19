"""The staves of an exported document: a tab, a standard staff, or both with the same music on each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

import pytest
from exported import DEMO, MADE, demo, made, timeline
from written import in_words

from tabtools.exchange import musicxml
from tabtools.timeline import Timeline

TWO_VOICES = """meter: 4/4

bar 1  Am
1  6:0[ring]+1:3[ring] -
2  1:5[ring] 1:7[ring]
3  5:0[ring]+1:8[ring] -
4  1:7[ring] 1:5[ring]
"""


def root(solo: Timeline, staves: str, degrees: str | None = None) -> Element:
    return ElementTree.fromstring(musicxml(solo, degrees, staves))


def attacks(document: Element, staff: str | None = None) -> Counter[tuple[int, int, str]]:
    """Measure, moment and pitch of every note that is no grace note and not tied in, on a staff."""
    found: Counter[tuple[int, int, str]] = Counter()
    for number, measure in enumerate(document.iter("measure")):
        for moment, note in _in_time(measure):
            pitch = note.find("pitch")
            tied = any(tie.get("type") == "stop" for tie in note.findall("tie"))
            if pitch is None or tied or note.find("grace") is not None or note.findtext("staff") != staff:
                continue
            found[number, moment, "".join(part.text or "" for part in pitch)] += 1
    return found


def _in_time(measure: Element) -> Iterator[tuple[int, Element]]:
    now = before = 0
    for one in measure:
        length = int(one.findtext("duration") or 0)
        if one.tag == "backup":
            now -= length
            assert now == 0, "a voice begins with its measure"
        elif one.tag == "note":
            if one.find("chord") is None:
                before = now
                now += length
            yield before, one


def unbent(document: Element, staff: str) -> Counter[tuple[int, int, str]]:
    """The attacks of a staff where nothing on the tab is bent: there its pitches are those of places."""
    bent = {
        (number, moment)
        for number, measure in enumerate(document.iter("measure"))
        for moment, note in _in_time(measure)
        if note.find(".//bend") is not None
    }
    return Counter({one: count for one, count in attacks(document, staff).items() if one[:2] not in bent})


@pytest.mark.parametrize("name", DEMO)
def test_both_staves_have_the_same_music(name: str) -> None:
    both = root(demo(name), "both")
    assert unbent(both, "1") == unbent(both, "2") != Counter()
    assert attacks(both, "1") == attacks(root(demo(name), "standard"))


@pytest.mark.parametrize("first", MADE[::20])
def test_both_staves_of_generated_solos_have_the_same_music(first: int) -> None:
    for seed in range(first, first + 20):
        both = root(made(seed), "both")
        assert unbent(both, "1") == unbent(both, "2"), seed


HELD_BEND = "meter: 4/4\n\nbar 1\n1-2  3:10b12 - r10 p7\n3  3:5w4w5\n4  .\n"


def test_a_staff_has_every_pitch_of_a_bend_and_a_tab_the_place_that_is_bent() -> None:
    standard, tab = (list(in_words(root(timeline(HELD_BEND), one).find(".//measure"))) for one in ("standard", "tab"))
    assert standard[1:-1] == [
        "grace F4 eighth 3:10 slur:start",
        "G4 quarter 3:10 slur:stop slur:start",
        "F4 eighth 3:10 slur:stop slur:start pull-off:start=P",
        "D4 eighth 3:7 slur:stop pull-off:stop",
        "grace C4 eighth 3:5 slur:start",
        "grace B3 eighth 3:5 slur:stop slur:start",
        "C4 quarter 3:5 slur:stop",
    ]
    assert tab[1:-1] == [
        "F4 quarter 3:10 tied:start bend+2@0-50",
        "F4 eighth 3:10 tied:stop slur:start pull-off:start=P bend-2@0-0 release",
        "D4 eighth 3:7 slur:stop pull-off:stop",
        "C4 quarter 3:5 bend-1@0-25 with-bar bend+1@50-75 with-bar",
    ]


def test_clefs_and_voices() -> None:
    both = root(timeline(TWO_VOICES), "both")
    assert both.findtext(".//staves") == "2"
    clefs = [
        (clef.get("number"), clef.findtext("sign"), clef.findtext("clef-octave-change")) for clef in both.iter("clef")
    ]
    assert clefs == [("1", "G", "-1"), ("2", "TAB", None)]
    assert {note.findtext("voice") for note in both.iter("note")} == {"1", "2", "5"}
    ways = {
        (note.findtext("voice"), note.findtext("stem")) for note in both.iter("note") if note.find("pitch") is not None
    }
    assert ways == {("1", "up"), ("2", "down"), ("5", "down")}


def test_chords_words_and_degrees_stand_once() -> None:
    both, tab = (root(timeline(TWO_VOICES), staves, "plain") for staves in ("both", "tab"))
    for tag in ("harmony", "direction", "lyric"):
        assert len(list(both.iter(tag))) == len(list(tab.iter(tag))) > 0, tag
    assert {note.findtext("staff") for note in both.iter("note") if note.find("lyric") is not None} == {"2"}


def test_places_stand_on_the_tab_alone() -> None:
    notes = list(root(timeline(TWO_VOICES), "both").iter("note"))
    assert {note.findtext("staff") for note in notes if note.find(".//fret") is not None} == {"2"}
    assert len(list(root(timeline(TWO_VOICES), "standard").iter("fret"))) == 8


def test_a_bass_is_read_in_the_bass_clef() -> None:
    document = root(timeline("tuning: bass\nmeter: 4/4\n\nbar 1\n1-4  4:0\n"), "standard")
    assert document.findtext(".//clef/sign") == "F"


def test_a_pickup_of_rests_alone_is_as_long_as_it_is() -> None:
    document = root(timeline("meter: 4/4\n\nbar 0\n3-4  .\n\nbar 1\n1-4  3:5\n"), "tab")
    first, second = document.iter("measure")
    assert (first.get("number"), first.get("implicit")) == ("0", "yes")
    assert first.find(".//rest").get("measure") is None
    assert 2 * int(first.findtext("note/duration")) == int(second.findtext("note/duration"))
