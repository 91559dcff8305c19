"""Serving the site while its sources change: what is answered, to whom, and what stops it."""

from __future__ import annotations

import re
import signal
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from at_the_bench import Bench, at_the_bench
from sites import BAD, GOOD, PLAIN_CONFIG, write_corrected, write_site

from tabtools.website.build import build_site

pytestmark = pytest.mark.build

OF_THE_BENCH = re.compile(r'<link rel="stylesheet" href="/_tabtools/.*?</script>(?=</body>)', re.DOTALL)
"""What a page is given on its way out."""


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    folder = tmp_path_factory.mktemp("site")
    with at_the_bench(write_site(folder, {"one.solo": GOOD.format(title="Before")})) as bench:
        yield bench


def test_a_changed_solo_and_a_new_one_appear(bench: Bench) -> None:
    bench.save("one.solo", GOOD.format(title="After"))
    bench.wait_for("solos/one/", "After")
    assert ">After</a>" in bench.ask("solos/")[1]
    (bench.folder / "site_docs" / "more.md").write_text("# More words\n", encoding="utf-8")
    bench.wait_for("more/", "More words")


def test_a_solo_that_comes_or_goes_brings_or_takes_its_own_pages(tmp_path: Path) -> None:
    tapped = GOOD.format(title="Another").replace("3:7", "t3:14")
    with at_the_bench(write_site(tmp_path, {"one.solo": GOOD.format(title="One")})) as bench:
        solos = bench.folder / "transcriptions"
        bench.save("one.md", "Much as in [the other](two.solo).\n")
        assert "../two/" not in bench.wait_for("solos/one/", "the other")
        (solos / "more").mkdir()
        bench.save("more/two.solo", tapped)
        assert "Another" in bench.wait_for("solos/two/", "Another")
        assert re.search(r'href="../two/"[^>]*>the other</a>', bench.wait_for("solos/one/", "../two/"))
        assert "Another" in bench.ask("by/technique/tap/")[1]
        assert ">Another</a>" in bench.ask("solos/")[1]
        assert bench.ask("solos/files/two.mxl")[0] == 200
        (solos / "more" / "two.solo").unlink()
        bench.wait_for_words("two: gone\n")
        assert "../two/" not in bench.wait_for("solos/one/", "the other")
        assert bench.ask("by/technique/tap/")[0] == 404
        assert ">Another</a>" not in bench.ask("solos/")[1]
        for gone in ("solos/two/", "solos/files/two.mxl"):
            assert bench.ask(gone)[0] == 404
        bench.save("two.solo", tapped.replace("Another", "Back"))
        bench.wait_for("solos/two/", "Back")
        (solos / "two.solo").rename(solos / "three.solo")
        bench.wait_for("solos/three/", "Back")
        bench.wait_for("solos/two/", "There is no such page")
        assert "whole site" not in bench.told
        (solos / "more" / "three.solo").write_text(tapped, encoding="utf-8")
        bench.wait_for_words("the whole site is up to date")


def test_what_is_wrong_with_a_solo_stops_nothing(bench: Bench) -> None:
    bench.save("one.solo", BAD.format(title="Wrong"))
    page = bench.wait_for("solos/one/", "count 4 of 4/4 is missing")
    assert '<h3><a href="#b1">Bar 1</a></h3>' in page
    assert "<pre>bar 1  Am\n^" in page
    bench.wait_for_words("one: 1 error in 1 of 1 solo")
    bench.save("one.solo", GOOD.format(title="Mended"))
    assert "is missing" not in bench.wait_for("solos/one/", "Mended")


CROWDED = "[" * 2001


def test_a_lesson_that_cannot_be_read_stays_as_it_was(bench: Bench) -> None:
    bench.save("one.md", "The first words.\n")
    bench.wait_for("solos/one/", "The first words.")
    for wrong, said in ((b"\xff", "not UTF-8"), (CROWDED, "2,001 signs [")):
        bench.save("one.md", wrong)
        page = bench.wait_for("solos/one/", said)
        assert "<h3>In the lesson</h3>" in page
        assert "Shown as before, until it can be read: the lesson." in page
        assert "The first words." in page
    bench.save("one.md", "Other words.\n")
    assert "as before" not in bench.wait_for("solos/one/", "Other words.")
    (bench.folder / "transcriptions" / "one.md").unlink()


def test_a_solo_that_is_no_text_stays_as_it_was(bench: Bench) -> None:
    bench.save("one.solo", GOOD.format(title="Still here"))
    bench.wait_for("solos/one/", "Still here")
    bench.save("one.solo", b"title: \xff\n")
    assert "Still here" in bench.wait_for("solos/one/", "not UTF-8")
    bench.save("one.solo", GOOD.format(title="Readable"))
    assert "UTF-8" not in bench.wait_for("solos/one/", "Readable")


def test_whatever_is_wrong_at_the_start_is_served(tmp_path: Path) -> None:
    config = write_site(tmp_path, {"wrong.solo": BAD.format(title="Wrong"), "index.solo": GOOD, "fine.solo": GOOD})
    solos = config.parent / "transcriptions"
    (solos / "binary.solo").write_bytes(b"\xff")
    (solos / "empty.solo").write_text("", encoding="utf-8")
    (solos / "gone.solo").symlink_to("nowhere.solo")
    (solos / "fine.md").write_text(CROWDED, encoding="utf-8")
    (solos / "wrong.md").write_bytes(b"\xff")
    with at_the_bench(config) as bench:
        for name, said in (
            ("wrong", "is missing"),
            ("wrong", "not UTF-8"),
            ("binary", "not UTF-8"),
            ("empty", "In the solo"),
            ("fine", "2,001 signs ["),
        ):
            assert said in bench.ask(f"solos/{name}/")[1], name
        assert bench.ask("solos/gone/")[0] == 404
        bench.save("empty.solo", GOOD.format(title="Begun"))
        bench.wait_for("solos/empty/", "Begun")


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("site_docs/odd.md", b"\xff", "odd.md"),
        ("site_docs/404.md", b"---\ntemplate: nothing.html\n---\n", "nothing.html"),
    ],
)
def test_what_is_wrong_with_a_page_keeps_the_site_as_it_was(bench: Bench, name: str, content: bytes, said: str) -> None:
    path = bench.folder / name
    path.write_bytes(content)
    assert said in bench.wait_for("", "The rest of the site stays as it was")
    bench.save("one.solo", GOOD.format(title=f"Beside {said}"))
    bench.wait_for("solos/one/", f"Beside {said}")
    path.unlink()
    bench.wait_for("", '"tt-bench-said"></template>')


def test_what_is_wrong_with_settings_keeps_the_site_as_it_was(bench: Bench) -> None:
    config = bench.folder / "mkdocs.yml"
    config.write_text(PLAIN_CONFIG.replace("tabtools:", "nothing:"), encoding="utf-8")
    page = bench.wait_for("", "The rest of the site stays as it was")
    assert "nothing" in page
    assert bench.ask("solos/one/")[0] == 200
    bench.save("one.solo", GOOD.format(title="Meanwhile"))
    assert "stays as it was" in bench.wait_for("solos/one/", "Meanwhile")
    config.write_text(PLAIN_CONFIG.replace("Test", "Mended"), encoding="utf-8")
    bench.wait_for("", "Mended")
    bench.wait_for("", '"tt-bench-said"></template>')


@pytest.mark.parametrize(
    "path",
    [
        "../mkdocs.yml",
        "solos/../../mkdocs.yml",
        "%2e%2e/mkdocs.yml",
        "..%2f..%2fmkdocs.yml",
        "..%5cmkdocs.yml",
        "/etc/hostname",
        "%2fetc/hostname",
        "_tabtools/follow.js",
        "_tabtools/../bench.js",
        "index.html%00",
        "solos/one/index.html/",
        "nowhere/",
    ],
)
def test_nothing_outside_the_site_is_answered(bench: Bench, path: str) -> None:
    status, text = bench.ask(path)
    assert (status, "site_name" in text) == (404, False)


@pytest.mark.parametrize("host", ["evil.example", "evil.example:8000", "127.0.0.1.evil.example", "", "10.0.0.1"])
def test_a_name_of_the_web_that_leads_here_is_refused(bench: Bench, host: str) -> None:
    assert bench.ask("solos/", Host=host)[0] == 403
    assert bench.ask("solos/", Host="localhost:1")[0] == 200


def test_it_only_reads(bench: Bench) -> None:
    for method in ("POST", "PUT", "DELETE"):
        request = urllib.request.Request(f"http://{bench.address}/solos/", data=b"x", method=method)
        with pytest.raises(urllib.error.HTTPError) as refusal:
            urllib.request.urlopen(request, timeout=10)
        with refusal.value:
            assert refusal.value.code == 501


def test_a_page_without_its_last_slash_leads_to_it(bench: Bench) -> None:
    assert bench.ask("solos/one") == bench.ask("solos/one/")


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM"])
def test_it_ends_when_asked_to_and_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    (tmp_path / "temporary").mkdir()
    monkeypatch.setenv("TMPDIR", str(tmp_path / "temporary"))
    with at_the_bench(write_site(tmp_path / "site", {"one.solo": GOOD.format(title="One")})) as bench:
        assert len([*(tmp_path / "temporary").iterdir()]) == 1
        assert bench.end(signal.Signals[name]) == 0
    assert not [*(tmp_path / "temporary").iterdir()]
    assert "Traceback" not in bench.told


def test_pages_are_those_that_are_built_but_for_what_follows_changes(tmp_path: Path) -> None:
    config = write_corrected(tmp_path / "site")
    with at_the_bench(config) as bench:
        bench.save("dusk.md", "Now `@1.1.1 B3` is the first note.\n")
        bench.wait_for("solos/dusk.html", "is the first note")
        bench.save("tapped.solo", GOOD.format(title="Tapped").replace("3:7", "t3:14"))
        bench.wait_for("solos/tapped.html", "Tapped")
        site = build_site(config, tmp_path / "built")
        pages = sorted(path.relative_to(site).as_posix() for path in site.rglob("*.html"))
        assert len(pages) > 10
        for name in pages:
            status, text = bench.ask(name)
            own, count = OF_THE_BENCH.subn("", text)
            assert (name, status, count) == (name, 200, 1)
            assert own == (site / name).read_text(encoding="utf-8"), name
    published = "".join(path.read_text(encoding="utf-8") for path in site.rglob("*") if path.suffix in (".html", ".js"))
    assert "_tabtools" not in published
    assert "tt-bench" not in published
    assert not list(site.rglob("bench*"))


def test_properdocs_serves_as_well(tmp_path: Path) -> None:
    config = write_site(tmp_path, {"one.solo": GOOD.format(title="Before")}).rename(tmp_path / "properdocs.yml")
    with at_the_bench(config) as bench:
        bench.save("one.solo", GOOD.format(title="After"))
        assert 'content="mkdocs-ProperDocs' in bench.wait_for("solos/one/", "After")
