"""What the page about publishing says of a site: the settings it shows, and what they lead to."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from doc_pages import codes, fences, page_text, table

from tabtools.starter.repository import starter_files
from tabtools.website.build import build_site

pytestmark = pytest.mark.build

PAGE = page_text("publishing.md")
AUTHOR = ("-c", "user.name=A", "-c", "user.email=a@b.c")


def git(folder: Path, *arguments: str) -> None:
    subprocess.run(["git", *arguments], cwd=folder, check=True, capture_output=True)


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A repository as `tabtools init` starts it, with the addresses of the page, one correction and one draft."""
    folder = tmp_path_factory.mktemp("saltmere")
    shown = fences(PAGE, "yaml")[0]
    for name, text in starter_files().items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    with (folder / "mkdocs.yml").open("a", encoding="utf-8") as config:
        config.write(shown.text)
    solo = folder / "transcriptions" / "first-light.solo"
    text = solo.read_text(encoding="utf-8")
    draft = text.replace("First Light", "Half Done").replace("rights:", "draft: yes\nrights:", 1)
    solo.with_name("half-done.solo").write_text(draft, encoding="utf-8")
    git(folder, "init", "--quiet")
    git(folder, "add", ".")
    git(folder, *AUTHOR, "commit", "--quiet", "-m", "Solos")
    solo.write_text(text.replace("3:7~", "4:12~"), encoding="utf-8")
    git(folder, *AUTHOR, "commit", "--quiet", "-am", "Heard on the fourth string")
    return build_site(folder / "mkdocs.yml")


def test_what_a_page_offers(published: Path) -> None:
    html = (published / "solos" / "first-light.html").read_text(encoding="utf-8")
    for ending in ("solo", "txt", "mid", "mxl"):
        assert f'href="files/first-light.{ending}"' in html
        assert (published / "solos" / "files" / f"first-light.{ending}").stat().st_size > 100
    assert "Rights: CC0-1.0." in html
    assert "https://solos.example/solos/first-light.html." in html[html.index("To cite it") :]


def test_the_addresses_shown_lead_to_the_file(published: Path) -> None:
    html = (published / "solos" / "first-light.html").read_text(encoding="utf-8")
    address = "https://forge.example/saltmere/solos/edit/main/transcriptions/first-light.solo"
    assert f'<a href="{address}">Correct this transcription</a>' in html
    shown = fences(PAGE, "yaml")[0]
    named = [line.partition(":")[0] for line in shown.text.splitlines()]
    assert [codes(setting)[0] for setting, _ in table(PAGE, "The addresses")] == named


def test_the_feeds_tell_what_the_page_says(published: Path) -> None:
    new, corrected = ((published / name).read_text(encoding="utf-8") for name in ("feed.xml", "corrections.xml"))
    assert "<title>First Light</title>" in new and "https://solos.example/solos/first-light.html" in new
    assert corrected.count("<entry>") == 1 and "first-light.html" in corrected
    assert "Half Done" not in new + corrected
    assert "Half Done" in (published / "solos" / "index.html").read_text(encoding="utf-8")
    page = (published / "by" / "time" / "corrections.html").read_text(encoding="utf-8")
    assert "Recent corrections" in page and 'href="../../corrections.xml"' in page


def test_what_init_writes_can_be_read_from_a_disk() -> None:
    config = starter_files()["mkdocs.yml"]
    section = PAGE[PAGE.index("## Without a network") :]
    assert "use_directory_urls: false" in codes(section)
    assert "use_directory_urls: false\n" in config and "  - offline\n" in config
