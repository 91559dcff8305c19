"""Whole sites built with mkdocs in temporary folders."""

from __future__ import annotations

import json
import logging
import re
from pathlib import Path

import pytest
from mkdocs.config import load_config
from sites import BAD, GOOD, PLAIN_CONFIG, WITH_CHECKS, built, write_site

from tabtools.checks import ALL_CHECKS
from tabtools.website.build import SiteError, build_site
from tabtools.website.live_build import LiveSite

pytestmark = pytest.mark.build


def test_a_page_for_every_solo_and_an_index_that_leads_to_them(tmp_path: Path) -> None:
    solos = {"one.solo": GOOD.format(title="First"), "two.solo": GOOD.format(title="Second")}
    solos["one.md"] = "The A, `@1.1.1 D4`. See [the second](two.md)."
    site = built(tmp_path, solos)
    page = (site / "solos" / "one" / "index.html").read_text(encoding="utf-8")
    assert "<title>First - Test</title>" in page
    assert '<meta name="description" content="First: ' in page
    assert page.count('class="tt-bar"') == 1
    assert 'href="#b1.1.1"' in page
    assert 'id="b1.1.1"' in page
    assert 'href="../two/"' in page
    index = (site / "solos" / "index.html").read_text(encoding="utf-8")
    assert 'href="one/"' in index
    assert 'href="two/"' in index
    assert (site / "assets" / "tabtools.css").is_file()


def test_solos_stay_out_of_the_navigation(tmp_path: Path) -> None:
    home = (built(tmp_path, {"one.solo": GOOD.format(title="Hidden from it")}) / "index.html").read_text("utf-8")
    assert "solos/" in home
    assert "Hidden from it" not in home


def test_the_search_index_has_titles_and_no_figures_of_the_tab(tmp_path: Path) -> None:
    site = built(tmp_path, {"one.solo": GOOD.format(title="First").replace("3:7", "3:13")})
    entries = json.loads((site / "search" / "search_index.json").read_text(encoding="utf-8"))["docs"]
    own = [entry for entry in entries if entry["location"].startswith("solos/one/")]
    assert [entry["title"] for entry in own] == ["First", "About this transcription"]
    assert own[0]["tags"] == ["rock", "slow"]
    assert not any("13" in entry["text"] for entry in own)


def test_every_check_has_a_page(tmp_path: Path) -> None:
    site = built(tmp_path, {"one.solo": GOOD.format(title="First")}, WITH_CHECKS)
    for check in ALL_CHECKS:
        assert "<h1" in (site / "checks" / check.NAME / "index.html").read_text(encoding="utf-8")


def test_errors_stop_the_build_and_are_named(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    config = write_site(tmp_path, {"good.solo": GOOD, "bad.solo": BAD, "worse.solo": "title: A\nbar one\n"})
    with pytest.raises(SiteError):
        build_site(config)
    assert "transcriptions/bad.solo:8:1: error: bar 1: count 4 of 4/4 is missing [bar-duration]" in caplog.text
    assert re.search(r"transcriptions/worse\.solo:2:\d+: error: .* \[syntax\]", caplog.text)
    assert "good.solo" not in caplog.text
    assert not (tmp_path / "site" / "solos").exists()


def test_a_site_that_was_served_in_the_same_process_is_built_as_any_other(tmp_path: Path) -> None:
    config = write_site(tmp_path, {"bad.solo": BAD})
    live = LiveSite(config, tmp_path / "served")
    live.build()
    live.close()
    with pytest.raises(SiteError):
        build_site(config)


def test_a_draft_with_errors_is_published_as_one(tmp_path: Path) -> None:
    site = built(tmp_path, {"bad.solo": "draft: yes\n" + BAD, "bad.md": "`@1.1.1 B3`"})
    page = (site / "solos" / "bad" / "index.html").read_text(encoding="utf-8")
    assert 'line 9, <a class="tt-place-link" href="#b1">bar 1</a>: bar 1: count 4 of 4/4 is missing' in page
    assert "in the lesson: 1.1.1 is D4" in page
    assert "(draft)" in (site / "solos" / "index.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("binary.solo", b"\x00\xff", "binary.solo:1"),
        ("index.solo", GOOD.encode(), "index.solo: this name is taken"),
        ("one.md", b"\xff\xfe\x00", "one.md:1:1: error: the file is in UTF-16"),
        ("one.md", b"[" * 20_000, "one.md: the lesson has 20,000 signs ["),
    ],
)
def test_files_that_cannot_be_published_are_named(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, name: str, data: bytes, said: str
) -> None:
    config = write_site(tmp_path, {"one.solo": GOOD})
    (tmp_path / "transcriptions" / name).write_bytes(data)
    with pytest.raises(SiteError):
        build_site(config)
    assert f"transcriptions/{said}" in caplog.text


@pytest.mark.parametrize("name", ["one.md", "other.solo"])
def test_a_link_may_not_lead_out_of_the_folder(tmp_path: Path, caplog: pytest.LogCaptureFixture, name: str) -> None:
    config = write_site(tmp_path, {"one.solo": GOOD})
    (tmp_path / "secret").write_text("secret words", encoding="utf-8")
    (tmp_path / "transcriptions" / name).symlink_to(tmp_path / "secret")
    with pytest.raises(SiteError):
        build_site(config)
    assert "leads out of its folder" in caplog.text


def test_hostile_text_builds_and_stays_text(tmp_path: Path) -> None:
    title = '<script>alert(1)</script>"><img src=x onerror=alert(2)>{{ config }}'
    solo = "draft: yes\nsummary: {title}\n" + GOOD.replace("rock", "<i>rock</i>").replace("bar 1  Am", "bar 1  A<b>")
    site = built(tmp_path, {"one.solo": solo.replace("{title}", title), "one.md": title})
    page = (site / "solos" / "one" / "index.html").read_text(encoding="utf-8")
    assert "<script>alert" not in page
    assert "<img src=x" not in page
    assert "{{ config }}" in page
    entries = (site / "search" / "search_index.json").read_text(encoding="utf-8")
    assert "<script" not in entries
    assert "<i>" not in entries


def test_nothing_is_written_among_the_sources(tmp_path: Path) -> None:
    config = write_site(tmp_path, {"one.solo": GOOD})
    before = {path: path.stat().st_mtime_ns for path in tmp_path.rglob("*")}
    build_site(config, tmp_path / "site")
    after = {path: path.stat().st_mtime_ns for path in tmp_path.rglob("*") if "site" not in path.parts[-1:]}
    after = {path: time for path, time in after.items() if not path.is_relative_to(tmp_path / "site")}
    assert {path: time for path, time in before.items() if path.is_file()} == {
        path: time for path, time in after.items() if path.is_file()
    }


def test_pages_without_folders_link_to_each_other(tmp_path: Path) -> None:
    solos = {"one.solo": GOOD, "two.solo": GOOD, "one.md": "[two](two.md)"}
    site = built(tmp_path, solos, PLAIN_CONFIG + "use_directory_urls: false\n")
    assert 'href="two.html"' in (site / "solos" / "one.html").read_text(encoding="utf-8")
    assert 'href="index.html"' in (site / "solos" / "one.html").read_text(encoding="utf-8")
    assert 'href="one.html"' in (site / "solos" / "index.html").read_text(encoding="utf-8")


def test_a_page_written_by_hand_is_left_as_it_is(tmp_path: Path) -> None:
    config = write_site(tmp_path, {"one.solo": GOOD})
    (tmp_path / "site_docs" / "solos").mkdir()
    (tmp_path / "site_docs" / "solos" / "index.md").write_text("# My own index\n\n[One](one.md)\n", encoding="utf-8")
    site = build_site(config, strict=True)
    assert "My own index" in (site / "solos" / "index.html").read_text(encoding="utf-8")


def test_links_of_written_pages_into_a_tab_are_known(tmp_path: Path) -> None:
    config = write_site(tmp_path, {"one.solo": GOOD}, PLAIN_CONFIG + "validation: {anchors: warn}\n")
    home = tmp_path / "site_docs" / "index.md"
    home.write_text("# Home\n\n[there](solos/one.md#b1.1.1)\n", encoding="utf-8")
    build_site(config, strict=True)
    home.write_text("# Home\n\n[nowhere](solos/one.md#b9)\n", encoding="utf-8")
    with pytest.raises(SiteError):
        build_site(config, strict=True)


def test_a_missing_folder_is_named(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    config = write_site(tmp_path, {})
    (tmp_path / "transcriptions").rmdir()
    with pytest.raises(SiteError):
        build_site(config)
    assert "there is no folder transcriptions" in caplog.text


def test_a_folder_without_solos_builds(tmp_path: Path) -> None:
    assert "no solos yet" in (built(tmp_path, {}) / "solos" / "index.html").read_text(encoding="utf-8")


def test_the_server_watches_the_solos(tmp_path: Path) -> None:
    config = load_config(str(write_site(tmp_path, {})))
    config = config.plugins.on_config(config)
    watched: list[str] = []

    class Server:
        def watch(self, path: str) -> None:
            watched.append(path)

    config.plugins.on_serve(Server(), config=config, builder=None)
    assert str(tmp_path / "transcriptions") in watched


def test_messages_come_from_a_logger_that_strict_builds_count() -> None:
    from tabtools.website import plugin

    assert plugin.log.name == "mkdocs.plugins.tabtools"
    assert isinstance(plugin.log, logging.Logger)
