"""Each test of a command has a folder of its own to run in."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder, which is also where commands run."""
    monkeypatch.chdir(tmp_path)
    return tmp_path
