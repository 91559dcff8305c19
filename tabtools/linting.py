"""Lint a set of files: what cannot be taken as text, what each solo and its lesson show, what shows across solos."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, NamedTuple

from tabtools.checks import BY_NAME, conflict_marker
from tabtools.checks.run import Examined, conclude, examine
from tabtools.checks.subject import Subject, subject_of
from tabtools.files import Unread, lesson_path, read_all
from tabtools.hand import DEFAULT_PROFILE, HandProfile
from tabtools.parallel import spread
from tabtools.problem import Problem, Severity
from tabtools.source import SUFFIX, SourceText, Span

if TYPE_CHECKING:
    from tabtools.cache.results import Keeping

FILES_FOR_WORKERS = 40
"""From so many files on, starting other processes pays."""


@dataclass(frozen=True)
class Linted:
    """Problems in the order of the files; `sources` are the texts they point into, `drafts` the paths of drafts and
    of their lessons, `lessons` the texts beside solos by the solos' paths.

    `subjects` are the solos that could be read, empty where other processes read them.
    """

    problems: tuple[Problem, ...]
    sources: tuple[SourceText, ...]
    drafts: frozenset[str]
    subjects: tuple[Subject, ...] = ()
    lessons: Mapping[str, SourceText] = field(default_factory=dict)

    def unfit(self) -> list[Problem]:
        """The errors that keep solos from being published: all but those of drafts; in these, markers of a merge."""
        return [
            problem
            for problem in self.problems
            if problem.severity is Severity.ERROR
            and (problem.path not in self.drafts or problem.check == conflict_marker.NAME)
        ]


class _File(NamedTuple):
    """A solo's text and that of the lesson beside it, as they were found."""

    solo: SourceText | Unread
    lesson: SourceText | Unread | None


class _Read(NamedTuple):
    """One file examined. `examined` is None for what is no text; `unread` is why it, or its lesson, is none."""

    examined: Examined | None
    unread: Problem | None = None
    subject: Subject | None = None


def lint_sources(
    found: Sequence[SourceText | Unread], checks: Sequence[ModuleType], profile: HandProfile = DEFAULT_PROFILE
) -> Linted:
    """All problems of these files, their solos kept. One file that cannot be read hides nothing of the others."""
    with _no_search_for_cycles():
        files = [_File(one, lesson_beside(one.path)) for one in found]
        return _concluded(files, [_examine(one, checks, profile) for one in files], checks)


def lint_many(
    found: Sequence[SourceText | Unread],
    checks: Sequence[ModuleType],
    profile: HandProfile = DEFAULT_PROFILE,
    watch: Callable[[Iterable[_Read]], Iterable[_Read]] = iter,
    keeping: Keeping | None = None,
) -> Linted:
    """The same over all cores where there are many files; no solo is kept. `watch` sees each file pass.

    What `keeping` knows of a file is not worked out again.
    """
    names = [check.NAME for check in checks]
    files = [_File(one, lesson_beside(one.path)) for one in found]
    keys = [_key(one, names, profile, keeping) if keeping else None for one in files]
    known = keeping.known(filter(None, keys), _Read) if keeping else {}
    work = partial(_examine_alone, names=names, profile=profile)
    with _no_search_for_cycles():
        missing = [one for key, one in zip(keys, files, strict=True) if key not in known]
        with spread(work, missing, FILES_FOR_WORKERS) as made:
            made = iter(made)
            read = list(watch(known[key] if key in known else next(made) for key in keys))
        if keeping:
            keeping.keep({key: one for key, one in zip(keys, read, strict=True) if key and key not in known})
        return _concluded(files, read, checks)


def _key(one: _File, names: Sequence[str], profile: HandProfile, keeping: Keeping) -> bytes | None:
    """What the examination of a file depends on; None for what is no text."""
    if isinstance(one.solo, Unread) or isinstance(one.lesson, Unread):
        return None
    lesson = (repr(one.lesson),) if one.lesson else ()
    return keeping.key("examined", repr(one.solo), repr(profile), " ".join(names), *lesson)


def _examine_alone(one: _File, names: Sequence[str], profile: HandProfile) -> _Read:
    """What is worth sending between processes: without the solo."""
    return _examine(one, [BY_NAME[name] for name in names], profile)._replace(subject=None)


def _examine(one: _File, checks: Sequence[ModuleType], profile: HandProfile) -> _Read:
    solo, lesson = one
    if isinstance(solo, Unread):
        return _Read(None, _unreadable(solo))
    subject = subject_of(solo, profile)
    if isinstance(lesson, Unread):
        return _Read(examine(subject, None, checks), _unreadable(lesson), subject)
    return _Read(examine(subject, lesson, checks), None, subject)


def _concluded(files: Sequence[_File], read: Sequence[_Read], checks: Sequence[ModuleType]) -> Linted:
    examined = [one.examined for one in read if one.examined]
    problems = [*conclude(examined, checks), *(one.unread for one in read if one.unread)]
    order: dict[str, int] = {}
    for one in files:
        for path in (one.solo.path, lesson_path(one.solo.path)):
            order.setdefault(path, len(order))
    problems.sort(key=lambda problem: order[problem.path])
    texts = (*(one.solo for one in files), *(one.lesson for one in files if one.lesson))
    return Linted(
        tuple(problems),
        tuple(filter(None, (one.error.source if isinstance(one, Unread) else one for one in texts))),
        frozenset(path for one in examined if one.draft for path in (one.path, lesson_path(one.path))),
        tuple(one.subject for one in read if one.subject),
        {one.solo.path: one.lesson for one in files if isinstance(one.lesson, SourceText)},
    )


def lesson_beside(solo_path: str) -> SourceText | Unread | None:
    """The lesson of a solo: the Markdown file of the same name beside it, None where there is none."""
    path = Path(lesson_path(solo_path))
    if not solo_path.endswith(SUFFIX) or not path.is_file():
        return None
    return next(read_all([path], [path.parent]))


@contextmanager
def _no_search_for_cycles() -> Iterator[None]:
    """Records of a lint hold no cycles; looking for some, again and again, costs a third of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _unreadable(one: Unread) -> Problem:
    check = BY_NAME["unreadable-file"]
    span = Span(one.error.offset, one.error.offset + 1)
    return Problem(check.NAME, check.SEVERITY, one.path, span, one.error.message, one.error.advice)
