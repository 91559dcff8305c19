"""What the notes do: the devices of a solo with their places, and its statistics, as text and small plots."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from markupsafe import Markup

from tabtools.engraving.metrics import with_accidentals
from tabtools.hand.position import roman
from tabtools.model.solo import Address, AddressRange
from tabtools.study import Statistics, Study
from tabtools.study.telling import Statement, sort_of, statements, told_first
from tabtools.website.links import Links, loop_link, runs
from tabtools.website.markup import html

MOST_ROWS = 12
ROW, BAR, NAME = 20, 140, 136


@dataclass(frozen=True, slots=True)
class DeviceRow:
    """A statement as its page tells it: its kind, its sort, its worth in bits, its rank in its solo, and its row."""

    kind: str
    sort: str
    worth: float
    rank: int
    row: Markup


@dataclass(frozen=True, slots=True)
class StudySections:
    """What a page says of its solo after the lesson. Of the devices, in order, `most` are told at once."""

    before: Markup
    devices: tuple[DeviceRow, ...]
    most: int
    after: Markup

    def html(self, rarity: Mapping[str, int] | None = None) -> Markup:
        """All of it, in the order that a collection asks for in which these sorts of devices are rare."""
        return self.before + devices_html(self.devices, self.most, rarity or {}) + self.after


def device_rows(study: Study, links: Links) -> tuple[DeviceRow, ...]:
    """The rows of all that devices say of a solo, in the order they are played; what several say alike is one row."""
    return tuple(
        DeviceRow(one.first.kind, sort_of(one.first), one.worth, one.rank, _statement(one, links))
        for one in statements(study.weighed)
    )


def devices_html(devices: Sequence[DeviceRow], most: int, rarity: Mapping[str, int]) -> Markup:
    """What is most worth telling, in the order it is played; below, folded by kind, the rest."""
    first = told_first([(device.sort, device.worth, device.rank) for device in devices], most, rarity)
    telling = [device.row for device in devices if device.rank in first]
    rest = [device for device in devices if device.rank not in first]
    parts = []
    if telling:
        parts.append(html("<ul>{rows}</ul>", rows=Markup().join(telling)))
    for kind, group in groupby(sorted(rest, key=lambda device: device.kind), key=lambda device: device.kind):
        rows = [device.row for device in group]
        parts.append(
            html(
                "<details><summary>{capitalize}: {own}</summary><ul>{rows}</ul></details>",
                capitalize=kind.capitalize(),
                own=len(rows),
                rows=Markup().join(rows),
            )
        )
    found = Markup().join(parts) or Markup("<p>No device was found.</p>")
    return html(
        '<section class="tt-devices" aria-labelledby="devices"><h2 id="devices">What the phrases do</h2>'
        "{found}</section>",
        found=found,
    )


def _statement(statement: Statement, links: Links) -> Markup:
    sentence = statement.first.sentence
    places = Markup(" ").join(
        html("{place} {loop}", place=links.place(device.range), loop=loop_link(device.range))
        for device in statement.devices
    )
    return html(
        '<li data-notes="{runs}">{said}. {places}</li>',
        runs=runs(sorted({note for device in statement.devices for note in device.notes})),
        said=_with_places(with_accidentals(sentence[:1].upper() + sentence[1:]).rstrip("."), links),
        places=places,
    )


_STRETCH = re.compile(r"(?<= as in )([0-9]+)\.([0-9]+)(?:\.([0-9]+))?(?:-([0-9]+)\.([0-9]+)(?:\.([0-9]+))?)?\b")


def _with_places(said: str, links: Links) -> Markup:
    """A sentence whose addresses are links in words: `as in 1.1-1.5` leads to bar 1, counts 1–5."""
    parts, at = [], 0
    for match in _STRETCH.finditer(said):
        numbers = [None if one is None else int(one) for one in match.groups()]
        first = Address(numbers[0] or 0, *numbers[1:3])
        last = first if numbers[4] is None else Address(numbers[3] or 0, *numbers[4:])
        parts += [Markup.escape(said[at : match.start()]), links.place(AddressRange(first, last))]
        at = match.end()
    return Markup().join([*parts, Markup.escape(said[at:])])


def statistics_html(found: Statistics) -> Markup:
    """The statistics of a solo, or of several."""
    if not found.notes:
        return Markup()
    degrees = Markup().join(
        bars_plot(f"Degrees over {chord_words(kind)}", {with_accidentals(name): one for name, one in own.items()})
        for kind, own in sorted(found.degrees.items(), key=lambda entry: (-sum(entry[1].values()), entry[0]))
    )
    counts = {f"{key}": count for key, count in sorted(found.density.items())}
    plots = (
        degrees
        + bars_plot("What the notes do", found.roles)
        + bars_plot("Scales of the phrases", {with_accidentals(name): one for name, one in found.told_scales.items()})
        + bars_plot("Techniques", found.techniques)
        + bars_plot("Counts with so many strokes", counts, is_ordered=True)
        + bars_plot("Positions", {roman(key): one for key, one in sorted(found.positions.items())}, True)
        + bars_plot("Strings", {f"{key}": one for key, one in sorted(found.strings.items())}, True)
    )
    return html(
        '<section class="tt-statistics" aria-labelledby="statistics">'
        '<h2 id="statistics">In figures</h2>'
        '{summary}<div class="tt-plots">{plots}</div></section>',
        summary=_summary(found),
        plots=plots,
    )


def chord_words(kind: str) -> str:
    """A chord type as readers say it: `m7 chords`, `no chord`."""
    return kind if kind == "no chord" else f"{with_accidentals(kind)} chords"


def _summary(found: Statistics) -> Markup:
    facts = [
        ("Notes", f"{found.notes} in {found.strokes} strokes"),
        ("Fullest bar", f"{found.fastest:.1f} strokes a second"),
    ]
    if found.lowest is not None and found.highest is not None:
        low, high = (with_accidentals(one.name) for one in (found.lowest, found.highest))
        facts.append(("Range", f"{low} to {high}"))
    if found.strong_share is not None:
        weak = "" if found.weak_share is None else f", {100 * found.weak_share:.0f} % elsewhere"
        facts.append(("Chord tones", f"{100 * found.strong_share:.0f} % of the notes on strong beats{weak}"))
    if found.dead:
        facts.append(("Dead notes", f"{found.dead}"))
    if found.uncertain:
        facts.append(("Notes without a certain role", f"{found.uncertain}"))
    rows = Markup().join(
        html("<div><dt>{name}</dt><dd>{said}</dd></div>", name=name, said=said) for name, said in facts
    )
    return html('<dl class="tt-measured">{rows}</dl>', rows=rows)


def bars_plot(title: str, counts: Mapping[str, int], is_ordered: bool = False) -> Markup:
    """Counts as lying bars, the longest first unless their order counts; its figures are text."""
    entries: Iterable[tuple[str, int]] = counts.items()
    if not is_ordered:
        entries = sorted(entries, key=lambda entry: (-entry[1], entry[0]))
    shown = [entry for entry in entries if entry[1]][: None if is_ordered else MOST_ROWS]
    if not shown:
        return Markup()
    total, most = sum(counts.values()), max(count for _, count in shown)
    rows = []
    for place, (name, count) in enumerate(shown):
        y = ROW * place
        rows.append(
            html(
                '<text class="tt-bar-name" x="{name}" y="{y}">{name_2}</text>'
                '<rect x="{name_3}" y="{y_2}" width="{max:.1f}" height="12"/>'
                '<text class="tt-bar-count" x="{name_4:.1f}" y="{y}">{count}</text>',
                name=NAME - 6,
                y=y + 14,
                name_2=name,
                name_3=NAME,
                y_2=y + 4,
                max=max(1.0, BAR * count / most),
                name_4=NAME + BAR * count / most + 5,
                count=count,
            )
        )
    said = f"{title}: " + ", ".join(f"{name} {count} of {total}" for name, count in shown)
    width, height = NAME + BAR + 45, ROW * len(shown) + 2
    return html(
        '<figure class="tt-counts"><figcaption>{title}</figcaption>'
        '<svg viewBox="0 0 {width} {height}" width="{width}" height="{height}" role="img" '
        'aria-label="{said}">'
        "{rows}</svg></figure>",
        title=title,
        width=width,
        height=height,
        said=said,
        rows=Markup().join(rows),
    )
