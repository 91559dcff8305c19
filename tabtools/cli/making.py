"""new, init, build, serve."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from tabtools.cli.base import main, settings_at, sources_of, styled, watched, with_settings
from tabtools.cli.exits import CLEAN, FINDINGS, INTERRUPTED, StopError, Whole
from tabtools.cli.output import FORCE, check_free, write_new
from tabtools.files import from_here
from tabtools.settings import Settings
from tabtools.wording import several
from tabtools.writing import holds

RIGHTS_HELP = "SPDX licence, “public domain”, or whose permission you have."
RIGHTS_NOTE = (
    "Publishing music needs the permission of those who own it, a transcription of\n"
    "an improvised solo included; what is allowed depends on the law where you are."
)


@main.command(statuses={CLEAN: "written"})
@click.option("--title", help="The tune.")
@click.option("--player", help="Who plays the solo.")
@click.option("--recording", help="Where it can be heard, and from when to when.")
@click.option("--rights", help=RIGHTS_HELP)
@click.option("--tuning", default=None, help="A name or pitches, lowest string first.  [default: standard]")
@click.option("--key", default=None, help="Like “A minor” or “D dorian”.")
@click.option("--meter", default=None, help="Like 4/4 or “12/8 in 4”.  [default: 4/4]")
@click.option("--tempo", default=None, help="Counted beats a minute.  [default: 120]")
@click.option("--bars", default=8, show_default=True, type=Whole(1, 400), help="Bars to start with.")
@click.option("--to", "folder", type=click.Path(path_type=Path), help="The folder to write to.")
@FORCE
@with_settings
def new(settings: Settings, /, bars: int, folder: Path | None, force: bool, **fields: str | None) -> None:
    """Start a solo: a file with its header and bars to fill.

    On a terminal, what the options leave out is asked for.

    \b
    Example:
      tabtools new --title "Low Tide" --rights CC-BY-4.0 --key "A minor"
    """
    from tabtools.starter.solo import StartError, slug, start_solo

    if sys.stdin.isatty():
        _ask(fields)
    folder = folder or from_here(settings.folder)
    try:
        path = folder / f"{slug(fields['title'] or '')}.solo"
        text = start_solo(fields, bars)
    except StartError as fault:
        raise StopError(str(fault)) from None
    check_free([path], force)
    write_new(path, text, force)
    click.echo(f"{path}: written, {several(bars, 'bar')} to fill")


def _ask(fields: dict[str, str | None]) -> None:
    for name in ("title", "player", "recording", "key", "meter", "tuning"):
        if fields[name] is None:
            default = {"meter": "4/4", "tuning": "standard"}.get(name, "")
            fields[name] = click.prompt(name.capitalize(), default=default, show_default=bool(default)).strip()
    if fields["rights"] is None:
        click.echo(f"\n{RIGHTS_NOTE}")
        fields["rights"] = click.prompt("Rights (a licence, public domain, or a permission)").strip()


@main.command(statuses={CLEAN: "written"})
@click.argument("folder", default=".", type=click.Path(path_type=Path, file_okay=False))
@FORCE
def init(folder: Path, force: bool) -> None:
    """Start a repository of your own: settings, a first solo, pages.

    Nothing that is there already is touched, unless with --force.

    \b
    Example:
      tabtools init my-solos
    """
    from tabtools.starter.repository import CARD, starter_files

    files = {folder / name: text for name, text in starter_files().items()}
    missing = {path: text for path, text in files.items() if force or not holds(path, text.encode())}
    check_free(list(missing), force)
    if not missing:
        click.echo("everything is there already")
    for path, text in missing.items():
        write_new(path, text, force)
        click.echo(f"{path}: written")
    where = "" if str(folder) == "." else f"cd {folder}, then "
    click.echo(f"\nNext: {where}tabtools lint, and tabtools serve to look at the site.")
    click.echo(f"All signs of a solo stand on one page: {folder / CARD}\n\n{RIGHTS_NOTE}")


CONFIG = click.option("--config", type=click.Path(path_type=Path), help="The site's settings.  [default: mkdocs.yml]")


def _site_settings(config: Path | None) -> Path:
    """The settings that are named, or those that are there."""
    from tabtools.website.build import CONFIG_NAMES

    config = config or next((path for path in map(Path, CONFIG_NAMES) if path.is_file()), Path(CONFIG_NAMES[-1]))
    if not config.is_file():
        raise StopError(f"there is no {config} here; run tabtools init, or name it with --config")
    return config


def _check_solos(config: Path) -> None:
    """Lint the solos of a site and sum it up. Where one is not fit to be published, name what is wrong, and exit."""
    from tabtools.cache.results import users_keeping
    from tabtools.checks import ALL_CHECKS
    from tabtools.linting import lint_many
    from tabtools.reports import problems as report

    settings = settings_at(config.resolve().parent)
    sources = sources_of((), "", settings)
    found = lint_many(sources, ALL_CHECKS, settings.profile, watched(len(sources), "checking"), users_keeping())
    unfit = found.unfit()
    if unfit:
        click.echo(report.as_text(unfit, {source.path: source for source in found.sources}, styled))
        click.echo(report.summary(unfit, len(sources)))
        is_draft = all(problem.path in found.drafts for problem in unfit)
        click.echo("not built: mend these" + ("" if is_draft else ", or mark the solo with draft: yes"))
        sys.exit(FINDINGS)
    click.echo(report.summary(found.problems, len(sources)))


@main.command(statuses={CLEAN: "built", FINDINGS: "solos have errors, and nothing was built"})
@CONFIG
@click.option("--to", "folder", type=click.Path(path_type=Path), help="Where to put the site.  [default: site/]")
def build(config: Path | None, folder: Path | None) -> None:
    """Check the solos, annotate them and build the site.

    A solo with errors is not published: the command names it and stops.
    The new site takes the place of the old one when it is whole.

    \b
    Example:
      tabtools build
    """
    path = _site_settings(config)
    _check_solos(path)
    from tabtools.website.build import SiteError, build_site

    try:
        target = build_site(path, folder)
    except SiteError as error:
        raise StopError(str(error)) from None
    click.echo(f"site built: {from_here(target.resolve())}/index.html")


@main.command(
    statuses={
        CLEAN: "stopped with Ctrl-C",
        INTERRUPTED: "stopped with Ctrl-C before the first build was through",
    }
)
@CONFIG
@click.option("--address", default="127.0.0.1:8000", show_default=True, help="Where to serve.")
def serve(config: Path | None, address: str) -> None:
    """Serve the site while you write; pages follow what you save.

    What is wrong with a solo stands on its page, and never stops this.

    \b
    Example:
      tabtools serve --address 127.0.0.1:9000
    """
    path = _site_settings(config)
    from tabtools.website.build import SiteError
    from tabtools.website.serving.serve import serve_site

    try:
        serve_site(path, address, click.echo)
    except SiteError as error:
        raise StopError(str(error)) from None
