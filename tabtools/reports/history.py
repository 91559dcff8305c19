"""The history of a whole collection as it is told: the corrections of each solo, and the latest of all.

Everything told of a correction is made from its texts alone (`corrected`), so it can be kept by their names in git.
Only what is shown is worked out, all that is missing in one go.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from hashlib import sha1, sha256
from typing import NamedTuple

from tabtools.cache.results import KEEPING_NOTHING, Keeping
from tabtools.parallel import spread
from tabtools.reports.commit_summary import Corrected, corrected, unknown
from tabtools.review.git_log import Commit
from tabtools.review.repository_log import RepositoryLog, Touch

MOST_OF_ONE = 20
MOST_RECENT = 50
FEWEST_FOR_WORKERS = 24
"""From so many corrections on, starting other processes pays."""

_KIND = "corrected"
_TEXTS_AT_ONCE = 2_000

TextsOf = Mapping[str, Callable[[], str]]
"""Solos by their names from the top of the repository; each reads its text as it stands."""


class ToldCorrection(NamedTuple):
    """A commit that changed the music of a solo.

    `path` is the solo's name now. `told` is None where the solo is new. `bars` are the numbers, as they are now, of
    the bars it changed; those that are gone are missing.
    """

    path: str
    commit: Commit
    told: Corrected | None
    bars: tuple[int, ...] = ()

    @property
    def is_new(self) -> bool:
        return self.told is None


@dataclass(frozen=True)
class CollectionHistory:
    """What is told of each solo by its name, and of all of them, new ones left out; the latest first."""

    of_solos: Mapping[str, Sequence[ToldCorrection]] = field(default_factory=dict)
    recent: Sequence[ToldCorrection] = ()


def collection_history_of(log: RepositoryLog, texts: TextsOf, keeping: Keeping = KEEPING_NOTHING) -> CollectionHistory:
    """What the log tells of these solos. Never fails."""
    touches = {path: some for path, some in log.by_path().items() if path in texts}
    teller = _HistoryTeller(log, keeping)
    shown = _shown(log, touches, teller)
    of_solos = {path: list(_of_solo(path, some, texts[path], teller)) for path, some in shown.items()}
    by_touch = {(path, one.commit.name): one for path, some in of_solos.items() for one in some}
    found = (by_touch.get((path, touch.commit.name)) for path, touch in log.touches)
    recent = [one for one in found if one is not None and not one.is_new]
    return CollectionHistory({path: some[:MOST_OF_ONE] for path, some in of_solos.items()}, tuple(recent[:MOST_RECENT]))


def _shown(
    log: RepositoryLog, touches: Mapping[str, Sequence[Touch]], teller: _HistoryTeller
) -> dict[str, Sequence[Touch]]:
    """The touches of each solo that have to be told, so that enough of them changed the music."""
    places = {path: {touch: at for at, touch in enumerate(some)} for path, some in touches.items()}
    corrections = [(path, touch) for path, touch in log.touches if path in touches and touch.olds]
    most = {path: min(MOST_OF_ONE, len(some)) for path, some in touches.items()}
    latest = MOST_RECENT
    while True:
        for path, touch in corrections[:latest]:
            most[path] = max(most[path], places[path][touch] + 1)
        teller.tell(touch for path, some in touches.items() for touch in some[: most[path]] if touch.olds)
        short = {path for path, some in touches.items() if most[path] < len(some)}
        short = {path for path in short if sum(map(teller.is_music, touches[path][: most[path]])) < MOST_OF_ONE}
        is_short = sum(teller.is_music(touch) for _, touch in corrections[:latest]) < MOST_RECENT
        if not short and (not is_short or latest >= len(corrections)):
            return {path: some[: most[path]] for path, some in touches.items()}
        most |= {path: min(most[path] + MOST_OF_ONE, len(touches[path])) for path in short}
        latest += MOST_RECENT if is_short else 0


class _HistoryTeller:
    """What is told of corrections, by the names of their texts."""

    def __init__(self, log: RepositoryLog, keeping: Keeping):
        self._log = log
        self._keeping = keeping
        self._told: dict[tuple[tuple[str, ...], str], Corrected] = {}

    def tell(self, touches: Iterable[Touch]) -> None:
        """Work out what is not known yet, all together."""
        wanted = dict.fromkeys((touch.olds, touch.new) for touch in touches)
        keys = {one: self._key(*one) for one in wanted if one not in self._told}
        kept = self._keeping.known(keys.values(), Corrected)
        self._told.update({one: kept[key] for one, key in keys.items() if key in kept})
        missing = [one for one in keys if one not in self._told]
        for start in range(0, len(missing), _TEXTS_AT_ONCE):
            some = missing[start : start + _TEXTS_AT_ONCE]
            texts = self._log.texts(blob for olds, new in some for blob in (*olds, new))
            whole = [one for one in some if texts.keys() >= {*one[0], one[1]}]
            tasks = [(tuple(texts[old] for old in olds), texts[new]) for olds, new in whole]
            self._told.update({one: unknown(len(one[0])) for one in some})
            with spread(_corrected, tasks, FEWEST_FOR_WORKERS) as made:
                self._told.update(zip(whole, made, strict=True))
        self._keeping.keep({keys[one]: self._told[one] for one in missing if self._told[one].is_known})

    def _key(self, olds: Sequence[str], new: str) -> bytes:
        return self._keeping.key(_KIND, *olds, new)

    def told(self, touch: Touch) -> Corrected | None:
        return self._told.get((touch.olds, touch.new)) if touch.olds else None

    def is_music(self, touch: Touch) -> bool:
        """Whether there is something to tell of it."""
        told = self.told(touch)
        return told is None or bool(told.summary) or not told.is_readable

    def until_now(self, blob: str, text: str) -> Corrected:
        """From a text in git to one that may not be committed."""
        key = self._keeping.key(_KIND, blob, "now", text)
        kept = self._keeping.known([key], Corrected)
        if key in kept:
            return kept[key]
        texts = self._log.texts([blob])
        if blob not in texts:
            return unknown(1)
        made = corrected((texts[blob],), text)
        self._keeping.keep({key: made})
        return made


def _corrected(task: tuple[tuple[str | None, ...], str | None]) -> Corrected:
    return corrected(*task)


def _of_solo(
    path: str, touches: Sequence[Touch], now: Callable[[], str], teller: _HistoryTeller
) -> Iterator[ToldCorrection]:
    """What is told of one solo, its bars numbered as they are now; what was picked into another branch only once."""
    numbers: dict[str, Mapping[int, int] | None] = {}
    text = now() if any(touch.olds for touch in touches) else ""
    known: set[tuple[object, ...]] = set()
    for touch in touches:
        told = teller.told(touch)
        if told is not None and touch.new not in numbers:
            is_now = _is_blob(touch.new, text)
            numbers[touch.new] = None if is_now else dict(teller.until_now(touch.new, text).numbers[0])
        same = touch.commit.author, touch.commit.date, touch.commit.subject, told and (told.summary, told.details)
        if teller.is_music(touch) and same not in known:
            known.add(same)
            yield ToldCorrection(
                path, touch.commit, told, tuple(_through(told.bars, numbers[touch.new])) if told else ()
            )
        for old, pairs in zip(touch.olds, told.numbers if told else (), strict=True):
            if pairs and old not in numbers:
                after = numbers[touch.new]
                numbers[old] = {first: bar for first, then in pairs for bar in _through([then], after)}


def _through(bars: Iterable[int], numbers: Mapping[int, int] | None) -> Iterator[int]:
    """Bar numbers under other numbers, without those that are gone; None leaves them as they are."""
    return (bar if numbers is None else numbers[bar] for bar in bars if numbers is None or bar in numbers)


def _is_blob(name: str, text: str) -> bool:
    """Whether a text is that of a blob, by the blob's name: `gitformat-pack(5)`, “Object types”."""
    data = text.encode("utf-8")
    whole = b"blob %d\x00%b" % (len(data), data)
    made = sha1(whole, usedforsecurity=False) if len(name) == 40 else sha256(whole)
    return made.hexdigest() == name
