"""What a solo can be found by: the facts its row in the index carries, and the very bars of each of them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tabtools.checks.subject import Subject
from tabtools.hand import Hand
from tabtools.hand.demands import demands_of
from tabtools.model.solo import Header
from tabtools.search.collection import Excerpts, Searched
from tabtools.search.columns import value_of
from tabtools.search.devices import devices_named
from tabtools.search.match import Stretch
from tabtools.search.reading import strokes_of
from tabtools.study import Study
from tabtools.study.devices.run import KINDS

MAJOR = "maj"
"""The name of a plain major triad, whose type is written with nothing."""
DEVICES = tuple(kind.replace(" ", "-") for kind in KINDS)
_SPELLED = {"#": "sharp", "/": "over", "(": "", ")": "", ",": "-", "+": "plus"}


@dataclass(frozen=True, slots=True)
class FacetPlace:
    """A stretch as readers see it: its words, the address a link leads to, its first and last bar, what is said of
    it."""

    words: str
    address: str
    bars: tuple[int, int]
    said: str = ""


@dataclass(frozen=True, slots=True)
class Facets:
    """A solo by its slug: its strokes and, for each technique, device and chord type, its places in order.

    `rate` is the most notes in any second, `reach` millimetres, `bend` semitones.
    """

    slug: str
    title: str
    header: Header
    searched: Searched
    techniques: dict[str, tuple[FacetPlace, ...]]
    devices: dict[str, tuple[FacetPlace, ...]]
    chords: dict[str, tuple[FacetPlace, ...]]
    rate: float
    reach: float
    bend: float


def facets_of(slug: str, subject: Subject, study: Study | None = None) -> Facets:
    """What a solo can be found by; `study` where it is at hand."""
    searched = Searched(subject.source.path, slug, strokes_of(subject, study))
    strokes = searched.strokes
    bars = [int(address.partition(".")[0]) for address in strokes.addresses.split(" ") if address]
    techniques: dict[str, list[int]] = {}
    chords: dict[str, list[int]] = {}
    for bar, play, chord in zip(bars, strokes.plays, strokes.chords, strict=True):
        for name in (value_of(strokes.play_table, play) or "").split():
            techniques.setdefault(name, []).append(bar)
        entry = value_of(strokes.chord_table, chord)
        if entry is not None:
            chords.setdefault(entry.split(" ")[2] or MAJOR, []).append(bar)
    rate, reach, bend = _demands(subject.hand)
    return Facets(
        slug,
        subject.solo.header.title or slug,
        subject.solo.header,
        searched,
        {name: tuple(_stretches(own)) for name, own in sorted(techniques.items())},
        _devices(searched),
        {name: tuple(_stretches(own)) for name, own in sorted(chords.items())},
        rate,
        reach,
        bend,
    )


def file_name(name: str) -> str:
    """A technique, device or chord type as the name of its page: `7sharp9` for `7#9`."""
    return re.sub(r"[^a-z0-9-]", "-", "".join(_SPELLED.get(sign, sign) for sign in name.lower())) or MAJOR


def _demands(hand: Hand) -> tuple[float, float, float]:
    demands = demands_of(hand)
    rate = max((rate.top for rate in demands.rates), default=0.0)
    return rate, demands.reach.mm if demands.reach else 0.0, demands.bend.semitones if demands.bend else 0.0


def _devices(searched: Searched) -> dict[str, tuple[FacetPlace, ...]]:
    found: dict[str, list[FacetPlace]] = {}
    addresses = searched.strokes.addresses.split(" ")
    for device in devices_named(searched.strokes, DEVICES):
        address = addresses[device.first]
        first, last = (int(addresses[at].partition(".")[0]) for at in (device.first, device.last))
        found.setdefault(device.name, []).append(
            FacetPlace(_words(first, last), address, (first, last), device.sentence)
        )
    return {name: tuple(places) for name, places in sorted(found.items())}


def _stretches(bars: list[int]) -> list[FacetPlace]:
    """Runs of bars as places."""
    runs: list[list[int]] = []
    for bar in sorted(set(bars)):
        if runs and bar == runs[-1][1] + 1:
            runs[-1][1] = bar
        else:
            runs.append([bar, bar])
    return [FacetPlace(_words(low, high), f"{low}", (low, high)) for low, high in runs]


def _words(first: int, last: int) -> str:
    return f"bar {first}" if first == last else f"bars {first}–{last}"


def excerpt(searched: Searched, stretch: Stretch) -> tuple[str, str]:
    """Where a stretch lies (`5.1.1-5.2.3`), and its strokes as the format writes them."""
    excerpts = Excerpts(searched.strokes)
    return excerpts.range(stretch), " ".join(excerpts.tab(stretch))
