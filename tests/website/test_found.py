"""Finding: what solos are found by, the pages that gather bars, related figures, the figure index, feed and foot."""

from __future__ import annotations

import json
import os
import re
import subprocess
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest
from test_site_pages import HOSTILE, assert_harmless

from tabtools.checks.subject import subject_of
from tabtools.model.instrument import STANDARD
from tabtools.source import from_text
from tabtools.website.facet_pages import directory, gathered_pages
from tabtools.website.facets import Facets, facets_of, file_name
from tabtools.website.feed import Dates, FeedEntry, dates_of, feed
from tabtools.website.figure_index import figure_index
from tabtools.website.index_page import solos_index
from tabtools.website.links import Links
from tabtools.website.solo_page.footer import citation, downloads_of, edit_address, foot_html
from tabtools.website.solo_page.page import SoloPage, solo_page
from tabtools.website.solo_page.related import related_html
from tabtools.website.specimens import bars_shown

ATOM = "{http://www.w3.org/2005/Atom}"
SOLO = "title: {title}\nkey: A minor\nmeter: 4/4\n\n"
BARS = """bar 1  Am7
1-2  3:5 3:7b9
3-4  t2:12 p8

bar 2
1-4  3:5b7

bar 4  D7#9
1-4  3:5
"""
LINE = "bar 1  Am7\n1  3:5 2:8\n2  2:5 1:8\n3  1:5 2:6\n4  1:7 3:9\n"
LINKS = Links(directory_urls=True)
WHEN = Dates(datetime(2026, 3, 1, tzinfo=UTC), datetime(2026, 4, 2, tzinfo=UTC))


def found(slug: str = "one", text: str = BARS, title: str = "One") -> Facets:
    return facets_of(slug, subject_of(from_text(SOLO.replace("{title}", title) + text, f"{slug}.solo")))


def test_every_technique_and_chord_has_its_very_bars() -> None:
    one = found()
    assert {name: [place.words for place in places] for name, places in one.techniques.items()} == {
        "bend": ["bars 1–2"],
        "pull-off": ["bar 1"],
        "tap": ["bar 1"],
    }
    assert {name: [(place.words, place.address) for place in places] for name, places in one.chords.items()} == {
        "m7": [("bars 1–2", "1")],
        "7#9": [("bar 4", "4")],
    }
    assert one.bend == 2


@pytest.mark.parametrize(
    ("name", "file"),
    [("7#9", "7sharp9"), ("6/9", "6over9"), ("7(b9,#11)", "7b9-sharp11"), ("maj", "maj"), ("scale-run", "scale-run")],
)
def test_names_make_plain_file_names(name: str, file: str) -> None:
    assert file_name(name) == file


def page_of(slug: str) -> SoloPage:
    text = SOLO.replace("{title}", slug) + (BARS if slug != "two" else LINE)
    return solo_page(slug, subject_of(from_text(text, f"{slug}.solo")), None, (), LINKS)


def test_gathered_pages_show_the_bars_as_they_are_drawn() -> None:
    pages = {page.path: page for page in gathered_pages([found()], page_of)}
    html = pages["by/technique/bend"].body(LINKS)
    bars = re.findall(r'<div class="tt-bar"[^>]*aria-label="([^"]+)"', html)
    assert bars == ["Bar 1, Am7", "Bar 2"]
    assert re.findall(r' id="(b[\d.]+)"', html) == []
    used = set(re.findall(r'href="#([^"]+)"', html.partition("</defs>")[2]))
    assert used == set(re.findall(r'<g id="([^"]+)"', html.partition("</defs>")[0])) > {"tt-tone-chord"}


def test_bars_from_within_a_system_name_their_strings_once() -> None:
    tab = page_of("s").tab
    inside = bars_shown(tab, ("b2",), STANDARD)
    assert re.findall("<span>(.)</span>", inside) == list("EBGDAE")
    assert "tt-strings" not in bars_shown(tab, ("b1", "b2"), STANDARD)


def test_many_places_are_drawn_in_part_and_all_of_them_linked() -> None:
    solos = [replace(found(), slug=f"s-{number}", title=f"{number:02}") for number in range(41)]
    page = next(page for page in gathered_pages(solos, page_of) if page.path == "by/technique/bend")
    html = page.body(LINKS)
    assert html.count("<figure") == 40
    assert 'href="s-40/#b1">bars 1–2</a>' in html.partition("40</a>")[2]


def test_gathered_pages_link_to_the_very_bars() -> None:
    pages = {page.path: page for page in gathered_pages([found(), found("two", LINE, "Two")], page_of)}
    assert set(pages) >= {"by/technique/bend", "by/chord/m7", "by/chord/7sharp9"}
    bend = pages["by/technique/bend"].body(LINKS.seen_from("by/technique/bend"))
    assert 'href="../../../solos/one/#b1">bars 1–2</a>' in bend
    assert "two" not in bend
    both = pages["by/chord/m7"].body(LINKS)
    assert re.findall(r"<h2><a [^>]*>(\w+)</a>", both) == ["One", "Two"]


def test_the_directory_leads_to_all_gathered_pages() -> None:
    solos = [found(), found("two", LINE)]
    linked = set(re.findall(r'href="([^"]+)"', directory(solos, LINKS)))
    assert linked == {f"../{page.path}/" for page in gathered_pages(solos, page_of)}


def test_a_row_carries_what_it_is_filtered_and_sorted_by() -> None:
    html = solos_index([found()], LINKS)
    row = re.search(r"<tr (data-[^>]+)>", html)[1]
    facts = dict(re.findall(r'data-(\w+)="([^"]*)"', row))
    assert facts["key"] == "A minor"
    assert facts["technique"] == "bend pull-off tap"
    assert facts["chord"].split() == ["7#9", "m7"]
    assert facts["bend"] == "2"
    for name in ("words", "key", "meter", "tuning", "technique", "device", "chord", "tempo-from", "reach-to"):
        assert f'name="{name}"' in html


def test_a_long_list_is_turned_page_by_page() -> None:
    one = found()
    many = [replace(one, slug=f"one-{number}") for number in range(201)]
    assert "tt-paged" in solos_index(many, LINKS)
    assert "tt-paged" not in solos_index(many[1:], LINKS)


def test_figures_that_solos_share_are_told_on_both_pages() -> None:
    solos = [found("one", LINE, "First"), found("two", LINE.replace("Am7", "C"), "Second"), found("three")]
    related = related_html(solos, LINKS)
    assert set(related) == {"one", "two"}
    assert 'as in Second, <a class="tt-place-link" href="../two/#b1.1.1">bar 1</a>' in related["one"]
    assert "8 notes" in related["two"]


def test_the_figure_index_has_steps_degrees_and_addresses() -> None:
    scripts = figure_index([found("one", "bar 1  C\n1  3:5 3:7\n2-4  3:9\n")] * 51, LINKS)
    read = {name: json.loads(re.fullmatch(r"tabtoolsFigures\((.*)\);\n", text)[1]) for name, text in scripts.items()}
    assert list(read) == [name for name, _ in read.values()] == ["figures.js", "figures-0.js", "figures-1.js"]
    assert read["figures-1.js"][1] == [["one/", "One", [None, 4, 4], [0, 2, 4], "1.1 2 1.2 1"]]
    assert len(read["figures-0.js"][1]) == 50
    assert read["figures.js"][1] == [2, {"0 2": "0-1", "2 4": "0-1"}, {"4 4": "0-1"}]


def test_hostile_titles_arrive_as_text_everywhere() -> None:
    solos = [found("one", LINE, HOSTILE), found("two", LINE, HOSTILE)]
    assert_harmless(solos_index(solos, LINKS), ours=("form", "input"))
    for page in gathered_pages(solos, page_of):
        assert_harmless(page.body(LINKS))
    for html in related_html(solos, LINKS).values():
        assert_harmless(html)
    told = feed(HOSTILE, "", [FeedEntry("one", HOSTILE, HOSTILE, HOSTILE, "solos/one/", WHEN)])
    assert ET.fromstring(told).findtext(f"{ATOM}entry/{ATOM}title") == HOSTILE


def test_the_feed_is_atom_with_the_newest_first() -> None:
    """Elements that RFC 4287 requires, 4.1.1 and 4.1.2."""
    later = Dates(datetime(2026, 5, 1, tzinfo=UTC), datetime(2026, 5, 1, tzinfo=UTC))
    entries = [
        FeedEntry("old", "Old", "What it is", "Ida", "solos/old/", WHEN),
        FeedEntry("new", "New", "", "Ida", "solos/new/", later),
    ]
    root = ET.fromstring(feed("Site", "https://example.org/tab/", entries))
    assert root.tag == f"{ATOM}feed"
    assert root.findtext(f"{ATOM}id") == "https://example.org/tab/"
    assert root.findtext(f"{ATOM}updated") == "2026-05-01T00:00:00Z"
    told = root.findall(f"{ATOM}entry")
    assert [one.findtext(f"{ATOM}title") for one in told] == ["New", "Old"]
    for one in told:
        for name in ("id", "title", "updated", "published"):
            assert one.findtext(f"{ATOM}{name}")
        assert one.findtext(f"{ATOM}author/{ATOM}name") == "Ida"
    assert told[1].find(f"{ATOM}link").get("href") == "https://example.org/tab/solos/old/"


def test_a_feed_has_only_what_xml_can_carry() -> None:
    """Expat says what is well-formed; the edges of the production Char of XML 1.0, and those beside."""
    edges = [0x9, 0xA, 0x20, 0x7F, 0xD7FF, 0xE000, 0xFFFD, 0x10000, 0x1FFFE, 0x10FFFF]
    beside = [0x0, 0x8, 0xB, 0xC, 0xE, 0x1F, 0xD800, 0xDFFF, 0xFFFE, 0xFFFF]
    text = "a" + "".join(map(chr, edges + beside)) + "b"
    root = ET.fromstring(
        feed(text, "https://a.example/", [FeedEntry("one", text, text, text, "solos/one/", WHEN)]).encode("utf-8")
    )
    kept = "a" + "".join(map(chr, edges)) + "b"
    names = ("title", "entry title", "entry summary", "entry author name")
    assert [root.findtext("/".join(ATOM + name for name in path.split())) for path in names] == [kept] * 4


def test_a_feed_without_an_address_has_ids_that_stay() -> None:
    entry = FeedEntry("one", "One", "", "Ida", "solos/one/", WHEN)
    ids = [ET.fromstring(feed("S", "", [entry])).findtext(f"{ATOM}entry/{ATOM}id") for _ in range(2)]
    assert ids[0] == ids[1]
    assert ids[0].startswith("urn:uuid:")


def test_dates_are_those_of_git_else_of_the_file(tmp_path: Path) -> None:
    folder = tmp_path / "transcriptions"
    folder.mkdir()
    paths = [folder / "one.solo", folder / "new.solo"]
    paths[0].write_text("a", encoding="utf-8")
    git(tmp_path, "init", "-q")
    for day, text in ((1, "a"), (2, "b")):
        paths[0].write_text(text, encoding="utf-8")
        git(tmp_path, "add", "transcriptions/one.solo")
        git(tmp_path, "commit", "-q", "-m", text, date=f"2026-03-0{day}T12:00:00Z")
    paths[1].write_text("c", encoding="utf-8")
    os.utime(paths[1], (0, 86400))
    dates = dates_of(folder, paths).dates
    assert dates["one"] == Dates(datetime(2026, 3, 1, 12, tzinfo=UTC), datetime(2026, 3, 2, 12, tzinfo=UTC))
    assert dates["new"].published == datetime(1970, 1, 2, tzinfo=UTC)


def git(folder: Path, *arguments: str, date: str = "2026-01-01T00:00:00Z") -> None:
    who = {f"GIT_{role}_{what}": "ida@example.org" for role in ("AUTHOR", "COMMITTER") for what in ("NAME", "EMAIL")}
    when = {"GIT_AUTHOR_DATE": date, "GIT_COMMITTER_DATE": date}
    plain = {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1"}
    subprocess.run(["git", *arguments], cwd=folder, check=True, env={**os.environ, **who, **when, **plain})


@pytest.mark.parametrize(
    ("repository", "edit", "address"),
    [
        (
            "https://example.org/repo",
            "edit/main/site_docs/",
            "https://example.org/repo/edit/main/transcriptions/a.solo",
        ),
        (
            "https://example.org/repo/",
            "edit/main/site_docs",
            "https://example.org/repo/edit/main/transcriptions/a.solo",
        ),
        ("", "https://example.org/e/site_docs/", "https://example.org/e/transcriptions/a.solo"),
        ("https://example.org/repo", "", ""),
        ("", "edit/main/site_docs/", ""),
        ("javascript:alert(1)//", "x/", ""),
    ],
)
def test_the_edit_link_leads_to_the_solo_file(repository: str, edit: str, address: str) -> None:
    assert edit_address(repository, edit, "site_docs", "transcriptions/a.solo") == address


def test_the_foot_offers_every_download_and_says_how_to_cite() -> None:
    text = "title: One\nplayer: Ida Marlow\nrights: CC-BY-4.0\n" + SOLO.partition("\n")[2] + LINE
    subject = subject_of(from_text(text, "one.solo"))
    downloads = downloads_of("one", subject)
    html = foot_html("one", subject.solo.header, "../files/", "", "https://example.org/edit", WHEN)
    files = re.findall(r'href="([^"]+)" download', html)
    assert files == [f"../files/one.{ending}" for ending in ("solo", "txt", "mid", "mxl")]
    assert "Rights: CC-BY-4.0." in html
    assert 'href="https://example.org/edit"' in html
    said = citation("one", subject.solo.header, "https://example.org/one/", WHEN)
    assert said == ("Ida Marlow, “One”. Transcribed solo, version of 2026-04-02, https://example.org/one/.")
    assert downloads["one.solo"].decode() == subject.source.text
    assert downloads["one.mid"][:4] == b"MThd"
    assert "One\nIda Marlow\nCC-BY-4.0\n" in downloads["one.txt"].decode()
    with ZipFile(BytesIO(downloads["one.mxl"])) as packed:
        assert ET.fromstring(packed.read("score.musicxml")).tag == "score-partwise"
