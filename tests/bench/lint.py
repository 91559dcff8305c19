"""What linting costs beside the bare Lark parse of the same text: `python tests/bench/lint.py`.

Limits of the design: `tabtools lint` over 200 solos of 32 bars, as a whole process, at most 2.5 times the bare
parse in one process, no more at 200 files than at 50; on one small file at most 2.5 times starting Python with lark
and click. Bytecode is there in both, and so is what a grammar comes to, as it is from the second start on. Start-up is
measured in processor time, which others on the machine change less. Of 1,000 solos, linted again after one of them
changed, at most 0.05 times the first lint.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from lark import Lark
from solos import solos

import tabtools.notation

GRAMMAR = Path(tabtools.notation.__file__).with_name("solo.lark").read_text(encoding="utf-8")
RUNS = 3
STARTS = 15
MANY = 1000


def bare_parse(texts: list[str]) -> float:
    """Seconds to parse these texts with Lark alone, trees built, grammar already loaded."""
    lark = Lark(GRAMMAR, parser="lalr", start="solo", maybe_placeholders=False)
    lark.parse(texts[0])
    began = time.perf_counter()
    for text in texts:
        lark.parse(text)
    return time.perf_counter() - began


def process(*arguments: str) -> tuple[float, float]:
    """Seconds of a whole process, and those of the processors."""
    began, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run([sys.executable, *arguments], capture_output=True, text=True, check=False)
    taken, after = time.perf_counter() - began, resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode not in (0, 1) or "Traceback" in done.stderr:
        raise SystemExit(done.stderr)
    return taken, after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["XDG_CACHE_HOME"] = str(folder / "cache")
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
                ratios.append(process("-m", "tabtools", "lint", "--no-cache", str(part))[0] / bare)
            print(f"lint of {count} solos / bare parse: {min(ratios):.2f} (of {RUNS} runs: {ratios_text(ratios)})")
        many = folder / "many"
        many.mkdir()
        for file_name, text in solos(MANY):
            (many / file_name).write_text(text, encoding="utf-8")
        first = process("-m", "tabtools", "lint", str(many))[0]
        again = []
        for number in range(RUNS):
            with (many / file_name).open("a", encoding="utf-8") as changed:
                changed.write(f"# {number}\n")
            again.append(process("-m", "tabtools", "lint", str(many))[0] / first)
        print(f"lint of {MANY} solos after one changed / the first: {min(again):.3f} ({ratios_text(again, 3)})")
        small = folder / "small.solo"
        small.write_text("title: a\nrights: CC0-1.0\nplayer: b\nmeter: 4/4\n\nbar 1  Am\n1-4  3:7\n", encoding="utf-8")
        starts = [
            (process("-c", "import lark, click")[1], process("-m", "tabtools", "lint", str(small))[1])
            for _ in range(STARTS + 1)
        ][1:]
        bare, lint = (median(taken) for taken in zip(*starts, strict=True))
        print(f"lint of one small file / starting lark and click: {lint / bare:.2f} (medians of {STARTS} runs)")


def ratios_text(ratios: list[float], places: int = 2) -> str:
    return ", ".join(f"{ratio:.{places}f}" for ratio in sorted(ratios))


if __name__ == "__main__":
    main()
