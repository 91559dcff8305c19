"""What the notes do: the devices of a solo with their places, and its statistics, as text and small plots."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape
from itertools import groupby

from tabtools.engraving.metrics import with_accidentals
from tabtools.model.pitch import pitch_name
from tabtools.study import Device, Statistics
from tabtools.website.links import Links, runs

MOST_ROWS = 12
ROW, BAR, NAME = 20, 140, 136


def devices_html(devices: Sequence[Device], links: Links) -> str:
    """The devices by kind, each sentence with its place."""
    ordered = sorted(devices, key=lambda device: device.kind)
    parts = []
    for kind, group in groupby(ordered, key=lambda device: device.kind):
        own = sorted(group, key=lambda device: device.notes)
        rows = "".join(_device(device, links) for device in own)
        parts.append(f"<details><summary>{escape(kind.capitalize())}: {len(own)}</summary><ul>{rows}</ul></details>")
    found = "".join(parts) or "<p>No device was found.</p>"
    return f'<section class="tt-devices" aria-labelledby="devices"><h2 id="devices">Devices</h2>{found}</section>'


def _device(device: Device, links: Links) -> str:
    said = escape(device.sentence[:1].upper() + device.sentence[1:]).rstrip(".")
    return f'<li data-notes="{runs(device.notes)}">{said}. {links.place(device.range)}</li>'


def statistics_html(found: Statistics) -> str:
    """The statistics of a solo, or of several."""
    if not found.notes:
        return ""
    degrees = "".join(
        bars_plot(f"Degrees over {chord_words(kind)}", {with_accidentals(name): one for name, one in own.items()})
        for kind, own in sorted(found.degrees.items(), key=lambda entry: (-sum(entry[1].values()), entry[0]))
    )
    counts = {f"{key}": count for key, count in sorted(found.density.items())}
    plots = (
        degrees
        + bars_plot("What the notes do", found.roles)
        + bars_plot("Scales of the phrases", {with_accidentals(name): one for name, one in found.scales.items()})
        + bars_plot("Techniques", found.techniques)
        + bars_plot("Strokes on a count", counts, is_ordered=True)
        + bars_plot("Positions, by fret", {f"{key}": one for key, one in sorted(found.positions.items())}, True)
        + bars_plot("Strings", {f"{key}": one for key, one in sorted(found.strings.items())}, True)
    )
    return (
        '<section class="tt-statistics" aria-labelledby="statistics"><h2 id="statistics">In figures</h2>'
        f'{_summary(found)}<div class="tt-plots">{plots}</div></section>'
    )


def chord_words(kind: str) -> str:
    """A chord type as readers say it: `m7 chords`, `no chord`."""
    return kind if kind == "no chord" else f"{with_accidentals(kind)} chords"


def _summary(found: Statistics) -> str:
    facts = [
        ("Notes", f"{found.notes} in {found.strokes} strokes"),
        ("Fullest bar", f"{found.fastest:.1f} strokes a second"),
    ]
    if found.lowest is not None and found.highest is not None:
        low, high = (with_accidentals(pitch_name(midi)) for midi in (found.lowest, found.highest))
        facts.append(("Range", f"{low} to {high}"))
    if found.strong_share is not None:
        weak = "" if found.weak_share is None else f", {100 * found.weak_share:.0f} % elsewhere"
        facts.append(("Chord tones", f"{100 * found.strong_share:.0f} % of the notes on strong beats{weak}"))
    if found.dead:
        facts.append(("Dead notes", f"{found.dead}"))
    if found.uncertain:
        facts.append(("Uncertain", f"{found.uncertain}"))
    rows = "".join(f"<div><dt>{name}</dt><dd>{escape(said)}</dd></div>" for name, said in facts)
    return f'<dl class="tt-measured">{rows}</dl>'


def bars_plot(title: str, counts: Mapping[str, int], is_ordered: bool = False) -> str:
    """Counts as lying bars, the longest first unless their order counts; its figures are text."""
    entries: Iterable[tuple[str, int]] = counts.items()
    if not is_ordered:
        entries = sorted(entries, key=lambda entry: (-entry[1], entry[0]))
    shown = [entry for entry in entries if entry[1]][: None if is_ordered else MOST_ROWS]
    if not shown:
        return ""
    total, most = sum(counts.values()), max(count for _, count in shown)
    rows = []
    for place, (name, count) in enumerate(shown):
        y = ROW * place
        rows.append(
            f'<text class="tt-bar-name" x="{NAME - 6}" y="{y + 14}">{escape(name)}</text>'
            f'<rect x="{NAME}" y="{y + 4}" width="{max(1.0, BAR * count / most):.1f}" height="12"/>'
            f'<text class="tt-bar-count" x="{NAME + BAR * count / most + 5:.1f}" y="{y + 14}">{count}</text>'
        )
    said = escape(f"{title}: " + ", ".join(f"{name} {count} of {total}" for name, count in shown))
    width, height = NAME + BAR + 45, ROW * len(shown) + 2
    return (
        f'<figure class="tt-counts"><figcaption>{escape(title)}</figcaption>'
        f'<svg viewBox="0 0 {width} {height}" width="{width}" height="{height}" role="img" aria-label="{said}">'
        f"{''.join(rows)}</svg></figure>"
    )
