"""One kind of chord spelled in different ways.

`A-7` here and `Am7` there, `Gmaj7` and `C△7`: the same chord to a player, but two to a reader who looks for it.
What stands behind the root is compared, over all roots and all solos; the spelling used less often is named, once
a solo. Where two are used as often, the one the tool itself writes wins.

Passes:

    bar 1  Am7@1 Dm7@3
    1-4  3:7

Fails:

    bar 1  Am7@1 Dm7@3
    1-4  3:7
    bar 2  A-7
    1-4  3:7
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple

from tabtools.checks.subject import Finding, Subject
from tabtools.harmony.chords import chord_type
from tabtools.model.solo import Address, Bar, ChordMark, Like, first_number
from tabtools.notation.chords import ChordError, read_chord
from tabtools.problem import Severity
from tabtools.wording import several

NAME = "chord-spelled-inconsistently"
SEVERITY = Severity.NOTE


class _Spelled(NamedTuple):
    """A symbol as its root, what stands behind it, its bass with the slash, and the kind of chord it is."""

    root: str
    quality: str
    bass: str
    kind: str


class _Used(NamedTuple):
    """A symbol of a solo: where it first stands, in which bar, and how often it is written."""

    mark: ChordMark
    bar: int
    times: int


def fact(subject: Subject) -> dict[str, _Used]:
    """The chord symbols of a solo."""
    used: dict[str, _Used] = {}
    for item in subject.solo.items:
        if isinstance(item, Bar | Like):
            bar = first_number(item)
            for mark in item.chords:
                before = used.get(mark.symbol, _Used(mark, bar, 0))
                used[mark.symbol] = before._replace(times=before.times + 1)
    return used


def check_collection(facts: Sequence[tuple[str, dict[str, _Used]]]) -> Iterator[tuple[str, Finding]]:
    """The first chord of each solo in a spelling that is not the usual one."""
    symbols: Counter[str] = Counter()
    for _, used in facts:
        symbols.update({symbol: one.times for symbol, one in used.items()})
    usual = _usual(symbols)
    if not usual:
        return
    for path, used in facts:
        named: set[str] = set()
        for symbol, first in used.items():
            spelled = _spelled(symbol)
            if spelled is None or spelled.kind not in usual or spelled.quality in named:
                continue
            quality, count = usual[spelled.kind]
            if spelled.quality != quality:
                named.add(spelled.quality)
                yield path, _finding(first.mark, first.bar, f"{spelled.root}{quality}{spelled.bass}", count)


def _usual(symbols: Counter[str]) -> dict[str, tuple[str, int]]:
    """Kinds of chord spelled in more than one way: the usual spelling and how often it is used."""
    kinds: dict[str, Counter[str]] = {}
    for symbol, count in symbols.items():
        if spelled := _spelled(symbol):
            kinds.setdefault(spelled.kind, Counter())[spelled.quality] += count
    usual: dict[str, tuple[str, int]] = {}
    for kind, qualities in kinds.items():
        if len(qualities) > 1:
            quality = max(qualities, key=lambda quality: (qualities[quality], quality == kind))
            usual[kind] = (quality, qualities[quality])
    return usual


@lru_cache(maxsize=4096)
def _spelled(symbol: str) -> _Spelled | None:
    try:
        chord = read_chord(symbol)
    except ChordError:
        return None
    if chord is None:
        return None
    above, slash, below = symbol.rpartition("/") if chord.bass else (symbol, "", "")
    root = above[: 2 if above[1:2] in ("b", "#", "♭", "♯") else 1]
    return _Spelled(root, above[len(root) :], slash + below, chord_type(chord))


def _finding(mark: ChordMark, bar: int, rewritten: str, count: int) -> Finding:
    message = f"{mark.symbol} is spelled otherwise than {several(count, 'chord')} of its kind: {rewritten}"
    address = Address(bar, mark.at.count) if mark.at and mark.at.bar is None else Address(bar)
    return Finding(mark.span, message, f"write {rewritten}, or spell the others like this one", address)
