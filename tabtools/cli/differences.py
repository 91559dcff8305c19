"""What a comparison needs from files and from git: both versions of every solo with its lesson, linted."""

from __future__ import annotations

import os
from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import replace
from difflib import SequenceMatcher, unified_diff
from pathlib import Path, PurePosixPath
from typing import NamedTuple

from tabtools.checks import ALL_CHECKS
from tabtools.checks.run import conclude, examine
from tabtools.checks.subject import Subject, subject_of
from tabtools.files import Unread, lesson_path, read_all, read_bytes, shown_name
from tabtools.hand import HandProfile
from tabtools.model.solo import Bar, Passage, Section
from tabtools.problem import Problem
from tabtools.renumbering.left_behind import left_behind
from tabtools.reports.comparison import FileChange
from tabtools.reports.conflicts import undecided_in_words
from tabtools.reports.unread_words import broken_in_words, mended_in_words
from tabtools.review.change import Change
from tabtools.review.compare import compare
from tabtools.review.conflicts.lesson import conflicts_of_lesson
from tabtools.review.conflicts.markers import MarkersError, marked_places
from tabtools.review.conflicts.solo import conflicted_solo
from tabtools.review.consequences import (
    Consequences,
    OldNumbers,
    claims_written_anew,
    consequences_of,
    findings_compared,
)
from tabtools.review.references import Reference, references_to, touched
from tabtools.review.revisions import Content, FilePair, Repository
from tabtools.source import LESSON_SUFFIX, SUFFIX, SourceError, SourceText, from_text

Text = SourceText | Unread | None
"""A file as text, why it is none, or None where there is no file."""


class Versions(NamedTuple):
    """A solo and the lesson beside it, before and after."""

    old_path: str
    path: str
    old: Text
    new: Text
    old_lesson: Text = None
    new_lesson: Text = None


def change_of(versions: Versions, profile: HandProfile) -> FileChange:
    """What changed in one solo and its lesson."""
    lesson = tuple(filter(None, [_undecided(versions.new_lesson)]))
    lesson = lesson or tuple(_difference(versions.old_lesson, versions.new_lesson))
    change = FileChange(versions.path, versions.old_path, lesson=lesson)
    if not lesson and _is_one_text(versions.old, versions.new):
        return replace(change, status="same")
    if reason := _undecided(versions.new):
        return replace(change, status="unreadable", reason=reason)
    before, after = sides = [_subject(text, versions, profile) for text in (versions.old, versions.new)]
    found = (_findings(before, versions.old, versions.old_lesson), _findings(after, versions.new, versions.new_lesson))
    new_claims = claims_written_anew(*(_as_text(one) for one in (versions.old_lesson, versions.new_lesson)))
    for text, subject, is_old in zip((versions.old, versions.new), sides, (True, False), strict=True):
        if reason := _unreadable(text, subject, is_old):
            said = f"{reason}; this is how the texts differ"
            follows = replace(_said(sides, found), new_claims=new_claims)
            change = replace(change, text=tuple(_difference(versions.old, versions.new)), consequences=follows)
            return replace(change, status="unreadable", reason=said)
    assert before is not None and after is not None, "a side that is no text was told as unreadable"
    comparison = compare(before, after)
    unread = tuple(_unread_lines(before))
    mended = mended_in_words(len(unread), before.solo, after.solo) if unread else ""
    change = replace(change, comparison=comparison, mended=mended)
    if versions.new is None:
        return replace(change, status="gone")
    if after.reading.unreadable:
        return _beside_what_is_broken(change, (before, after), replace(_said(sides, found), new_claims=new_claims))
    hands = (before.hand, after.hand) if versions.old is not None else None
    status = "new" if hands is None else "changed"
    follows = replace(consequences_of(comparison, found, hands), unread=unread, new_claims=new_claims)
    follows = replace(follows, old_numbers=_left_behind(versions, change, follows, after))
    return replace(change, status=status, consequences=follows)


def _undecided(text: Text) -> str:
    """That a merge left places to be decided; empty where it did not, and where its markers are not whole."""
    if not isinstance(text, SourceText):
        return ""
    try:
        if text.path.endswith(LESSON_SUFFIX):
            places = len(conflicts_of_lesson(text))
            return undecided_in_words(places) if places else ""
        titles = [one.where for one in conflicted_solo(text).conflicts] if marked_places(text.lines()) else []
    except MarkersError:
        return ""
    return undecided_in_words(len(titles), titles) if titles else ""


def _beside_what_is_broken(
    change: FileChange, subjects: tuple[Subject, Subject], consequences: Consequences
) -> FileChange:
    """The change of a solo of which single lines cannot be read now: their bars are told as text, all else as music."""
    before, after = subjects
    assert change.comparison is not None
    whole = tuple(one for one in change.comparison.changes if _is_read(one, after))
    lines = [line for line, _ in _unread_lines(after)]
    return replace(
        change,
        comparison=replace(change.comparison, changes=whole),
        broken=broken_in_words(lines, after.solo),
        text=tuple(_lines_around(before.source, after.source, lines)),
        consequences=consequences,
    )


def _is_read(change: Change, after: Subject) -> bool:
    """Whether a change does not come of a line that cannot be read in the newer version."""
    if change.site.new_item is None:
        return bool(change.name) or not isinstance(change.before, Section | Passage)
    item = after.solo.items[change.site.new_item]
    return not (isinstance(item, Bar) and item.damaged)


def _lines_around(before: SourceText, after: SourceText, lines: Sequence[int]) -> Iterator[str]:
    """The lines that differ, those alone that come with one of these lines of the newer text."""
    was, now = before.text.splitlines(), after.text.splitlines()
    for tag, first, last, new_first, new_last in SequenceMatcher(None, was, now, autojunk=False).get_opcodes():
        if tag != "equal" and any(new_first < line <= new_last for line in lines):
            yield from (f"-{row}" for row in was[first:last])
            yield from (f"+{row}" for row in now[new_first:new_last])


def _left_behind(versions: Versions, change: FileChange, follows: Consequences, after: Subject) -> OldNumbers:
    """What the lesson says by the numbers that bars had before."""
    before, lesson = versions.old_lesson, versions.new_lesson
    if change.comparison is None or not isinstance(before, SourceText) or not isinstance(lesson, SourceText):
        return OldNumbers()
    false = {one.span for one in follows.no_longer_true}
    return left_behind(PurePosixPath(versions.path).stem, change.comparison, before, lesson, after, false)


def _is_one_text(old: Text, new: Text) -> bool:
    return isinstance(old, SourceText) and isinstance(new, SourceText) and old.text == new.text


def _subject(text: Text, versions: Versions, profile: HandProfile) -> Subject | None:
    """The solo to compare; an empty one where there is no file, None where it is no text."""
    if isinstance(text, Unread):
        return None
    return subject_of(text or from_text("", versions.path), profile)


def _unreadable(text: Text, subject: Subject | None, is_old: bool) -> str:
    """Why a side cannot be compared as music, empty where it can: lines within bars may be missing, in the older one
    those of its header too."""
    if isinstance(text, Unread):
        return text.error.message
    if subject is not None and not subject.reading.lost_bars and (is_old or _has_its_header(subject)):
        return ""
    if subject is not None and subject.reading.unreadable:
        line, _ = subject.source.locate(subject.reading.unreadable[0].start)
        return f"line {line} cannot be read as music"
    return ""


def _has_its_header(subject: Subject) -> bool:
    """Whether every line before the first bar can be read."""
    first = min((bar.span.start for bar in subject.solo.bars), default=len(subject.source.text))
    return all(span.start > first for span in subject.reading.unreadable)


def _unread_lines(subject: Subject) -> Iterator[tuple[int, str]]:
    """The lines of a version that could not be read, with their numbers."""
    for span in sorted(subject.reading.unreadable):
        yield subject.source.locate(span.start)[0], subject.source.text[span.start : span.end].strip()


def _said(sides: Sequence[Subject | None], found: tuple[list[Problem], list[Problem]]) -> Consequences:
    """What a lint says of two sides that cannot be compared; nothing where one is no text at all."""
    before, after = sides
    if before is None or after is None:
        return Consequences()
    read = frozenset(bar.number for bar in after.timeline.bars) - after.unclear_bars
    return findings_compared((before.source, after.source), found, read)


def _findings(subject: Subject | None, text: Text, lesson: Text) -> list[Problem]:
    if subject is None or text is None:
        return []
    return conclude([examine(subject, _as_text(lesson), ALL_CHECKS)])


def _as_text(text: Text) -> SourceText | None:
    return text if isinstance(text, SourceText) else None


def _difference(old: Text, new: Text) -> Iterator[str]:
    """How two texts differ, line by line; nothing where neither is text."""
    before, after = (text.text.splitlines() if isinstance(text, SourceText) else [] for text in (old, new))
    yield from unified_diff(before, after, "before", "after", lineterm="", n=1)


# ---- two files


def change_of_files(old: Path, new: Path, shown: str, profile: HandProfile) -> FileChange:
    """Two files, each with the lesson beside it; where only one has a lesson, it is held against both."""
    old_lesson, new_lesson = (_lesson_beside(path) for path in (old, new))
    lessons = old_lesson or new_lesson, new_lesson or old_lesson
    names = shown or shown_name(old), shown or shown_name(new)
    return change_of(Versions(*names, _file(old), _file(new), *lessons), profile)


def _file(path: Path) -> Text:
    return None if str(path) == os.devnull else next(read_all([path]))


def _lesson_beside(path: Path) -> Text:
    lesson = path.with_suffix(LESSON_SUFFIX)
    return next(read_all([lesson])) if path.suffix == SUFFIX and lesson.is_file() else None


# ---- a repository


def changes_of_repository(
    repository: Repository, old: str | None, new: str | None, paths: Sequence[str], profile: HandProfile
) -> list[FileChange]:
    """Every solo that changed, or whose lesson did, between two commits; `new` None is the working tree.

    Of `paths`, from the top of the repository, it is enough that a file has been or is now there. Places of other
    lessons that lead to what changed are among the consequences.
    """
    changed = repository.changed(old, new)
    pairs = [pair for pair in _solos(changed) if _is_among(pair, paths)]
    files = list(_changes(repository, old, new, pairs, profile))
    slugs = {Path(file.old_path).stem: file for file in files if file.status not in ("new", "same")}
    found = references_to(repository, new, slugs)
    unchanged = {one.path for one in found} - {name for pair in changed for name in pair}
    return [_with_references(file, found, unchanged) for file in files]


def _with_references(file: FileChange, found: Sequence[Reference], unchanged: Container[str]) -> FileChange:
    if file.status in ("new", "same"):
        return file
    name = None if file.status == "gone" else Path(file.path).stem
    references = tuple(touched(found, Path(file.old_path).stem, file.comparison, name, unchanged))
    return replace(file, consequences=replace(file.consequences, references=references))


def _changes(
    repository: Repository, old: str | None, new: str | None, pairs: Sequence[FilePair], profile: HandProfile
) -> Iterator[FileChange]:
    before = repository.contents(old, _with_lessons(pair.old for pair in pairs)) if old else {}
    if new is not None:
        after = repository.contents(new, _with_lessons(pair.new for pair in pairs))
    for pair in pairs:
        was = [_text(before.get(name), name) for name in _with_lesson(pair.old)]
        if new is None:
            now = [_text_on_disk(repository.top, name) for name in _with_lesson(pair.new)]
        else:
            now = [_text(after.get(name), name) for name in _with_lesson(pair.new)]
        old_name, new_name = (shown_name(Path(one)) for one in (pair.old or pair.name, pair.name))
        if was != now:
            change = change_of(Versions(old_name, new_name, was[0], now[0], was[1], now[1]), profile)
            yield replace(change, is_renamed=PurePosixPath(old_name).stem != PurePosixPath(new_name).stem)


def _solos(pairs: Iterable[FilePair]) -> list[FilePair]:
    """The solos among changed files, and those whose lesson alone changed."""
    solos = {}
    lessons = []
    for pair in pairs:
        name = pair.name
        if name.endswith(SUFFIX):
            solos[name] = pair
        elif name.endswith(LESSON_SUFFIX):
            lessons.append(name)
    for name in lessons:
        solo = name.removesuffix(LESSON_SUFFIX) + SUFFIX
        solos.setdefault(solo, FilePair(solo, solo))
    return [solos[name] for name in sorted(solos)]


def _is_among(pair: FilePair, paths: Sequence[str]) -> bool:
    names = [PurePosixPath(name) for name in pair if name]
    names += [name.with_suffix(LESSON_SUFFIX) for name in names]
    return not paths or any(name.is_relative_to(path) for name in names for path in paths)


def _with_lessons(solos: Iterable[str | None]) -> list[str]:
    return [name for solo in solos for name in _with_lesson(solo) if name]


def _with_lesson(solo: str | None) -> tuple[str, str]:
    """The names of a solo and of its lesson; empty where the solo is not there."""
    return (solo, lesson_path(solo)) if solo else ("", "")


def _text(content: Content | None, name: str) -> Text:
    if content is None:
        return None
    shown = shown_name(Path(name))
    return Unread(shown, content) if isinstance(content, SourceError) else read_bytes(content, shown)


def _text_on_disk(top: Path, name: str) -> Text:
    if not name or not (top / name).is_file() or (top / name).is_symlink():
        return None
    (found,) = read_all([top / name])
    shown = shown_name(Path(name))
    return replace(found, path=shown)
