"""Solos made ready for a site: kept while nothing changes that they are made from, and made anew when it does."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sites import BAD, GOOD

from tabtools.cache.results import Keeping
from tabtools.settings import Settings
from tabtools.website import collection as collection_module
from tabtools.website import page_build as prepared_module
from tabtools.website.collection import Collection, UnpublishableError, gather
from tabtools.website.solo_page.lesson import solos_mentioned
from tabtools.writing import write_atomically

LESSON = "# One\n\nThe first note is `@1.1.1`; compare [the other](two.md) and [a third](three.md).\n"
DRAFT = GOOD.format(title="Draft").replace("meter:", "draft: yes\nmeter:", 1).replace("bar 1  Am", "bar 1  A-7")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "transcriptions"
    folder.mkdir()
    write(folder, "one.solo", GOOD.format(title="One"))
    write(folder, "one.md", LESSON)
    write(folder, "two.solo", GOOD.format(title="Two"))
    return folder


def write(folder: Path, name: str, text: str) -> None:
    write_atomically(folder / name, text)


def gathered(folder: Path, directory_urls: bool = True, **settings: str) -> Collection:
    keeping = Keeping(folder.parent / "results.sqlite")
    return gather(folder, Settings(root=folder.parent, **settings), directory_urls, keeping)


@contextmanager
def made() -> Iterator[list[str]]:
    """The slugs of the solos that are made ready meanwhile."""
    slugs: list[str] = []
    with pytest.MonkeyPatch.context() as patch:
        original = prepared_module.solo_page
        patch.setattr(
            prepared_module,
            "solo_page",
            lambda slug, *rest, **named: slugs.append(slug) or original(slug, *rest, **named),
        )
        yield slugs


def remade(folder: Path, directory_urls: bool = True, **settings: str) -> list[str]:
    with made() as slugs:
        gathered(folder, directory_urls, **settings)
    return slugs


def body(collection: Collection, slug: str) -> str:
    page = collection.solos[slug].open().page
    return page.body + page.controls + page.tab + page.study.html()


def test_nothing_is_made_twice(folder: Path) -> None:
    assert remade(folder) == ["one", "two"]
    assert remade(folder) == []


def test_what_is_kept_is_what_was_made(folder: Path) -> None:
    first, again = gathered(folder), gathered(folder)
    assert first.solos == again.solos == gather(folder, Settings(root=folder.parent)).solos
    assert (first.index, first.related, first.figures) == (again.index, again.related, again.figures)


def test_only_a_changed_solo_is_made_anew(folder: Path) -> None:
    gathered(folder)
    write(folder, "two.solo", GOOD.format(title="Another name"))
    with made() as slugs:
        assert "Another name" in body(gathered(folder), "two")
    assert slugs == ["two"]


def test_a_changed_lesson_makes_its_page_anew(folder: Path) -> None:
    gathered(folder)
    write(folder, "one.md", LESSON + "\nOne thing more.\n")
    with made() as slugs:
        assert "One thing more" in body(gathered(folder), "one")
    assert slugs == ["one"]


def test_a_solo_that_a_lesson_leads_to_makes_its_page_anew(folder: Path) -> None:
    assert "../three/" not in body(gathered(folder), "one")
    write(folder, "three.solo", GOOD.format(title="Three"))
    with made() as slugs:
        assert "../three/" in body(gathered(folder), "one")
    assert slugs == ["one", "three"]


def test_a_draft_lists_what_is_found_now(folder: Path) -> None:
    """What is found of a solo may come from the others: they spell a chord in another way."""
    write(folder, "draft.solo", DRAFT)
    assert "The linter finds nothing" in body(gathered(folder), "draft")
    for name in ("one", "two"):
        write(folder, f"{name}.solo", GOOD.format(title=name).replace("bar 1  Am", "bar 1  Am7"))
    with made() as slugs:
        assert "Am7" in body(gathered(folder), "draft")
    assert "draft" in slugs


def test_other_settings_make_other_pages(folder: Path) -> None:
    gathered(folder)
    assert remade(folder, style="extended") == ["one", "two"]
    assert remade(folder, False) == ["one", "two"]
    assert remade(folder) == []


def test_a_solo_that_became_wrong_is_not_published(folder: Path) -> None:
    gathered(folder)
    write(folder, "two.solo", BAD.format(title="Two"))
    with pytest.raises(UnpublishableError, match=r"two\.solo"):
        gathered(folder)


def test_a_lesson_that_became_wrong_is_found(folder: Path) -> None:
    gathered(folder)
    write(folder, "one.md", LESSON + "\nA claim: `@1.1.1 F#9`.\n")
    with pytest.raises(UnpublishableError, match=r"one\.md:5"):
        gathered(folder)


def test_many_solos_are_made_by_several_processes_alike(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    alone = gather(folder, Settings(root=folder.parent))
    monkeypatch.setattr(prepared_module, "FEWEST_FOR_WORKERS", 1)
    assert gather(folder, Settings(root=folder.parent)).solos == alone.solos


# ---- names and places


@pytest.mark.parametrize("name", ["index", "readme", "README", "Index"])
def test_names_that_the_index_has_are_refused(folder: Path, name: str) -> None:
    write(folder, f"{name}.solo", GOOD.format(title="A"))
    with pytest.raises(UnpublishableError, match=rf"{name}\.solo: this name is taken by the index; rename it"):
        gathered(folder)


def test_two_folders_cannot_have_solos_of_one_name(folder: Path) -> None:
    (folder / "more").mkdir()
    write(folder, "more/two.solo", GOOD.format(title="Another"))
    with pytest.raises(UnpublishableError, match="the file would share its page with"):
        gathered(folder)


def test_addresses_carry_whatever_a_name_has(folder: Path) -> None:
    write(folder, "50% #2 é.solo", GOOD.format(title="Signs"))
    write(folder, "one.md", "See [it](50% #2 é.solo).\n")
    assert 'href="50%25%20%232%20%C3%A9/"' in gathered(folder).index


def test_what_is_published_is_what_was_checked(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A lesson may change while the site is built."""
    checked = collection_module.lint_many

    def lint_and_write(*given: Any, **named: Any) -> Any:
        found = checked(*given, **named)
        write(folder, "one.md", "Written later: `@1.1.1 F#9`.\n")
        return found

    monkeypatch.setattr(collection_module, "lint_many", lint_and_write)
    assert "Written later" not in body(gathered(folder), "one")


def test_whatever_leads_to_another_solo_is_mentioned_quickly() -> None:
    assert solos_mentioned("[a](low-tide.md), [b](high.solo#b3) c.txt") == {"low-tide", "high"}
    assert solos_mentioned("x" * 1_000_000) == frozenset()
