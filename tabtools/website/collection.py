"""All solos of a folder, checked and made into pages."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from tabtools.checks import ALL_CHECKS
from tabtools.checks.subject import Subject
from tabtools.files import LESSON_SUFFIX, SUFFIX, read_all, solo_paths
from tabtools.linting import Linted, lint_sources
from tabtools.problem import Problem
from tabtools.settings import Settings
from tabtools.study.labels import Style
from tabtools.website.facets import facets_of
from tabtools.website.feed import Dates, dates_of
from tabtools.website.figure_index import figure_index
from tabtools.website.foot import Download, downloads_of
from tabtools.website.gathered import Gathered, gathered_pages
from tabtools.website.index_page import solos_index
from tabtools.website.lesson import LessonFault
from tabtools.website.pages import SoloPage, Surroundings, solo_page
from tabtools.website.related import related_html
from tabtools.website.remembered import Told, corrections_page, link_to_corrections, told_of

RESERVED = "index"


class Unpublishable(Exception):
    """Solos that cannot be published; one line for each reason, with its place."""


@dataclass(frozen=True)
class Collection:
    """The pages by slug, what else is said of each, and all that leads to them.

    `gathered` are the pages by technique, device and chord type, `figures` is the index that figures are searched in,
    `remembered` what git knows of it all.
    """

    pages: dict[str, SoloPage]
    index: str
    subjects: dict[str, Subject]
    related: dict[str, str]
    gathered: tuple[Gathered, ...]
    figures: str
    downloads: dict[str, tuple[Download, ...]]
    dates: dict[str, Dates]
    remembered: Told


def gather(folder: Path, settings: Settings, directory_urls: bool = True) -> Collection:
    """Read, check and draw every solo of a folder. Raises `Unpublishable` if one has errors and is no draft."""
    paths = list(solo_paths([folder]))
    linted = lint_sources(list(read_all(paths, [folder])), ALL_CHECKS, settings.profile)
    unfit = [_line(problem, linted, folder) for problem in linted.unfit() if not _of_draft(problem, linted)]
    unfit += [f"{_from(folder, path)}: this name is taken by the index; rename it" for path in paths if _taken(path)]
    if unfit:
        raise Unpublishable("\n".join(unfit))
    slugs = {subject.source.path: Path(subject.source.path).stem for subject in linted.subjects}
    around = _surroundings(set(slugs.values()), settings.style, directory_urls)
    lessons = {source.path: source for source in linted.sources if source.path.endswith(LESSON_SUFFIX)}
    pages: dict[str, SoloPage] = {}
    subjects: dict[str, Subject] = {}
    faults: list[str] = []
    for subject in linted.subjects:
        path, slug = subject.source.path, slugs[subject.source.path]
        lesson_path = path.removesuffix(SUFFIX) + LESSON_SUFFIX
        own = [problem for problem in linted.problems if problem.path in (path, lesson_path)]
        try:
            pages[slug] = solo_page(slug, subject, lessons.get(lesson_path), own, around)
        except LessonFault as fault:
            faults.append(f"{_from(folder, Path(lesson_path))}: {fault}")
        subjects[slug] = subject
    if faults:
        raise Unpublishable("\n".join(faults))
    found = [facets_of(slug, subject) for slug, subject in subjects.items()]
    ending = "/" if directory_urls else ".html"
    remembered = told_of(folder, subjects, {slug: page.anchors for slug, page in pages.items()}, ending)
    corrections = corrections_page(remembered.recent, {slug: page.title for slug, page in pages.items()})

    def from_index(slug: str) -> str:
        return slug + ending

    return Collection(
        pages,
        solos_index(found, from_index, lambda path: f"../{path}{ending}")
        + link_to_corrections(remembered.recent, "../", ending),
        subjects,
        related_html(found, lambda slug: around.another_solo(slug) or ""),
        (*gathered_pages(found), *filter(None, [corrections])),
        figure_index(found, from_index),
        {slug: downloads_of(slug, subject) for slug, subject in subjects.items()},
        dates_of(folder, [Path(subject.source.path) for subject in subjects.values()]),
        remembered,
    )


def _surroundings(known: set[str], style: Style, directory_urls: bool) -> Surroundings:
    """Links as they lead from one solo's page to its neighbours."""
    if directory_urls:
        return Surroundings("../", lambda slug: f"../{slug}/" if slug in known else None, style)
    return Surroundings("index.html", lambda slug: f"{slug}.html" if slug in known else None, style)


def _of_draft(problem: Problem, linted: Linted) -> bool:
    """Whether a problem lies in the lesson of a draft: what is unfinished there is listed on its page."""
    return problem.path.removesuffix(LESSON_SUFFIX) + SUFFIX in linted.drafts


def _taken(path: Path) -> bool:
    return path.stem == RESERVED


def _line(problem: Problem, linted: Linted, folder: Path) -> str:
    """`transcriptions/dusk.solo:12:5: error: message [check]`."""
    source = next((one for one in linted.sources if one.path == problem.path), None)
    line, column = source.locate(problem.span.start) if source else (1, 1)
    path = _from(folder, Path(problem.path))
    return f"{path}:{line}:{column}: {problem.severity}: {problem.message} [{problem.check}]"


def _from(folder: Path, path: Path) -> str:
    return str(Path(folder.name) / path.relative_to(folder)) if path.is_relative_to(folder) else str(path)
