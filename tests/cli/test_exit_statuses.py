"""Every command ends with every status that its help lists, and with no other."""

from __future__ import annotations

import re
import shlex
import shutil
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from git_repositories import BETTER, DUSK, ENVIRONMENT, SOLO, new_repository
from invoked import LOOSE, SHORT_BAR, SOUND, tabtools

from tabtools.cli import main
from tabtools.cli.exits import Command
from tabtools.review.patch import suggestion

WORSE = DUSK.replace("2    2:6 2:8", "2    2:6 2:8 2:8 2:8\n2    2:5")
OTHER = DUSK.replace("2    2:6 2:8", "2    2:6 2:11")

FILES = {
    "dawn.solo": SOUND,
    "short.solo": SHORT_BAR,
    "loose.solo": LOOSE,
    "unknown.solo": SOUND.replace("player:       the Slipway Trio\n", ""),
    "recoloured.solo": SOUND.replace("\nbar", "\n# the second take\nbar"),
    "higher.solo": SOUND.replace("3:7", "3:9"),
    "open.solo": SOUND.replace("3:7", "=D4"),
    "too-low.solo": SOUND.replace("3:7", "=C1"),
    "counted.solo": SOUND + "\n# bar 2 is the last\nbar 2\n1-4  2:8\n",
    "gap.solo": SOUND + "\n# bar 3 is the last\nbar 3\n1-4  2:8\n",
    "twice.solo": SOUND + "\nbar 1\n1-4  2:8\n",
    "no-text.solo": "\x00",
    "undecided.solo": SOUND.replace("1    3:7 3:5\n", "<<<<<<< a\n1    3:7 3:5\n=======\n1    3:7 3:4\n>>>>>>> b\n"),
    "a.patch": suggestion(DUSK, BETTER, SOLO),
    "worse.patch": suggestion(DUSK, WORSE, SOLO),
    "base": DUSK,
    "ours": DUSK.replace("1    3:5 3:7", "1    3:5 3:8"),
    "theirs": BETTER,
    "against": OTHER,
    "taken.txt": "mine",
}

STATUSES = """\
lint                      0    dawn.solo                                     | nothing found
lint                      0    unknown.solo                                  | warning
lint                      1    unknown.solo --strict                         | warning
lint                      1    short.solo                                    | error
lint                      1    no-text.solo                                  | NUL byte
lint                      2    nowhere.solo                                  | is not there
lint                      2    dawn.solo --select no-such-check              | there is no check
format                    0    loose.solo                                    | 1 changed
format                    1    loose.solo --check                            | would be formatted
format                    1    loose.solo --diff                             | +++
format                    2    no-text.solo                                  | not formatted
format                    2    nowhere.solo                                  | is not there
explain                   0    bar-duration                                  | bar-duration
explain                   2    no-such-check                                 | there is no check
checks                    0                                                  | bar-duration
checks                    2    no-such-argument                              | has no use for “no-such-argument”
annotate                  0    short.solo --phrases                          | Am
annotate                  2    no-text.solo                                  | NUL byte
annotate                  2    dawn.solo --bars 7                            | no bars 7
place                     0    dawn.solo                                     | no place is open
place                     0    open.solo                                     | placed; --write
place                     1    too-low.solo                                  | below the lowest open string
place                     2    no-text.solo                                  | NUL byte
place                     2    open.solo 7                                   | there is no bar 7
place                     2    open.solo --strings 7                         | names no strings
bars insert               0    dawn.solo --after 1                           | 1 bar put in, bar 2
bars insert               1    counted.solo --before 2                       | bar 2 is bar 3 now
bars insert               2    dawn.solo --before 5                          | there is no bar 5
bars remove               0    counted.solo 1 --words                        | bar 1 taken out
bars remove               1    counted.solo 1                                | bar 2 is bar 1 now
bars remove               2    dawn.solo 1                                   | all bars of the solo
bars move                 0    counted.solo 2 --before 1 --words             | bar 2 moved
bars move                 1    counted.solo 2 --before 1                     | bar 2 is bar 1 now
bars move                 2    counted.solo 1 --before 1                     | among the bars that are moved
bars renumber             0    gap.solo --words                              | 1 bar has another number
bars renumber             1    gap.solo                                      | bar 3 is bar 2 now
bars renumber             2    twice.solo                                    | two bars have the number 1
conflicts show            0    dawn.solo                                     | nothing is in conflict
conflicts show            1    undecided.solo                                | bar 1: beat 1
conflicts show            2    nowhere.solo                                  | is not there
conflicts take            0    theirs undecided.solo 1                       | nothing is left to decide
conflicts take            2    theirs undecided.solo 2                       | “2” is not in conflict
transpose                 0    dawn.solo --by 2                              | Bm
transpose                 1    dawn.solo --by -24                            | no hand can play it there
transpose                 2    dawn.solo --to "C minor"                      | names no key to go from
transpose                 2    no-text.solo --by 2                           | NUL byte
transpose                 2    dawn.solo --by 2 --output taken.txt           | there already
show                      0    short.solo                                    | Am
show                      2    nowhere.solo                                  | is not there
todo                      0    short.solo                                    | nothing is open
todo                      1    no-text.solo                                  | NUL byte
todo                      2    nowhere.solo                                  | is not there
find                      0    dawn.solo --intervals=-2                      | dawn
find                      1    dawn.solo --intervals 11                      | nothing
find                      2    dawn.solo --intervals eleven                  | eleven
find                      2    dawn.solo                                     | say what to find
diff                      0    dawn.solo dawn.solo                           | nothing changed
diff                      1    dawn.solo recoloured.solo                     | recoloured
diff                      3    dawn.solo higher.solo                         | higher
diff                      3    HEAD~1..HEAD                                  | dusk.solo
diff                      0    HEAD..HEAD                                    | nothing changed
diff                      2    ..                                            | outside this repository
diff                      2    nowhere.solo                                  | neither a revision nor a file
diff                      2    dawn.solo higher.solo --to taken.txt          | add --force
review                    0    HEAD~1..HEAD                                  | dusk
review                    2    nowhere..HEAD                                 | names no commit
review                    2    HEAD                                          | no two revisions
apply                     0    a.patch --yes                                 | committed as
apply                     0    a.patch --no-commit                           | written, not committed
apply                     0    worse.patch --yes --with-errors               | committed as
apply                     1    worse.patch --yes                             | it brings
apply                     1    a.patch                        < n            | not committed
apply                     2    nowhere.patch --yes                           | is not there
apply                     2    a.patch                        <              | the input ended
export                    0    dawn.solo --to text                           | Low Tide
export                    1    short.solo --to text                          | not exported
export                    2    dawn.solo --to text --output taken.txt        | add --force
export                    2    dawn.solo --to midi                           | --output
new                       0    --title Tide --rights CC0-1.0                 | tide.solo: written
new                       2    --title Tide                                  | --rights
new                       2    --title Tide --rights CC0-1.0 --bars ٢        | no whole number
init                      0    fresh                                         | mkdocs.yml: written
init                      2    taken.txt                                     | is a file
build                     0                                   in fresh       | site built
build                     1                                   in wrong       | not built
build                     2    --config nowhere.yml                          | there is no nowhere.yml
serve                     0                                   in fresh       |
serve                     2    --config nowhere.yml                          | there is no nowhere.yml
blame                     0    transcriptions/dusk.solo                      | Ida Marlow
blame                     0    transcriptions/dusk.solo 2                    | Ida Marlow
blame                     2    transcriptions/dusk.solo 7                    | has no bar 7
blame                     2    ../outside.solo                               | nothing is known
git install               0                                                  | merge.solo.driver: set
git install               2                                   in ..          | no git repository
git check                 0                                   in ready       | as music here
git check                 1                                                  | run tabtools git install
git check                 2                                   in ..          | no git repository
git uninstall             0                                                  | is left as it is
git uninstall             2                                   in ..          | no git repository
git textconv              0    short.solo                                    | Low Tide
git textconv              2                                                  | needs a file
git textconv              3    no-text.solo                                  |
git merge-driver          0    base ours theirs 7 dusk.solo                  |
git merge-driver          2    base ours                                     | needs THEIRS
git merge-driver          3    base ours nowhere 7 dusk.solo                 | merged line by line
git merge-driver          10   base against theirs 7 dusk.solo               |
"""
"""Command, status, words; what is typed (`<`, an answer) or the folder it runs in (`in`); what is said."""

_LINE = re.compile(r"((?:git|bars|conflicts) \S+|\S+) +([0-9]+)(.*?)(?: < *(\S*))?(?: in +(\S+))? *")


class Row:
    """One line of the table."""

    def __init__(self, line: str):
        asked, _, said = line.partition("|")
        match = _LINE.fullmatch(asked)
        assert match, line
        command, status, words, self.typed, self.folder = match.groups()
        self.said = said.strip()
        self.command = tuple(command.split())
        self.status = int(status)
        self.words = shlex.split(words)
        self.line = " ".join(line.split())


ROWS = [Row(line) for line in STATUSES.splitlines()]


def commands(group: click.Group, *names: str) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        if isinstance(command, click.Group):
            yield from commands(command, *names, name)
        else:
            yield (*names, name), command


COMMANDS = dict(commands(main))


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with repositories and files for every command."""
    folder = tmp_path_factory.mktemp("template")
    repository = new_repository(folder / "solos")
    repository.set("user.name", "Ida Marlow")
    repository.set("user.email", "ida@slipway.example")
    repository.commit(DUSK.replace("3:5 3:7", "3:5 3:8"), "the first transcription")
    repository.commit(DUSK, "a lower note")
    for name, text in FILES.items():
        (repository.folder / name).write_text(text, encoding="utf-8")
    (folder / "outside.solo").write_text(SOUND, encoding="utf-8")
    new_repository(repository.folder / "ready")
    return folder


@pytest.fixture
def folder(template: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name, value in ENVIRONMENT.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    place = tmp_path / "copy"
    shutil.copytree(template, place, symlinks=True)
    monkeypatch.chdir(place / "solos")
    return place / "solos"


def prepare(name: str, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Go to a folder, and make it what its name says."""
    if name in ("fresh", "wrong"):
        tabtools("init", name)
    if name == "wrong":
        (folder / name / "transcriptions" / "short.solo").write_text(SHORT_BAR, encoding="utf-8")
    monkeypatch.chdir(folder / name)
    if name == "ready":
        tabtools("git", "install")
        new_repository(folder / name).commit(SOUND)


@pytest.mark.parametrize("row", ROWS, ids=[row.line for row in ROWS])
def test_a_status_of_a_command(folder: Path, monkeypatch: pytest.MonkeyPatch, row: Row) -> None:
    if row.folder:
        prepare(row.folder, folder, monkeypatch)
    if row.command == ("serve",):
        from tabtools.website.serving.serve import Watch

        monkeypatch.setattr(Watch, "changes", interrupt)
    typed = None if row.typed is None else row.typed and f"{row.typed}\n"
    result = tabtools(*row.command, *row.words, text=typed)
    assert (result.status, row.said in result.out + result.err) == (row.status, True), result


def interrupt(*_: object, **__: object) -> None:
    raise KeyboardInterrupt


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_every_status_in_the_help_of_a_command_is_driven(command: tuple[str, ...]) -> None:
    found = COMMANDS[command]
    assert isinstance(found, Command)
    assert {row.status for row in ROWS if row.command == command} | {130} == set(found.statuses)


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_the_help_of_a_command_ends_with_its_statuses(command: tuple[str, ...]) -> None:
    shown = tabtools(*command, "--help").out
    listed = [line.split(maxsplit=1) for line in shown.partition("\nExit status:\n")[2].splitlines()]
    meanings = COMMANDS[command].statuses
    assert [int(status) for status, _ in listed] == list(meanings)
    assert [meaning for _, meaning in listed] == list(meanings.values())
    assert max(map(len, shown.splitlines())) <= 80


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_a_command_that_is_interrupted(folder: Path, monkeypatch: pytest.MonkeyPatch, command: tuple[str, ...]) -> None:
    words = next(row.words for row in ROWS if row.command == command and row.status == 0)
    monkeypatch.setattr(COMMANDS[command], "callback", interrupt)
    assert tabtools(*command, *words) == (130, "", "tabtools: interrupted\n")


def test_the_table_names_no_command_that_is_gone() -> None:
    assert {row.command for row in ROWS} == set(COMMANDS)
