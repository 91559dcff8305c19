"""What is put into finished pages is there, whatever other plugins, hooks and templates do; or the build says so."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from sites import GOOD, PLAIN_CONFIG, write_site

from tabtools.website.build import SiteError, build_site
from tabtools.website.placing import PlaceMissingError, check_linked, filled, in_head, is_place_in
from tabtools.website.solo_page.page import ABOUT_HERE, CONTROLS_HERE, STUDY_HERE, TAB_HERE
from tabtools.website.theme import ThemeError, check_scripts, check_words, is_known, mended

A, B = "<tt-a></tt-a>", "<tt-b></tt-b>"


@pytest.mark.parametrize(
    "html",
    [
        "<p></p><tt-a></tt-a><i></i><tt-b></tt-b>",
        "<p></p><tt-a/><i></i><tt-b />",
        "<p></p><tt-a >\n </tt-a><i></i><tt-b\n></tt-b\n>",
    ],
)
def test_parts_take_the_place_of_their_elements(html: str) -> None:
    assert filled(html, {A: "one", B: "other"}) == "<p></p>one<i></i>other"
    assert is_place_in(html, A)


def test_parts_are_not_looked_into() -> None:
    assert filled(A + B, {B: f"{A}&", A: f"{B}\\1"}) == f"{B}\\1{A}&"


@pytest.mark.parametrize(
    ("html", "said"),
    [
        ("<tt-b></tt-b>", "has <tt-a></tt-a> nowhere, where it should stand once"),
        ("<tt-a></tt-a><tt-b></tt-b><tt-a/>", "has <tt-a></tt-a> 2 times"),
        ("<tt-a>words</tt-a><tt-b></tt-b>", "nowhere"),
        ("<tt-ab></tt-ab><tt-b></tt-b>", "nowhere"),
    ],
)
def test_a_place_that_is_not_there_once_is_an_error(html: str, said: str) -> None:
    with pytest.raises(PlaceMissingError, match=said):
        filled(html, {A: "", B: ""})


def test_a_page_without_a_head_is_an_error() -> None:
    assert in_head("<head></head>", "<link>") == "<head><link></head>"
    with pytest.raises(PlaceMissingError, match="has no </head>"):
        in_head("<head><body>", "<link>")


def test_a_page_that_does_not_load_a_file_is_an_error() -> None:
    check_linked('<link href="../assets/tab.d41d8.min.css">', ["assets/tab.css"])
    for html in ("assets/tabtools.css", "assets/tab.js", "tab.css"):
        with pytest.raises(PlaceMissingError):
            check_linked(html, ["assets/tab.css"])
    with pytest.raises(PlaceMissingError, match=r"does not load assets/a\.css and assets/b\.js"):
        check_linked("<html>", ["assets/a.css", "assets/b.js"])


# ---- whole sites

STRIPPING = """\
import re

def on_page_content(html, **_):
    return re.sub("<!--.*?-->", "", html)

def on_post_page(output, **_):
    return re.sub("<!--.*?-->", "", output)
"""
EATING = """\
def on_page_content(html, **_):
    return html.replace("<tt-tab></tt-tab>", "")
"""
DOUBLING = """\
def on_page_content(html, **_):
    return html + html
"""
HEADLESS = """\
from mkdocs.plugins import event_priority

@event_priority(100)
def on_post_page(output, page, **_):
    return output.replace("</head>", "") if page.file.src_uri in ("solos/one.md", "index.md") else output
"""
LENDING = """\
kept = {}

def on_page_content(html, page, **_):
    kept[page.file.src_uri] = html

def on_page_context(context, page, **_):
    if page.file.src_uri == "index.md":
        page.content += kept["solos/one.md"]
    return context
"""


def site_with(tmp_path: Path, hook: str = "", config: str = PLAIN_CONFIG) -> Path:
    path = write_site(tmp_path, {"one.solo": GOOD.format(title="One")}, config + ("hooks: [hook.py]\n" if hook else ""))
    (tmp_path / "hook.py").write_text(hook, encoding="utf-8")
    return path


def said(caplog: pytest.LogCaptureFixture) -> str:
    return "\n".join(record.getMessage() for record in caplog.records if record.levelno >= logging.WARNING)


@pytest.mark.build
def test_comments_may_be_stripped(tmp_path: Path) -> None:
    site = build_site(site_with(tmp_path, STRIPPING), strict=True)
    page = (site / "solos" / "one" / "index.html").read_text(encoding="utf-8")
    assert page.count('class="tt-tab"') == page.count('class="tt-statistics"') == 1
    assert not [place for place in (CONTROLS_HERE, TAB_HERE, STUDY_HERE, ABOUT_HERE) if place in page]


@pytest.mark.build
@pytest.mark.parametrize(
    ("hook", "words"),
    [
        (EATING, "tabtools: solos/one.md: the finished page has <tt-tab></tt-tab> nowhere"),
        (DOUBLING, "tabtools: solos/one.md: the finished page has <tt-controls></tt-controls> 2 times"),
        (HEADLESS, "tabtools: solos/one.md: the finished page has no </head>"),
    ],
)
def test_a_page_without_a_place_is_not_published(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, hook: str, words: str
) -> None:
    with pytest.raises(SiteError):
        build_site(site_with(tmp_path, hook))
    assert words in said(caplog)
    assert "put plugins that shorten or rewrite pages after tabtools" in said(caplog)


@pytest.mark.build
def test_a_page_that_borrows_that_of_a_solo_is_named(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    path = site_with(tmp_path, LENDING)
    build_site(path)
    assert "index.md shows the page of a solo, whose tab is missing there" in said(caplog)


EXTENDED = '{{% extends "base.html" %}}{{% block {} %}}<p>mine</p>{{% endblock %}}'
OWN = {
    "partials/source.html": "<a data-md-component='source' class=md-source href='{{ config.repo_url }}'>mine</a>",
    "partials/search.html": "<div class=md-search role=dialog data-md-component=search></div>",
}


def overridden(tmp_path: Path, templates: Mapping[str, str]) -> Path:
    """A site with templates of its own."""
    config = PLAIN_CONFIG.replace("  font: false\n", "  font: false\n  custom_dir: own\n")
    (tmp_path / "own").mkdir()
    for name, text in templates.items():
        path = tmp_path / "own" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return site_with(tmp_path, config=config + "repo_url: https://forge.example/solos\n")


@pytest.mark.build
@pytest.mark.parametrize(
    ("template", "words"),
    [
        (EXTENDED.format("content"), "the finished page has <tt-controls></tt-controls> nowhere"),
        ("<head></head>{{ page.content }}", "the finished page does not load assets/tabtools.css"),
        ("{{ page.content }}", "the finished page has no </head>"),
    ],
)
def test_a_template_that_leaves_something_out(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, template: str, words: str
) -> None:
    with pytest.raises(SiteError):
        build_site(overridden(tmp_path, {"main.html": template}))
    assert words in said(caplog)


@pytest.mark.build
@pytest.mark.parametrize("own", [{}, OWN])
def test_the_theme_is_mended_however_it_is_written(tmp_path: Path, own: Mapping[str, str]) -> None:
    site = build_site(overridden(tmp_path, own), strict=True)
    for name in ("index.html", "solos/index.html", "solos/one/index.html"):
        page = (site / name).read_text(encoding="utf-8")
        assert "md-source" in page, name
        assert "data-md-component" in page and "data-md-component=source" not in page.replace('"', "").replace("'", "")
        assert page.count('aria-label="Search" role="dialog"') + page.count('search aria-label="Search"') == 1, name


@pytest.mark.build
def test_another_theme_is_built_with_a_warning(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    config = PLAIN_CONFIG.replace("  name: material\n  font: false\n", "  name: readthedocs\n")
    page = (build_site(site_with(tmp_path, config=config)) / "solos" / "one" / "index.html").read_text(encoding="utf-8")
    assert page.count('class="tt-tab"') == 1
    assert "the pages of solos are made for the theme material" in said(caplog)


# ---- the theme's own words


@pytest.mark.parametrize(
    ("html", "mended_html"),
    [
        ('<a class="s" data-md-component="source">', '<a class="s" >'),
        ("<a data-md-component=source class=s>", "<a  class=s>"),
        ("<a data-md-component='source'>", "<a >"),
        ("<a data-md-component=source>", "<a >"),
        ('<a data-md-component="sources">', '<a data-md-component="sources">'),
        (
            '<div data-md-component="search" role="dialog">',
            '<div data-md-component="search" aria-label="Search" role="dialog">',
        ),
        ("<div data-md-component=search>", '<div data-md-component=search aria-label="Search">'),
        (
            '<div aria-label="Suche" data-md-component="search">',
            '<div aria-label="Suche" data-md-component="search">',
        ),
        ('<input data-md-component="search-query">', '<input data-md-component="search-query">'),
    ],
)
def test_the_words_are_mended(html: str, mended_html: str) -> None:
    assert mended(html) == mended_html
    assert mended(mended_html) == mended_html


def test_the_installed_theme_has_the_words() -> None:
    import material

    folder = Path(material.__file__).parent / "templates"
    assert is_known(["/other", str(folder)])
    check_words(lambda name: (folder / name).read_text(encoding="utf-8"), "9")


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("partials/source.html", 'partials/source.html has no data-md-component="source", so pages would ask the host'),
        ("partials/search.html", 'partials/search.html has no data-md-component="search", so the search would have no'),
        ("base.html", r"base.html has no config.extra.polyfills, so the search would not work from a disk"),
    ],
)
def test_a_theme_with_other_words_is_refused(name: str, words: str) -> None:
    whole = 'data-md-component="source" data-md-component="search" config.extra.polyfills'
    templates: dict[str, str | None] = dict.fromkeys(("partials/source.html", "partials/search.html"), whole)
    own: Callable[[str], str | None] = (templates | {"base.html": whole, name: "other"}).get
    with pytest.raises(ThemeError, match=f"mkdocs-material 9.99 is not as tabtools knows it: {words}"):
        check_words(own, "9.99")
    check_words((templates | {"base.html": whole, name: None}).get, "9.99")


def test_a_script_from_elsewhere_for_the_search_of_a_disk_is_refused() -> None:
    check_scripts(["assets/iframe-worker.js", "https://other.example/mine.js"])
    with pytest.raises(ThemeError, match=r"every page would load https://unpkg\.example/iframe-worker/shim"):
        check_scripts(["assets/iframe-worker.js", "https://unpkg.example/iframe-worker/shim"])
