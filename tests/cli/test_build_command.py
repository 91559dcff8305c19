"""tabtools build: what stops it, and what a draft is excused."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from tabtools.cli import main

pytestmark = pytest.mark.build


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, words, catch_exceptions=False)
    return result.exit_code, result.output


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    run("init", ".")
    return tmp_path


def test_a_lesson_that_is_wrong_stops_the_build_unless_its_solo_is_a_draft(repository: Path) -> None:
    solo = repository / "transcriptions" / "first-light.solo"
    solo.with_suffix(".md").write_text("Not so: `@1.1.1 B3`.\n", encoding="utf-8")
    status, out = run("build")
    assert status == 1
    assert "first-light.md:1:10: error: 1.1.1 is C4" in out
    assert out.endswith("not built: mend these, or mark the solo with draft: yes\n")
    assert not (repository / "site").exists()

    solo.write_text(solo.read_text(encoding="utf-8").replace("rights:", "draft: yes\nrights:"), encoding="utf-8")
    status, out = run("build")
    assert (status, out.splitlines()[-1]) == (0, "site built: site/index.html")
    assert out.splitlines()[0] == "1 error in 1 of 1 solo"


@pytest.mark.parametrize("suffix", [".solo", ".md"])
def test_not_even_a_draft_is_published_with_the_markers_of_a_merge(repository: Path, suffix: str) -> None:
    solo = repository / "transcriptions" / "first-light.solo"
    solo.write_text(solo.read_text(encoding="utf-8").replace("rights:", "draft: yes\nrights:"), encoding="utf-8")
    place = solo.with_suffix(suffix)
    before = place.read_text(encoding="utf-8")
    place.write_text(f"{before}\n<<<<<<< ours\n=======\n>>>>>>> theirs\n", encoding="utf-8")
    line = before.count("\n") + 2
    assert run("lint", "--strict")[0] == 1
    status, out = run("build")
    assert status == 1
    assert f"{place.name}:{line}:1: error: a conflict marker left by a merge" in out
    assert out.endswith("not built: mend these\n")
    assert not (repository / "site").exists()


def test_the_solos_that_are_published_are_those_that_are_checked(repository: Path) -> None:
    site = repository / "other"
    run("init", "other")
    wrong = site / "transcriptions" / "first-light.solo"
    wrong.write_text(wrong.read_text(encoding="utf-8").replace("rights:", "nights:"), encoding="utf-8")
    status, out = run("build", "--config", "other/mkdocs.yml")
    assert status == 1
    assert "other/transcriptions/first-light.solo" in out
    assert run("build")[0] == 0
    (site / "pyproject.toml").write_text("[tool.tabtools]\nnothing = 1\n", encoding="utf-8")
    status, out = run("build", "--config", "other/mkdocs.yml")
    assert (status, "tool.tabtools has no key “nothing”" in out) == (2, True)


def test_without_settings_for_a_site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("build") == (2, "tabtools: there is no mkdocs.yml here; run tabtools init, or name it with --config\n")


def test_the_address_for_corrections_only_has_to_be_taken_out_of_its_comment(repository: Path) -> None:
    config = repository / "mkdocs.yml"
    config.write_text(config.read_text(encoding="utf-8").replace("# issue_url", "issue_url"), encoding="utf-8")
    status, _ = run("build")
    assert status == 0
    assert "https://forge.example/solos/issues/new" in (repository / "site/solos/first-light.html").read_text("utf-8")
