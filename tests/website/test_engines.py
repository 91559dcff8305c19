"""mkdocs and properdocs, which continues it, make the same site."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from sites import BAD, DAY, GOOD, PLAIN_CONFIG, write_site
from thoroughness import IS_THOROUGH

from tabtools.website.build import SiteError, build_site

pytestmark = pytest.mark.build

PATIENCE = 300
MAY_DIFFER = re.compile(rb'(?<=<meta name="generator" content="mkdocs-)(ProperDocs )?[0-9.]+(?=, mkdocs-material-)')
"""What names the program and its version: nothing else in a site may tell which of the two has made it."""


def run(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    environment = os.environ | DAY
    command = [sys.executable, "-m", *words]
    return subprocess.run(
        command, cwd=folder, env=environment, capture_output=True, text=True, check=False, timeout=PATIENCE
    )


def pages(site: Path) -> dict[str, bytes]:
    """All files of a site; where the program is named, it is left out."""
    found = {path.relative_to(site).as_posix(): path.read_bytes() for path in site.rglob("*") if path.is_file()}
    return {
        name: MAY_DIFFER.sub(b"", content) if name.endswith(".html") else content for name, content in found.items()
    }


def maker(site: Path) -> str:
    found = MAY_DIFFER.search((site / "index.html").read_bytes())
    assert found is not None
    return "properdocs" if found[1] else "mkdocs"


def test_both_make_the_same_site(request: pytest.FixtureRequest, tmp_path: Path) -> None:
    """Its settings are the project's; with a push it is the small one, with a history, a draft and all other pages."""
    built: Path = request.getfixturevalue("demo" if IS_THOROUGH else "corrected")
    words = ("build", "--strict", "--quiet", "-f", "mkdocs.yml", "--site-dir", str(tmp_path / "properdocs"))
    done = run(built.parent, "properdocs", *words)
    assert (done.returncode, done.stderr) == (0, "")
    assert [maker(site) for site in (built, tmp_path / "properdocs")] == ["mkdocs", "properdocs"]
    expected, found = pages(built), pages(tmp_path / "properdocs")
    assert found.keys() == expected.keys()
    assert [path for path in found if found[path] != expected[path]] == []


def test_properdocs_takes_no_folder_of_the_repositorys_and_replaces_nothing_when_it_fails(tmp_path: Path) -> None:
    folder = write_site(tmp_path / "mine", {"one.solo": GOOD.format(title="One")}).parent
    assert "the site cannot go into transcriptions" in run(folder, "properdocs", "build", "-d", "transcriptions").stderr
    (folder / "mkdocs.yml").rename(folder / "properdocs.yml")
    assert run(folder, "properdocs", "build").returncode == 0
    old = pages(folder / "site")
    done = run(folder, "tabtools", "build", "--to", "../tabtools")
    assert (done.returncode, done.stderr) == (0, "")
    assert maker(tmp_path / "tabtools") == "properdocs"
    assert pages(tmp_path / "tabtools") == old
    (folder / "site_docs" / "index.md").write_text("# Home\n\n[nowhere](gone.md)\n", encoding="utf-8")
    assert "in strict mode" in run(folder, "properdocs", "build", "--strict").stdout
    (folder / "transcriptions" / "one.solo").write_text(BAD, encoding="utf-8")
    for words in (("properdocs", "build"), ("tabtools", "build")):
        assert run(folder, *words).returncode == 1
    assert pages(folder / "site") == old
    assert [path.name for path in folder.iterdir() if ".tabtools-" in path.name] == []


def test_the_warnings_of_a_strict_build_count_under_properdocs_too(tmp_path: Path) -> None:
    settings = PLAIN_CONFIG + "hooks: [hooks.py]\n"
    config = write_site(tmp_path, {"one.solo": GOOD.format(title="One")}, settings)
    config = config.rename(tmp_path / "properdocs.yml")
    hook = "import logging\ndef on_env(env, **_):\n    logging.getLogger('mkdocs.plugins.other').warning('look out')\n"
    (tmp_path / "hooks.py").write_text(hook, encoding="utf-8")
    call = "import sys; from tabtools.website.build import build_site; build_site(sys.argv[1], strict=True)"
    command = [sys.executable, "-c", call, str(config)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=PATIENCE)
    assert done.returncode == 1
    assert done.stderr.startswith("look out\n")
    assert "SiteError: Aborted with 1 warnings in strict mode!" in done.stderr
    assert not (tmp_path / "site").exists()


def test_settings_for_properdocs_need_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    config = write_site(tmp_path, {}).rename(tmp_path / "properdocs.yml")
    monkeypatch.setitem(sys.modules, "properdocs.replacement", None)
    with pytest.raises(
        SiteError, match=r"^properdocs\.yml needs properdocs: pip install properdocs, or call it mkdocs"
    ):
        build_site(config)
