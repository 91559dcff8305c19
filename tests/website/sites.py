"""Small sites in temporary folders, and one of the demo solos."""

from __future__ import annotations

import functools
import http.server
import shutil
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from git_repositories import DUSK, new_repository

from tabtools.website.build import build_site

ROOT = Path(__file__).parents[2]
CONFIG = (ROOT / "mkdocs.yml").read_text(encoding="utf-8")
PLAIN_CONFIG = """\
site_name: Test
docs_dir: site_docs
theme:
  name: material
  font: false
plugins:
  - search
  - tabtools: {}
nav:
  - Home: index.md
  - Solos: solos/index.md
"""
WITH_CHECKS = PLAIN_CONFIG.replace("{}", "{check_pages: true}") + "  - Checks: checks/index.md\n"
GOOD = "title: {title}\nplayer: B\nrecording: C\nrights: CC0-1.0\nmeter: 4/4\ntags: rock, slow\n\nbar 1  Am\n1-4  3:7\n"
BAD = GOOD.replace("1-4  3:7", "1-3  3:7")
SHORT_NAV = "nav:\n  - Home: index.md\n  - Solos: solos/index.md\n\n"
DAY = {"SOURCE_DATE_EPOCH": "1772366400", "NO_MKDOCS_2_WARNING": "1"}
"""The day of every build that is compared with another one."""
HOST = "https://github.com/ida-marlow/solos"
"""The theme asks this host, among others, how popular a repository is."""

CORRECTED = "transcriptions/becalmed.solo"
RIGHT_NOTE, WRONG_NOTE = "3    4:12~ - - -", "3    4:11~ - - -"


def write_site(folder: Path, solos: Mapping[str, str], config: str = PLAIN_CONFIG) -> Path:
    """A site's sources: mkdocs.yml, a home page, and these files of transcriptions/. Returns the mkdocs.yml."""
    (folder / "site_docs").mkdir(parents=True, exist_ok=True)
    (folder / "transcriptions").mkdir(exist_ok=True)
    (folder / "site_docs" / "index.md").write_text("# Home\n\n[Solos](solos/index.md)\n", encoding="utf-8")
    (folder / "mkdocs.yml").write_text(config, encoding="utf-8")
    for name, text in solos.items():
        (folder / "transcriptions" / name).write_text(text, encoding="utf-8")
    return folder / "mkdocs.yml"


def write_demo(folder: Path) -> Path:
    """The project's own site: its settings, its written pages, the demo solos."""
    path = write_site(folder, {}, CONFIG)
    for part in ("site_docs", "transcriptions"):
        shutil.copytree(ROOT / part, folder / part, dirs_exist_ok=True)
    return path


def write_in_folders(folder: Path) -> Path:
    """The same with an address for every folder, as a server shows them, and with a repository."""
    config = write_demo(folder)
    text = config.read_text(encoding="utf-8").replace("  - offline\n", "").replace("use_directory_urls: false\n", "")
    config.write_text(f"{text}repo_url: {HOST}\nsite_url: https://solos.example/\n", encoding="utf-8")
    return config


def write_corrected(folder: Path) -> Path:
    """The project's settings, one demo solo that git remembers a correction of, and a draft with errors."""
    before, _, after = CONFIG.partition("nav:\n")
    path = write_site(folder, {}, f"{before}{SHORT_NAV}{after[after.index('extra:') :]}")
    solo, lesson = ((ROOT / name).read_text(encoding="utf-8") for name in (CORRECTED, "transcriptions/becalmed.md"))
    assert RIGHT_NOTE in solo
    repository = new_repository(folder)
    repository.write("/site/\n", ".gitignore")
    repository.write(lesson, "transcriptions/becalmed.md")
    repository.write("draft: yes\n" + DUSK.removesuffix("4    1:10 1:8\n"), "transcriptions/dusk.solo")
    repository.write("The first note is `@1.1.1 B3`.\n", "transcriptions/dusk.md")
    repository.commit(solo.replace(RIGHT_NOTE, WRONG_NOTE), "the first transcription", CORRECTED)
    repository.commit(solo, "The long note of bar 7 is D\n\nSuggested-by: Nell Quayle", CORRECTED)
    return path


def built(folder: Path, solos: Mapping[str, str], config: str = PLAIN_CONFIG) -> Path:
    """A site built strictly; returns its folder."""
    return build_site(write_site(folder, solos, config), strict=True)


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        pass


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """A folder served on a free port of this machine; gives its address."""
    handler = functools.partial(_Quiet, directory=str(folder))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
