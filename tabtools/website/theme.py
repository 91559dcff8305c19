"""The theme's own parts, mended: no question to another site, a name for every dialog, and search from a disk.

What is mended are words of finished pages. A version of the theme that has other words is refused: its pages would
not be mended, and nobody would notice.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from pathlib import Path

from jinja2 import Environment, TemplateNotFound

WORKER = "assets/iframe-worker.js"
"""Loaded before the theme's script where a site is made to be read from a disk. The theme's plugin for that would load
a script of this name from elsewhere, unless there is one already."""

LATE_SEARCH = "assets/late_search.js"
"""Loaded before the theme's script too: keeps it from loading its search before somebody goes there."""

CALM_THEME = "assets/calm_theme.js"
"""Loaded there as well: keeps it from having the whole page styled anew for colours that it has."""

STYLESHEETS = (
    "assets/tabtools.css",
    "assets/frame.css",
    "assets/tab.css",
    "assets/practice.css",
    "assets/study.css",
    "assets/index_page.css",
    "assets/correction_form.css",
    "assets/solo_page.css",
    "assets/print.css",
)

THEMES_SIGN, SIGN = "assets/images/favicon.png", "assets/sign.svg"
"""What stands beside a page's title in the browser, the theme's own and ours, which takes its place."""

DISPENSABLE = (LATE_SEARCH, CALM_THEME, SIGN)
"""What a page works without, where a template of somebody's own does not load it."""

TEMPLATES = ("material", "templates")
"""Where the theme's own templates lie, below whatever it is installed in."""

_SOURCE, _SEARCH = 'data-md-component="source"', 'data-md-component="search"'
"""By the first the theme asks the host of the repository how popular it is, which tells it of every reader."""
_WORDS = {
    "partials/source.html": (_SOURCE, "pages would ask the host of the repository how popular it is"),
    "partials/search.html": (_SEARCH, "the search would have no name for those who hear the page"),
    "base.html": ("config.extra.polyfills", "the search would not work from a disk"),
}


class ThemeError(Exception):
    """A theme that is not as it has to be; the text says what is missing."""


def is_known(folders: Iterable[str]) -> bool:
    """Whether these folders of templates have those of the theme that the pages are made for among them."""
    return any(Path(folder).parts[-2:] == TEMPLATES for folder in folders)


def own_template(env: Environment, name: str) -> str | None:
    """The text of the theme's own template, None where somebody has put another in its place, empty where there is
    none."""
    if env.loader is None:
        return ""
    try:
        text, path, _ = env.loader.get_source(env, name)
    except TemplateNotFound:
        return ""
    return text if path and is_known([path[: -len(name)]]) else None


def check_words(own_template: Callable[[str], str | None], version: str) -> None:
    """Look into the theme's templates for what is changed on finished pages.

    `own_template` gives the text of a template by its name, None where somebody has put another in its place. Raises
    `ThemeError`.
    """
    for name, (words, otherwise) in _WORDS.items():
        text = own_template(name)
        if text is not None and words not in text:
            raise ThemeError(
                f"mkdocs-material {version} is not as tabtools knows it: {name} has no {words}, so {otherwise}; "
                "install the version before it, or a newer tabtools"
            )


def check_scripts(scripts: Iterable[object]) -> None:
    """Raises `ThemeError` where the theme would load the search of a disk from another site."""
    for script in map(str, scripts):
        if "iframe-worker" in script and "://" in script:
            raise ThemeError(f"every page would load {script}, though {WORKER} does the same; take out the first")


def mended(html: str) -> str:
    """A page of the theme without its questions to a repository's host, its search dialog named."""
    return _attribute(_SEARCH).sub(_named, _attribute(_SOURCE).sub("", html))


def _attribute(words: str) -> re.Pattern[str]:
    """An attribute however it is quoted: what shortens pages leaves quotes out."""
    name, _, value = words.replace('"', "").partition("=")
    return re.compile(rf"{name}=(?:\"{value}\"|'{value}'|{value}(?=[\s>]))")


def _named(found: re.Match[str]) -> str:
    html = found.string
    tag = html[html.rfind("<", 0, found.start()) : html.find(">", found.end())]
    return found[0] if "aria-label" in tag else f'{found[0]} aria-label="Search"'
