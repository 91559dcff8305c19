"""Where the pages lead: every link arrives, from a server and from a disk, and nothing is fetched from elsewhere."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import NamedTuple
from urllib.parse import unquote, urlsplit

import pytest
from browser import opened
from playwright.sync_api import Browser
from sites import served
from thoroughness import IS_THOROUGH, crossed

PAGES = ("index", "solos/index", "format", "checks/index", "solos/lantern-on-the-slip", "by/technique/bend")
LOADED = {("script", "src"), ("img", "src"), ("iframe", "src"), ("audio", "src"), ("source", "src"), ("use", "href")}

LOOP = re.compile(r"(b\d+)(?:\.\d+)?-(b\d+)(?:\.\d+)?")


class Outline(HTMLParser):
    """The ids of a page, where its links lead, and what it loads."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.ids: set[str] = set()
        self.links: list[str] = []
        self.loaded: list[str] = []
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        self.tags.append((tag, found))
        self.ids.update(found[name] for name in ("id", "name") if name in found)
        for name in ("href", "src"):
            if name in found and (tag, found.get("rel")) != ("link", "canonical"):
                self.links.append(found[name])
        if tag == "link" and found.get("rel") in ("stylesheet", "icon", "preload", "preconnect", "dns-prefetch"):
            self.loaded.append(found["href"])
        self.loaded += [found[name] for kind, name in LOADED if kind == tag and name in found]


@cache
def outline(path: Path) -> Outline:
    return Outline(path.read_text(encoding="utf-8"))


def places(fragment: str) -> set[str]:
    """The ids that the end of an address names: one, or the bars between which the page's player repeats."""
    loop = LOOP.fullmatch(unquote(fragment))
    return set(loop.groups()) if loop else {unquote(fragment)}


def faults(site: Path, home: str) -> Iterator[str]:
    """Links that arrive nowhere; `home` is what stands for a folder where there is a server, empty on a disk."""
    for path in sorted(site.rglob("*.html")):
        for link in outline(path).loaded:
            if urlsplit(link).scheme or link.startswith("//"):
                yield f"{path.relative_to(site)} loads {link}"
        for link in outline(path).links:
            parts = urlsplit(link)
            if parts.scheme or parts.netloc or parts.path.startswith("/"):
                continue
            target = path.parent.joinpath(unquote(parts.path)).resolve() if parts.path else path
            target = target / home if target.is_dir() and home else target
            if not target.is_file():
                yield f"{path.relative_to(site)}: {link} arrives nowhere"
            elif parts.fragment and target.suffix == ".html" and not places(parts.fragment) <= outline(target).ids:
                yield f"{path.relative_to(site)}: {link} names no place there"


@pytest.mark.build
def test_every_link_arrives_on_a_disk(demo: Path) -> None:
    assert list(faults(demo, "")) == []
    assert len(outline(demo / "solos" / "index.html").links) > 50


@pytest.mark.build
def test_every_link_arrives_from_a_server_of_folders(in_folders: Path) -> None:
    assert (in_folders / "solos" / "lantern-on-the-slip" / "index.html").is_file()
    assert list(faults(in_folders, "index.html")) == []


class Place(NamedTuple):
    """Where a site is read, and how its pages are called there."""

    number: int
    address: str
    ending: str

    def page(self, path: str) -> str:
        name = path.removesuffix("index")
        if self.ending == "/" and (not name or name != path):
            return f"{self.address}/{name}"
        return f"{self.address}/{path}{self.ending}"


LOADED_OF_SEARCH = """
performance.getEntriesByType("resource").map(one => one.name).filter(one => /search_index|workers.search/.test(one))
"""
PLACES = ("disk", "server", "server of folders")
FIGURES = (("degrees", "b3 5 b7"), ("steps", "3 4"))


@pytest.fixture(params=PLACES)
def place(request: pytest.FixtureRequest) -> Iterator[Place]:
    number = PLACES.index(request.param)
    if request.param == "disk":
        yield Place(number, request.getfixturevalue("demo").as_uri(), ".html")
    elif request.param == "server":
        yield Place(number, request.getfixturevalue("served_demo"), ".html")
    else:
        with served(request.getfixturevalue("in_folders")) as address:
            yield Place(number, address, "/")


@pytest.mark.build
@pytest.mark.browser
def test_every_kind_of_page_asks_only_its_own_site(browser: Browser, place: Place) -> None:
    for path in PAGES if IS_THOROUGH else PAGES[place.number :: len(PLACES)]:
        with opened(browser, place.page(path)) as page:
            assert page.locator("h1").count() == 1


@pytest.mark.build
@pytest.mark.browser
@pytest.mark.parametrize(("place", "path"), crossed(PLACES, ("index", "by/technique/bend")), indirect=["place"])
def test_the_search_of_the_theme_finds(browser: Browser, place: Place, path: str) -> None:
    with opened(browser, place.page(path)) as page:
        page.wait_for_load_state("networkidle")
        assert page.evaluate(LOADED_OF_SEARCH) == []
        page.get_by_role("textbox", name="Search").click()
        page.keyboard.type("rigging lines")
        page.locator(".md-search-result__link").first.click()
        page.wait_for_load_state()
        assert page.locator("h1").inner_text() == "Rigging Lines"


@pytest.mark.build
@pytest.mark.browser
def test_a_solo_can_be_played_and_left(browser: Browser, place: Place) -> None:
    with opened(browser, place.page("solos/rigging-lines")) as page:
        page.evaluate("tabtools.practice.player.counting = 'none'")
        page.locator('.tt-practice [data-do="play"]').click()
        page.wait_for_function("tabtools.practice.player.rounds.length > 0")
        page.locator(".md-logo:visible, .md-header .md-logo").first.click()
        page.wait_for_load_state()
        assert page.url == place.page("index")


@pytest.mark.build
@pytest.mark.browser
@pytest.mark.parametrize(("place", "wanted"), crossed(PLACES, FIGURES), indirect=["place"])
def test_a_figure_is_found_and_its_link_arrives(browser: Browser, place: Place, wanted: tuple[str, str]) -> None:
    kind, figure = wanted
    with opened(browser, place.page("solos/index")) as page:
        page.get_by_label("Look for").select_option(kind)
        page.get_by_role("textbox", name="Figure").fill(figure)
        page.get_by_role("button", name="Find", exact=True).click()
        page.locator(".tt-figures-found a").first.click()
        page.wait_for_load_state()
        assert page.evaluate("document.querySelector(':target').matches('.tt-tab *')")


@pytest.mark.build
def test_a_page_has_the_glyphs_that_it_uses_and_no_others(demo: Path) -> None:
    seen = 0
    for path in (*demo.glob("*.html"), *demo.glob("solos/*.html"), *demo.glob("by/chord/*.html")):
        page = path.read_text(encoding="utf-8")
        glyphs = set(re.findall(r'<g id="(tt-[^"]+)"', page))
        assert glyphs == set(re.findall(r'<use href="#([^"]+)"', page)), path
        seen += len(glyphs)
    assert seen > 100


@pytest.mark.build
def test_every_dialog_of_the_theme_has_a_name(demo: Path) -> None:
    dialogs = [attributes for _, attributes in outline(demo / "index.html").tags if attributes.get("role") == "dialog"]
    assert dialogs and all(attributes.get("aria-label") for attributes in dialogs)


@pytest.mark.build
@pytest.mark.browser
def test_a_wrong_address_leads_on_from_a_disk_and_from_below_another_site(browser: Browser, demo: Path) -> None:
    with served(demo.parent) as above:
        for address in (demo.as_uri(), f"{above}/{demo.name}"):
            with opened(browser, f"{address}/404.html", color_scheme="dark") as page:
                page.wait_for_function("document.body.dataset.mdColorScheme === 'slate'")
                assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(23, 26, 27)"
                page.get_by_role("link", name="All solos").click()
                assert page.url == f"{address}/solos/index.html"
