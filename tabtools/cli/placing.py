"""place."""

from __future__ import annotations

import re
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tabtools.cli.base import STDIN_NAME, main, with_settings
from tabtools.cli.exits import CLEAN, FINDINGS, StopError, Whole, stopped
from tabtools.cli.output import write_over
from tabtools.cli.showing import one_solo
from tabtools.files import is_still
from tabtools.settings import Settings
from tabtools.wording import several

if TYPE_CHECKING:
    from tabtools.placing.wish import Wish
    from tabtools.timeline import TimedNote, Timeline

LAST_POSITION = 36


@main.command(statuses={CLEAN: "placed, or nothing is open", FINDINGS: "notes have no place on the neck"})
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("stretch", metavar="[RANGE]", required=False)
@STDIN_NAME
@click.option("--write", is_flag=True, help="Write the places into the file; nothing else in it changes.")
@click.option(
    "--position", type=Whole(1, LAST_POSITION), metavar="FRET", help="As near as can be to this position, 1 to 36."
)
@click.option("--strings", metavar="1-3", help="On these strings alone.")
@click.option("--open", "open_strings", is_flag=True, help="On open strings where there are any.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to report.")
@with_settings
def place(
    settings: Settings,
    file: Path,
    stretch: str | None,
    stdin_name: str,
    write: bool,
    position: int | None,
    strings: str | None,
    open_strings: bool,
    form: str,
) -> None:
    """Choose places on the neck for pitches that have none yet.

    What is written as =D4 gets a string and a fret, 3:7=D4, as a hand would
    play it: in reach, without needless shifts, slurs on one string. What is
    placed already stays. RANGE is like 5, 5.2-6.3 or 5.2.1, or the name of a
    passage. With --position, --strings or --open and a RANGE, what is placed
    there is placed anew; what the first to fourth finger of that position
    cannot reach is named. A RANGE that is one stroke, like 5.2.1, lists all
    its places, each with what the hand does there and what is hard.

    \b
    Example:
      tabtools place dusk.solo
      tabtools place dusk.solo 5-8 --write
      tabtools place dusk.solo 5.2-6.3 --position 7
      tabtools place dusk.solo 5.2.1
    """
    from tabtools.placing.placed import place as place_notes
    from tabtools.placing.proposal import from_elsewhere, hand_for, has_open_string, not_there, proposals, refusals
    from tabtools.reports import placing as report

    if write and str(file) == "-":
        raise StopError("--write needs a file; standard input cannot be written to")
    source, timeline = one_solo(file, stdin_name, settings, is_whole=write)
    wish = _wish(position, strings, open_strings, timeline)
    notes = None if stretch is None else _notes(timeline, stretch)
    if notes and not write and len({note.address for note in notes}) == 1 and str(stretch).count(".") == 2:
        _list_places(timeline, notes, wish, settings, form)
        return
    if notes and all(timeline.bar_numbers[note.address.bar].like is not None for note in notes) and form == "text":
        from tabtools.placing.proposal import why_not_looked_for

        click.echo(f"{source.path}: {why_not_looked_for(notes[0], timeline)}")
        sys.exit(CLEAN)
    within = None if notes is None else {note.index for note in notes}
    moved = within if wish and within is not None else ()
    placement = place_notes(timeline, wish, within, moved or (), settings.profile)
    hand = hand_for(placement, settings.profile)
    found = list(proposals(placement, hand))
    refused = list(refusals(placement, wish))
    elsewhere = list(not_there(placement, hand, wish))
    if write and found:
        from tabtools.notation.write import FormatError
        from tabtools.placing.text import written

        try:
            text = written(source, {one.written.span: one.proposed for one in found})
        except FormatError as fault:
            raise stopped(fault) from None
        write_over(file, text, partial(is_still, source))
    if form == "json":
        click.echo(report.as_json(timeline, found, refused, elsewhere))
    else:
        otherwise = list(from_elsewhere(placement, hand, wish))
        if found or refused or elsewhere or otherwise:
            click.echo(f"{report.as_text(timeline, found, refused, elsewhere, wish, otherwise)}\n")
        if open_strings and not any(
            has_open_string(note, timeline.solo.header, wish) for note in notes or timeline.notes
        ):
            click.echo("no note here lies on an open string\n")
        click.echo(_summary(source.path, len(found), len(refused), write, bool(moved)))
    sys.exit(FINDINGS if refused else CLEAN)


def _list_places(timeline: Timeline, notes: tuple[TimedNote, ...], wish: Wish, settings: Settings, form: str) -> None:
    """Every place of one stroke."""
    from tabtools.placing.candidates import candidates
    from tabtools.placing.proposal import why_not_looked_for
    from tabtools.reports import placing as report

    found = candidates(timeline, notes, wish, settings.profile)
    reason = "" if found.places else why_not_looked_for(notes[0], timeline, wish)
    listing = report.listing_json if form == "json" else report.listing_text
    click.echo(listing(notes, found, reason))
    sys.exit(CLEAN if found.places else FINDINGS)


def _summary(path: str, found: int, refused: int, is_written: bool, was_placed: bool) -> str:
    if not found:
        if refused:
            return f"{path}: nothing placed"
        return f"{path}: every place stays as it is" if was_placed else f"{path}: no place is open"
    done = "placed and written" if is_written else "placed; --write writes them"
    return f"{path}: {several(found, 'note')} {done}"


def _wish(position: int | None, strings: str | None, open_strings: bool, timeline: Timeline) -> Wish:
    from tabtools.placing.wish import Wish

    allowed = None
    if strings is not None:
        most = timeline.solo.header.instrument.strings
        match = re.fullmatch(r"([0-9]{1,2})(?:-([0-9]{1,2}))?", strings)
        first, last = sorted((int(match[1]), int(match[2] or match[1]))) if match else (0, 0)
        if not 1 <= first <= last <= most:
            raise StopError(f"“{strings}” names no strings; write 1-3 or 2, of strings 1 to {most}")
        allowed = range(first, last + 1)
    return Wish(position, allowed, open_strings)


def _notes(timeline: Timeline, stretch: str) -> tuple[TimedNote, ...]:
    from tabtools.timeline.places import PlaceError, notes_at, stretch_named

    try:
        return notes_at(timeline, stretch_named(stretch, timeline.solo.passages))
    except PlaceError as fault:
        raise StopError(str(fault)) from None
