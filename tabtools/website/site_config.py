"""Settings of a site that would break it without a word: each is refused with what to write instead."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from tabtools.settings import Settings

INSTANT = "navigation.instant"
"""The theme's feature that puts one page in the place of another. It changes the address of everything that has one,
fails at the signs of a drawing (`use` in SVG, whose address is read-only), and leaves the page half made."""


class SiteConfigError(Exception):
    """A setting in mkdocs.yml that no site can be made with; the text says which and what to write."""


def solos_folder(root: Path, named: str | None, settings: Settings) -> Path:
    """The folder that is published, which is the one that is linted. `root` is the folder of mkdocs.yml, `named` the
    folder that stands there. Raises `SiteConfigError` where that is another one, or is not there."""
    folder = settings.folder
    if named is not None and (root / named).resolve() != folder.resolve():
        raise SiteConfigError(
            f"mkdocs.yml would publish the solos in “{named}”, while those in {settings.transcriptions} are linted; "
            "say which folder it is with transcriptions under [tool.tabtools] in pyproject.toml, a folder within the "
            "repository, and take that line out of mkdocs.yml"
        )
    if not folder.is_dir():
        beside = "beside mkdocs.yml" if settings.root.resolve() == root.resolve() else f"in {settings.root}"
        raise SiteConfigError(f"there is no folder {settings.transcriptions} {beside}; tabtools new makes a first solo")
    return folder


def check_folders(solos: Path, pages: Path) -> None:
    """Raises `SiteConfigError` where the solos and the written pages (`docs_dir`) are not apart."""
    inner, outer = solos.resolve(), pages.resolve()
    if inner.is_relative_to(outer):
        raise SiteConfigError(
            f"the folder of the solos, {solos.name}, lies in docs_dir, {pages.name}, whose files are published as they "
            "are; put it beside that, and name it with transcriptions under [tool.tabtools] in pyproject.toml"
        )
    if outer.is_relative_to(inner):
        raise SiteConfigError(
            f"docs_dir, {pages.name}, lies in the folder of the solos, {solos.name}; put one beside the other"
        )


def check_features(features: object) -> None:
    """Raises `SiteConfigError` for features of the theme that leave pages without tab and player."""
    given = features.split() if isinstance(features, str) else features if isinstance(features, Iterable) else ()
    wanted = [one for one in given if isinstance(one, str)]
    instant = [one for one in wanted if one == INSTANT or one.startswith(INSTANT + ".")]
    if instant:
        raise SiteConfigError(
            f"with {' and '.join(instant)}, pages come without tab and player when a link leads to them; take "
            f"{'it' if len(instant) == 1 else 'them'} out of the theme's features in mkdocs.yml"
        )


def check_once(are_ours: Iterable[bool]) -> None:
    """Raises `SiteConfigError` where more than one of the plugins is ours."""
    if sum(are_ours) > 1:
        raise SiteConfigError("tabtools stands twice among the plugins in mkdocs.yml; keep one, with all its settings")


def polyfills_of(extra: Mapping[str, Any]) -> list[str]:
    """The scripts that are loaded before the theme's own. Raises `SiteConfigError` where they are no list."""
    found = extra.get("polyfills", [])
    if not isinstance(found, list) or not all(isinstance(one, str) for one in found):
        example = found if isinstance(found, str) else "assets/mine.js"
        raise SiteConfigError(f"polyfills under extra in mkdocs.yml is to be a list of scripts: polyfills: [{example}]")
    return found
