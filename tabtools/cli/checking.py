"""lint, format, explain, checks."""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tabtools.cli.base import FEWEST_TO_KEEP, PATHS, STDIN_NAME, WIDTH, main, sources_of, styled, watched, with_settings
from tabtools.cli.exits import CLEAN, COULD_NOT_RUN, FINDINGS, StopError
from tabtools.cli.output import difference, unwritten
from tabtools.files import Unread, is_still
from tabtools.settings import Settings
from tabtools.source import SourceText
from tabtools.writing import ChangedError, write_atomically

if TYPE_CHECKING:
    from tabtools.cache.results import Keeping


@main.command(statuses={CLEAN: "no errors (with --strict: no warnings either)", FINDINGS: "findings"})
@PATHS
@STDIN_NAME
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to report.")
@click.option("--select", multiple=True, metavar="CHECK", help="Run only this check (may be repeated).")
@click.option("--ignore", multiple=True, metavar="CHECK", help="Leave this check out (may be repeated).")
@click.option("--all", "everything", is_flag=True, help="Tell all by itself, also many of one kind.")
@click.option("--strict", is_flag=True, help="Warnings fail too.")
@click.option("--cache/--no-cache", default=True, help="Keep what is found in each solo for the next time.")
@with_settings
def lint(
    settings: Settings,
    paths: tuple[Path, ...],
    stdin_name: str,
    form: str,
    select: tuple[str, ...],
    ignore: tuple[str, ...],
    everything: bool,
    strict: bool,
    cache: bool,
) -> None:
    """Check solos: bars that add up, frets that give the note.

    PATHS are files, folders or - for standard input; without any, the folder
    of the solos is checked. Where much is open of one kind, it is told in
    one line; --all tells each by itself, and so does --select.

    \b
    Example:
      tabtools lint transcriptions/dusk.solo --ignore unsure-reading
    """
    from tabtools.checks.choice import UnknownCheckError, chosen
    from tabtools.linting import lint_many
    from tabtools.problem import Severity
    from tabtools.reports import problems as report

    try:
        checks = chosen(select or settings.select, (*ignore, *settings.ignore))
    except UnknownCheckError as error:
        raise StopError(str(error)) from None
    sources = sources_of(paths, stdin_name, settings)
    keeping = _keeping() if cache and len(sources) >= FEWEST_TO_KEEP else None
    found = lint_many(sources, checks, settings.profile, watched(len(sources), "checking"), keeping)
    by_path = {source.path: source for source in found.sources}
    if form == "json":
        click.echo(report.as_json(found.problems, by_path))
    else:
        if found.problems:
            is_whole = everything or bool(select) or any(str(path) == "-" for path in paths)
            click.echo(report.as_text(found.problems, by_path, styled, is_whole))
        click.echo(report.summary(found.problems, len(sources)))
    failing = {Severity.ERROR, Severity.WARNING} if strict or settings.strict else {Severity.ERROR}
    sys.exit(FINDINGS if any(problem.severity in failing for problem in found.problems) else CLEAN)


def _keeping() -> Keeping:
    from tabtools.cache.results import users_keeping

    return users_keeping()


@main.command(
    name="format",
    statuses={
        CLEAN: "every solo is canonical now",
        FINDINGS: "with --check or --diff: a solo would change",
        COULD_NOT_RUN: "a solo could not be formatted, or nothing could run",
    },
)
@PATHS
@STDIN_NAME
@click.option("--check", is_flag=True, help="Write nothing; say which solos would change.")
@click.option("--diff", is_flag=True, help="Write nothing; show what would change.")
@with_settings
def format_(settings: Settings, paths: tuple[Path, ...], stdin_name: str, check: bool, diff: bool) -> None:
    """Lay solos out the canonical way; nothing of the music changes.

    \b
    Example:
      tabtools format transcriptions/
    """
    from tabtools.notation.write import FormatError, formatted

    refused = changed = 0
    sources = sources_of(paths, stdin_name, settings)
    from_stdin = any(str(path) == "-" for path in paths)
    for number, source in enumerate(sources):
        path = source.path
        try:
            if isinstance(source, Unread):
                raise FormatError(source.error.message, source.error.advice)
            text = formatted(source)
        except FormatError as error:
            click.echo(f"{path}: not formatted: {error.message}; {error.advice}", err=True)
            refused += 1
            continue
        as_is = text == source.text and not source.had_bom and not source.had_crlf
        if diff and not as_is:
            click.echo(difference(source, text, "formatted"), nl=False)
        elif from_stdin and number == 0 and not check and not diff:
            click.echo(text, nl=False)
            continue
        if as_is:
            continue
        if not check and not diff and not _is_replaced(source, text):
            refused += 1
            continue
        changed += 1
        if not diff:
            click.echo(f"{path}: {'would be formatted' if check else 'formatted'}")
    if not diff and not from_stdin:
        _format_summary(len(sources), changed, refused, check)
    sys.exit(COULD_NOT_RUN if refused else FINDINGS if changed and (check or diff) else CLEAN)


def _is_replaced(source: SourceText, text: str) -> bool:
    """Replace a file by its new text, or say why that cannot be."""
    path = Path(source.path)
    try:
        write_atomically(path, text, is_still=partial(is_still, source))
    except ChangedError:
        click.echo(f"{path}: not formatted: it changed while it was being formatted; run it again", err=True)
        return False
    except OSError as fault:
        unwritten(path, fault).show()
        return False
    return True


def _format_summary(solos: int, changed: int, refused: int, check: bool) -> None:
    verb = "would change" if check else "changed"
    click.echo(f"{changed} {verb}, {solos - changed - refused} already canonical, {refused} not formatted")


@main.command(statuses={CLEAN: "explained"})
@click.argument("check")
def explain(check: str) -> None:
    """Explain a check: what it finds, why, what passes and what does not.

    \b
    Example:
      tabtools explain bar-duration
    """
    from tabtools.checks.choice import UnknownCheckError, check_named
    from tabtools.checks.manual import manual_of

    try:
        module = check_named(check)
    except UnknownCheckError as error:
        raise StopError(str(error)) from None
    click.echo(f"{styled(module.NAME, 'place')} ({module.SEVERITY.word})\n\n{_wrapped(manual_of(module))}")


def _wrapped(page: str) -> str:
    """A manual page within the width of a terminal; its examples as they are."""
    from textwrap import fill

    blocks = page.strip().split("\n\n")
    return "\n\n".join(
        block if block.startswith("    ") else fill(block, WIDTH, break_on_hyphens=False) for block in blocks
    )


@main.command(statuses={CLEAN: "listed"})
def checks() -> None:
    """List the checks with their severity.

    \b
    Example:
      tabtools checks
    """
    from textwrap import fill

    from tabtools.checks import ALL_CHECKS

    for check in ALL_CHECKS:
        summary = (check.__doc__ or "").partition("\n")[0]
        click.echo(
            fill(
                f"{check.NAME:<29}{check.SEVERITY.word:<9}{summary}",
                WIDTH,
                subsequent_indent=" " * 38,
                break_on_hyphens=False,
            )
        )
