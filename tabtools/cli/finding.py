"""find."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tabtools.cli.base import PATHS, STDIN_NAME, main, progress, sources_of, with_settings
from tabtools.cli.exits import CLEAN, FINDINGS, StopError, stopped
from tabtools.files import Unread
from tabtools.settings import Settings
from tabtools.source import SourceText
from tabtools.wording import plural

MOST_NAMED = 3
"""Damaged solos that are named, each with the first of its lines that cannot be read."""

if TYPE_CHECKING:
    from tabtools.search.collection import FoundPlace, Searched
    from tabtools.search.query import Query


@main.command(statuses={CLEAN: "found", FINDINGS: "nothing found"})
@PATHS
@STDIN_NAME
@click.option("--intervals", metavar="STEPS", help="Semitones from note to note, like “2 2 -4”.")
@click.option("--degrees", metavar="DEGREES", help="Degrees over the chord, like “b3 5 b7”; “1>2” is a bend.")
@click.option("--rhythm", metavar="VALUES", help="Proportions, like “2 1 1”, or names, like “quarter eighth eighth”.")
@click.option("--technique", "techniques", multiple=True, metavar="NAME", help="Played so (may be repeated).")
@click.option(
    "--device", "devices", multiple=True, metavar="NAME", help="Within an arpeggio, a scale run … (may be repeated)."
)
@click.option("--chord", metavar="CHORD", help="Over this type of chord (m7b5, minor) or chord (Bm7b5, NC).")
@click.option("--like", nargs=2, metavar="SOLO RANGE", help="Like this stretch, in any key and octave.")
@click.option("--shared", is_flag=True, help="Figures of six or more notes that solos share.")
@click.option("--same-rhythm", is_flag=True, help="With --like or --shared: the rhythm has to be the same.")
@click.option("--all", "everything", is_flag=True, help="Every place in every solo.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to report.")
@with_settings
def find(
    settings: Settings,
    /,
    paths: tuple[Path, ...],
    stdin_name: str,
    shared: bool,
    everything: bool,
    form: str,
    **wanted: Any,
) -> None:
    """Find notes, a rhythm, a technique or a chord in all solos.

    All that is asked for has to hold of one and the same stretch. PATHS are
    files or folders; without any, the folder of the solos is searched.

    \b
    Example:
      tabtools find --degrees "b3 5 b7" --chord m7
      tabtools find --device arpeggio --chord m7b5
      tabtools find --like ferry-at-dusk 5.1-5.3
      tabtools find --shared
    """
    from tabtools.reports import search_results as report
    from tabtools.search.advice import what_to_try
    from tabtools.search.collection import find as find_in
    from tabtools.search.match import example_of
    from tabtools.search.query import QueryError
    from tabtools.search.stored_index import read_solos

    try:
        query = _query(wanted)
        _check_choice(query, wanted, shared)
        sources = sources_of(paths, stdin_name, settings)
        root = settings.root if settings.folder.is_dir() else None
        with progress(sources, "reading") as bar:
            solos = read_solos(bar, root, is_complete=not paths)
        _warn(sources, solos)
        if shared:
            sys.exit(_report_shared(solos, wanted["same_rhythm"], everything, form))
        slug, stretch = wanted["like"] or ("", "")
        model = _model(slug, stretch, sources, solos) if slug else None
    except QueryError as fault:
        raise stopped(fault) from None
    if model is not None:
        query = replace(query, example=example_of(model.solo.strokes, model.stretch, wanted["same_rhythm"]))
    found = list(find_in(query, solos, model))
    if form == "json":
        click.echo(report.as_json(found, query, model))
    elif found:
        click.echo(report.as_text(found, len(solos), query, model, not everything))
    else:
        click.echo(report.nothing(len(solos), what_to_try(query, solos, model)))
    sys.exit(CLEAN if found else FINDINGS)


def _query(wanted: dict[str, Any]) -> Query:
    """The criteria given; the example is not among them yet."""
    from tabtools.search import query

    read = {
        "intervals": query.read_intervals,
        "degrees": query.read_degrees,
        "rhythm": query.read_rhythm,
        "chord": query.read_wanted_chord,
    }
    given: dict[str, Any] = {name: reader(wanted[name]) for name, reader in read.items() if wanted[name] is not None}
    techniques = tuple(map(query.read_technique, wanted["techniques"]))
    return query.Query(**given, techniques=techniques, devices=tuple(map(query.read_device, wanted["devices"])))


def _check_choice(query: Query, wanted: dict[str, Any], shared: bool) -> None:
    if shared and (query or wanted["like"]):
        raise StopError("--shared stands alone: it finds what solos share, whatever it is")
    if not (shared or query or wanted["like"]):
        raise StopError(
            "say what to find: --intervals, --degrees, --rhythm, --technique, --device, --chord, --like or --shared"
        )
    if wanted["same_rhythm"] and not (shared or wanted["like"]):
        raise StopError("--same-rhythm belongs to --like or --shared; a rhythm alone is found with --rhythm")


def _warn(sources: Sequence[SourceText | Unread], solos: Sequence[Searched]) -> None:
    """Say which files and lines the search had to leave out."""
    for source in sources:
        if isinstance(source, Unread):
            click.echo(f"tabtools: {source.path}: {source.error.message}; {source.error.advice}", err=True)
    damaged = [solo for solo in solos if solo.strokes.unreadable_lines]
    for solo in damaged[:MOST_NAMED]:
        first, *others = solo.strokes.unreadable_lines
        what = (
            f"{len(others) + 1} lines from here on cannot be read and are"
            if others
            else "this line cannot be read and is"
        )
        click.echo(f"tabtools: {solo.path}:{first}: {what} left out; run tabtools lint", err=True)
    more = len(damaged) - MOST_NAMED
    if more > 0:
        what = f"lines of {more} more {plural('solo', more)} cannot be read and are"
        click.echo(f"tabtools: {what} left out; run tabtools lint", err=True)


def _model(slug: str, stretch: str, sources: Sequence[SourceText | Unread], solos: Sequence[Searched]) -> FoundPlace:
    from tabtools.checks.subject import subject_of
    from tabtools.search.example import place_at, read_range, solo_named

    wanted = read_range(stretch)
    solo = solo_named(slug, solos)
    source = next(one for one in sources if isinstance(one, SourceText) and one.path == solo.path)
    return place_at(solo, subject_of(source).timeline, wanted)


def _report_shared(solos: Sequence[Searched], same_rhythm: bool, everything: bool, form: str) -> int:
    from tabtools.reports import search_results as report
    from tabtools.search.shared import shared_figures

    figures = shared_figures(solos, same_rhythm)
    if form == "json":
        click.echo(report.shared_as_json(figures))
    elif not figures:
        advice = "leave out --same-rhythm" if same_rhythm else "shorter figures are found with --like"
        click.echo(report.nothing(len(solos), [advice]))
    else:
        click.echo(report.shared_as_text(figures, len(solos), not everything))
    return CLEAN if figures else FINDINGS
