"""All solos of a folder, checked and made into pages."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from tabtools.checks import ALL_CHECKS
from tabtools.files import read_all, solo_paths
from tabtools.linting import Linted, lint_sources
from tabtools.problem import Problem
from tabtools.source import SourceError, SourceText, read_source
from tabtools.study.labels import Style
from tabtools.website.lesson import LessonFault
from tabtools.website.listing import Listed, solos_index
from tabtools.website.pages import SoloPage, Surroundings, solo_page

RESERVED = "index"


class Unpublishable(Exception):
    """Solos that cannot be published; one line for each reason, with its place."""


@dataclass(frozen=True)
class Collection:
    """The pages by slug, and the body of the index."""

    pages: dict[str, SoloPage]
    index: str


def gather(folder: Path, style: Style = "plain", directory_urls: bool = True) -> Collection:
    """Read, check and draw every solo of a folder. Raises `Unpublishable` if one has errors and is no draft."""
    paths = list(solo_paths([folder]))
    linted = lint_sources(list(read_all(paths, [folder])), ALL_CHECKS)
    unfit = [_line(problem, linted, folder) for problem in linted.unfit()]
    unfit += [f"{_from(folder, path)}: this name is taken by the index; rename it" for path in paths if _taken(path)]
    if unfit:
        raise Unpublishable("\n".join(unfit))
    slugs = {subject.source.path: Path(subject.source.path).stem for subject in linted.subjects}
    known = set(slugs.values())
    suffix = "/" if directory_urls else ".html"
    up = "../" if directory_urls else ""
    around = Surroundings(
        up or f"{RESERVED}.html",
        lambda slug: f"{up}{slug}{suffix}" if slug in known and slug != RESERVED else None,
        style,
    )
    pages: dict[str, SoloPage] = {}
    listed: list[Listed] = []
    faults: list[str] = []
    for subject in linted.subjects:
        path, slug = subject.source.path, slugs[subject.source.path]
        own = [problem for problem in linted.problems if problem.path == path]
        lesson_path = Path(path).with_suffix(".md")
        try:
            pages[slug] = solo_page(slug, subject, _lesson(lesson_path, folder), own, around)
        except (SourceError, LessonFault) as fault:
            faults.append(f"{_from(folder, lesson_path)}: {fault}")
        listed.append(Listed(f"{slug}{suffix}", subject.timeline, slug))
    if faults:
        raise Unpublishable("\n".join(faults))
    return Collection(pages, solos_index(listed))


def _taken(path: Path) -> bool:
    return path.stem == RESERVED


def _lesson(path: Path, folder: Path) -> SourceText | None:
    """The lesson beside a solo, where there is one. A link may not lead out of the folder."""
    if not path.exists():
        return None
    if not path.resolve().is_relative_to(folder.resolve()):
        raise SourceError("the file is a link that leads out of its folder", "put the lesson itself here")
    return read_source(path)


def _line(problem: Problem, linted: Linted, folder: Path) -> str:
    """`transcriptions/dusk.solo:12:5: error: message [check]`."""
    source = next((one for one in linted.sources if one.path == problem.path), None)
    line, column = source.locate(problem.span.start) if source else (1, 1)
    path = _from(folder, Path(problem.path))
    return f"{path}:{line}:{column}: {problem.severity}: {problem.message} [{problem.check}]"


def _from(folder: Path, path: Path) -> str:
    return str(Path(folder.name) / path.relative_to(folder)) if path.is_relative_to(folder) else str(path)
