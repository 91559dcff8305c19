"""The strip of strain: heights, patterns, words, and the hardest bars as links."""

from __future__ import annotations

import re

import pytest
from drawn import SOLOS

from tabtools.checks.subject import subject_of
from tabtools.files import read_all
from tabtools.hand.strain import KINDS, BarStrain, strains_of
from tabtools.website.links import Links
from tabtools.website.solo_page.strain_strip import HEIGHT, hardest_bars, strain_in_words, strain_strip

STRAINS = (
    BarStrain(1, 0.25, "picking"),
    BarStrain(2, 0.0, ""),
    BarStrain(3, 0.9, "reach"),
    BarStrain(4, 0.6, "bend"),
    BarStrain(5, 1.0, "shift", doubtful=True),
)
LINKS = Links(True, anchors={str(bar): f"b{bar}" for bar in range(1, 6)})


def test_a_column_is_as_high_as_its_bar_strains() -> None:
    columns = re.findall(
        r'<rect class="tt-column" fill="url\(#tt-strain-(\w+)\)"[^>]*height="([\d.]+)"><title>', strip()
    )
    assert columns == [
        ("picking", f"{0.25 * HEIGHT:.1f}"),
        ("reach", f"{0.9 * HEIGHT:.1f}"),
        ("bend", f"{0.6 * HEIGHT:.1f}"),
        ("shift", f"{HEIGHT:.1f}"),
    ]


def test_every_kind_has_a_pattern_of_its_own_and_a_word() -> None:
    kinds = [BarStrain(bar, 0.5, kind) for bar, kind in enumerate(KINDS, 1)]
    html = strain_strip(kinds, Links(True))
    shapes = re.findall(r"<pattern[^>]*>(.*?)</pattern>", html)
    assert len(set(shapes)) == len(KINDS)
    for kind, said in KINDS.items():
        assert f'id="tt-strain-{kind}"' in html
        assert f"</svg> {said}</li>" in html


def test_what_is_seen_is_said() -> None:
    assert strain_in_words(STRAINS) == (
        "Strain of 5 bars: 2 above 80 %; the most is 100 % of what hands can do, in bar 5: quick shift (uncertain)."
    )
    assert strain_in_words(STRAINS) in strip()


def test_the_hardest_bars_are_links_the_hardest_first() -> None:
    assert [one.bar for one in hardest_bars(STRAINS)] == [5, 3, 4]
    assert re.findall(r'href="#(b\d)">bar \d</a> \((.*?%)\)', strip()) == [
        ("b5", "quick shift (uncertain), 100 %"),
        ("b3", "wide reach, 90 %"),
        ("b4", "stiff bend, 60 %"),
    ]


def test_a_bar_that_stands_twice_is_named_once() -> None:
    twice = (BarStrain(7, 0.6, "bend"), BarStrain(7, 0.9, "reach"))
    assert hardest_bars(twice) == [BarStrain(7, 0.9, "reach")]


@pytest.mark.parametrize("strains", [(), (BarStrain(1, 0.0, ""),)])
def test_nothing_is_drawn_where_nothing_is_played(strains: tuple[BarStrain, ...]) -> None:
    assert strain_strip(strains, Links(True)) == ""


def test_ten_times_as_many_bars_are_no_wider_than_the_page() -> None:
    widths = [
        float(re.search(r'viewBox="0 -2 ([\d.]+)', strain_strip(STRAINS * times, LINKS))[1]) for times in (1, 800)
    ]
    assert widths[0] < widths[1] <= 760


@pytest.mark.parametrize("path", SOLOS, ids=lambda path: path.stem)
def test_every_demo_solo_has_a_column_for_each_bar_that_is_played(path) -> None:
    (source,) = read_all([path], [path.parent])
    subject = subject_of(source)
    played = {note.address.bar for note in subject.timeline.notes if note.midi is not None}
    strains = strains_of(subject.hand)
    drawn = {int(bar) for bar in re.findall(r"<title>bar (\d+):", strain_strip(strains, Links(True)))}
    assert drawn == {one.bar for one in strains if one.what}
    assert drawn <= {bar.number for bar in subject.timeline.bars}
    assert len(drawn) > len(played) / 2


def strip() -> str:
    return strain_strip(STRAINS, LINKS)
