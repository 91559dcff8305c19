"""One solo whose bars are changed, and everything that names them carried along: written together or shown."""

from __future__ import annotations

import sys
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tabtools.cli.exits import CLEAN, FINDINGS, StopError, stopped
from tabtools.cli.output import difference, write_all_over
from tabtools.cli.showing import laid_out, one_solo
from tabtools.files import Unread, from_here, lesson_path, markdown_files, read_all
from tabtools.settings import Settings

if TYPE_CHECKING:
    from tabtools.model.solo import Solo
    from tabtools.renumbering.carried import NamedBars
    from tabtools.renumbering.plan import Plan
    from tabtools.source import SourceText


@dataclass
class Work:
    """One solo and all lessons that may speak of it. `lines` are those of each that speak of its old bars, None all."""

    source: SourceText
    solo: Solo
    lessons: Sequence[SourceText]
    with_words: bool
    is_shown: bool
    lines: dict[str, Container[int] | None]

    def solo_with_words(self, plan: Plan) -> Solo:
        """The solo; its comments name bars by their new numbers where that is asked for."""
        from tabtools.renumbering.carried import in_words_anew

        if not self.with_words:
            return self.solo
        return read(replace(self.source, text=in_words_anew(self.source.text, self._words(plan))))

    def _words(self, plan: Plan) -> tuple[NamedBars, ...]:
        from tabtools.renumbering.carried import words_of_solo

        return words_of_solo(self.solo, self.source, plan, self.lines[self.source.path])

    def finish(self, after: Solo, plan: Plan, said: str, left: Sequence[str]) -> None:
        """Carry along what names bars, write or show it all, and say what was done."""
        from tabtools.renumbering.carried import carried_lesson, left_of
        from tabtools.reports.renumbering import LessonCarried, carried_in_words, left_in_texts

        path = self.source.path
        slug, own = Path(path).stem, lesson_path(path)
        lessons = [
            LessonCarried(
                one.path, carried_lesson(one, slug, one.path == own, plan, self.lines[one.path], self.with_words)
            )
            for one in self.lessons
        ]
        changes = [(self.source, laid_out(after, path) if after != self.solo else self.source.text)]
        changes += [(one, new.carried.text) for one, new in zip(self.lessons, lessons, strict=True)]
        changes = [(old, new) for old, new in changes if new != old.text]
        if self.is_shown:
            click.echo("".join(difference(old, new, "renumbered") for old, new in changes), nl=False)
        else:
            write_all_over([(Path(old.path), new, old) for old, new in changes])
            click.echo("\n".join([f"{path}: {said}", *carried_in_words(lessons)]))
        left = [*left, *left_in_texts(path, left_of(self._words(plan), self.with_words), lessons)]
        if left:
            click.echo("\n".join(["", "to look at:", *(f"  {line}" for line in left)]))
        sys.exit(FINDINGS if left else CLEAN)


def work_on(settings: Settings, file: Path, with_words: bool, is_shown: bool) -> Work:
    """What a command is to change. A solo with lines that cannot be read stops it."""
    if str(file) == "-":
        raise StopError("name a file; bars of standard input cannot be changed")
    source, timeline = one_solo(file, "", settings, is_whole=True)
    lessons = list(_lessons(settings, source.path))
    lines = dict.fromkeys([source.path, *(one.path for one in lessons)])
    return Work(source, timeline.solo, lessons, with_words, is_shown, lines)


def read(source: SourceText) -> Solo:
    """The solo of a text."""
    from tabtools.notation.build import read_solo

    return read_solo(source).solo


def known_texts(since: str, sources: Sequence[SourceText]) -> dict[str, SourceText | None] | None:
    """What stood in files at a commit, by their paths here; None where nothing was ever committed."""
    from tabtools.review.git import GitError, NoGitError, NoRepository
    from tabtools.review.revisions import repository_at, text_of

    try:
        repository = repository_at(Path(sources[0].path).resolve().parent)
        if not repository.has_commits():
            return None
        names = {one.path: Path(one.path).resolve().relative_to(repository.top.resolve()).as_posix() for one in sources}
        contents = repository.contents(repository.resolve(since), names.values())
    except (NoGitError, NoRepository):
        return None
    except GitError as fault:
        raise stopped(fault) from None
    return {path: text_of(contents[name], path) for path, name in names.items()}


def _lessons(settings: Settings, solo: str) -> Iterator[SourceText]:
    """All lessons that may speak of a solo: those in its folder and in the folder of the solos."""
    folders = [folder for folder in (Path(solo).parent, from_here(settings.folder)) if folder.is_dir()]
    for lesson in read_all(markdown_files(folders), folders):
        if isinstance(lesson, Unread):
            click.echo(f"{lesson.path}: not looked at: {lesson.error.message}", err=True)
        else:
            yield lesson
