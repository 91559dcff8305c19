"""Of a thousand solos only those are read that changed, and of lessons only those lines that name one of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

import pytest
from click.testing import CliRunner
from git_repositories import BETTER, DUSK, ENVIRONMENT, GitRepository, new_repository

from tabtools.cli import differences, main
from tabtools.review import git, references, revisions

SOLOS, CHANGED = 1000, 5
LINK = "As in [another](solo-3.md#b2).\n"


class Reading:
    """What was read: blobs by git, files by us, solos parsed, and the rows git found in lessons."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.calls: list[str] = []
        self.blobs: set[bytes] = set()
        self.files: list[str] = []
        self.parsed: list[str] = []
        self.rows = 0
        run, read_all, subject_of = git.run, differences.read_all, differences.subject_of

        def watched_run(arguments: Sequence[str], folder: Path, given: bytes = b"", *rest: object, **more: object):
            done = run(arguments, folder, given, *rest, **more)
            self.calls.append(" ".join(arguments[:2]))
            if arguments[0] == "cat-file":
                self.blobs.update(given.split())
            if "grep" in arguments:
                self.rows += done.stdout.count(b"\n")
            return done

        def watched_read(paths: Iterable[Path], *rest: object):
            some = list(paths)
            self.files += [path.name for path in some]
            return read_all(some, *rest)

        def watched_subject(source, profile):
            self.parsed.append(source.path)
            return subject_of(source, profile)

        for module in (git, revisions, references):
            monkeypatch.setattr(module, "run", watched_run)
        monkeypatch.setattr(differences, "read_all", watched_read)
        monkeypatch.setattr(differences, "subject_of", watched_subject)


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> GitRepository:
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
        monkeypatch.setenv(name, ENVIRONMENT[name])
    found = new_repository(tmp_path / "solos")
    for number in range(SOLOS):
        found.write(DUSK.replace("Dusk", f"Dusk {number}"), f"transcriptions/solo-{number}.solo")
        found.write("" if number % 100 else LINK, f"transcriptions/solo-{number}.md")
    found.commit(message="all")
    for number in range(CHANGED):
        found.write(BETTER.replace("Dusk", f"Dusk {number}"), f"transcriptions/solo-{number}.solo")
    monkeypatch.chdir(found.folder)
    return found


def test_the_working_tree(repository: GitRepository, monkeypatch: pytest.MonkeyPatch) -> None:
    reading = Reading(monkeypatch)
    said = CliRunner().invoke(main, ["diff"], catch_exceptions=False).output
    assert said.count("1 note to another pitch") == CHANGED and said.count("links to bar 2 of solo-3") == 10
    assert sorted(reading.files) == sorted(f"solo-{one}.{kind}" for one in range(CHANGED) for kind in ("md", "solo"))
    assert len(reading.parsed) == 2 * CHANGED
    assert len(reading.blobs) <= 2 * CHANGED
    assert reading.rows == 10
    assert len(reading.calls) <= 9, reading.calls


@pytest.mark.parametrize("command", ["diff", "review"])
def test_two_revisions(repository: GitRepository, monkeypatch: pytest.MonkeyPatch, command: str) -> None:
    repository.commit(message="five")
    reading = Reading(monkeypatch)
    said = CliRunner().invoke(main, [command, "HEAD~1..HEAD"], catch_exceptions=False).output
    assert said.count("links to bar 2 of solo-3") == 10
    assert reading.files == []
    assert len(reading.parsed) == 2 * CHANGED
    assert len(reading.blobs) <= 4 * CHANGED
    assert reading.rows == 10
    assert len(reading.calls) <= 12, reading.calls
