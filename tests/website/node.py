"""Scripts run by node, without a browser."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

from browser import unavailable

ROOT = Path(__file__).parents[2]


def node(*arguments: str, code: str = "") -> str:
    """What node prints. Fails where it does, and where it has to be there and is not."""
    path = shutil.which("node")
    if path is None:
        unavailable("node is not installed")
    done = subprocess.run([path, *arguments], input=code, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout
