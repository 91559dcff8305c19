"""The addresses of a site's pages, and links from one of them to the others."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markupsafe import Markup

from tabtools.model.solo import Address, AddressRange
from tabtools.website.links import CORRECTIONS, INDEX, Links, place_link, place_words, runs, solo_path

FOLDERS, FILES = Links(directory_urls=True), Links(directory_urls=False)


@pytest.mark.parametrize(
    ("page", "folder", "file"),
    [
        (INDEX, "solos/", "solos/index.html"),
        ("solos/dusk", "solos/dusk/", "solos/dusk.html"),
        ("solos/dämmer ung#1", "solos/d%C3%A4mmer%20ung%231/", "solos/d%C3%A4mmer%20ung%231.html"),
        (CORRECTIONS, "by/time/corrections/", "by/time/corrections.html"),
    ],
)
def test_addresses_are_folders_or_files(page: str, folder: str, file: str) -> None:
    assert (FOLDERS.address(page), FILES.address(page)) == (folder, file)


@pytest.mark.parametrize(
    ("here", "there", "folder", "file"),
    [
        (INDEX, "solos/dusk", "dusk/", "dusk.html"),
        (INDEX, "by/chord/m7", "../by/chord/m7/", "../by/chord/m7.html"),
        ("solos/dusk", INDEX, "../", "index.html"),
        ("solos/dusk", "solos/ebb", "../ebb/", "ebb.html"),
        ("solos/dusk", CORRECTIONS, "../../by/time/corrections/", "../by/time/corrections.html"),
        ("by/chord/m7", "solos/dusk", "../../../solos/dusk/", "../../solos/dusk.html"),
    ],
)
def test_a_page_leads_to_another(here: str, there: str, folder: str, file: str) -> None:
    assert (FOLDERS.seen_from(here).page(there), FILES.seen_from(here).page(there)) == (folder, file)


@pytest.mark.parametrize(
    ("here", "address", "folder", "file"),
    [
        ("solos/dusk", "assets/solo_page.js", "../../assets/solo_page.js", "../assets/solo_page.js"),
        ("solos/dusk", "solos/files/", "../files/", "files/"),
        (INDEX, "feed.xml", "../feed.xml", "../feed.xml"),
        (CORRECTIONS, "corrections.xml", "../../../corrections.xml", "../../corrections.xml"),
    ],
)
def test_a_page_leads_to_a_file(here: str, address: str, folder: str, file: str) -> None:
    assert (FOLDERS.seen_from(here).file(address), FILES.seen_from(here).file(address)) == (folder, file)


def test_a_solo_and_a_place_in_it() -> None:
    links = Links(directory_urls=False, solos=frozenset({"ebb"})).seen_from(solo_path("dusk"))
    assert links.solo("ebb", "5.2") == "ebb.html#b5.2"
    assert (links.solo_named("ebb"), links.solo_named("flood")) == ("ebb.html", None)


PLACES = Links(directory_urls=True).seen_from("solos/dusk", {"5": "b5", "5.2": "b5.2", "5.2.3": "b5.2.3"})


@pytest.mark.parametrize(
    ("place", "html"),
    [
        (Address(5), '<a class="tt-place-link" href="#b5">bar 5</a>'),
        (Address(5, 2, 3), '<a class="tt-place-link" href="#b5.2.3">bar 5, count 2</a>'),
        (Address(5, 2, 4), '<a class="tt-place-link" href="#b5.2">bar 5, count 2</a>'),
        (Address(5, 4), '<a class="tt-place-link" href="#b5">bar 5, count 4</a>'),
        (AddressRange(Address(5, 2), Address(6, 1)), '<a class="tt-place-link" href="#b5.2">bars 5–6</a>'),
        (Address(9), "bar 9"),
    ],
)
def test_places_of_a_tab_are_links_where_it_has_them(place: Address | AddressRange, html: str) -> None:
    assert (str(PLACES.place(place)), type(PLACES.place(place))) == (html, Markup)


def test_words_of_a_link_are_text() -> None:
    assert PLACES.place_called(Address(9), "<b>&") == Markup("&lt;b&gt;&amp;")
    assert place_link('"><x', "<b>") == Markup('<a class="tt-place-link" href="&#34;&gt;&lt;x">&lt;b&gt;</a>')


def test_a_stretch_within_a_bar_says_its_counts() -> None:
    assert place_words(AddressRange(Address(5, 1), Address(5, 3))) == "bar 5, counts 1–3"
    assert place_words(AddressRange(Address(5, 2), Address(5, 2))) == "bar 5, count 2"


@given(st.lists(st.integers(0, 60), unique=True).map(sorted))
def test_runs_say_every_number_once(numbers: list[int]) -> None:
    told = [run.partition("-") for run in runs(numbers).split()]
    assert [one for first, _, last in told for one in range(int(first), int(last or first) + 1)] == numbers
