"""What a page says of a solo: neck maps, devices, statistics, figures of the hands, records of the notes."""

from __future__ import annotations

import json
import re
from html import unescape

import pytest
from drawn import SOLOS
from test_site_pages import HOSTILE, assert_harmless

from tabtools.checks.subject import Subject, subject_of
from tabtools.files import read_all
from tabtools.hand.demands import CAUTION
from tabtools.source import from_text
from tabtools.study import labels_of, study_of
from tabtools.study.telling import FEWEST, MOST_BITS, statements
from tabtools.website.links import Links, runs
from tabtools.website.solo_page.neck_maps import Spot, spots_in_words, spots_of
from tabtools.website.solo_page.note_records import note_name, over_chord, over_key
from tabtools.website.solo_page.sections import sections_of
from tabtools.website.solo_page.study_section import _with_places, bars_plot, device_rows, devices_html
from tabtools.website.solo_page.tab import tab_html
from tabtools.website.solo_page.tab_in_words import degree_in_words

HEADER = "title: A\nkey: C major\nmeter: 4/4\n\n"


def read(text: str) -> Subject:
    return subject_of(from_text(HEADER + text, "case.solo"))


def known(subject: Subject):
    study = study_of(subject.timeline)
    return sections_of(study, subject.hand, Links(True, anchors=tab_html(subject.timeline, study=study)[1]))


def test_a_neck_map_has_each_place_with_its_degree_and_shape() -> None:
    study = study_of(read("bar 1  C\n1  3:5 3:5\n2  2:5\n3  2:7\n4  2:2\n").timeline)
    assert spots_of(study, range(5)) == (
        Spot(2, 2, "b2", "chromatic", 1),
        Spot(2, 5, "3", "chord", 1),
        Spot(2, 7, "#4", "chromatic", 1),
        Spot(3, 5, "1", "chord", 2),
    )


def test_a_bend_lies_where_it_starts_and_a_slide_at_both_its_frets() -> None:
    study = study_of(read("bar 1  C\n1-2  3:7b9\n3-4  3:5/9\n").timeline)
    assert [(spot.fret, spot.degree) for spot in spots_of(study, range(2))] == [(5, "1"), (7, "2"), (9, "3")]


def test_a_neck_map_in_words() -> None:
    spots = (Spot(1, 0, "3", "chord", 1), Spot(1, 5, "", "scale", 1), Spot(6, 1, "b2", "chromatic", 1))
    assert spots_in_words(spots) == (
        "string 1: open the 3 (chord tone), fret 5 (extension or scale note); string 6: fret 1 the b2 (chromatic note)."
    )


def test_a_map_for_each_passage_and_one_of_the_whole_where_there_is_none() -> None:
    bar = "bar 1  C\n1-2  3:5\n3-4  2:5\n"
    assert captions(known(read(bar)).study.html()) == ["The whole solo"]
    passages = "\npassage 1.1-1.1  First\npassage 1.3-1.3  Second\n"
    assert captions(known(read(bar + passages)).study.html()) == [
        "First, bar 1, count 1 Loop it",
        "Second, bar 1, count 3 Loop it",
    ]


def captions(html: str) -> list[str]:
    maps = html.partition("tt-necks")[2].partition("tt-figures")[0]
    return [re.sub(r"<[^>]+>", "", text) for text in re.findall(r"<figcaption>(.*?)</figcaption>", maps)]


def test_labels_of_a_bend_show_both_ends() -> None:
    study = study_of(read("bar 1  G7\n1-4  3:3b5\n").timeline)
    (labels,) = study.labels
    assert (over_chord(labels), over_key(labels), note_name(labels)) == ("♭3›4", "♭7›1", "B♭›C")


def test_a_note_without_a_chord_shows_the_key_in_brackets() -> None:
    study = study_of(read("bar 1  NC\n1-4  3:5\n").timeline)
    assert over_chord(study.labels[0]) == "(1)"


@pytest.mark.parametrize("path", SOLOS, ids=lambda path: path.stem)
def test_there_is_a_record_for_every_note_drawn_and_none_beside(path) -> None:
    (source,) = read_all([path], [path.parent])
    subject = subject_of(source)
    study = study_of(subject.timeline)
    tab, anchors = tab_html(subject.timeline, study=study)
    found = sections_of(study, subject.hand, Links(True, anchors=anchors))
    records = json.loads(re.search(r'class="tt-records">(.*?)</script>', found.under)[1])
    assert len(records) == tab.count('<g class="note"') == len(subject.timeline.notes)
    for record, labels, other in zip(records, study.labels, labels_of(subject.timeline, "extended"), strict=True):
        assert record[0] == over_chord(labels)
        assert record[8] == over_chord(other)
        assert len(record) == 10
    assert CAUTION in unescape(found.study.html())
    spoken_of = [number for text in re.findall(r'data-notes="([^"]+)"', found.study.html()) for number in numbers(text)]
    assert set(spoken_of) <= set(range(len(records)))
    links = set(re.findall(r'<a [^>]*href="#([^"]+)"', found.study.html()))
    loops = {link for link in links if "-" in link}
    assert links - loops <= set(anchors.values())
    assert {end.partition(".")[0] for loop in loops for end in loop.split("-")} <= set(anchors.values())


def test_sentences_have_sharps_and_flats_as_they_are_printed() -> None:
    html = known(read("bar 1  D#°7\n1-4  4:1 4:4 3:2 2:1\n")).study.html()
    assert "D♯°7 arpeggio over D♯°7: 1 ♭3 ♭5 ♭♭7" in html


def test_stretches_that_sentences_name_are_links_in_words() -> None:
    links = Links(True, anchors={"1": "b1", "1.1": "b1.1", "0.4": "b0.4"})
    said = str(_with_places("Begins as in 1.1-1.5, seven <notes>, and as in 0.4-2.4", links))
    assert said == (
        'Begins as in <a class="tt-place-link" href="#b1.1">bar 1, counts 1–5</a>, seven &lt;notes&gt;, '
        'and as in <a class="tt-place-link" href="#b0.4">bars 0–2</a>'
    )


def test_every_device_names_its_notes_and_its_place() -> None:
    (source,) = read_all([SOLOS[0]], [SOLOS[0].parent])
    subject = subject_of(source)
    study = study_of(subject.timeline)
    html = known(subject).study.html()
    told = [device for device in study.devices if not device.implied]
    assert html.count("<li data-notes=") == len(told) > 5
    for device in told:
        assert f'data-notes="{runs(device.notes)}"' in html


def test_a_plot_says_in_words_what_it_shows() -> None:
    html = bars_plot("Techniques", {"bend": 2, "slide": 5, "tap": 0})
    assert 'aria-label="Techniques: slide 5 of 7, bend 2 of 7"' in html
    assert re.findall(r'<rect [^>]*width="([\d.]+)"', html) == ["140.0", "56.0"]
    assert bars_plot("Techniques", {}) == ""


def test_hostile_names_arrive_as_text() -> None:
    text = f"bar 1  C\n1-4  3:5\n\npassage 1.1-1.1  {HOSTILE}\n"
    found = known(read(text))
    assert HOSTILE.partition(">")[0] not in found.study.html()
    assert_harmless(found.study.html(), ours=("input",))
    assert "&lt;script&gt;alert(2)" in found.study.html()


@pytest.mark.parametrize("text", ["", "bar 1  C\n1-4  .\n", "bar 1  C\n1-4  3:x\n"])
def test_a_solo_with_nothing_to_tell_has_a_page_all_the_same(text: str) -> None:
    found = known(read(text))
    assert_harmless(found.study.html(), ours=("input",))


@pytest.mark.parametrize(
    ("degree", "said"),
    [
        ("1", "the root"),
        ("b3", "the flat third"),
        ("#11", "the sharp eleventh"),
        ("bb7", "the flat flat seventh"),
        ("5+30c", "the fifth"),
        ("", ""),
    ],
)
def test_degrees_in_words(degree: str, said: str) -> None:
    assert degree_in_words(degree) == said


def test_numbers_are_shortened() -> None:
    assert runs([1, 2, 3, 7, 9, 10]) == "1-3 7 9-10"
    assert numbers("1-3 7 9-10") == [1, 2, 3, 7, 9, 10]


def numbers(text: str) -> list[int]:
    found: list[int] = []
    for run in text.split():
        first, _, last = run.partition("-")
        found.extend(range(int(first), int(last or first) + 1))
    return found


def test_what_is_most_worth_telling_comes_first_and_the_rest_is_folded() -> None:
    bars = [f"bar {number}  Am7\n1  1:8 1:5\n2  2:8 2:5\n3  3:7 3:5\n4  4:7 ." for number in range(1, 5)]
    subject = read("\n\n".join([*bars, "bar 5  C\n1  5:3 4:2\n2  3:0 2:1\n3  . .\n4  . ."]) + "\n")
    study = study_of(subject.timeline)
    links = Links(True, anchors=tab_html(subject.timeline, study=study)[1])
    found = devices_html(device_rows(study, links), FEWEST, {})
    told, folded, rest = found.partition("<details>")
    said = sorted(statements(study.weighed), key=lambda one: one.rank)
    assert len(said) > FEWEST
    assert told.count("<li") == FEWEST
    assert rest.count("<li") == len(said) - FEWEST
    assert folded
    for one in said[:FEWEST]:
        assert all(links.place(device.range) in told for device in one.devices)


def test_what_few_solos_of_a_collection_have_comes_forward_in_the_same_words() -> None:
    bars = [f"bar {number}  Am7\n1  1:8 1:5\n2  2:8 2:5\n3  3:7 3:5\n4  4:7 ." for number in range(1, 5)]
    subject = read("\n\n".join([*bars, "bar 5  C\n1  5:3 4:2\n2  3:0 2:1\n3  . .\n4  . ."]) + "\n")
    sections = known(subject).study
    (last,) = [device for device in sections.devices if device.rank == len(sections.devices)]
    plain = sections.html()
    forward = sections.html({last.sort: MOST_BITS * 10})
    assert last.row in plain.partition("<details>")[2]
    assert last.row in forward.partition("<details>")[0]
    assert sections.html({device.sort: 2 for device in sections.devices}) == plain
    assert sorted(re.findall("<li.*?</li>", forward)) == sorted(re.findall("<li.*?</li>", plain))
