"""Disks of a test's own, with room for very little."""

from __future__ import annotations

import os
import subprocess
from functools import cache
from pathlib import Path
from tempfile import gettempdir

import pytest


def with_small_disk(place: Path, kilobytes: int, line: str) -> list[str]:
    """A command that runs a line of shell with a disk in memory mounted on a folder.

    Nobody else sees that disk, and it is gone with the last process of the command, however that ends. Only root may
    mount one; in a continuous build that has to be possible, anywhere else the test is skipped.
    """
    reason = _why_impossible()
    if reason:
        reason = f"no disk of its own can be mounted: {reason}"
        pytest.fail(reason) if os.environ.get("CI") else pytest.skip(reason)
    return _mounted(place, kilobytes, line)


def _mounted(place: Path, kilobytes: int, line: str) -> list[str]:
    mount = f"mount -t tmpfs -o size={kilobytes}k,mode=755 tabtools-test '{place}'"
    return ["unshare", "--mount", "sh", "-c", f"{mount} && {{ {line}\n}}"]


@cache
def _why_impossible() -> str:
    try:
        done = subprocess.run(_mounted(Path(gettempdir()), 64, "true"), capture_output=True, text=True, check=False)
    except OSError as error:
        return str(error)
    return done.stderr.strip() if done.returncode else ""
