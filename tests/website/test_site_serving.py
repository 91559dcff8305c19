"""Serving the site while its sources change."""

from __future__ import annotations

import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest
from sites import BAD, GOOD, write_site

pytestmark = pytest.mark.build

PATIENCE = 40
"""Seconds; a busy machine builds slowly."""


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


def wait_for(url: str, words: str) -> None:
    """Until the page says these words."""
    deadline = time.monotonic() + PATIENCE
    while time.monotonic() < deadline:
        try:
            with urllib.request.urlopen(url, timeout=5) as answer:
                if words in answer.read().decode():
                    return
        except (urllib.error.URLError, OSError):
            pass
        time.sleep(0.2)
    pytest.fail(f"{url} never said {words}")


def wait_for_words(file: Path, words: str) -> None:
    deadline = time.monotonic() + PATIENCE
    while words not in file.read_text(encoding="utf-8"):
        assert time.monotonic() < deadline, f"never said {words}: {file.read_text(encoding='utf-8')}"
        time.sleep(0.2)


def test_a_changed_solo_and_a_new_one_appear(tmp_path: Path) -> None:
    config = write_site(tmp_path, {"one.solo": GOOD.format(title="Before")})
    address = f"127.0.0.1:{free_port()}"
    command = [sys.executable, "-m", "tabtools", "serve", "--address", address]
    told = tmp_path / "told.txt"
    with (
        told.open("w", encoding="utf-8") as file,
        subprocess.Popen(command, cwd=config.parent, stdout=file, stderr=file) as server,
    ):
        try:
            wait_for(f"http://{address}/solos/one/", "Before")
            (tmp_path / "transcriptions" / "one.solo").write_text(GOOD.format(title="After"), encoding="utf-8")
            wait_for(f"http://{address}/solos/one/", "After")
            (tmp_path / "transcriptions" / "one.solo").write_text(BAD, encoding="utf-8")
            wait_for_words(told, "\nthe site is not rebuilt until that is mended and saved\n")
            assert "one.solo:8:1: error: bar 1: count 4 of 4/4 is missing" in told.read_text(encoding="utf-8")
            (tmp_path / "transcriptions" / "one.solo").write_text(GOOD.format(title="Mended"), encoding="utf-8")
            wait_for(f"http://{address}/solos/one/", "Mended")
            (tmp_path / "transcriptions" / "two.solo").write_text(GOOD.format(title="Another"), encoding="utf-8")
            wait_for(f"http://{address}/solos/", "Another")
            assert f"Serving on http://{address}/" in told.read_text(encoding="utf-8")
        finally:
            server.terminate()
