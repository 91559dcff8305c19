"""However a command is broken off, each file is the old or the new one, whole, and what is left behind goes away."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from commands_broken_off import LITTER, files
from git_repositories import BETTER, DUSK, ENVIRONMENT, ROOT, SOLO, new_repository
from invoked import LOOSE, SOUND
from small_disks import with_small_disk
from thoroughness import IS_THOROUGH, share

from tabtools.review.patch import suggestion

PROGRAM = Path(__file__).with_name("commands_broken_off.py")
KILOBYTES = 4096
SHARE = 12
"""Unless every line is tried: a twelfth of the lines gone so far are gone over from one broken off to the next."""

ROUNDS = 12
"""So often two of them run at once."""


class Plan(NamedTuple):
    """A command, and the one that finishes what it began. `statuses` are those of two at once, the smaller first."""

    words: str
    again: str = ""
    statuses: tuple[tuple[int, int], ...] = ((0, 0), (0, 2))
    done: int = 0


PLANS = {
    "format": Plan("format .", "format ."),
    "new": Plan("new --title Tide --rights CC0-1.0", "new --title Tide --rights CC0-1.0 --force", ((0, 2),)),
    "new, forced": Plan("new --title Dawn --rights CC0-1.0 --to . --force"),
    "init": Plan("init fresh", "init fresh --force"),
    "export": Plan("export dusk.solo --to midi -o out.mid", "export dusk.solo --to midi -o out.mid --force", ((0, 2),)),
    "export, forced": Plan("export dusk.solo --to musicxml -o taken.mxl --force"),
    "diff": Plan("diff HEAD~1..HEAD --to taken.html --force", statuses=((3, 3),), done=3),
    "review": Plan("review HEAD~1..HEAD --to out.md", "review HEAD~1..HEAD --to out.md --force", ((0, 2),)),
    "git install": Plan("git install"),
    "apply": Plan("apply a.patch --yes", "apply a.patch --yes", ((0, 2),)),
}


@pytest.fixture(scope="module")
def start(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The files that every command starts from."""
    folder = tmp_path_factory.mktemp("start")
    repository = new_repository(folder)
    repository.set("user.name", "Ida Marlow")
    repository.set("user.email", "ida@slipway.example")
    repository.commit(DUSK.replace("3:5 3:7", "3:5 3:8"), "the first transcription")
    repository.commit(DUSK, "a lower note")
    texts = {"dawn.solo": LOOSE, "noon.solo": LOOSE, "dusk.solo": SOUND, "a.patch": suggestion(DUSK, BETTER, SOLO)}
    for name, text in {**texts, "taken.html": "mine", "taken.mxl": "mine", ".gitattributes": "*.png binary\n"}.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def outcomes(how: str, folder: Path, start: Path, plan: Plan) -> list[dict[str, Any]]:
    """What the program that breaks commands off finds."""
    words = plan.words.split()
    again = plan.again.split() or words
    much = {"share": 0 if IS_THOROUGH else SHARE, "rounds": share(ROUNDS)}
    given = json.dumps({"start": str(start), "words": words, "again": again, **much})
    command = [sys.executable, "-P", str(PROGRAM), how, str(folder), given]
    if how == "full":
        command = with_small_disk(folder, KILOBYTES, " ".join(f"'{word}'" for word in command))
    path = os.pathsep.join([str(ROOT), str(PROGRAM.parent), str(PROGRAM.parents[1])])
    done = subprocess.run(
        command, env=ENVIRONMENT | {"PYTHONPATH": path}, capture_output=True, text=True, timeout=500, check=False
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def is_litter(name: str) -> bool:
    return name.endswith(LITTER) or name.startswith(".git/tabtools-")


def check_whole(found: Mapping[str, str], before: Mapping[str, str], after: Mapping[str, str]) -> None:
    """Each file is the old or the new one, and there is no other but what can be told for a leftover."""
    for name in before.keys() | after.keys() | {name for name in found if not is_litter(name)}:
        if name != "git config":
            assert found.get(name) in (before.get(name), after.get(name)), name


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_killed_at_every_step(tmp_path: Path, start: Path, plan: Plan) -> None:
    found = outcomes("killed", tmp_path, start, plan)
    before, after = files(start), found[-1]["found"]
    assert found[-1]["status"] == plan.done and after != before
    assert not any(map(is_litter, after))
    assert len(found) > 10 and {one["status"] for one in found[:-1]} == {-9}
    for one in found:
        check_whole(one["found"], before, after)
        assert one["then"] == after, one["step"]


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_on_a_disk_that_fills_up(tmp_path: Path, start: Path, plan: Plan) -> None:
    found = outcomes("full", tmp_path, start, plan)
    before, after = files(start), found[-1]["found"]
    assert found[-1]["status"] == plan.done and after != before
    assert {one["status"] for one in found[:-1]} == {2}
    for one in found:
        check_whole(one["found"], before, after)
        assert not [name for name in one["found"] if name.endswith(LITTER)]
        assert one["then"] == after, one["step"]


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_two_at_once(tmp_path: Path, start: Path, plan: Plan) -> None:
    found = outcomes("twice", tmp_path, start, plan)
    after = found[0]["then"]
    for one in found:
        assert tuple(one["status"]) in plan.statuses
        assert one["found"] == one["then"] == after
