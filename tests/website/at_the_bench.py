"""`tabtools serve` at work: the command itself on a free port, and its files saved as an editor saves them."""

from __future__ import annotations

import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

PATIENCE = 40
"""Seconds; a busy machine builds slowly."""


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


class Bench:
    """A site that is served. `told` is what the command has said."""

    def __init__(self, folder: Path, address: str, process: subprocess.Popen[bytes], said: Path) -> None:
        self.folder = folder
        self.address = address
        self.process = process
        self._said = said

    @property
    def told(self) -> str:
        return self._said.read_text(encoding="utf-8")

    def save(self, name: str, text: str | bytes) -> None:
        """Save a file of transcriptions/ as a whole, as editors do."""
        path = self.folder / "transcriptions" / name
        draft = path.with_name(f".{path.name}.new")
        draft.write_bytes(text if isinstance(text, bytes) else text.encode())
        draft.replace(path)

    def ask(self, path: str, **headers: str) -> tuple[int, str]:
        """The status and the text of an answer."""
        request = urllib.request.Request(f"http://{self.address}/{path}", headers=headers)
        try:
            with urllib.request.urlopen(request, timeout=PATIENCE) as answer:
                return answer.status, answer.read().decode(errors="replace")
        except urllib.error.HTTPError as error:
            with error:
                return error.code, error.read().decode()

    def wait_for(self, path: str, words: str) -> str:
        """The page, as soon as it says these words."""
        deadline = time.monotonic() + PATIENCE
        while time.monotonic() < deadline:
            _, text = self.ask(path)
            if words in text:
                return text
            time.sleep(0.1)
        pytest.fail(f"{path} never said {words}")

    def wait_for_words(self, words: str) -> None:
        """Until the command has said these words."""
        deadline = time.monotonic() + PATIENCE
        while words not in self.told:
            assert time.monotonic() < deadline, f"never said {words}: {self.told}"
            assert self.process.poll() is None, self.told
            time.sleep(0.05)

    def end(self, how: signal.Signals) -> int:
        """Ctrl-C, or another signal; gives the exit status."""
        self.process.send_signal(how)
        return self.process.wait(PATIENCE)


@contextmanager
def at_the_bench(config: Path) -> Iterator[Bench]:
    """The site of these settings, served."""
    address = f"127.0.0.1:{free_port()}"
    said = config.parent / "said.txt"
    command = [sys.executable, "-m", "tabtools", "serve", "--config", config.name, "--address", address]
    with (
        said.open("wb") as file,
        subprocess.Popen(command, cwd=config.parent, stdout=file, stderr=file) as process,
    ):
        bench = Bench(config.parent, address, process, said)
        try:
            bench.wait_for_words("Serving on")
            yield bench
        finally:
            process.terminate()
