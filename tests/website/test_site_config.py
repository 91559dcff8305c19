"""Settings in mkdocs.yml that would break a site without a word are refused, or made to work."""

from __future__ import annotations

import logging
from pathlib import Path

import pytest
from sites import GOOD, PLAIN_CONFIG, WITH_CHECKS, write_site

from tabtools.settings import Settings
from tabtools.website.build import SiteError, build_site
from tabtools.website.site_config import SiteConfigError, check_features, check_folders, polyfills_of, solos_folder

FEATURES = "  font: false\n  features: [{}]\n"
OWN_FOLDER = PLAIN_CONFIG.replace("tabtools: {}", "tabtools: {transcriptions: FOLDER}")


def refused(config: Path, caplog: pytest.LogCaptureFixture) -> str:
    """What is said of a site that cannot be built."""
    with pytest.raises(SiteError):
        build_site(config)
    assert not (config.parent / "site" / "solos").exists()
    return "\n".join(record.getMessage() for record in caplog.records if record.levelno >= logging.ERROR)


# ---- features of the theme


@pytest.mark.parametrize(
    ("features", "said"),
    [
        (["navigation.instant"], "with navigation.instant, pages come without tab and player"),
        (
            ["navigation.top", "navigation.instant.prefetch", "navigation.instant.progress"],
            "with navigation.instant.prefetch and navigation.instant.progress, pages",
        ),
        (["navigation.instant.preview"], "take it out of the theme's features"),
        ("navigation.instant", "with navigation.instant, pages come without tab and player"),
        ({"navigation.instant": True}, "with navigation.instant, pages come without tab and player"),
    ],
)
def test_instant_navigation_is_refused(features: object, said: str) -> None:
    with pytest.raises(SiteConfigError, match=said):
        check_features(features)


@pytest.mark.parametrize("features", [[], None, ["navigation.top", "navigation.instantly"], "navigation.top", [7], 7])
def test_other_features_are_none_of_our_business(features: object) -> None:
    check_features(features)


@pytest.mark.build
def test_a_site_with_instant_navigation_is_not_built(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    config = PLAIN_CONFIG.replace("  font: false\n", FEATURES.format("navigation.instant.progress"))
    said = refused(write_site(tmp_path, {"one.solo": GOOD}, config), caplog)
    assert "tabtools: with navigation.instant.progress, pages come without tab and player" in said


@pytest.mark.build
def test_a_plugin_that_stands_there_twice_is_refused(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    config = PLAIN_CONFIG.replace("  - search\n", "  - search\n  - tabtools\n")
    said = refused(write_site(tmp_path, {"one.solo": GOOD}, config), caplog)
    assert "tabtools stands twice among the plugins in mkdocs.yml" in said


# ---- scripts before the theme's


def test_scripts_that_are_loaded_first_are_a_list() -> None:
    assert polyfills_of({}) == []
    assert polyfills_of({"polyfills": ["x.js"]}) == ["x.js"]
    with pytest.raises(SiteConfigError, match=r"polyfills: \[x.js\]"):
        polyfills_of({"polyfills": "x.js"})
    for wrong in (None, {"x.js": 1}, ["x.js", 1]):
        with pytest.raises(SiteConfigError, match=r"is to be a list of scripts"):
            polyfills_of({"polyfills": wrong})


@pytest.mark.build
def test_one_script_that_is_no_list_is_refused(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    config = PLAIN_CONFIG.replace("  - search\n", "  - search\n  - offline\n") + "extra: {polyfills: x.js}\n"
    said = refused(write_site(tmp_path, {"one.solo": GOOD}, config), caplog)
    assert "polyfills under extra in mkdocs.yml is to be a list of scripts: polyfills: [x.js]" in said


@pytest.mark.build
@pytest.mark.parametrize(("setting", "is_loaded"), [("offline", True), ("offline: {enabled: false}", False)])
def test_the_search_of_a_disk_is_there_where_it_is_wanted(tmp_path: Path, setting: str, is_loaded: bool) -> None:
    config = PLAIN_CONFIG.replace("  - search\n", f"  - search\n  - {setting}\n") + "extra: {polyfills: [x.js]}\n"
    site = build_site(write_site(tmp_path, {"one.solo": GOOD}, config), strict=True)
    page = next((site / "solos").rglob("one*.html" if is_loaded else "one/index.html")).read_text(encoding="utf-8")
    assert ("assets/iframe-worker.js" in page) == is_loaded
    assert page.count("x.js") == 1


# ---- folders


def test_the_folder_that_is_linted_is_published(tmp_path: Path) -> None:
    (tmp_path / "music").mkdir()
    settings = Settings(transcriptions="music", root=tmp_path)
    assert solos_folder(tmp_path, None, settings) == tmp_path / "music"
    assert solos_folder(tmp_path, "music", settings) == tmp_path / "music"
    assert solos_folder(tmp_path, "./music/", settings) == tmp_path / "music"


@pytest.mark.parametrize("named", ["solos", "../outside", "/", ".", "", "music/more"])
def test_another_folder_than_is_linted_is_refused(tmp_path: Path, named: str) -> None:
    for name in ("music", "music/more", "solos"):
        (tmp_path / name).mkdir()
    with pytest.raises(SiteConfigError, match="while those in music are linted; say which folder it is"):
        solos_folder(tmp_path, named, Settings(transcriptions="music", root=tmp_path))


def test_the_settings_may_stand_above_the_site(tmp_path: Path) -> None:
    (tmp_path / "music").mkdir()
    (tmp_path / "page").mkdir()
    settings = Settings(transcriptions="music", root=tmp_path)
    assert solos_folder(tmp_path / "page", None, settings) == tmp_path / "music"
    with pytest.raises(SiteConfigError, match=f"there is no folder transcriptions in {tmp_path}"):
        solos_folder(tmp_path / "page", None, Settings(root=tmp_path))


@pytest.mark.build
def test_a_folder_outside_of_the_repository_is_refused(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    (tmp_path / "outside").mkdir()
    (tmp_path / "outside" / "secret.solo").write_text(GOOD, encoding="utf-8")
    config = write_site(tmp_path / "inside", {"one.solo": GOOD}, OWN_FOLDER.replace("FOLDER", "../outside"))
    said = refused(config, caplog)
    assert "mkdocs.yml would publish the solos in “../outside”, while those in transcriptions are linted" in said


@pytest.mark.parametrize(
    ("solos", "pages", "said"),
    [
        ("site_docs", "site_docs", "the folder of the solos, site_docs, lies in docs_dir, site_docs"),
        ("site_docs/solos", "site_docs", "the folder of the solos, solos, lies in docs_dir, site_docs"),
        ("music", "music/pages", "docs_dir, pages, lies in the folder of the solos, music"),
    ],
)
def test_solos_and_written_pages_stand_apart(tmp_path: Path, solos: str, pages: str, said: str) -> None:
    with pytest.raises(SiteConfigError, match=said):
        check_folders(tmp_path / solos, tmp_path / pages)


def test_folders_side_by_side_are_fine(tmp_path: Path) -> None:
    check_folders(tmp_path / "site_docs_of_solos", tmp_path / "site_docs")


def test_a_link_into_the_written_pages_hides_nothing(tmp_path: Path) -> None:
    (tmp_path / "site_docs" / "solos").mkdir(parents=True)
    (tmp_path / "music").symlink_to(tmp_path / "site_docs" / "solos")
    with pytest.raises(SiteConfigError, match="lies in docs_dir"):
        check_folders(tmp_path / "music", tmp_path / "site_docs")


@pytest.mark.build
def test_solos_among_the_written_pages_are_refused(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    config = write_site(tmp_path, {"one.solo": GOOD}, PLAIN_CONFIG.replace("docs_dir: site_docs", "docs_dir: pages"))
    (tmp_path / "transcriptions").rename(tmp_path / "site_docs" / "solos")
    (tmp_path / "site_docs").rename(tmp_path / "pages")
    settings = '[tool.tabtools]\ntranscriptions = "pages/solos"\n'
    (tmp_path / "pyproject.toml").write_text(settings, encoding="utf-8")
    assert "the folder of the solos, solos, lies in docs_dir, pages" in refused(config, caplog)


# ---- what other plugins want of a page

ASKING = """\
from pathlib import Path

def on_files(files, config):
    for file in files:
        assert Path(file.abs_src_path).is_file(), file.src_uri

def on_page_content(html, page, **_):
    return f"{html}<p>Made from {Path(page.file.abs_src_path).name}</p>"
"""


@pytest.mark.build
def test_every_page_tells_other_plugins_what_it_is_made_from(tmp_path: Path) -> None:
    config = write_site(tmp_path, {"one.solo": GOOD}, WITH_CHECKS + "hooks: [asking.py]\n")
    (tmp_path / "asking.py").write_text(ASKING, encoding="utf-8")
    site = build_site(config, strict=True)
    pages = {
        name: (site / name / "index.html").read_text(encoding="utf-8") for name in ("solos/one", "solos", "checks")
    }
    assert "Made from one.solo" in pages["solos/one"]
    assert "Made from mkdocs.yml" in pages["solos"]
    assert "Made from mkdocs.yml" in pages["checks"]
