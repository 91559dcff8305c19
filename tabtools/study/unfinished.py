"""What solos leave open and how far they are, of one or of a whole collection."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tabtools.cache.results import KEEPING_NOTHING, Keeping
from tabtools.notation.build import read_solo
from tabtools.parallel import spread
from tabtools.source import SourceText
from tabtools.study.open_things import OpenThing, open_things
from tabtools.study.progress import Progress, progress_of
from tabtools.timeline import timeline_of

FEWEST_FOR_WORKERS = 40
"""From so many solos on, starting other processes pays."""


@dataclass(frozen=True, slots=True)
class Unfinished:
    """What a solo leaves open, and how far it is."""

    path: str
    title: str
    is_draft: bool
    progress: Progress
    things: tuple[OpenThing, ...]


SoloAndLesson = tuple[SourceText, SourceText | None]
"""The text of a solo, and that of the lesson beside it."""


def unfinished(solo: SourceText, lesson: SourceText | None = None) -> Unfinished:
    """What a solo and the lesson beside it leave open."""
    timeline = timeline_of(read_solo(solo).solo)
    header = timeline.solo.header
    return Unfinished(solo.path, header.title, header.draft, progress_of(timeline, lesson), open_things(timeline))


def all_unfinished(texts: Sequence[SoloAndLesson], keeping: Keeping = KEEPING_NOTHING) -> list[Unfinished]:
    """The same of many solos, in their order, over all cores; what `keeping` knows is not worked out again."""
    keys = [keeping.key("unfinished", *map(repr, both)) for both in texts]
    known = keeping.known(keys, Unfinished)
    missing = {key: both for key, both in zip(keys, texts, strict=True) if key not in known}
    with spread(_unfinished, list(missing.values()), FEWEST_FOR_WORKERS) as made:
        fresh = dict(zip(missing, made, strict=True))
    keeping.keep(fresh)
    return [fresh.get(key) or known[key] for key in keys]


def _unfinished(both: SoloAndLesson) -> Unfinished:
    return unfinished(*both)
