"""A command starts as fast as what it loads: only what it needs."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from invoked import SOUND

LOADED = """
import gc, sys
from tabtools.__main__ import run
try:
    run()
except SystemExit as end:
    assert end.code == 0, end.code
assert gc.isenabled() and gc.get_freeze_count()
names = {".".join(name.split(".")[:2]) for name in sys.modules if name.startswith("tabtools.")}
print(*sorted(names | sys.modules.keys()), file=sys.stderr)
"""
SLOW = {"concurrent.futures.process", "importlib.metadata", "markdown", "mkdocs", "music21", "nh3", "sqlite3"}
"""Libraries that take long."""
LATE = {f"tabtools.{part}" for part in ("study", "review", "exchange", "engraving", "search", "website", "api")}


@pytest.mark.parametrize(
    ("command", "spared"),
    [
        ("lint one.solo", {*SLOW, *LATE, "tabtools.starter"}),
        ("format --check one.solo", {*SLOW, *LATE, "tabtools.checks", "tabtools.reports"}),
        ("show one.solo", {*SLOW, *LATE, "tabtools.checks", "tabtools.writing"}),
        ("annotate one.solo", {*SLOW, *(LATE - {"tabtools.study"}), "tabtools.checks"}),
        ("diff one.solo one.solo", {*SLOW, *(LATE - {"tabtools.review", "tabtools.study"})}),
        ("export one.solo --to midi --output one.mid", {*SLOW, *(LATE - {"tabtools.exchange", "tabtools.study"})}),
        ("checks", {*SLOW, *LATE, "tabtools.reports"}),
    ],
)
def test_a_command_loads_what_it_needs(folder: Path, command: str, spared: set[str]) -> None:
    (folder / "one.solo").write_text(SOUND, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-c", LOADED, *command.split()], cwd=folder, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    loaded = set(done.stderr.splitlines()[-1].split())
    assert "tabtools.cli" in loaded
    assert spared & loaded == set()
