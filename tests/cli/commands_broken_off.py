"""Commands broken off at every step, on a disk that fills up, and two of them at once.

Run as a program, `python commands_broken_off.py HOW FOLDER PLAN`, it prints what it found as JSON. HOW is `killed`,
`full` or `twice`; PLAN is a command: its words, the folder of files it starts from, and the words that finish what was
broken off. A step is a line of the modules that write. Everything runs in children of this process, which has loaded
all.
"""

from __future__ import annotations

import io
import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from functools import partial
from pathlib import Path
from typing import Any

from killed import kill_at

from tabtools import writing
from tabtools.cli import main
from tabtools.cli.exits import COULD_NOT_RUN
from tabtools.review import apply_patch, setup

WATCHED = {module.__file__ for module in (writing, apply_patch, setup)}
LITTER = f"{writing.PREFIX}*{writing.SUFFIX}"
Files = dict[str, str]


def files(folder: Path) -> Files:
    """What stands in a folder, and what git says of it; how git keeps that is its own."""
    found = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).with_name(LITTER if path.match(LITTER) else path.name).as_posix()
        if path.is_file() and (".git/" not in name or path.match(LITTER) or path.name.startswith("tabtools-")):
            found[name] = path.read_bytes().hex()
    if (folder / ".git").exists():
        done = subprocess.run(
            ["git", "log", "--format=%T %an %B"], cwd=folder, capture_output=True, text=True, check=False
        )
        found["git log"] = done.stdout
        found["git config"] = (folder / ".git" / "config").read_text(encoding="utf-8")
    return found


def fresh(folder: Path, start: Path) -> Path:
    place = folder / "work"
    shutil.rmtree(place, ignore_errors=True)
    shutil.copytree(start, place, symlinks=True)
    return place


def started(words: list[str], place: Path, first: Callable[[], None]) -> int:
    """A child that runs a command in a folder, something else being done first."""
    child = os.fork()
    if child:
        return child
    status = 99
    try:
        sys.stdout = sys.stderr = io.StringIO()
        first()
        status = run(words, place)
    finally:
        os._exit(status)


def run(words: list[str], place: Path) -> int:
    """The exit status of a command run in a folder."""
    os.chdir(place)
    try:
        main.main(words, "tabtools")
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else 0
    return 0


def ended(child: int) -> int:
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def age_litter(place: Path) -> None:
    """Let an hour pass for what was left behind."""
    for path in place.rglob(LITTER):
        before = path.stat().st_mtime - writing.STALE_SECONDS - 60
        os.utime(path, (before, before))


def nothing() -> None:
    """What is done first where nothing is."""


def killed(folder: Path, start: Path, words: list[str], again: list[str], share: int) -> Iterator[dict[str, Any]]:
    """What stands there after each step, and what once that is finished: the same for the same."""
    step, status = 0, -signal.SIGKILL
    finished: dict[str, tuple[int, Files]] = {}
    while status == -signal.SIGKILL:
        step += 1 + (step // share if share else 0)
        place = fresh(folder, start)
        status = ended(started(words, place, partial(kill_at, step, WATCHED)))
        found = files(place)
        told = json.dumps(found)
        if told not in finished:
            age_litter(place)
            finished[told] = ended(started(again, place, nothing)), files(place)
        yield outcome(step, status, found, *finished[told])


def outcome(step: int, status: int | list[int], found: Files, finished: int, then: Files) -> dict[str, Any]:
    return {"step": step, "status": status, "found": found, "finished": finished, "then": then}


def full(folder: Path, start: Path, words: list[str], again: list[str], share: int) -> Iterator[dict[str, Any]]:
    """On a small disk, with room for nothing at first, then for more pages each time, until all went well."""
    room, status = 0, COULD_NOT_RUN
    while status == COULD_NOT_RUN:
        place = fresh(folder, start)
        facts = os.statvfs(folder)
        (folder / "filling").write_bytes(bytes(max(0, facts.f_bavail - room) * facts.f_bsize))
        status = ended(started(words, place, nothing))
        found = files(place)
        (folder / "filling").unlink()
        finished = ended(started(again, place, nothing))
        yield outcome(room, status, found, finished, files(place))
        room += 1 + (room * 3 // share if share else 0)


def _wait_for(pipe: int) -> None:
    os.read(pipe, 1)


def twice(folder: Path, start: Path, words: list[str], again: list[str], rounds: int) -> Iterator[dict[str, Any]]:
    for step in range(rounds):
        place = fresh(folder, start)
        ours, theirs = os.pipe()
        children = [started(words, place, partial(_wait_for, ours)) for _ in range(2)]
        os.write(theirs, b"go")
        statuses = sorted(map(ended, children))
        os.close(ours)
        os.close(theirs)
        found = files(place)
        finished = ended(started(again, place, nothing))
        yield outcome(step, statuses, found, finished, files(place))


if __name__ == "__main__":
    how, folder, plan = sys.argv[1:]
    given = json.loads(plan)
    ways = {
        "killed": partial(killed, share=given["share"]),
        "full": partial(full, share=given["share"]),
        "twice": partial(twice, rounds=given["rounds"]),
    }
    start = Path(given["start"])
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
        run(given["words"], fresh(Path(folder), start))
    writing._delete_leftovers.cache_clear()
    print(json.dumps(list(ways[how](Path(folder), start, given["words"], given["again"]))))
