"""All solos of a folder, checked and made into pages."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import Protocol

from markupsafe import Markup

from tabtools.cache.results import KEEPING_NOTHING, Keeping
from tabtools.checks import ALL_CHECKS
from tabtools.files import Unread, lesson_path, read_all, solo_paths
from tabtools.linting import Linted, lint_many
from tabtools.problem import Problem
from tabtools.reports.history import ToldCorrection
from tabtools.review.git import GitError
from tabtools.review.missing_history import why_missing
from tabtools.settings import Settings
from tabtools.source import MAX_BYTES, SourceText
from tabtools.study.telling import rarities
from tabtools.website.facet_pages import MOST_DRAWN, Gathered, gathered_pages
from tabtools.website.feed import Dates, dates_of, dates_of_file
from tabtools.website.figure_index import figure_index
from tabtools.website.history_page import ToldHistory, corrections_page, history_of_solos, link_to_corrections
from tabtools.website.index_page import solos_index
from tabtools.website.links import Links
from tabtools.website.page_build import Material, PageSetting, Prepared, prepare_all
from tabtools.website.solo_page.lesson import solos_mentioned
from tabtools.website.solo_page.related import related_html

RESERVED = ("index", "readme")
"""mkdocs gives pages of these names the address of their folder."""


class UnpublishableError(Exception):
    """Solos that cannot be published; one line for each reason, with its place."""


@dataclass(frozen=True)
class Collection:
    """The solos by slug, what else is said of each, and all that leads to them; `links` as the index has them.

    `gathered` are the pages by technique, device and chord type, `figures` the scripts that figures are searched in,
    `history` what git knows of it all; `warnings` say what of that is missing, and what to do.
    """

    solos: dict[str, Prepared]
    links: Links
    index: Markup
    related: dict[str, Markup]
    gathered: tuple[Gathered, ...]
    figures: dict[str, str]
    dates: dict[str, Dates]
    history: ToldHistory
    warnings: tuple[str, ...] = ()

    def prepared_anew(self, path: Path, folder: Path, settings: Settings, preparing: Preparing) -> Prepared | None:
        """A solo, known or new, made ready as its file and its lesson are now, linted by itself; None where it is gone.

        It is being written, so that nothing of it is worth keeping.
        """
        found = list(read_all([path], [folder]))
        linted = lint_many(found, ALL_CHECKS, settings.profile)
        links = self.links.with_solo(path.stem)
        setting = PageSetting(settings.style, settings.profile, links, settings.staff)
        return next(iter(preparing(folder, found, linted, setting, KEEPING_NOTHING)), None)

    def with_solo(self, changed: Prepared) -> Collection:
        """The same with a solo as it is now. What leads to it stays as it was, until it is `retold`.

        Git is not asked about a new one: its dates are those of its file.
        """
        slug, path = changed.slug, Path(changed.path)
        solos = self.solos | {slug: changed}
        if slug not in self.solos:
            solos = dict(sorted(solos.items(), key=lambda item: Path(item[1].path)))
        dates = {slug: dates_of_file(path)} | self.dates
        return replace(self, solos=solos, links=self.links.with_solo(slug), dates=dates)

    def without_solo(self, slug: str) -> Collection:
        """The same without a solo that is gone. What leads to it stays as it was, until the rest is `retold`."""
        solos = {name: one for name, one in self.solos.items() if name != slug}
        return replace(self, solos=solos, links=self.links.without_solo(slug))

    def naming(self, slug: str) -> Iterator[str]:
        """The slugs of the other solos whose lessons may name this one."""
        for name, one in self.solos.items():
            lesson = Path(lesson_path(one.path))
            if name != slug and lesson.is_file() and slug in solos_mentioned(_text_of(lesson)):
                yield name

    @property
    def moved(self) -> dict[str, str]:
        """The slugs under which solos stood before and nothing stands now, with those they have now."""
        return {old: slug for slug, olds in self.history.former.items() for old in olds if old not in self.solos}

    @property
    def rarity(self) -> dict[str, int]:
        """The bits that each sort of device is worth for being rare among these solos."""
        return rarities(one.sorts for one in self.solos.values())

    @property
    def corrections(self) -> list[tuple[str, ToldCorrection]]:
        """The corrections that git knows of the solos that are there, the latest first."""
        return [(slug, one) for slug, one in self.history.recent if slug in self.solos]

    def retold(self) -> Collection:
        """The same with all that leads to its solos told anew, but for what git knows of them."""
        return _told(self.solos, self.links, self.history, self.dates, self.warnings)


class Preparing(Protocol):
    """Makes solos ready that were found in a folder and linted."""

    def __call__(
        self, folder: Path, found: Sequence[SourceText | Unread], linted: Linted, setting: PageSetting, keeping: Keeping
    ) -> Sequence[Prepared]: ...


def gather(
    folder: Path,
    settings: Settings,
    directory_urls: bool = True,
    keeping: Keeping = KEEPING_NOTHING,
    preparing: Preparing | None = None,
) -> Collection:
    """Read, check and draw every solo of a folder. Raises `UnpublishableError` if one has errors and is no draft,
    unless `preparing` takes it nevertheless.

    What `keeping` knows is not worked out again.
    """
    paths = list(solo_paths([folder]))
    found = list(read_all(paths, [folder]))
    linted = lint_many(found, ALL_CHECKS, settings.profile, keeping=keeping)
    links = Links(directory_urls, frozenset(path.stem for path in paths if not is_taken(path)))
    setting = PageSetting(settings.style, settings.profile, links, settings.staff)
    solos = {one.slug: one for one in (preparing or _publishable)(folder, found, linted, setting, keeping)}
    history = history_of_solos(folder, solos, links, keeping)
    dated = dates_of(folder, [Path(one.path) for one in solos.values()], history.former)
    warnings = tuple(_history_warnings(folder, (history.fault, dated.fault)))
    return _told(solos, links, history, dated.dates, warnings)


def _told(
    solos: dict[str, Prepared],
    links: Links,
    history: ToldHistory,
    dates: dict[str, Dates],
    warnings: tuple[str, ...],
) -> Collection:
    facets = [one.facets for one in solos.values()]
    page_of = lru_cache(MOST_DRAWN)(lambda slug: solos[slug].open().page)
    recent = [(slug, one) for slug, one in history.recent if slug in solos]
    corrections = corrections_page(recent, {slug: one.title for slug, one in solos.items()})
    return Collection(
        solos,
        links,
        solos_index(facets, links) + (link_to_corrections(links) if recent else ""),
        related_html(facets, links),
        (
            *gathered_pages(facets, page_of),
            *filter(None, [corrections]),
        ),
        figure_index(facets, links),
        dates,
        history,
        warnings,
    )


def _publishable(
    folder: Path, found: Sequence[SourceText | Unread], linted: Linted, setting: PageSetting, keeping: Keeping
) -> list[Prepared]:
    """The solos made ready to be published. Raises `UnpublishableError`."""
    unfit = [_line(problem, linted, folder) for problem in linted.unfit()]
    taken = [Path(one.path) for one in found if is_taken(Path(one.path))]
    unfit += [f"{_from(folder, path)}: this name is taken by the index; rename it" for path in taken]
    if unfit:
        raise UnpublishableError("\n".join(unfit))
    solos = prepare_all([material_of(one, linted) for one in found if isinstance(one, SourceText)], setting, keeping)
    if any(one.fault for one in solos):
        faults = (f"{_from(folder, Path(lesson_path(one.path)))}: {one.fault}" for one in solos if one.fault)
        raise UnpublishableError("\n".join(faults))
    return solos


def material_of(source: SourceText, linted: Linted) -> Material:
    """What the page of a solo is made from; a draft's lists its problems."""
    own: tuple[Problem, ...] = ()
    if source.path in linted.drafts:
        own = tuple(problem for problem in linted.problems if problem.path in (source.path, lesson_path(source.path)))
    return Material(Path(source.path).stem, source, linted.lessons.get(source.path), own)


def _history_warnings(folder: Path, faults: Iterable[GitError | None]) -> Iterator[str]:
    """What the site lacks because of these faults: the first stands for all that follow from it."""
    reasons = (why_missing(folder, fault) for fault in faults if fault is not None)
    for reason in islice(filter(None, reasons), 1):
        yield (
            f"git does not tell the whole history of the solos: {reason.message}. So the site lacks histories, "
            f"corrections and their feed, or a part of them, and the dates of the solos are wrong. What to do: "
            f"{reason.advice}"
        )


def _text_of(path: Path) -> str:
    """What can be read of a file that is no larger than a lesson may be."""
    try:
        data = path.read_bytes()
    except OSError:
        return ""
    return data[:MAX_BYTES].decode("utf-8", "replace")


def is_taken(path: Path) -> bool:
    """Whether a solo of this name would have the address of the index."""
    return path.stem.casefold() in RESERVED


def _line(problem: Problem, linted: Linted, folder: Path) -> str:
    """`transcriptions/dusk.solo:12:5: error: message [check]`."""
    source = next((one for one in linted.sources if one.path == problem.path), None)
    line, column = source.locate(problem.span.start) if source else (1, 1)
    path = _from(folder, Path(problem.path))
    return f"{path}:{line}:{column}: {problem.severity.word}: {problem.message} [{problem.check}]"


def _from(folder: Path, path: Path) -> str:
    return str(Path(folder.name) / path.relative_to(folder)) if path.is_relative_to(folder) else str(path)
