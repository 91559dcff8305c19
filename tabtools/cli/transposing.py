"""transpose."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tabtools.cli.base import STDIN_NAME, main, with_settings
from tabtools.cli.exits import CLEAN, FINDINGS, StopError, Whole
from tabtools.cli.output import FORCE, check_free, write_new
from tabtools.cli.showing import laid_out, one_solo
from tabtools.settings import Settings
from tabtools.wording import several

if TYPE_CHECKING:
    from tabtools.model.solo import AddressRange, Fret, Note, Solo
    from tabtools.transposing.interval import Interval
    from tabtools.transposing.moving import Move
    from tabtools.transposing.other_way import OtherWay

MOST = 24


@main.command(statuses={CLEAN: "transposed", FINDINGS: "no hand can play it there, and nothing was written"})
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("stretch", metavar="[RANGE]", required=False)
@STDIN_NAME
@click.option("--to", "key", metavar="KEY", help="The new key, like “C minor”.")
@click.option(
    "--by", "semitones", type=Whole(-MOST, MOST), metavar="SEMITONES", help="Up, or down: --by -2; 24 at most."
)
@click.option(
    "--strings", type=Whole(-8, 8), default=0, metavar="N", help="Onto strings so many further down, or up: -1."
)
@click.option("--output", type=click.Path(path_type=Path), help="The new solo.  [default: standard output]")
@FORCE
@with_settings
def transpose(
    settings: Settings,
    file: Path,
    stretch: str | None,
    stdin_name: str,
    key: str | None,
    semitones: int | None,
    strings: int,
    output: Path | None,
    force: bool,
) -> None:
    """Write a solo, or a stretch of it, in another key or on other strings.

    Chords, key and the pitches noted go along, and so do frets: shapes stay
    as they are where the neck allows, barre chords open at the nut, grips
    that leave it are held on the strings beside, the rest is placed as by
    tabtools place. Degrees, roles and rhythm stay the same. What no hand
    can play there is named where it stands in FILE, and nothing is written
    then. RANGE is bars like 5 or 5-8, a stretch within
    them like 5.2-6.3, with rests around it, or the name of a passage; its
    bars are numbered from 1. The title says what was done; recording and
    times in it are left out, for nobody played it so.

    \b
    Example:
      tabtools transpose dusk.solo --to "C minor" --output dusk-in-c.solo
      tabtools transpose dusk.solo 5-8 --by -2
      tabtools transpose dusk.solo 5.2-6.3 --to "C minor"
      tabtools transpose dusk.solo --strings 1
    """
    from tabtools.notation.write import note_text
    from tabtools.timeline import timeline_of
    from tabtools.timeline.places import PlaceError
    from tabtools.transposing.excerpt import bars_before, stretch_alone
    from tabtools.transposing.moving import Move
    from tabtools.transposing.other_way import better_way, highest_fret
    from tabtools.transposing.transposed import TransposeError
    from tabtools.transposing.transposed import transpose as transposed_by

    if output is not None:
        check_free([output], force)
    source, timeline = one_solo(file, stdin_name, settings, is_whole=True)
    solo = timeline.solo
    try:
        part, earlier = "", 0
        if stretch is not None:
            part, named = _part(stretch, solo)
            solo = stretch_alone(timeline, named, part)
            timeline, earlier = timeline_of(solo), bars_before(named.first.bar)
        ways = []
        for interval in _intervals(solo, key, semitones, strings):
            move = Move(solo.header.instrument, interval, strings)
            origin = _origin(Path(source.path).name, part, move)
            ways.append((transposed_by(timeline, move, origin, settings.profile), move))
            if not ways[-1][0].unplayable:
                break
        found, move = min(ways, key=lambda way: len(way[0].unplayable))
        other = better_way(timeline, move, found, MOST, settings.profile)
    except (PlaceError, TransposeError) as fault:
        raise StopError(str(fault)) from None
    if found.unplayable:
        is_beyond = all(_highest(note) > move.last_fret for _, note in found.unplayable)
        why = f"the neck ends at fret {move.last_fret}" if is_beyond else "no hand can play it there"
        way = f"{move.in_words}, " if len(ways) > 1 else ""
        click.echo(f"{source.path}: {way}{why}:", err=True)
        for timed, note in found.unplayable:
            address = timed.address._replace(bar=timed.address.bar + earlier)
            click.echo(f"  {address}  {note_text(timed.note)}  would be {note_text(note)}", err=True)
        if other is not None:
            click.echo(f"  {_lies(other)}", err=True)
        sys.exit(FINDINGS)
    text = laid_out(found.solo, source.path)
    if other is not None:
        click.echo(f"{source.path}: it goes up to fret {highest_fret(found.solo)}; {_lies(other)}", err=True)
    if output is None:
        click.echo(text, nl=False)
        return
    write_new(output, text, force)
    anew = f", {several(len(found.placed_anew), 'note')} placed anew" if found.placed_anew else ""
    click.echo(f"{output}: written{anew}")


def _lies(way: OtherWay) -> str:
    return f"--by {way.semitones} lies at frets {way.lowest} to {way.highest}"


def _highest(note: Note) -> Fret:
    """The highest fret that a note takes, 0 where none is written."""
    return max((fret for fret in (note.fret, *(motion.fret for motion in note.motions)) if fret is not None), default=0)


def _part(stretch: str, solo: Solo) -> tuple[str, AddressRange]:
    """The words for a stretch, `bars 5-8`, and what it names."""
    from tabtools.timeline.places import range_named, stretch_named

    named = stretch_named(stretch, solo.passages)
    if range_named(stretch) is None:
        return f"“{stretch.strip()}”", named
    if named.first.count is not None or named.last.count is not None:
        return stretch, named
    return f"bars {stretch}" if "-" in stretch else f"bar {stretch}", named


def _intervals(solo: Solo, key: str | None, semitones: int | None, strings: int) -> tuple[Interval, ...]:
    """The ways to go, the shortest first: to a key there is one up and one down."""
    from tabtools.notation.header import FieldValueError, read_key
    from tabtools.transposing.interval import interval_by, intervals_to

    if key is not None and semitones is not None:
        raise StopError("--to and --by say the same thing twice; give one of them")
    if key is None:
        if semitones is None and not strings:
            raise StopError("say where to: --to a key, --by semitones, or onto other --strings")
        return (interval_by(semitones or 0, solo.header.key),)
    try:
        target = read_key(key)
    except FieldValueError as fault:
        raise StopError(f"{fault}; {fault.advice}") from None
    own = solo.header.key
    if own is None:
        raise StopError("the header names no key to go from; add one, or say --by how many semitones")
    if own.mode != target.mode:
        raise StopError(f"{own} stays {own.mode} wherever it goes; write --to “{target.tonic} {own.mode}”")
    return intervals_to(own, target)


def _origin(name: str, part: str, move: Move) -> str:
    """The words for where a solo came from."""
    return f"Transposed from {name}{', ' if part else ''}{part}: {move.in_words}"
