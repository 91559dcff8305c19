"""annotate, show."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tabtools.cli.base import STDIN_NAME, main, sources_of, with_settings
from tabtools.cli.exits import CLEAN, StopError, stopped
from tabtools.files import Unread, is_folder
from tabtools.settings import Settings
from tabtools.source import SourceText
from tabtools.wording import several

if TYPE_CHECKING:
    from tabtools.harmony.degrees import DegreeStyle
    from tabtools.model.solo import Solo
    from tabtools.notation.build import Reading
    from tabtools.timeline import TimedBar, Timeline


def one_solo(path: Path, stdin_name: str, settings: Settings, is_whole: bool = False) -> tuple[SourceText, Timeline]:
    """One solo, its text and its timeline; what cannot be read stops the command, and a line of it where `is_whole`."""
    reading, timeline = _one_reading(path, stdin_name, settings, is_whole)
    return reading.source, timeline


def _one_reading(path: Path, stdin_name: str, settings: Settings, is_whole: bool = False) -> tuple[Reading, Timeline]:
    from tabtools.notation.build import read_solo
    from tabtools.timeline import timeline_of

    if is_folder(path):
        raise StopError(f"{path} is a folder; name one solo")
    (source,) = sources_of([path], stdin_name, settings)
    if isinstance(source, Unread):
        raise StopError(f"{source.path}: {source.error.message}; {source.error.advice}")
    reading = read_solo(source)
    if reading.unreadable:
        lines = several(len(reading.unreadable), "line")
        if is_whole:
            raise StopError(f"{lines} of {source.path} cannot be read; mend what tabtools lint reports first")
        click.echo(f"tabtools: {lines} of {source.path} cannot be read; run tabtools lint", err=True)
    timeline = timeline_of(reading.solo)
    if not timeline.bars:
        raise StopError(f"{source.path} has no bars; write a line like bar 1, and what is played below it")
    return reading, timeline


def laid_out(solo: Solo, path: str) -> str:
    """The text of a solo, laid out and proved."""
    from tabtools.notation.write import FormatError, canonical, formatted
    from tabtools.source import from_text

    try:
        return formatted(from_text(canonical(solo), path))
    except FormatError as fault:
        raise stopped(fault) from None


def bars_named(wanted: str) -> range:
    """The numbers of bars that somebody asks for, `5` or `5-8`; none where they run backwards."""
    match = re.fullmatch(r"([0-9]{1,6})(?:-([0-9]{1,6}))?", wanted)
    if match is None:
        raise StopError(f"“{wanted}” names no bars; write 5 or 5-8")
    return range(int(match[1]), int(match[2] or match[1]) + 1)


def _bars(timeline: Timeline, wanted: str | None) -> list[TimedBar]:
    if wanted is None:
        return list(timeline.bars)
    named = bars_named(wanted)
    bars = [bar for bar in timeline.bars if bar.number in named]
    if not bars:
        raise StopError(f"the solo has no bars {wanted}")
    return bars


BARS = click.option("--bars", metavar="5-8", help="Only these bars.")


@main.command(statuses={CLEAN: "shown"})
@click.argument("file", type=click.Path(path_type=Path))
@STDIN_NAME
@BARS
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to report.")
@click.option("--style", type=click.Choice(["plain", "extended"]), help="How degrees are written.")
@click.option("--hands", is_flag=True, help="Fingers and positions instead of degrees, and what is asked of the hands.")
@click.option("--phrases", is_flag=True, help="What the phrases and notes do, and statistics, below the tab.")
@click.option("--lesson", is_flag=True, help="Draft a lesson in Markdown instead, in claims that hold.")
@with_settings
def annotate(
    settings: Settings,
    file: Path,
    stdin_name: str,
    bars: str | None,
    form: str,
    style: DegreeStyle | None,
    hands: bool,
    phrases: bool,
    lesson: bool,
) -> None:
    """Show the tab with chords, counts and the degree of every note.

    Degrees are over the chord; under NC they are over the key, in brackets. With --hands the fretting finger
    stands under each note (0 open, t a tap of the other hand) and the position where it changes: V.1 is the
    first finger at fret 5. With --phrases arpeggios, runs, cells and the like are named below. JSON holds all
    of it. With --lesson what is found in the solo is drafted as a lesson for you to rewrite; lint checks its
    claims from then on.

    \b
    Example:
      tabtools annotate transcriptions/dusk.solo --bars 5-8
      tabtools annotate --lesson dusk.solo > dusk.md
    """
    from tabtools.hand import hand_of
    from tabtools.study import study_of

    if lesson:
        if bars or hands or phrases or form == "json":
            raise StopError(
                "--lesson drafts the whole solo as Markdown; leave out --bars, --hands, --phrases and --format"
            )
        from tabtools.study.addresses import DisorderedError
        from tabtools.study.lesson import draft_lesson

        timeline = one_solo(file, stdin_name, settings)[1]
        try:
            study = study_of(timeline, style or settings.style, hand_of(timeline, settings.profile))
            click.echo(draft_lesson(study), nl=False)
        except DisorderedError as fault:
            raise StopError(f"no lesson can be drafted: {fault}; mend what tabtools lint reports") from None
        return
    from tabtools.reports import annotation
    from tabtools.reports import hands as report_of_hands
    from tabtools.reports import study as report_of_study
    from tabtools.reports.missing_bars import what_is_missing

    reading, timeline = _one_reading(file, stdin_name, settings)
    wanted = _bars(timeline, bars)
    fingered = hand_of(timeline, settings.profile) if hands or phrases or form == "json" else None
    study = study_of(timeline, style or settings.style, fingered)
    if form == "json":
        click.echo(annotation.as_json(study, study.hand, wanted))
        return
    if hands:
        click.echo(report_of_hands.as_text(study.hand, wanted))
    else:
        click.echo(annotation.as_text(timeline, wanted, study.style))
    if missing := what_is_missing(reading, wanted):
        click.echo(f"\n{missing}")
    if phrases:
        click.echo(f"\n{report_of_study.as_text(study, wanted)}")


@main.command(statuses={CLEAN: "shown"})
@click.argument("file", type=click.Path(path_type=Path))
@STDIN_NAME
@BARS
@with_settings
def show(settings: Settings, file: Path, stdin_name: str, bars: str | None) -> None:
    """Show a solo as plain tab with counts, for pasting.

    \b
    Example:
      tabtools show transcriptions/dusk.solo --bars 1-4
    """
    from tabtools.reports.missing_bars import what_is_missing
    from tabtools.reports.tab import plain_tab

    reading, timeline = _one_reading(file, stdin_name, settings)
    wanted = _bars(timeline, bars)
    click.echo("\n\n".join(filter(None, [plain_tab(timeline, wanted), what_is_missing(reading, wanted)])))
