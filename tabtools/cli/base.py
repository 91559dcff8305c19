"""The command group and what its commands share: settings, sources, colour, progress, exit statuses."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence, Sized
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import IO, Any, TypeVar

import click

from tabtools import __version__
from tabtools.cli.commands import Commands
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
from tabtools.source import LESSON_SUFFIX, MAX_BYTES, SUFFIX, SourceText, visible

Item = TypeVar("Item")

CLEAN, FINDINGS, COULD_NOT_RUN = 0, 1, 2
LONG_WORK = 20
WIDTH = 80


class Stop(click.ClickException):
    """Something that keeps a command from running: exit status 2."""

    exit_code = COULD_NOT_RUN

    def show(self, file: IO[Any] | None = None) -> None:
        click.echo("\n".join(map(visible, f"tabtools: {self.message}".splitlines())), err=True)


PATHS = click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
STDIN_NAME = click.option("--stdin-name", default="stdin.solo", help="What to call standard input in reports.")


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": WIDTH})
@click.version_option(__version__, prog_name="tabtools")
@click.pass_context
def main(context: click.Context) -> None:
    """Guitar solos as plain text: lint, annotate, review, publish.

    \b
    Example:
      tabtools lint                  check every solo under transcriptions/
      tabtools annotate dusk.solo    the tab with the degree of every note
      tabtools build                 check, annotate, build the site
    """
    _look_for_new_garbage_alone()
    _write_any_text()
    context.obj = settings_at(Path.cwd())


def settings_at(folder: Path) -> Settings:
    """The settings in force in a folder."""
    try:
        return load_settings(folder)
    except SettingsError as error:
        raise Stop(str(error)) from None


def _look_for_new_garbage_alone() -> None:
    """Where the search for garbage waited for the command to be loaded: what is loaded stays, to the very end."""
    if not gc.isenabled():
        gc.freeze()
        gc.enable()


def _write_any_text() -> None:
    """Solos hold any text: a pipe or file gets it as UTF-8, a terminal as far as it can show it."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding=stream.encoding if stream.isatty() else "utf-8", errors="backslashreplace")


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
        raise Stop(f"{shown_name(path)} is no solo, and no {solo.name} stands beside it; name a solo")
    return solo


def sources_of(paths: Sequence[Path], stdin_name: str, settings: Settings) -> list[SourceText | Unread]:
    """What the paths name, read: `-` is standard input, nothing at all is the folder of the solos."""
    if not paths:
        if not settings.folder.is_dir():
            raise Stop(
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
        raise Stop(str(error)) from None
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
