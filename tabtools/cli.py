"""The commands. The only place that prints, exits or writes files."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path

import click

from tabtools import __version__
from tabtools.checks import ALL_CHECKS, BY_NAME
from tabtools.files import MissingPath, Unread, read_all, read_bytes, solo_paths, write_atomically
from tabtools.settings import Settings, SettingsError, load_settings
from tabtools.source import SourceText

CLEAN, FINDINGS, COULD_NOT_RUN = 0, 1, 2


class _Stop(click.ClickException):
    """Something that keeps a command from running: exit status 2."""

    exit_code = COULD_NOT_RUN

    def show(self, file=None) -> None:
        click.echo(f"tabtools: {self.message}", err=True)


PATHS = click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
STDIN_NAME = click.option("--stdin-name", default="stdin.solo", help="What to call standard input in reports.")


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.version_option(__version__, prog_name="tabtools")
@click.pass_context
def main(context: click.Context) -> None:
    """Guitar solos as plain text: lint, annotate, review, publish.

    \b
    Example:
      tabtools lint                  check every solo under transcriptions/
      tabtools annotate dusk.solo    the tab with the degree of every note
      tabtools build                 check, annotate, build the site
    """
    try:
        context.obj = load_settings(Path.cwd(), tuple(BY_NAME))
    except SettingsError as error:
        raise _Stop(str(error)) from None


def _colour() -> bool:
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def _style(text: str, role: str) -> str:
    looks = {
        "error": {"fg": "red", "bold": True},
        "warning": {"fg": "yellow", "bold": True},
        "note": {"fg": "cyan"},
        "place": {"bold": True},
        "quiet": {"dim": True},
    }
    return click.style(text, **looks[role]) if _colour() else text


def _sources(paths: Sequence[Path], stdin_name: str, settings: Settings) -> list[SourceText | Unread]:
    """What the paths name, read: `-` is standard input, nothing at all is the folder of the solos."""
    if not paths:
        if not settings.folder.is_dir():
            raise _Stop(
                f"there is no folder {settings.transcriptions} here; name a file or folder, or run tabtools init"
            )
        paths = [_from_here(settings.folder)]
    found: list[SourceText | Unread] = []
    named = [path for path in paths if str(path) != "-"]
    if len(named) < len(paths):
        found.append(read_bytes(click.get_binary_stream("stdin").read(), stdin_name))
    try:
        files = list(solo_paths(named))
    except MissingPath as error:
        raise _Stop(str(error)) from None
    with _progress(files, "reading") as bar:
        found.extend(read_all(bar, named))
    return found


def _from_here(path: Path) -> Path:
    return path.relative_to(Path.cwd()) if path.is_relative_to(Path.cwd()) else path


def _progress(items: Sequence, label: str):
    hidden = len(items) < 20 or not sys.stderr.isatty()
    return click.progressbar(items, label=label, file=sys.stderr, hidden=hidden)


@main.command()
@PATHS
@STDIN_NAME
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to report.")
@click.option("--select", multiple=True, metavar="CHECK", help="Run only this check (may be repeated).")
@click.option("--ignore", multiple=True, metavar="CHECK", help="Leave this check out (may be repeated).")
@click.option("--strict", is_flag=True, help="Warnings fail too.")
@click.pass_obj
def lint(
    settings: Settings,
    paths: tuple[Path, ...],
    stdin_name: str,
    form: str,
    select: tuple[str, ...],
    ignore: tuple[str, ...],
    strict: bool,
) -> None:
    """Check solos: bars that add up, frets that give the note heard, and more.

    PATHS are files, folders or - for standard input; without any, the folder
    of the solos is checked. Exit status: 0 clean, 1 findings, 2 could not run.

    \b
    Example:
      tabtools lint transcriptions/dusk.solo --ignore unsure-reading
    """
    from tabtools.linting import lint_sources
    from tabtools.problem import Severity
    from tabtools.reports import problems as report

    checks = _chosen(select or settings.select, (*ignore, *settings.ignore))
    sources = _sources(paths, stdin_name, settings)
    with _progress(sources, "checking") as bar:
        found = lint_sources(bar, checks)
    by_path = {source.path: source for source in found.sources}
    if form == "json":
        click.echo(report.as_json(found.problems, by_path))
    else:
        if found.problems:
            click.echo(report.as_text(found.problems, by_path, _style))
        click.echo(report.summary(found.problems, len(sources)))
    failing = {Severity.ERROR, Severity.WARNING} if strict or settings.strict else {Severity.ERROR}
    sys.exit(FINDINGS if any(problem.severity in failing for problem in found.problems) else CLEAN)


def _chosen(select: Sequence[str], ignore: Sequence[str]) -> list:
    for name in (*select, *ignore):
        _check_named(name)
    return [
        check
        for check in ALL_CHECKS
        if hasattr(check, "ALWAYS_ON") or ((not select or check.NAME in select) and check.NAME not in ignore)
    ]


def _check_named(name: str):
    if name not in BY_NAME:
        from difflib import get_close_matches

        near = get_close_matches(name, BY_NAME, 1)
        raise _Stop(f"there is no check “{name}”" + (f"; did you mean {near[0]}?" if near else "; see tabtools checks"))
    return BY_NAME[name]


@main.command(name="format")
@PATHS
@STDIN_NAME
@click.option("--check", is_flag=True, help="Write nothing; exit with 1 if a file would change.")
@click.option("--diff", is_flag=True, help="Write nothing; show what would change.")
@click.pass_obj
def format_(settings: Settings, paths: tuple[Path, ...], stdin_name: str, check: bool, diff: bool) -> None:
    """Lay solos out the one canonical way; the music and the comments stay.

    \b
    Example:
      tabtools format transcriptions/
    """
    from tabtools.notation.write import NotFormatted, formatted

    refused = changed = 0
    sources = _sources(paths, stdin_name, settings)
    from_stdin = any(str(path) == "-" for path in paths)
    for number, source in enumerate(sources):
        path = source.path
        try:
            if isinstance(source, Unread):
                raise NotFormatted(source.error.message, source.error.advice)
            text = formatted(source)
        except NotFormatted as error:
            click.echo(f"{path}: not formatted: {error.message}; {error.advice}", err=True)
            refused += 1
            continue
        as_is = text == source.text and not source.had_bom and not source.had_crlf
        if diff and not as_is:
            click.echo(_diff(source, text), nl=False)
        elif from_stdin and number == 0 and not check and not diff:
            click.echo(text, nl=False)
            continue
        if as_is:
            continue
        changed += 1
        if not check and not diff:
            write_atomically(Path(path), text)
        if not diff:
            click.echo(f"{path}: {'would be formatted' if check else 'formatted'}")
    if not diff and not from_stdin:
        _format_summary(len(sources), changed, refused, check)
    sys.exit(COULD_NOT_RUN if refused else FINDINGS if changed and (check or diff) else CLEAN)


def _format_summary(solos: int, changed: int, refused: int, check: bool) -> None:
    verb = "would change" if check else "changed"
    click.echo(f"{changed} {verb}, {solos - changed - refused} already canonical, {refused} not formatted")


def _diff(source: SourceText, text: str) -> str:
    from difflib import unified_diff

    before, after = source.text.splitlines(True), text.splitlines(True)
    return "".join(unified_diff(before, after, source.path, f"{source.path} (formatted)"))


def _one_timeline(path: Path, stdin_name: str, settings: Settings):
    """The timeline of one readable solo; what cannot be read stops the command."""
    from tabtools.notation.build import read_solo
    from tabtools.timeline import timeline_of

    if path.is_dir():
        raise _Stop(f"{path} is a folder; name one solo")
    (source,) = _sources([path], stdin_name, settings)
    if isinstance(source, Unread):
        raise _Stop(f"{source.path}: {source.error.message}; {source.error.advice}")
    reading = read_solo(source)
    if reading.unreadable:
        count = len(reading.unreadable)
        lines = "line" if count == 1 else "lines"
        click.echo(f"tabtools: {count} {lines} of {source.path} cannot be read; run tabtools lint", err=True)
    return timeline_of(reading.solo)


def _bars(timeline, wanted: str | None) -> list:
    if wanted is None:
        return list(timeline.bars)
    first, _, last = wanted.partition("-")
    if not first.isdigit() or not (last or first).isdigit():
        raise _Stop(f"“{wanted}” names no bars; write 5 or 5-8")
    bars = [bar for bar in timeline.bars if int(first) <= bar.number <= int(last or first)]
    if not bars:
        raise _Stop(f"the solo has no bars {wanted}")
    return bars


BARS = click.option("--bars", metavar="5-8", help="Only these bars.")


@main.command()
@click.argument("file", type=click.Path(path_type=Path))
@STDIN_NAME
@BARS
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to report.")
@click.option("--style", type=click.Choice(["plain", "extended"]), help="How degrees are written.")
@click.pass_obj
def annotate(settings: Settings, file: Path, stdin_name: str, bars: str | None, form: str, style: str | None) -> None:
    """Show the tab with chords, counts and the degree of every note.

    Degrees are over the chord; under NC they are over the key, in brackets.

    \b
    Example:
      tabtools annotate transcriptions/dusk.solo --bars 5-8
    """
    from tabtools.reports import annotation

    timeline = _one_timeline(file, stdin_name, settings)
    report = annotation.as_json if form == "json" else annotation.as_text
    click.echo(report(timeline, _bars(timeline, bars), style or settings.style))


@main.command()
@click.argument("file", type=click.Path(path_type=Path))
@STDIN_NAME
@BARS
@click.pass_obj
def show(settings: Settings, file: Path, stdin_name: str, bars: str | None) -> None:
    """Show a solo as plain tab with counts, for pasting.

    \b
    Example:
      tabtools show transcriptions/dusk.solo --bars 1-4
    """
    from tabtools.reports.tab import plain_tab

    timeline = _one_timeline(file, stdin_name, settings)
    click.echo(plain_tab(timeline, _bars(timeline, bars)))


@main.command()
@click.argument("check")
def explain(check: str) -> None:
    """Explain a check: what it finds, why, what passes and what fails.

    \b
    Example:
      tabtools explain bar-duration
    """
    module = _check_named(check)
    click.echo(f"{_style(module.NAME, 'place')} ({module.SEVERITY})\n\n{module.__doc__.strip()}")


@main.command()
def checks() -> None:
    """List the checks with their severity.

    \b
    Example:
      tabtools checks
    """
    for check in ALL_CHECKS:
        summary = check.__doc__.partition("\n")[0]
        click.echo(f"{check.NAME:<28} {check.SEVERITY:<8} {summary}")
