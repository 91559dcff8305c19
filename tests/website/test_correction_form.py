"""The form for corrections without a browser: where bars stand, what is embedded, where corrections are sent."""

from __future__ import annotations

import json
import logging
import re
from pathlib import Path

import made_music
import pytest
from corrections import form_html
from drawn import SOLOS
from git_repositories import DUSK, SOLO, new_repository
from hypothesis import given
from sites import GOOD, PLAIN_CONFIG, ROOT, built, write_site

from tabtools.checks.subject import subject_of
from tabtools.source import from_text
from tabtools.website.build import SiteError, build_site
from tabtools.website.records import listed
from tabtools.website.solo_page.correction_form import IssueAddressError, check_issue_address, written_bars

BAR = re.compile(r"^bars? (\d+)", re.MULTILINE)

COMMENTED = """\
title: A
meter: 4/4

# opens the bar
bar 1  Am
# before the count

1-4  3:7
# closes the bar

# of the section
section B

# twice
bars 2-4 like 1  # thrice


bar 5
1-4  3:9
# the end
"""


def parts(text: str) -> list[tuple[int, str]]:
    """Every bar drawn, with its lines."""
    source = from_text(text)
    written = written_bars(source, subject_of(source).timeline)
    return [(number, "\n".join(source.lines()[start:end])) for number, start, end, *_ in written.bars]


def embedded(html: str) -> dict:
    found = re.search(r'<script type="application/json" class="tt-written">(.*?)</script>', html, re.DOTALL)
    assert found is not None
    return json.loads(found[1])


def test_comments_and_repeats_stand_with_their_bars() -> None:
    like = "# twice\nbars 2-4 like 1  # thrice"
    first = "# opens the bar\nbar 1  Am\n# before the count\n\n1-4  3:7\n# closes the bar"
    assert parts(COMMENTED) == [(1, first), (2, like), (3, like), (4, like), (5, "bar 5\n1-4  3:9\n# the end")]


def test_a_repeated_bar_knows_what_it_repeats() -> None:
    source = from_text(COMMENTED + "\nbars 6-7 like 4-5\n")
    written = written_bars(source, subject_of(source).timeline)
    assert written.header == 2
    repeats = [tuple(listed(bar)[3:]) for bar in written.bars]
    assert repeats == [(), (1, 2, 4), (1, 2, 4), (1, 2, 4), (), (1, 6, 7), (5, 6, 7)]


@given(made_music.texts)
def test_the_lines_of_a_bar_are_its_own(text: str) -> None:
    for number, lines in parts(text):
        assert BAR.findall(lines) == [str(number)]
        assert lines.splitlines()[-1].strip()


@pytest.mark.parametrize("path", SOLOS, ids=lambda path: path.stem)
def test_every_line_of_a_demo_belongs_to_one_place(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    source = from_text(text)
    written = written_bars(source, subject_of(source).timeline)
    stretches = sorted({(0, written.header), *((start, end) for _, start, end, *_ in written.bars)})
    taken = {at for start, end in stretches for at in range(start, end)}
    assert len(taken) == sum(end - start for start, end in stretches)
    left = [line for at, line in enumerate(source.lines()) if at not in taken and line.strip()]
    assert all(line.startswith(("section ", "passage ")) for line in left), left


def test_a_line_that_cannot_be_read_is_offered_with_the_bar_above_it() -> None:
    assert parts("title: A\nmeter: 4/4\n\nbar 1\n1-4  3:7\n\nbar two\n2  ???\n\nbar 3\n1-4  .\n") == [
        (1, "bar 1\n1-4  3:7\n\nbar two\n2  ???"),
        (3, "bar 3\n1-4  ."),
    ]


# ---- what is embedded

HOSTILE = "</script><script>alert(1)</script><!--<script>\\'\"&lt;]]>"


def test_a_hostile_solo_stays_data() -> None:
    text = f"title: {HOSTILE}\nmeter: 4/4\n\nbar 1\n1-4  3:7  # {HOSTILE}\n"
    html = form_html(text.encode(), "transcriptions/a.solo")
    assert embedded(html)["text"] == text
    assert html.count("<script") == html.count("</script>") == 1
    assert "<!--" not in html


def test_names_of_files_are_written_as_git_takes_them() -> None:
    facts = embedded(form_html(DUSK.encode(), "transcriptions/dämmerung am steg.solo"))
    assert facts["names"] == (
        "diff --git a/transcriptions/dämmerung am steg.solo b/transcriptions/dämmerung am steg.solo\n"
        "--- a/transcriptions/dämmerung am steg.solo\t\n+++ b/transcriptions/dämmerung am steg.solo\t\n"
    )
    assert facts["opening"] == "Correction for transcriptions/dämmerung am steg.solo"
    assert facts["name"] == "dämmerung am steg"


@pytest.mark.parametrize(
    ("data", "path"),
    [
        (DUSK.encode(), "transcriptions/a:b.solo"),
        (DUSK.encode(), "transcriptions/a\\b.solo"),
        (DUSK.encode(), "transcriptions/a\nb.solo"),
        (DUSK.encode(), "../dusk.solo"),
        (DUSK.encode(), "transcriptions/.git/dusk.solo"),
        (DUSK.encode(), "transcriptions/\udce4.solo"),
        (DUSK.replace("\nbar 1", "\rbar 1").encode(), SOLO),
        (b"title: A\n", SOLO),
    ],
)
def test_where_no_patch_could_be_taken_none_is_offered(data: bytes, path: str) -> None:
    assert form_html(data, path) == ""


def test_line_ends_and_marks_of_a_disk_are_not_those_of_a_repository() -> None:
    facts = embedded(form_html(("\ufeff" + DUSK).replace("\n", "\r\n").encode(), SOLO))
    assert (facts["text"], facts["header"]) == (DUSK, 0)
    facts = embedded(form_html(DUSK.rstrip("\n").encode(), SOLO))
    assert (facts["text"], facts["header"]) == (DUSK.rstrip("\n"), 6)


# ---- where corrections are sent


@pytest.mark.parametrize(
    "address",
    [
        "",
        "https://forge.example/slipway/solos/issues/new",
        "https://forge.example/new?title={title}&body={body}",
        "http://localhost:3000/new?body={body}#form",
        "mailto:ida@slipway.example",
        "mailto:ida@slipway.example?subject={title}&body={body}",
        "MAILTO:ida@slipway.example",
        "HTTPS://forge.example/new",
    ],
)
def test_addresses_that_corrections_are_sent_to(address: str) -> None:
    check_issue_address(address)


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("javascript:alert(1)", "begins with none of https:, http: and mailto:"),
        ("data:text/html,x", "begins with none"),
        ("forge.example/new", "begins with none"),
        ("//forge.example/new", "begins with none"),
        ("https:///new", "names nobody"),
        ("https:new", "names nobody"),
        ("mailto:?subject={title}", "names nobody"),
        ("https://forge.example/a b", "a space or a sign that no address has"),
        ('https://forge.example/"><script>', "a space or a sign"),
        ("https://forge.example/\n", "a space or a sign"),
        ("https://{title}/new", "only {title} and {body} can be filled in"),
        ("https://forge.example/{body}", "only {title} and {body}"),
        ("https://forge.example/new?a={title}&b={title}", "once each and behind the ?"),
        ("https://forge.example/new?a={page}", "only {title} and {body}"),
        ("https://forge.example/new?a={title}#{title}", "only {title} and {body}"),
        ("https://[forge/new", "is no address"),
    ],
)
def test_other_addresses_are_refused_with_advice(address: str, said: str) -> None:
    with pytest.raises(IssueAddressError, match=re.escape(said)) as refused:
        check_issue_address(address)
    assert "write one like https://" in str(refused.value)


def test_the_addresses_shown_are_good() -> None:
    page = (ROOT / "site_docs" / "publishing.md").read_text(encoding="utf-8")
    shown = re.findall(r"issue_url: (\S+)|`(mailto:\S+)`", page)
    assert len(shown) == 2
    for address in shown:
        check_issue_address("".join(address))


def with_address(address: str) -> str:
    return PLAIN_CONFIG.replace("{}", json.dumps({"issue_url": address}))


@pytest.mark.build
def test_a_site_with_a_bad_address_is_not_built(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    config = write_site(tmp_path, {"one.solo": GOOD}, with_address("javascript:alert(1)"))
    with pytest.raises(SiteError), caplog.at_level(logging.ERROR):
        build_site(config)
    assert "issue_url in mkdocs.yml: it begins with none of https:, http: and mailto:" in caplog.text


@pytest.mark.build
def test_a_page_knows_its_path_in_the_repository_and_the_address(tmp_path: Path) -> None:
    top = new_repository(tmp_path).folder
    config = with_address("https://forge.example/new?title={title}&body={body}")
    pages = list(built(top / "notes" / "guitar", {"one.solo": GOOD}, config).glob("solos/one*"))
    html = (pages[0] / "index.html" if pages[0].is_dir() else pages[0]).read_text(encoding="utf-8")
    facts = embedded(html)
    assert facts["opening"] == "Correction for notes/guitar/transcriptions/one.solo"
    assert facts["issues"].startswith("https://forge.example/new?")
    assert html.index('class="tt-tab"') < html.index('class="tt-suggest"') < html.index('id="about"')
    assert html.count("assets/solo_page.js") == html.count("assets/correction_form.css") == 1
