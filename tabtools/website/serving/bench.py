"""Solos as they lie on the bench: every one has a page, whatever is wrong with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tabtools.cache.results import Keeping
from tabtools.checks import BY_NAME
from tabtools.files import Unread, lesson_path
from tabtools.hand import HandProfile
from tabtools.linting import Linted
from tabtools.problem import Problem
from tabtools.reports.problems import summary
from tabtools.source import SourceText, Span
from tabtools.website.collection import is_taken, material_of
from tabtools.website.page_build import Material, PageSetting, Prepared, prepare_all
from tabtools.website.serving.last_good import drawn


@dataclass(frozen=True)
class OnTheBench:
    """What is said of a solo: its problems and those of its lesson, and the texts that they point into, by path.

    `kept` are the numbers of bars that are drawn as they were, `has_old_lesson` says that the lesson is.
    """

    problems: tuple[Problem, ...] = ()
    sources: tuple[SourceText, ...] = ()
    kept: tuple[str, ...] = ()
    has_old_lesson: bool = False


class Bench:
    """What is wrong with each solo, by slug, and what was last drawn: its text, its lesson."""

    def __init__(self) -> None:
        self.said: dict[str, OnTheBench] = {}
        self._texts: dict[str, SourceText] = {}
        self._lessons: dict[str, SourceText] = {}

    def summary(self) -> str:
        """One line on all solos."""
        return summary([problem for one in self.said.values() for problem in one.problems], len(self.said))

    def forget(self, slug: str) -> None:
        """Let go of a solo that is gone."""
        for known in (self.said, self._texts, self._lessons):
            known.pop(slug, None)

    def prepare(
        self, folder: Path, found: Sequence[SourceText | Unread], linted: Linted, setting: PageSetting, keeping: Keeping
    ) -> list[Prepared]:
        """These solos made ready, with the last good lesson where one cannot be rendered, or none."""
        by_path: dict[str, list[Problem]] = {}
        for problem in linted.problems:
            by_path.setdefault(problem.path, []).append(problem)
        sources = {source.path: source for source in linted.sources}
        materials: dict[str, Material] = {}
        for one in found:
            path, slug = Path(one.path), Path(one.path).stem
            if is_taken(path) or not path.exists():
                continue
            own = (one.path, lesson_path(one.path))
            self.said[slug] = OnTheBench(
                tuple(problem for name in own for problem in by_path.get(name, ())),
                tuple(sources[name] for name in own if name in sources),
            )
            materials[slug] = self._material(one, slug, linted, setting.profile)
        solos = {one.slug: one for one in prepare_all(list(materials.values()), setting, keeping)}
        faulty = [self._with_other_lesson(materials[slug], one.fault) for slug, one in solos.items() if one.fault]
        solos |= {one.slug: one for one in prepare_all(faulty, setting, keeping)}
        for slug in solos.keys() - {one.slug for one in faulty}:
            lesson = materials[slug].lesson
            if lesson is None:
                self._lessons.pop(slug, None)
            else:
                self._lessons[slug] = lesson
        return list(solos.values())

    def _material(self, one: SourceText | Unread, slug: str, linted: Linted, profile: HandProfile) -> Material:
        """What to draw: what can be read, and what was there last of what cannot."""
        good = self._texts.get(slug)
        if isinstance(one, SourceText):
            text, kept = drawn(one, good, profile)
            self._texts[slug] = text
            self.said[slug] = replace(self.said[slug], kept=kept)
            material = material_of(one, linted)._replace(solo=text)
        else:
            material = Material(slug, good or SourceText(one.path, f"title: {slug}\n"), linted.lessons.get(one.path))
        if material.lesson is None and Path(lesson_path(one.path)).exists():
            return self._with_old_lesson(material)
        return material

    def _with_old_lesson(self, material: Material) -> Material:
        good = self._lessons.get(material.slug)
        if good == material.lesson:
            good = None
        self.said[material.slug] = replace(self.said[material.slug], has_old_lesson=good is not None)
        return material._replace(lesson=good)

    def _with_other_lesson(self, material: Material, fault: str) -> Material:
        said = self.said[material.slug]
        assert material.lesson is not None
        check = BY_NAME["unreadable-file"]
        why = Problem(check.NAME, check.SEVERITY, material.lesson.path, Span(0, 0), fault)
        self.said[material.slug] = replace(said, problems=(*said.problems, why))
        return self._with_old_lesson(material)
