"""What building a site of solos costs against mkdocs alone on as many pages of the same size.

    python tests/bench/site.py [SOLOS]

Built are: the site from nothing; the same after one bar was changed; mkdocs alone, whose pages hold the very HTML of
the solo pages in their Markdown; and mkdocs at its least, which is given empty pages and puts that HTML in when they
are done. Every build is a process of its own; memory is the most that its largest process held.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

from solos import solos

CONFIG = "site_name: Bench\ndocs_dir: site_docs\ntheme: {name: material, font: false}\n"
OURS = CONFIG + "plugins: [search, tabtools]\nnav: [Home: index.md, Solos: solos/index.md]\n"
ALONE = CONFIG + "plugins: [search]\nnav: [Home: index.md]\nnot_in_nav: solos/*\n"
LEAST = ALONE + "hooks: [late.py]\n"
LATE = """\
from pathlib import Path

HERE = Path(__file__).parent


def on_post_page(output, *, page, config):
    body = HERE / "bodies" / (page.file.name + ".html")
    return output.replace("<!-- body -->", body.read_text(encoding="utf-8")) if body.is_file() else output
"""
BUILD = "import sys; from tabtools.website.build import build_site; build_site(sys.argv[1])"
ARTICLE = '<article class="md-content__inner md-typeset">'


class Cost(NamedTuple):
    """Seconds until it is built, seconds of all processors, most memory in MB."""

    wall: float
    cpu: float
    memory: float

    def __str__(self) -> str:
        return f"{self.wall:7.1f} s, {self.cpu:7.1f} s of processors, {self.memory:6.0f} MB"


def main(count: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        root = Path(name)
        os.environ["XDG_CACHE_HOME"] = str(root / "cache")
        ours, alone, least = (_site(root / kind, config) for kind, config in zip(*KINDS, strict=True))
        for file, text in solos(count):
            (ours / "transcriptions" / file).write_text(text, encoding="utf-8")
        first = _told("tabtools, from nothing", _cost(ours))
        edited = ours / "transcriptions" / file
        edited.write_text(text.replace("\n1    ", "\n1    . ", 1), encoding="utf-8")
        again = _told("tabtools, one bar changed", _cost(ours))
        (least / "late.py").write_text(LATE, encoding="utf-8")
        (least / "bodies").mkdir()
        size = 0
        for page in (ours / "site" / "solos").glob("generated-*/index.html"):
            html = page.read_text(encoding="utf-8").partition(ARTICLE)[2].partition("</article>")[0]
            size += len(html)
            slug = page.parent.name
            body = "\n".join(line for line in html.splitlines() if line.strip())
            _write(alone / "site_docs" / "solos" / f"{slug}.md", f"# {slug}\n\n<div>\n{body}\n</div>\n")
            _write(least / "site_docs" / "solos" / f"{slug}.md", f"# {slug}\n\n<!-- body -->\n")
            _write(least / "bodies" / f"{slug}.html", html)
        plain = _told("mkdocs alone", _cost(alone))
        bare = _told("mkdocs at its least", _cost(least))
    print(f"{count} solos, {size / count / 1000:.0f} kB a page")
    for against, one in (("mkdocs alone", plain), ("mkdocs at its least", bare)):
        print(
            f"against {against}: from nothing {first.wall / one.wall:.2f} times, after a change "
            f"{again.wall / one.wall:.2f} times, memory {max(first.memory, again.memory) / one.memory:.2f} times"
        )


KINDS = (("ours", "alone", "least"), (OURS, ALONE, LEAST))


def _site(folder: Path, config: str) -> Path:
    for part in ("site_docs/solos", "transcriptions"):
        (folder / part).mkdir(parents=True)
    _write(folder / "mkdocs.yml", config)
    _write(folder / "site_docs" / "index.md", "# Home\n")
    return folder


def _write(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8")


def _cost(folder: Path) -> Cost:
    started, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
    process = subprocess.Popen([sys.executable, "-c", BUILD, str(folder / "mkdocs.yml")])
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        sys.exit(f"{folder.name} was not built")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return Cost(time.perf_counter() - started, cpu, used.ru_maxrss / 1024)


def _told(what: str, cost: Cost) -> Cost:
    print(f"{what:28}{cost}", flush=True)
    return cost


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
