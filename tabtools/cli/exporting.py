"""export."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tabtools.cli.base import STDIN_NAME, main, sources_of, styled, with_settings
from tabtools.cli.exits import CLEAN, FINDINGS, StopError
from tabtools.cli.output import FORCE, check_report, write_new
from tabtools.files import Unread, is_folder, shown_name
from tabtools.settings import STYLES, Settings
from tabtools.wording import several

if TYPE_CHECKING:
    from tabtools.exchange.signatures import Staves
    from tabtools.harmony.degrees import DegreeStyle
    from tabtools.timeline import Timeline

COMPRESSED = ".mxl"


@main.command(statuses={CLEAN: "written", FINDINGS: "the solo has errors"})
@click.argument("file", type=click.Path(path_type=Path))
@STDIN_NAME
@click.option("--to", "form", type=click.Choice(["musicxml", "midi", "text"]), required=True, help="What to write.")
@click.option("--output", "-o", type=click.Path(path_type=Path), help="Where to.  [default: standard output]")
@FORCE
@click.option("--draft", is_flag=True, help="Export what there is of a solo with errors.")
@click.option("--degrees", type=click.Choice(STYLES), help="In MusicXML, write the degree under each note.")
@click.option(
    "--staves",
    type=click.Choice(["tab", "standard", "both"]),
    help="In MusicXML, write a tab, a standard staff or both.  [default: tab]",
)
@with_settings
def export(
    settings: Settings,
    file: Path,
    stdin_name: str,
    form: str,
    output: Path | None,
    force: bool,
    draft: bool,
    degrees: DegreeStyle | None,
    staves: Staves | None,
) -> None:
    """Write a solo as MusicXML 4.0, MIDI or plain tab.

    A solo with errors is not exported, unless as a draft. MIDI needs --output;
    MusicXML is compressed where the name of the file ends in .mxl.

    \b
    Example:
      tabtools export dusk.solo --to musicxml --output dusk.musicxml
      tabtools export dusk.solo --to midi --output dusk.mid
    """
    if degrees and form != "musicxml":
        raise StopError("--degrees belongs to --to musicxml; tabtools annotate shows plain tab with degrees")
    if staves and form != "musicxml":
        raise StopError("--staves belongs to --to musicxml; plain tab has one staff, MIDI none")
    if output is None and form == "midi":
        raise StopError(f"MIDI is not text; name a file with --output, like {file.stem}.mid")
    if output is not None:
        check_report(output, force)
    timeline = _sound_timeline(file, stdin_name, settings, draft)
    is_compressed = output is not None and output.suffix == COMPRESSED
    data = _exported(timeline, form, degrees, staves or "tab", is_compressed)
    if output is None:
        sys.stdout.buffer.write(data)
        return
    write_new(output, data, force)
    click.echo(f"{shown_name(output)}: written")


def _sound_timeline(file: Path, stdin_name: str, settings: Settings, draft: bool) -> Timeline:
    """The timeline of a solo without errors, or of a draft. Errors are shown and end the command."""
    from tabtools.checks import ALL_CHECKS
    from tabtools.linting import lint_sources
    from tabtools.problem import Severity
    from tabtools.reports import problems as report

    if is_folder(file):
        raise StopError(f"{shown_name(file)} is a folder; name one solo")
    (source,) = sources_of([file], stdin_name, settings)
    if isinstance(source, Unread):
        raise StopError(f"{source.path}: {source.error.message}; {source.error.advice}")
    found = lint_sources([source], ALL_CHECKS, settings.profile)
    errors = [one for one in found.problems if one.severity is Severity.ERROR and one.path == source.path]
    if errors and not draft:
        click.echo(report.as_text(errors, {source.path: source}, styled), err=True)
        click.echo("not exported: mend what is wrong, or export a draft with --draft", err=True)
        sys.exit(FINDINGS)
    if errors:
        count = several(len(errors), "error")
        click.echo(f"tabtools: a draft: {source.path} has {count}; run tabtools lint", err=True)
    timeline = found.subjects[0].timeline
    if not timeline.bars:
        raise StopError(f"{source.path} has no bars; write a line like bar 1, and what is played below it")
    return timeline


def _exported(timeline: Timeline, form: str, degrees: DegreeStyle | None, staves: Staves, is_compressed: bool) -> bytes:
    from tabtools.exchange import compressed, heading, midi, musicxml

    if form == "midi":
        return midi(timeline)
    if form == "musicxml":
        document = musicxml(timeline, degrees, staves)
        return compressed(document) if is_compressed else document.encode()
    from tabtools.reports.tab import plain_tab

    return f"{heading(timeline)}\n\n{plain_tab(timeline)}\n".encode()
