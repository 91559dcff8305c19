"""How long building a site of solos takes against mkdocs alone on as many pages of the same size.

    python tests/bench/site.py [SOLOS]

mkdocs alone gets Markdown pages that hold the very HTML of the solo pages, outside the navigation as well.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from solos import solos

from tabtools.website.build import build_site

CONFIG = "site_name: Bench\ndocs_dir: site_docs\ntheme: {name: material, font: false}\n"
OURS = CONFIG + "plugins: [search, tabtools]\nnav: [Home: index.md, Solos: solos/index.md]\n"
ALONE = CONFIG + "plugins: [search]\nnav: [Home: index.md]\nnot_in_nav: solos/*\n"


def main(count: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        root = Path(name)
        ours, alone = root / "ours", root / "alone"
        for folder, config in ((ours, OURS), (alone, ALONE)):
            (folder / "site_docs" / "solos").mkdir(parents=True)
            (folder / "transcriptions").mkdir()
            (folder / "mkdocs.yml").write_text(config, encoding="utf-8")
            (folder / "site_docs" / "index.md").write_text("# Home\n", encoding="utf-8")
        for file, text in solos(count):
            (ours / "transcriptions" / file).write_text(text, encoding="utf-8")
        with_solos = _seconds(ours)
        size = 0
        for page in (ours / "site" / "solos").glob("*/index.html"):
            html = page.read_text(encoding="utf-8").partition('<article class="md-content__inner md-typeset">')[2]
            html = html.partition("</article>")[0]
            size += len(html)
            body = "\n".join(line for line in html.splitlines() if line.strip())
            path = alone / "site_docs" / "solos" / f"{page.parent.name}.md"
            path.write_text(f"# {page.parent.name}\n\n<div>\n{body}\n</div>\n", encoding="utf-8")
        without = _seconds(alone)
    print(f"{count} solos, {size / count / 1000:.0f} kB a page")
    print(f"with tabtools {with_solos:.1f} s, mkdocs alone {without:.1f} s: {with_solos / without:.2f} times")


def _seconds(folder: Path) -> float:
    started = time.perf_counter()
    build_site(folder / "mkdocs.yml")
    return time.perf_counter() - started


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
