"""What a solo's page says of notes, bars, the neck and the hands where not all is known yet."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path

import pytest
from case_files import Case, cases_in
from drawn import timeline
from generated import solos
from hypothesis import given, settings
from thoroughness import share

from tabtools.checks.subject import subject_of
from tabtools.source import from_text
from tabtools.study.labels import labels_of
from tabtools.website.links import Links
from tabtools.website.solo_page.page import SoloPage, solo_page
from tabtools.website.solo_page.tab_in_words import bar_in_words, note_in_words

CASES = cases_in(Path(__file__).parent / "cases" / "open-words.txt", "note", "read")
HEADER = "title: A\nplayer: B\nrights: CC0-1.0\nmeter: 4/4\nkey: A minor\n\n"
ALL_OPEN = "bar 1  Am?\n1? =D4 =E4?=F4\n2 ? 3:?\n3-4 ??\n\nbar 2\n1-4? 3:=D4 =C4+=E4 =G4 b=A4\n"


@pytest.mark.parametrize("case", CASES, ids=str)
def test_words(case: Case) -> None:

    timed = timeline(case.text)
    known = list(zip(timed.notes, labels_of(timed), strict=True))
    if case.said["note"]:
        assert [note_in_words(*one) for one in known] == case.said["note"]
    if case.said["read"]:
        assert [" | ".join(bar_in_words(bar, known)) for bar in timed.bars] == case.said["read"]


def page(body: str) -> SoloPage:
    return solo_page("low", subject_of(from_text(HEADER + body, "low.solo")), None, [], Links(True))


def words(html: str) -> str:
    return unescape(" ".join(re.sub(r"<[^>]+>", " ", html).split()))


def legend(found: SoloPage) -> list[str]:
    (entries,) = re.findall(r'<ul class="tt-legend tt-signs".*?</ul>', found.tab, re.DOTALL) or [""]
    entries = re.sub(r"</?tspan[^>]*>", "", entries)
    return [words(entry) for entry in re.findall(r"<li>(.*?)</li>", entries, re.DOTALL)]


def test_the_legend_explains_the_signs_that_are_there() -> None:
    assert legend(page(ALL_OPEN)) == [
        "D4 heard, its place on the neck not known yet; single notes are higher as they sound, chords are stacked",
        "D4 heard on this string, its fret not written yet",
        "? a note, its string and pitch not known yet; its height says nothing",
        "? a note on this string, its pitch not known yet",
        "?? something is played, not made out yet",
        "5? not certain",
        "or 9 another reading of that note, not a second note",
        "? the rhythm is not known yet",
        "G? the chord is not certain",
    ]
    assert legend(page("bar 1  Am\n1-4  3:5 ?\n")) == [
        "? a note, its string and pitch not known yet; its height says nothing"
    ]
    assert legend(page("bar 1  Am\n1-4  3:5 3:7?\n")) == ["5? not certain"]
    assert legend(page("bar 1  Am\n1-4  3:5 3:7h=E4\n")) == [
        "E4 goes on to this pitch at once, its fret not written yet"
    ]
    assert legend(page("bar 1  Am\n1-4  3:5 3:7\n")) == []


def test_brackets_under_the_notes_are_explained_where_they_stand() -> None:
    said = "over the key, as no chord sounds"
    assert f"<li>(5) {said}</li>" in page("bar 0\n4    2:5\n\nbar 1  Am\n1-4  3:5\n").tab
    assert said not in page("bar 1  Am\n1-4  3:5\n").tab


def test_the_neck_and_the_hands_say_what_they_leave_out() -> None:
    some = words(page("bar 1  Am\n1-4  3:5 =D4 ? ??\n").study.html())
    assert "Left out: 2 notes whose place is not known yet." in some
    assert "Without 2 notes whose place on the neck is not known yet." in some
    none = words(page("bar 1  Am\n1-4  3:5 3:=D4\n").study.html())
    assert "Left out" not in none and "Without" not in none
    assert "Left out: 1 note whose place is not known yet." in words(page("bar 1  Am\n1-4  =D4\n").study.html())


def test_the_panel_tells_an_open_note_from_a_dead_one() -> None:
    found = page("bar 1  Am\n1-4  3:x ? ?? =D4\n")
    records = json.loads(re.search(r'class="tt-records">(.*?)</script>', found.tab)[1])
    assert [record[5] for record in records] == [
        "a dead note",
        "its pitch is not known yet",
        "what is played here is not known yet",
        "D, 4 of Am, in the scale",
    ]
    assert "Dead notes 1 " in words(found.study.html())
    assert "Strings: 3 1 of 1" in unescape(found.study.html())


@settings(max_examples=share(30))
@given(solos())
def test_a_page_comes_of_every_solo(text: str) -> None:
    """Whatever of it is open."""
    subject = subject_of(from_text(text, "low.solo"))
    found = solo_page("low", subject, None, [], Links(True))
    assert found.tab.count('<g class="note"') == len(subject.timeline.notes)
    assert "string 0" not in found.tab + found.study.html()


def test_a_page_of_nothing_but_open_things() -> None:
    found = page(ALL_OPEN)
    assert found.tab.count('class="frame"') > 6
    assert "No note has a place" not in found.study.html()
