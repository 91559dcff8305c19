"""What a page says of the things that are open in its solo."""

from __future__ import annotations

import re

import pytest

from tabtools.checks.run import lint
from tabtools.checks.subject import subject_of
from tabtools.source import from_text
from tabtools.website.links import Links
from tabtools.website.solo_page.page import SoloPage, solo_page

HEADER = "title: Low Water\nplayer: A\nrights: CC0-1.0\nmeter: 4/4\ntempo: 120\n\n"
OPEN = "bar 1  Bb7?  at 0:10\n1-2  3:7? ?\n3-4  =F#4\n\nbar 2\n1-4  ??\n\nbar 3\n1-4  ??\n"


def page(body: str, header: str = HEADER) -> SoloPage:
    subject = subject_of(from_text(header + body, "low.solo"))
    return solo_page("low", subject, None, lint([subject]), Links(True))


def words(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", "", html).split())


def section(found: SoloPage) -> str:
    (whole,) = re.findall(r'<section class="tt-open".*?</section>', found.study.html(), re.DOTALL)
    return whole


def test_each_thing_with_its_place_and_time_gaps_and_pitches_first_places_last() -> None:
    found = section(page(OPEN))
    assert [words(row) for row in re.findall(r"<li.*?>(.*?)</li>", found)] == [
        "bar 1, count 2 (at 0:10.5): the pitch of this note is not known yet.",
        "bars 2–3 (at 0:12.0): what is played here cannot be made out yet.",
        "bar 1, count 1 (at 0:10.0): string 3 fret 7 (D4) is not certain.",
        "bar 1 (at 0:10.0): the chord B♭7 is not certain.",
        "bar 1, count 3 (at 0:11.0): F♯4 has no place on the neck yet.",
    ]
    counted = "1 gap, 1 pitch, 1 uncertain reading, 1 uncertain chord, 1 place"
    intro = f"Not known or not certain yet: {counted}. If you know better, say so."
    assert f"{intro} Times in the recording are reckoned from the bars that have theirs written." in words(found)


def test_its_links_lead_to_places_of_the_tab() -> None:
    found = page(OPEN)
    goals = re.findall(r'href="#([^"]+)"', section(found))
    assert goals == ["b1.1.2", "b2.1.1", "b1.1.1", "b1", "b1.3.1"]
    assert all(f'id="{goal}"' in found.tab for goal in goals)


def test_each_names_the_notes_it_lights_in_the_tab() -> None:
    found = section(page(OPEN.replace("bar 3\n1-4", "bar 3\n1-2? 3:5 3:7\n3-4")))
    assert re.findall(r'<li(?: data-notes="([\d -]+)")?>', found) == ["1", "3", "6", "0", "", "4-5", "2"]


@pytest.mark.parametrize(
    ("note", "said"),
    [
        ("h9?", "string 3 fret 9 (E4) is not certain."),
        ("2:12?3:16", "B4 is certain; whether it is played at string 2 fret 12 or string 3 fret 16 is not."),
        ("3:9?3:8?4:12", "string 3 fret 9 is E4; it may be E♭4 at string 3 fret 8 or D4 at string 4 fret 12."),
        ("3:x?", "the dead note on string 3 is not certain."),
        ("4:<3.9>?", "the harmonic on string 4, touched at fret 3.9, is not certain."),
        ("2:11?3:15", "B♭4 is certain; whether it is played at string 2 fret 11 or string 3 fret 15 is not."),
        ("3:9?=E4", "string 3 fret 9 (E4) is not certain."),
        ("=Eb4?=F#4", "E♭4 is not certain; it may be F♯4; it has no place on the neck yet."),
    ],
)
def test_doubts_in_words(note: str, said: str) -> None:
    found = section(page(f"bar 1  Am\n1-3  3:7\n4    {note}\n"))
    assert f"bar 1, count 4: {said}" in words(found)


def test_a_note_that_begins_on_a_pitch_that_is_not_known() -> None:
    found = words(section(page("bar 1  Am\n1-4  =D4 ?h=E4\n")))
    assert "bar 1, count 3: this note comes to E4 from a pitch that is not known yet." in found
    assert "D4 and E4 have no place on the neck yet." in found


def test_a_doubt_on_a_string_that_nobody_named() -> None:
    found = section(page("bar 1  Am\n1-4  h9?\n"))
    assert "bar 1, count 1: fret 9 is not certain." in words(found)


def test_where_no_bar_says_when_nothing_is_said_of_the_time() -> None:
    assert "not certain yet: 2 pitches. If you" in words(section(page("bar 1  Am\n1-2  ?\n3-4  ?\n")))
    found = section(page("bar 1  Am\n1-4  ?\n"))
    assert "Not known or not certain yet: 1 pitch. If you know better, say so." in words(found)
    assert "recording" not in words(found)
    assert "bar 1, count 1: the pitch of this note is not known yet." in words(found)


def test_the_facts_count_them_and_lead_to_them() -> None:
    fact = '<a href="#open">1 gap, 1 pitch, 1 uncertain reading, 1 uncertain chord, 1 place</a>'
    assert f"<dt>Still open</dt><dd>{fact}</dd>" in page(OPEN).body
    assert '<h2 id="open">' in page(OPEN).study.html()


def test_notes_are_counted_one_by_one_gaps_and_rhythms_as_a_whole() -> None:
    found = page("bar 1  Am\n1? ? ? =D4 =E4\n2-4 ??\n\nbar 2\n1-4 ??\n\nbar 3\n1-4? =D4 3:5?\n").body
    assert '<a href="#open">1 gap, 2 pitches, 2 rhythms, 1 uncertain reading, 3 places</a>' in found


def test_the_section_counts_as_the_facts_do() -> None:
    found = page("bar 1  Am\n1? ? ? =D4 =E4 3:=D4\n2-4 ??\n\nbar 2\n1-4 2:8b=A4 3:5?\n")
    (fact,) = re.findall(r'<a href="#open">(.*?)</a>', found.body)
    assert fact == "1 gap, 2 pitches, 1 rhythm, 1 uncertain reading, 2 places"
    assert f"Not known or not certain yet: {fact}. If" in words(section(found))


def test_a_pitch_on_a_known_string_is_without_a_place_for_nobody() -> None:
    found = page("bar 1  Am\n1-4  3:=E4 /=G4 2:8b=A4\n")
    assert "<dt>Still open</dt><dd>nothing</dd>" in found.body
    assert "tt-open" not in found.study.html()
    mixed = page("bar 1  Am\n1-4  3:=E4 =G4\n")
    assert '<a href="#open">1 place</a>' in mixed.body
    assert "bar 1, count 3: G4 has no place" in words(section(mixed))


def test_places_are_told_for_a_run_of_bars_and_light_all_their_notes() -> None:
    found = section(page("bar 1  Am\n1-2  =D4 ?\n3-4  =E4\n\nbar 2\n1-4  =F#4\n"))
    assert "bars 1–2: 3 notes have no place on the neck yet." in words(found)
    assert re.findall(r'data-notes="([^"]*)"', found) == ["1", "0 2-3"]


def test_nothing_is_said_of_strain_where_nothing_is_placed() -> None:
    assert "tt-strain" not in page("bar 1  Am\n1-4  =D4 h=E4 p=D4 =G4\n").study.html()
    assert "tt-strain" in page("bar 1  Am\n1-4  3:7 h9 p7 =G4\n").study.html()


def test_nothing_open() -> None:
    found = page("bar 1  Am\n1-4  3:7\n")
    assert "tt-open" not in found.study.html()
    assert "<dt>Still open</dt><dd>nothing</dd>" in found.body


def test_beyond_a_dozen_they_are_folded() -> None:
    bars = "\n".join(f"bar {number}  Am\n1-2  ?\n3-4  3:7?\n" for number in range(1, 10))
    found = section(page(bars))
    shown, folded = found.split("<details>")
    assert (shown.count("<li"), folded.count("<li")) == (12, 6)
    assert "<summary>6 more</summary>" in folded


def test_a_draft_lists_what_is_to_be_mended_and_leaves_what_is_open_to_the_section() -> None:
    draft = f"draft: yes\n{HEADER}"
    notice = page(OPEN + "bar 4\n1-3  3:7\n", draft).body.partition('class="tt-facts"')[0]
    assert re.findall(r"<li>(line \d+), ", notice) == ["line 17"]
    assert 'listed <a href="#open">below</a>' in notice
    only_open = page(OPEN, draft).body.partition('class="tt-facts"')[0]
    assert "<li>" not in only_open.partition("<section")[2] and "finds nothing" not in only_open
    assert 'listed <a href="#open">below</a>' in only_open
    settled = page("bar 1  Am\n1-4  3:7\n", draft).body.partition('class="tt-facts"')[0]
    assert "finds nothing" in settled and "#open" not in settled
