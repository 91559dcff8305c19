"""A solo under another name: its old address leads on, and the feed knows it as the one it was."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner
from git_repositories import DUSK, new_repository

from tabtools.cli import main
from tabtools.settings import Settings
from tabtools.website.collection import gather
from tabtools.website.site import Site, Whereabouts


def files(folder: Path, directory_urls: bool, url: str = "https://slipway.example/") -> dict[str, str]:
    collection = gather(folder, Settings(root=folder.parent), directory_urls)
    return dict(Site(collection, folder, Whereabouts("Solos", url, "", "", folder.parent / "site_docs")).files())


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A solo that was renamed twice, the second time years later."""
    repository = new_repository(tmp_path, DUSK)
    for old, new, when in (("dusk", "evening", "2026-03-02"), ("evening", "nightfall", "2028-01-01")):
        repository.git("mv", f"transcriptions/{old}.solo", f"transcriptions/{new}.solo")
        repository.git("commit", "-qm", f"called {new}", f"--date={when}T12:00:00Z")
    return tmp_path / "transcriptions"


@pytest.mark.parametrize(
    ("directory_urls", "old", "new"),
    [(True, "solos/dusk/index.html", "../nightfall/"), (False, "solos/dusk.html", "nightfall.html")],
)
def test_each_old_address_leads_to_the_new_one(folder: Path, directory_urls: bool, old: str, new: str) -> None:
    found = files(folder, directory_urls)
    assert f'<a id="on" href="{new}">Ferry at Dusk</a>' in found[old]
    assert f'content="0; url={new}"' in found[old]
    assert old.replace("dusk", "evening") in found
    assert old.replace("dusk", "nightfall") not in found


@pytest.mark.parametrize("url", ["https://slipway.example/", ""])
def test_the_feed_keeps_its_id_and_the_day_it_came(folder: Path, url: str) -> None:
    before = new_repository(folder.parent / "before", DUSK).folder / "transcriptions"
    entry = r"<entry><id>(.*?)</id>.*?<published>(.*?)</published>"
    was, now = (re.findall(entry, files(one, True, url)["feed.xml"]) for one in (before, folder))
    assert was == now != []
    assert "nightfall/" in files(folder, True, url)["feed.xml"]


def test_an_address_that_another_solo_took_is_its_own(folder: Path) -> None:
    (folder / "dusk.solo").write_text(DUSK.replace("Ferry at Dusk", "Another Dusk"), encoding="utf-8")
    assert "solos/dusk/index.html" not in files(folder, True)


def test_a_difference_says_so(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(folder.parent)
    out = CliRunner().invoke(main, ["diff", "HEAD~1", "HEAD"], catch_exceptions=False).output
    assert "transcriptions/nightfall.solo (was transcriptions/evening.solo)\n  another name, and on the site" in out
