"""What linting costs beside the bare Lark parse of the same text: `python tests/bench/lint.py`.

Limits of the design: `tabtools lint` over 200 solos of 32 bars, as a whole process, at most 2.5 times the bare
parse in one process, no more at 200 files than at 50; on one small file at most 4 times starting Python with lark
and click.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

from lark import Lark
from solos import solos

import tabtools.notation

GRAMMAR = Path(tabtools.notation.__file__).with_name("solo.lark").read_text(encoding="utf-8")
RUNS = 3


def bare_parse(texts: list[str]) -> float:
    """Seconds to parse these texts with Lark alone, trees built, grammar already loaded."""
    lark = Lark(GRAMMAR, parser="lalr", start="solo", maybe_placeholders=False)
    lark.parse(texts[0])
    began = time.perf_counter()
    for text in texts:
        lark.parse(text)
    return time.perf_counter() - began


def process(*arguments: str) -> float:
    """Seconds of a whole process."""
    began = time.perf_counter()
    done = subprocess.run([sys.executable, *arguments], capture_output=True, text=True, check=False)
    taken = time.perf_counter() - began
    if done.returncode not in (0, 1) or "Traceback" in done.stderr:
        raise SystemExit(done.stderr)
    return taken


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for count in (50, 200):
            texts = []
            part = folder / str(count)
            part.mkdir()
            for file_name, text in solos(count):
                (part / file_name).write_text(text, encoding="utf-8")
                texts.append(text)
            ratios = []
            for _ in range(RUNS):
                bare = bare_parse(texts)
                ratios.append(process("-m", "tabtools", "lint", str(part)) / bare)
            print(f"lint of {count} solos / bare parse: {min(ratios):.2f} (of {RUNS} runs: {ratios_text(ratios)})")
        small = folder / "small.solo"
        small.write_text("title: a\nrights: CC0-1.0\nplayer: b\nmeter: 4/4\n\nbar 1  Am\n1-4  3:7\n", encoding="utf-8")
        ratios = [process("-m", "tabtools", "lint", str(small)) / process("-c", "import lark, click") for _ in range(7)]
        print(f"lint of one small file / starting lark and click: {min(ratios):.2f} ({ratios_text(ratios)})")


def ratios_text(ratios: list[float]) -> str:
    return ", ".join(f"{ratio:.2f}" for ratio in sorted(ratios))


if __name__ == "__main__":
    main()
