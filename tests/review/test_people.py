"""Who made and who suggested a correction, as the repository's .mailmap calls them, wherever they are named."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from git_repositories import BETTER, DUSK, ENVIRONMENT, SOLO, GitRepository, new_repository

from tabtools.cli import main
from tabtools.review.git_log import git_log
from tabtools.review.people import people_of
from tabtools.settings import Settings
from tabtools.website.collection import gather
from tabtools.website.history_page import corrections_page, feed_entries, listed_people

MAILMAP = """\
Ida Marlow <ida@slipway.example> <runner-7@builds.example>
Nell Quayle <nell@quay.example> <nq@old.example>
Nell Quayle <nell@quay.example> nelly <nelly@quay.example>
"""
MACHINE = {"GIT_AUTHOR_NAME": "runner-7", "GIT_AUTHOR_EMAIL": "runner-7@builds.example"}
MESSAGE = """\
a higher note

Suggested-by: nq <nq@old.example>
Suggested-by: nelly <NELLY@quay.example>
Suggested-by: Tam Wick
Co-authored-by: Zoë Slack <zoe@slack.example>
"""
PEOPLE = ("Nell Quayle", "Tam Wick", "Zoë Slack")


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> GitRepository:
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
        monkeypatch.setenv(name, ENVIRONMENT[name])
    found = new_repository(tmp_path / "solos", DUSK)
    for name, value in MACHINE.items():
        monkeypatch.setitem(ENVIRONMENT, name, value)
    found.write(MAILMAP, ".mailmap")
    found.commit(BETTER, MESSAGE)
    return found


def test_blame_names_people(repository: GitRepository) -> None:
    solo = str(repository.folder / SOLO)
    result = CliRunner().invoke(main, ["blame", solo, "--format", "json"], catch_exceptions=False)
    assert [(row["author"], tuple(row["credits"])) for row in json.loads(result.stdout)] == [
        ("Ida Marlow", ()), ("Ida Marlow", PEOPLE),
    ]  # fmt: skip
    shown = CliRunner().invoke(main, ["blame", solo], catch_exceptions=False).stdout
    assert "Ida Marlow, with Nell Quayle and Tam Wick" in shown


def test_pages_and_feeds_name_people(repository: GitRepository) -> None:
    found = gather(repository.folder / "transcriptions", Settings(root=repository.folder), directory_urls=True)
    ((_, one),) = found.history.recent
    assert (one.commit.author, one.commit.credits) == ("Ida Marlow", PEOPLE)
    by = "by Ida Marlow, suggested by Nell Quayle, Tam Wick and Zoë Slack"
    assert by in found.history.by_slug["dusk"]
    (entry,) = feed_entries(found.history.recent, {"dusk": "Dusk"}, found.links)
    assert (entry.author, entry.summary) == ("Ida Marlow", by)
    page = corrections_page(found.history.recent, {"dusk": "Dusk"})
    assert page is not None and by in page.body(found.links)
    assert listed_people([one]) == "Nell Quayle, Tam Wick and Zoë Slack"


def test_one_who_corrects_on_their_own_word_is_named_once(repository: GitRepository) -> None:
    repository.commit(DUSK, "back\n\nSuggested-by: runner-7 <runner-7@builds.example>")
    found = gather(repository.folder / "transcriptions", Settings(root=repository.folder), directory_urls=True)
    assert ": 1 note to another pitch (bar 2), by Ida Marlow. Bar" in found.history.by_slug["dusk"]


@pytest.mark.parametrize("trailer", ["<>", "x <", "a <b> <c>", "<only@mail.example>", "x <y\x1b>", "  <a@b> c"])
def test_what_is_no_contact_is_taken_as_it_is_written(repository: GitRepository, trailer: str) -> None:
    repository.commit(DUSK, f"back\n\nSuggested-by: {trailer}\nSuggested-by: Tam Wick <nq@old.example>")
    latest = next(iter(git_log(repository.folder, ("--max-count=1",), "--")))
    assert latest.commit.credits[-1] == "Nell Quayle"
    assert not any("\x1b" in name or "<" in name for name in latest.commit.credits)


def test_names_in_a_mailmap_cannot_break_lines(repository: GitRepository) -> None:
    repository.write("Nell\x0b\x85\u2028\x1b[2J Quayle <n@q.example> <nq@old.example>\n", ".mailmap")
    (name,) = people_of(["nq <nq@old.example>"], repository.folder).values()
    assert name.startswith("Nell␋") and name.endswith("␛[2J Quayle")


def test_without_a_mailmap_names_stay(repository: GitRepository) -> None:
    (repository.folder / ".mailmap").unlink()
    assert people_of(["nq <nq@old.example>", "Tam Wick", "nq <nq@old.example>"], repository.folder) == {
        "nq <nq@old.example>": "nq",
        "Tam Wick": "Tam Wick",
    }
    assert people_of([], repository.folder) == {}
