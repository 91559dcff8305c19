"""What is seen of files that change while somebody works on them."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tabtools.website.serving import watching
from tabtools.website.serving.watching import Watch


@pytest.fixture
def watch(tmp_path: Path) -> Watch:
    (tmp_path / "solos" / "more").mkdir(parents=True)
    (tmp_path / "solos" / "one.solo").write_text("one", encoding="utf-8")
    (tmp_path / "mkdocs.yml").write_text("site_name: A", encoding="utf-8")
    watch = Watch()
    watch.add([tmp_path / "solos", tmp_path / "mkdocs.yml", tmp_path / "nowhere"])
    return watch


def test_what_is_there_at_the_beginning_is_no_change(watch: Watch) -> None:
    assert watch.changes() == set()


def test_files_that_come_change_and_go(watch: Watch, tmp_path: Path) -> None:
    one, two = tmp_path / "solos" / "one.solo", tmp_path / "solos" / "more" / "two.solo"
    one.write_text("another", encoding="utf-8")
    two.write_text("two", encoding="utf-8")
    (tmp_path / "nowhere").write_text("here", encoding="utf-8")
    assert watch.changes() == {one, two, tmp_path / "nowhere"}
    assert watch.changes() == set()
    two.unlink()
    assert watch.changes() == {two}


def test_a_file_in_the_place_of_another_is_a_change_even_with_its_date(watch: Watch, tmp_path: Path) -> None:
    one, draft = tmp_path / "solos" / "one.solo", tmp_path / "solos" / ".one.new"
    seen = one.stat()
    draft.write_text("two", encoding="utf-8")
    os.utime(draft, ns=(seen.st_atime_ns, seen.st_mtime_ns))
    draft.replace(one)
    assert watch.changes() == {one}


def test_a_file_that_has_been_emptied_is_waited_for(
    watch: Watch, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = tmp_path / "solos" / "one.solo"
    looks: list[float] = []

    def write_at_last(seconds: float) -> None:
        looks.append(seconds)
        if len(looks) == 5:
            one.write_text("saved", encoding="utf-8")

    monkeypatch.setattr(watching, "sleep", write_at_last)
    one.write_text("", encoding="utf-8")
    assert watch.changes() == {one}
    assert len(looks) == 6
    one.write_text("", encoding="utf-8")
    assert watch.changes() == {one}
    assert len(looks) == 6 + watching.MOST_LOOKS
    assert watch.changes() == set()


def test_hidden_files_and_what_is_beside_are_passed_over(watch: Watch, tmp_path: Path) -> None:
    (tmp_path / "solos" / ".one.swp").write_text("", encoding="utf-8")
    (tmp_path / "other.txt").write_text("", encoding="utf-8")
    assert watch.changes() == set()


def test_what_was_written_while_the_site_was_built_is_a_change(tmp_path: Path) -> None:
    before, since = tmp_path / "before", tmp_path / "since"
    for path in (before, since):
        path.write_text("", encoding="utf-8")
    began = since.stat().st_mtime_ns
    os.utime(before, ns=(began, began - 10 * watching.COARSENESS))
    watch = Watch()
    watch.add([tmp_path], began)
    assert watch.changes() == {since}


def test_what_is_added_later_does_not_hide_what_changed_before(watch: Watch, tmp_path: Path) -> None:
    (tmp_path / "solos" / "one.solo").write_text("another", encoding="utf-8")
    (tmp_path / "theme").mkdir()
    (tmp_path / "theme" / "main.html").write_text("", encoding="utf-8")
    watch.add([tmp_path / "solos", tmp_path / "theme"])
    assert watch.changes() == {tmp_path / "solos" / "one.solo"}
