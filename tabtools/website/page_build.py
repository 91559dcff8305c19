"""Solos made ready for a site, each by itself: all that depends on its text, the lesson beside it and the settings.

What is ready is kept by content, so that a site is built again without studying and drawing again what did not change;
what is missing is made over all cores.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from tabtools.cache.records import packed, unpacked
from tabtools.cache.results import Keeping
from tabtools.checks.subject import subject_of
from tabtools.hand import HandProfile
from tabtools.harmony.degrees import DegreeStyle
from tabtools.model.solo import Header
from tabtools.parallel import spread
from tabtools.problem import Problem
from tabtools.source import SourceText
from tabtools.study import study_of
from tabtools.study.telling import sort_of
from tabtools.website.facets import Facets, facets_of
from tabtools.website.links import Links
from tabtools.website.solo_page.correction_form import Written, written_bars
from tabtools.website.solo_page.footer import downloads_of
from tabtools.website.solo_page.lesson import LessonError, solos_mentioned
from tabtools.website.solo_page.page import SoloPage, described, solo_page

FEWEST_FOR_WORKERS = 12
"""From so many solos on, starting other processes pays."""


class Material(NamedTuple):
    """What a page is made from: its slug, the solo, its lesson, and the problems that a draft lists."""

    slug: str
    solo: SourceText
    lesson: SourceText | None
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class Sheet:
    """The large parts: the text, the page, its files by name, and where its bars stand in the text."""

    source: SourceText
    page: SoloPage
    downloads: dict[str, bytes]
    written: Written


@dataclass(frozen=True)
class Prepared:
    """A solo made ready. `fault` says why there is no page; else `open` unpacks the large parts.

    `sorts` are the sorts of devices that it has.
    """

    slug: str
    path: str
    title: str
    description: str
    header: Header
    facets: Facets
    sorts: frozenset[str] = frozenset()
    packed: bytes = b""
    fault: str = ""

    def open(self) -> Sheet:
        """The large parts."""
        sheet = unpacked(self.packed)
        assert isinstance(sheet, Sheet)
        return sheet


@dataclass(frozen=True)
class PageSetting:
    """What pages are told of the site: how degrees are written, whose hands play, the links to its solos, and whether
    a staff is shown over the tab before a reader chooses."""

    style: DegreeStyle
    profile: HandProfile
    links: Links
    shows_staff: bool = False

    def knowing(self, solos: frozenset[str]) -> PageSetting:
        """The same with no other solos than these."""
        return replace(self, links=replace(self.links, solos=solos))


def prepare_all(materials: Sequence[Material], setting: PageSetting, keeping: Keeping) -> list[Prepared]:
    """All of these solos made ready, in their order."""
    tasks = [(one, setting.knowing(_mentioned(one) & setting.links.solos)) for one in materials]
    keys = [_key(*task, keeping) for task in tasks]
    known = keeping.known(keys, Prepared)
    missing = {key: task for key, task in zip(keys, tasks, strict=True) if key not in known}
    with spread(_prepare, list(missing.values()), FEWEST_FOR_WORKERS) as made:
        fresh = dict(zip(missing, made, strict=True))
    keeping.keep(fresh)
    return [fresh.get(key) or known[key] for key in keys]


def _mentioned(one: Material) -> frozenset[str]:
    return solos_mentioned(one.lesson.text) if one.lesson else frozenset()


def _key(one: Material, setting: PageSetting, keeping: Keeping) -> bytes:
    lesson = (repr(one.lesson),) if one.lesson else ()
    told = repr(setting.knowing(frozenset())), *sorted(setting.links.solos)
    return keeping.key("page", one.slug, repr(one.solo), repr(one.problems), " ".join(told), *lesson)


def _prepare(task: tuple[Material, PageSetting]) -> Prepared:
    material, setting = task
    slug, subject = material.slug, subject_of(material.solo, setting.profile)
    header = subject.solo.header
    study = study_of(subject.timeline, setting.style, subject.hand)
    facets = facets_of(slug, subject, study)
    sorts = frozenset(map(sort_of, study.devices))
    ready = Prepared(slug, material.solo.path, header.title or slug, described(slug, header), header, facets, sorts)
    try:
        page = solo_page(
            slug,
            subject,
            material.lesson,
            material.problems,
            setting.links,
            setting.style,
            study,
            shows_staff=setting.shows_staff,
        )
    except LessonError as fault:
        return replace(ready, fault=str(fault))
    sheet = Sheet(material.solo, page, downloads_of(slug, subject), written_bars(material.solo, subject.timeline))
    return replace(ready, packed=packed(sheet))
