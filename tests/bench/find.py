"""What finding costs beside parsing what is searched: `python tests/bench/find.py`.

Limit of the design: `tabtools find` over 1,000 generated solos (300,000 notes), as a whole process with its index in
place, answers in under a tenth of the time that the bare Lark parse of their texts takes in one process. Machines
differ, so only ratios of one run are looked at.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

from lint import bare_parse, ratios_text
from solos import solos

SOLOS = 1000
RUNS = 5
LIMIT = 0.1
QUERIES = {
    "intervals": ("--intervals", "2 2 -4"),
    "degrees": ("--degrees", "b3 5 b7"),
    "rhythm": ("--rhythm", "2 1 1"),
    "technique over a chord": ("--technique", "bend", "--chord", "m7b5"),
    "by example": ("--like", "generated-0000", "5.1-5.2"),
    "every place as JSON": ("--degrees", "1>2", "--format", "json"),
    "nothing": ("--intervals", "11 11 11 11"),
}


def search(folder: str, *options: str) -> float:
    """Seconds of a whole process that searches the solos of this folder."""
    began = time.perf_counter()
    command = [sys.executable, "-m", "tabtools", "find", *options]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    taken = time.perf_counter() - began
    if done.returncode not in (0, 1) or done.stderr:
        raise SystemExit(done.stderr)
    return taken


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name, "transcriptions")
        folder.mkdir()
        texts = []
        for file_name, text in solos(SOLOS):
            (folder / file_name).write_text(text, encoding="utf-8")
            texts.append(text)
        bare = bare_parse(texts)
        first = search(name, *QUERIES["nothing"])
        print(f"first search, index made / bare parse: {first / bare:.2f}")
        worst = 0.0
        for kind, options in QUERIES.items():
            ratios = [search(name, *options) / bare for _ in range(RUNS)]
            worst = max(worst, min(ratios))
            print(f"find of {SOLOS} solos / bare parse, {kind}: {min(ratios):.3f} ({ratios_text(ratios)})")
        shared = search(name, "--shared")
        print(f"shared figures / bare parse: {shared / bare:.2f}")
        print(f"worst {worst:.3f}, limit {LIMIT}: {'kept' if worst < LIMIT else 'BROKEN'}")


if __name__ == "__main__":
    main()
