"""All solos of a folder, checked and made into pages."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from markupsafe import Markup

from tabtools.cache.results import KEEPING_NOTHING, Keeping
from tabtools.checks import ALL_CHECKS
from tabtools.files import lesson_path, read_all, solo_paths
from tabtools.linting import Linted, lint_many
from tabtools.problem import Problem
from tabtools.review.git import GitError
from tabtools.review.missing_history import why_missing
from tabtools.settings import Settings
from tabtools.source import SourceText
from tabtools.website.facet_pages import Gathered, gathered_pages
from tabtools.website.feed import Dates, dates_of
from tabtools.website.figure_index import figure_index
from tabtools.website.history_page import ToldHistory, corrections_page, history_of_solos, link_to_corrections
from tabtools.website.index_page import solos_index
from tabtools.website.links import Links
from tabtools.website.page_build import Material, PageSetting, Prepared, prepare_all
from tabtools.website.solo_page.related import related_html

RESERVED = ("index", "readme")
"""mkdocs gives pages of these names the address of their folder."""


class UnpublishableError(Exception):
    """Solos that cannot be published; one line for each reason, with its place."""


@dataclass(frozen=True)
class Collection:
    """The solos by slug, what else is said of each, and all that leads to them; `links` as the index has them.

    `gathered` are the pages by technique, device and chord type, `figures` is the index that figures are searched in,
    `history` what git knows of it all; `warnings` say what of that is missing, and what to do.
    """

    solos: dict[str, Prepared]
    links: Links
    index: Markup
    related: dict[str, Markup]
    gathered: tuple[Gathered, ...]
    figures: str
    dates: dict[str, Dates]
    history: ToldHistory
    warnings: tuple[str, ...] = ()


def gather(
    folder: Path, settings: Settings, directory_urls: bool = True, keeping: Keeping = KEEPING_NOTHING
) -> Collection:
    """Read, check and draw every solo of a folder. Raises `UnpublishableError` if one has errors and is no draft.

    What `keeping` knows is not worked out again.
    """
    paths = list(solo_paths([folder]))
    found = list(read_all(paths, [folder]))
    linted = lint_many(found, ALL_CHECKS, settings.profile, keeping=keeping)
    unfit = [_line(problem, linted, folder) for problem in linted.unfit()]
    unfit += [f"{_from(folder, path)}: this name is taken by the index; rename it" for path in paths if _taken(path)]
    if unfit:
        raise UnpublishableError("\n".join(unfit))
    materials = [_material(one, linted) for one in found if isinstance(one, SourceText)]
    links = Links(directory_urls, frozenset(one.slug for one in materials))
    setting = PageSetting(settings.style, settings.profile, links)
    solos = {one.slug: one for one in prepare_all(materials, setting, keeping)}
    if any(one.fault for one in solos.values()):
        faults = (f"{_from(folder, Path(lesson_path(one.path)))}: {one.fault}" for one in solos.values() if one.fault)
        raise UnpublishableError("\n".join(faults))
    facets = [one.facets for one in solos.values()]
    history = history_of_solos(folder, solos, links, keeping)
    corrections = corrections_page(history.recent, {slug: one.title for slug, one in solos.items()})
    dated = dates_of(folder, [Path(one.path) for one in solos.values()])
    return Collection(
        solos,
        links,
        solos_index(facets, links) + (link_to_corrections(links) if history.recent else ""),
        related_html(facets, links),
        (*gathered_pages(facets), *filter(None, [corrections])),
        figure_index(facets, links),
        dated.dates,
        history,
        tuple(_history_warnings(folder, (history.fault, dated.fault))),
    )


def _material(source: SourceText, linted: Linted) -> Material:
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


def _taken(path: Path) -> bool:
    return path.stem.casefold() in RESERVED


def _line(problem: Problem, linted: Linted, folder: Path) -> str:
    """`transcriptions/dusk.solo:12:5: error: message [check]`."""
    source = next((one for one in linted.sources if one.path == problem.path), None)
    line, column = source.locate(problem.span.start) if source else (1, 1)
    path = _from(folder, Path(problem.path))
    return f"{path}:{line}:{column}: {problem.severity}: {problem.message} [{problem.check}]"


def _from(folder: Path, path: Path) -> str:
    return str(Path(folder.name) / path.relative_to(folder)) if path.is_relative_to(folder) else str(path)
