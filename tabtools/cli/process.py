"""The process around a command: its standard streams, whatever they are, and the status it ends with."""

from __future__ import annotations

import errno
import io
import os
import select
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from types import FrameType
from typing import Any, NoReturn

import click

from tabtools.cli.base import main
from tabtools.cli.exits import StopError, unanswered

READER_GONE = 128 + 13
"""What shells say of a program whose reader went away: 13 is SIGPIPE."""

IN, OUT, ERROR = 0, 1, 2


def run() -> NoReturn:
    """Run the command that this process was started for, and end with its status."""
    _open_what_is_closed()
    _set_streams()
    if signal.getsignal(signal.SIGINT) is not signal.SIG_IGN:
        signal.signal(signal.SIGINT, _interrupt)
    status = _status_of(lambda: main.main(prog_name="tabtools", standalone_mode=False))
    sys.exit(_status_of(sys.stdout.flush) or status)


def _interrupt(*_: int | FrameType | None) -> None:
    """The first Ctrl-C lets a command tidy up, a second one ends it."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    raise KeyboardInterrupt


def _status_of(work: Callable[[], Any]) -> int:
    try:
        return work() or 0
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else 0
    except click.ClickException as fault:
        fault.show()
        return fault.exit_code
    except click.Abort as abort:
        stop = unanswered(abort)
    except StreamError as fault:
        if fault.stream == OUT:
            _write_nowhere()
        if fault.reason == errno.EPIPE:
            return READER_GONE
        stop = StopError(str(fault))
    stop.show()
    return stop.exit_code


# ---- streams


class StreamError(Exception):
    """Standard input or output that cannot be read or written; `reason` is the number the system gives for it."""

    def __init__(self, stream: int, error: OSError):
        name, what = ("input", "read") if stream == IN else ("output", "written")
        reason = "it is closed" if error.errno == errno.EBADF else (error.strerror or str(error)).lower()
        super().__init__(f"standard {name} cannot be {what}: {reason}")
        self.stream = stream
        self.reason = error.errno


class _Input(io.FileIO):
    def readinto(self, buffer: Any) -> int | None:
        try:
            return super().readinto(buffer)
        except OSError as error:
            raise StreamError(IN, error) from None

    def readall(self) -> bytes:
        try:
            return super().readall()
        except OSError as error:
            raise StreamError(IN, error) from None


class _Output(io.FileIO):
    """A reader that does not keep up is waited for, also where whoever started this made its pipe not wait."""

    def write(self, data: Any, /) -> Any:
        try:
            while (written := super().write(data)) is None:
                select.select([], [self], [])
        except OSError as error:
            raise StreamError(OUT, error) from None
        return written


class _ErrorOutput(io.FileIO):
    """What cannot be said on standard error is not said: there is nobody left to tell."""

    def write(self, data: Any, /) -> Any:
        with suppress(OSError):
            return super().write(data)
        return len(data)


def _open_what_is_closed() -> None:
    """Open streams that the process was started without, so that no file gets their numbers.

    Standard input is opened for writing and standard output for reading: using them still fails.
    """
    for stream, mode in ((IN, os.O_WRONLY), (OUT, os.O_RDONLY), (ERROR, os.O_WRONLY)):
        try:
            os.fstat(stream)
        except OSError:
            os.open(os.devnull, mode)


def _set_streams() -> None:
    """Solos hold any text: a pipe or file gets it as UTF-8, a terminal as far as it can show it."""
    if isinstance(sys.stdin, io.TextIOWrapper) and sys.stdin.isatty():
        sys.stdin.reconfigure(errors="replace")
    else:
        sys.stdin = io.TextIOWrapper(io.BufferedReader(_Input(IN, "r", closefd=False)), "utf-8", "replace")
    for name, kind, number in (("stdout", _Output, OUT), ("stderr", _ErrorOutput, ERROR)):
        shown = getattr(sys, name)
        is_terminal = shown is not None and shown.isatty()
        encoding = shown.encoding if is_terminal else "utf-8"
        buffer = io.BufferedWriter(kind(number, "w", closefd=False))
        stream = io.TextIOWrapper(buffer, encoding, "backslashreplace", line_buffering=is_terminal or number == ERROR)
        setattr(sys, name, stream)


def _write_nowhere() -> None:
    """Let what is still to be written to standard output go: it would fail once more as the process ends."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, OUT)
    os.close(nowhere)
