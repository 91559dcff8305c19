"""How long it takes from saving a solo until the open page shows the changed bar, in small and large collections.

    python tests/bench/serve.py [SOLOS …]

The page is open in Debian's chromium while `tabtools serve` runs; a fret of one bar is changed again and again. Also
told: how long the server takes to begin, with nothing known before and with everything.
"""

from __future__ import annotations

import os
import shutil
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from playwright.sync_api import Page, sync_playwright
from solos import solos

CONFIG = """\
site_name: Bench
docs_dir: site_docs
theme: {name: material, font: false}
plugins: [search, tabtools]
nav: [Home: index.md, Solos: solos/index.md]
"""
SAVES = 7
SHOWN = "(fret) => document.querySelector('#b1 .fret').textContent === fret"


class Served(NamedTuple):
    """Seconds: of the first beginning, of the next one, from each save until it was seen."""

    first: float
    again: float
    seen: list[float]


def main(counts: list[int]) -> None:
    usual = None
    for count in counts:
        with tempfile.TemporaryDirectory() as name:
            os.environ["XDG_CACHE_HOME"] = f"{name}/cache"
            one = _measured(Path(name) / "site", count)
        middle = statistics.median(one.seen)
        usual = usual or middle
        print(
            f"{count:5} solos: begins in {one.first:6.1f} s, again in {one.again:5.1f} s; "
            f"seen after {middle:.2f} s, at most {max(one.seen):.2f} s; {middle / usual:.2f} times the first",
            flush=True,
        )


def _measured(folder: Path, count: int) -> Served:
    for part in ("site_docs", "transcriptions"):
        (folder / part).mkdir(parents=True)
    (folder / "mkdocs.yml").write_text(CONFIG, encoding="utf-8")
    (folder / "site_docs" / "index.md").write_text("# Home\n", encoding="utf-8")
    for name, text in solos(count):
        (folder / "transcriptions" / name).write_text(text, encoding="utf-8")
    with _serving(folder) as (_, first):
        pass
    with _serving(folder) as (address, again), sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page()
        page.goto(f"http://{address}/solos/{Path(name).stem}/")
        page.wait_for_function("globalThis.tabtools?.practice")
        path = folder / "transcriptions" / name
        seen = [_seen(page, path, text, str(10 + save)) for save in range(SAVES)]
        browser.close()
    return Served(first, again, seen)


def _seen(page: Page, path: Path, text: str, fret: str) -> float:
    """Seconds until the first note of the first bar is seen on another fret."""
    head, _, rest = text.partition("\n1    ")
    path.write_text(f"{head}\n1    1:{fret}\n{rest.partition(chr(10))[2]}", encoding="utf-8")
    saved = time.perf_counter()
    page.wait_for_function(SHOWN, arg=fret)
    return time.perf_counter() - saved


@contextmanager
def _serving(folder: Path) -> Iterator[tuple[str, float]]:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        address = f"127.0.0.1:{one.getsockname()[1]}"
    began = time.perf_counter()
    command = [sys.executable, "-m", "tabtools", "serve", "--address", address]
    with subprocess.Popen(command, cwd=folder, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        while "Serving on" not in process.stdout.readline():
            if process.poll() is not None:
                sys.exit("nothing was served")
        try:
            yield address, time.perf_counter() - began
        finally:
            process.send_signal(signal.SIGINT)


if __name__ == "__main__":
    main([int(word) for word in sys.argv[1:]] or [10, 300, 1000])
