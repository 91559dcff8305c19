"""Commands run within the test's process, and the solos they are run on."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

from click.testing import CliRunner

from tabtools.cli import main

SOUND = """\
title:        Low Tide
player:       the Slipway Trio
rights:       CC0-1.0
meter:        4/4

bar 1  Am
1    3:7 3:5
2-4  2:5
"""
"""A canonical solo in which nothing is found."""

SHORT_BAR = SOUND.replace("2-4  2:5", "2-3  2:5")
LOOSE = SOUND.replace("title:        Low Tide", "title: Low Tide").replace("3:7 3:5", "3:7  3:5")


class Result(NamedTuple):
    """What a command did: its exit status, standard output and standard error."""

    status: int
    out: str
    err: str


def tabtools(*arguments: str | Path, text: str | bytes | None = None) -> Result:
    """Run a command. A traceback is an error of the test."""
    result = CliRunner().invoke(main, [str(argument) for argument in arguments], input=text, catch_exceptions=False)
    return Result(result.exit_code, result.stdout, result.stderr)


def tabtools_without_privileges(folder: Path, *arguments: str) -> Result:
    """Run a command as a program that has to keep to the modes of files, as root's programs need not."""
    command = [sys.executable, "-P", "-m", "tabtools", *arguments]
    if os.geteuid() == 0:
        command = ["setpriv", "--bounding-set=-dac_override,-dac_read_search", *command]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    return Result(done.returncode, done.stdout, done.stderr)


def write(folder: Path, **files: str) -> list[Path]:
    """Write solos: the name of each without its ending, and its text."""
    paths = []
    for name, text in files.items():
        path = folder / f"{name.replace('_', '-')}.solo"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        paths.append(path)
    return paths
