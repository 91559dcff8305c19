"""A site replaced again and again, each time by a process that is killed one step later than the one before.

Run as a program: `python broken_off.py FOLDER [--in-two-steps] [--within-shutil]`. A step is a line of the modules that
replace sites, or of `shutil` as well. Of each time it prints what stood in the folder afterwards, and what after the
next build was given up.
"""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Collection, Iterator
from pathlib import Path

from killed import kill_at

from tabtools.website import site_folder, site_staging
from tabtools.website.site_folder import MARK
from tabtools.website.site_staging import Staging

OURS = (site_folder, site_staging)
OLD = {"index.html": "old", "solos/gone.html": "old", ".nojekyll": ""}
NEW = {"index.html": "new", "solos/more/one.html": "new"}
KEPT = {".nojekyll": ""}


def content(folder: Path) -> dict[str, str]:
    """The files of a folder, but for the mark."""
    files = (path for path in sorted(folder.rglob("*")) if path.is_file() and path.name != MARK)
    return {path.relative_to(folder).as_posix(): path.read_text(encoding="utf-8") for path in files}


def fill(folder: Path, files: dict[str, str]) -> None:
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


def build(target: Path, files: dict[str, str]) -> None:
    staging = Staging(target, lambda: None)
    fill(staging.folder, files)
    staging.put_in_place()


def outcomes(folder: Path, watched: Collection[str | None]) -> Iterator[tuple[str, str]]:
    """What stands there when a build was killed at its first step, its second, and so on until it ends by itself."""
    step, is_over = 0, False
    while not is_over:
        step += 1
        shutil.rmtree(folder, ignore_errors=True)
        target = folder / "site"
        folder.mkdir()
        build(target, {name: text for name, text in OLD.items() if name not in KEPT})
        fill(target, KEPT)
        child = os.fork()
        if child == 0:
            kill_at(step, watched)
            build(target, NEW)
            os._exit(0)
        is_over = os.waitpid(child, 0)[1] == 0
        at_once = state(target)
        Staging(target, lambda: None).drop()
        beside = sorted(path.name for path in folder.iterdir() if path != target)
        yield at_once, f"left: {beside}" if beside else state(target)


def state(target: Path) -> str:
    if not target.exists():
        return "nothing"
    found = content(target)
    return "old" if found == OLD else "new" if found == NEW | KEPT else f"mixed: {sorted(found)}"


if __name__ == "__main__":
    if "--in-two-steps" in sys.argv:
        site_staging._exchanged = lambda one, other: False
    modules = (*OURS, shutil) if "--within-shutil" in sys.argv else OURS
    for now, then in outcomes(Path(sys.argv[1]), {module.__file__ for module in modules}):
        print(now, then, sep=", then ")
