"""The command group and what its commands share: sources, colour, progress."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence, Sized
from contextlib import AbstractContextManager, nullcontext
from functools import wraps
from pathlib import Path
from typing import Any, Concatenate, ParamSpec, TypeVar

import click

from tabtools import __version__
from tabtools.cli.commands import Commands
from tabtools.cli.exits import StopError
from tabtools.files import (
    MissingPathError,
    Unread,
    from_here,
    read_all,
    read_bytes,
    shown_name,
    solo_paths,
)
from tabtools.settings import Settings, SettingsError, load_settings
from tabtools.source import LESSON_SUFFIX, MAX_BYTES, SUFFIX, SourceText

Given = ParamSpec("Given")
Item = TypeVar("Item")
Result = TypeVar("Result")

FEWEST_TO_KEEP = 10
"""From so many solos on, what was found the last time is looked up sooner than it is found again."""
LONG_WORK = 20
WIDTH = 80


PATHS = click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
STDIN_NAME = click.option("--stdin-name", default="stdin.solo", help="What to call standard input in reports.")


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": WIDTH})
@click.version_option(__version__, prog_name="tabtools")
def main() -> None:
    """Guitar solos as plain text: lint, annotate, review, publish.

    Each command says in its own help how it ends: with exit status 0 where
    all is well, 2 where it could not run, 130 where Ctrl-C ended it.

    \b
    Example:
      tabtools lint                  check every solo under transcriptions/
      tabtools annotate dusk.solo    the tab with the degree of every note
      tabtools build                 check, annotate, build the site
    """
    _look_for_new_garbage_alone()
    _check_folder()


def settings_at(folder: Path) -> Settings:
    """The settings in force in a folder. Settings that cannot be used stop a command."""
    try:
        return load_settings(folder)
    except SettingsError as error:
        raise StopError(str(error)) from None


def with_settings(command: Callable[Concatenate[Settings, Given], Result]) -> Callable[Given, Result]:
    """Give a command the settings of the folder it runs in."""

    @wraps(command)
    def run(*given: Given.args, **named: Given.kwargs) -> Result:
        return command(settings_at(Path.cwd()), *given, **named)

    return run


def _check_folder() -> None:
    """Stop where the folder that commands run in was deleted."""
    try:
        Path.cwd()
    except OSError:
        raise StopError("the folder you are in is gone; change to one that is there") from None


def _look_for_new_garbage_alone() -> None:
    """Where the search for garbage waited for the command to be loaded: what is loaded stays, to the very end."""
    if not gc.isenabled():
        gc.freeze()
        gc.enable()


def _colour() -> bool:
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def styled(text: str, role: str) -> str:
    looks: dict[str, dict[str, Any]] = {
        "error": {"fg": "red", "bold": True},
        "warning": {"fg": "yellow", "bold": True},
        "note": {"fg": "cyan"},
        "place": {"bold": True},
        "quiet": {"dim": True},
    }
    return click.style(text, **looks[role]) if _colour() else text


def solo_of(path: Path) -> Path:
    """The solo that a lesson belongs to, where a lesson is named; any other path as it is."""
    if path.suffix != LESSON_SUFFIX or not path.is_file():
        return path
    solo = path.with_suffix(SUFFIX)
    if not solo.is_file():
        raise StopError(f"{shown_name(path)} is no solo, and no {solo.name} stands beside it; name a solo")
    return solo


def sources_of(paths: Sequence[Path], stdin_name: str, settings: Settings) -> list[SourceText | Unread]:
    """What the paths name, read: `-` is standard input, nothing at all is the folder of the solos."""
    if not paths:
        if not settings.folder.is_dir():
            raise StopError(
                f"there is no folder {settings.transcriptions} here; name a file or folder, or run tabtools init"
            )
        paths = [from_here(settings.folder)]
    found: list[SourceText | Unread] = []
    named = [solo_of(path) for path in paths if str(path) != "-"]
    if len(named) < len(paths):
        data = sys.stdin.buffer.read(MAX_BYTES + 1)
        found.append(read_bytes(data, shown_name(Path(stdin_name))))
    try:
        files = list(solo_paths(named))
    except MissingPathError as error:
        raise StopError(str(error)) from None
    with progress(files, "reading") as bar:
        found.extend(read_all(bar, named))
    return found


def progress(items: Iterable[Item], label: str, length: int | None = None) -> AbstractContextManager[Iterable[Item]]:
    """A progress bar on standard error, where that is a terminal and the work is long."""
    if length is None:
        length = len(items) if isinstance(items, Sized) else 0
    if length < LONG_WORK or not sys.stderr.isatty():
        return nullcontext(items)
    return click.progressbar(items, length, label, file=sys.stderr)


def watched(length: int, label: str) -> Callable[[Iterable[Item]], Iterator[Item]]:
    """A function that passes things on while a progress bar counts them."""

    def watch(items: Iterable[Item]) -> Iterator[Item]:
        with progress(items, label, length) as bar:
            yield from bar

    return watch
