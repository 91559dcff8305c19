"""What commands write to files: one rule for what may be replaced, the same words everywhere."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path

import click

from tabtools.cli.exits import StopError
from tabtools.files import from_here, is_still, shown_name
from tabtools.source import SUFFIX, SourceText
from tabtools.writing import ChangedError, holds, what_is_there, write_atomically

FORCE = click.option("--force", is_flag=True, help="Replace a file that is there already.")


def write_over(path: Path, content: str | bytes, is_still: Callable[[], bool]) -> None:
    """Replace a file that was read, where it still is what it was. What cannot be written stops the command."""
    try:
        write_atomically(path, content, is_still=is_still)
    except (OSError, ChangedError) as fault:
        raise unwritten(path, fault) from None


def write_all_over(changes: Sequence[tuple[Path, str, SourceText]]) -> None:
    """Replace files that were read, all or none: where one cannot be written, those before it are put back.

    `changes` are (file, new text, text it was read as).
    """
    done: list[tuple[Path, bytes, str]] = []
    for path, text, source in changes:
        try:
            before = path.read_bytes()
            write_atomically(path, text, is_still=partial(is_still, source))
        except (OSError, ChangedError) as fault:
            for again, content, written in reversed(done):
                with suppress(OSError, ChangedError):
                    write_atomically(again, content, is_still=partial(holds, again, written.encode("utf-8")))
            raise unwritten(path, fault) from None
        done.append((path, before, text))


def write_new(path: Path, content: str | bytes, force: bool) -> None:
    """Write a file whole, its folder made where need be, over one that is there only with --force.

    What cannot be written stops the command.
    """
    try:
        write_atomically(path, content, may_replace=force)
    except FileExistsError:
        raise _taken([path]) from None
    except OSError as fault:
        raise unwritten(path, fault) from None


def check_free(paths: Sequence[Path], force: bool) -> None:
    """Stop a command, before its work, that might not write to these files."""
    for path in paths:
        try:
            kind = what_is_there(path)
        except OSError as fault:
            raise unwritten(path, fault) from None
        if kind:
            raise StopError(f"{shown_name(path)} is {kind}; {_INSTEAD.get(kind, 'name a plain file')}")
    taken = [path for path in paths if os.path.lexists(path)]
    if taken and not force:
        raise _taken(taken)


def check_report(path: Path, force: bool) -> None:
    """`check_free` for what is no solo and may not take a solo's name."""
    if path.suffix == SUFFIX:
        raise StopError(f"{shown_name(path)} is the name of a solo; name another file")
    check_free([path], force)


_INSTEAD = {"a folder": "name a file in it", "a link to nothing": "delete it, or name another file"}


def _taken(paths: Sequence[Path]) -> StopError:
    names = ", ".join(map(shown_name, paths))
    are, them = ("is", "it") if len(paths) == 1 else ("are", "them")
    return StopError(f"{names} {are} there already; add --force to replace {them}")


def unwritten(path: Path, fault: OSError | ChangedError) -> StopError:
    """What keeps a command from going on after a file could not be written."""
    name = shown_name(from_here(path))
    if isinstance(fault, ChangedError):
        return StopError(f"{name} changed in the meantime; run this again")
    return StopError(f"{name} cannot be written: {(fault.strerror or str(fault)).lower()}")


def difference(source: SourceText, text: str, how: str) -> str:
    """What would change in a file, as a unified diff; `how` says what the new text is."""
    from difflib import unified_diff

    if text == source.text:
        return f"{source.path}: only the line ends or the byte-order mark would change\n"
    before, after = source.text.splitlines(True), text.splitlines(True)
    return "".join(unified_diff(before, after, source.path, f"{source.path} ({how})"))
