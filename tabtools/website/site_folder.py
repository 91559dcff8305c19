"""Where a site may be put: nowhere that a solo, a lesson or anything else of somebody's could be lost."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from tabtools.files import from_here, shown_name

MARK = ".tabtools-site"
"""The file by which a site of ours is known. It lists what the build has written; its name starts with a dot, so that
mkdocs lets it be."""

_OF_AN_UNMARKED_SITE = ("404.html", "sitemap.xml", "assets/tabtools.css", "assets/tab.css", "search/search_index.json")
"""Files of every site that was made before there was a mark, and together of no other folder."""

_SOURCES = (".solo", ".md", ".yml", ".toml")
_DOWNLOADS = "solos/files"
_SHOWN = 3
_ANOTHER = "name a folder of the site's own, as site_dir in mkdocs.yml or with tabtools build --to"


class SiteFolderError(Exception):
    """A folder that no site can be put into; the text says which, why, and what to do."""


@dataclass(frozen=True)
class Sources:
    """What a site is made from: the folder of the solos, that of the written pages, and the `roots` of it all."""

    solos: Path
    pages: Path
    roots: tuple[Path, ...]


def refusal(folder: Path, why: str, advice: str = _ANOTHER) -> SiteFolderError:
    """The error that says why no site can be put into a folder."""
    return SiteFolderError(f"the site cannot go into {shown_name(from_here(folder))}: {why}; {advice}")


def checked_folder(wanted: Path, sources: Sources) -> Path:
    """The folder for a site, links followed. Raises `SiteFolderError` where sources stand in the way.

    Folders are compared by what they are, not by their names: links, `..` and letter case hide nothing.
    """
    target = _followed(wanted)
    for name, place in (("the solos", sources.solos), ("the written pages", sources.pages)):
        if _is_same(target, place):
            raise refusal(wanted, f"this is the folder of {name}")
        if _is_within(place, target):
            raise refusal(wanted, f"the folder of {name} lies in it")
        if _is_within(target, place):
            raise refusal(wanted, f"it lies in the folder of {name}")
    if any(_is_same(target, root) or _is_within(root, target) for root in sources.roots):
        raise refusal(wanted, "the whole repository lies in it")
    if any(map(_is_of_git, (target, *target.parents))):
        raise refusal(wanted, "it belongs to git")
    if os.path.lexists(target / ".git"):
        raise refusal(wanted, "this is a git repository", "build into another folder and copy the pages from there")
    if os.path.ismount(target):
        raise refusal(wanted, "a disk begins there, and a site is replaced as a whole", "name a folder within it")
    return target


def _followed(wanted: Path) -> Path:
    """A folder that is there, or that could be made there."""
    try:
        target = Path(os.path.realpath(wanted))
        if target.is_dir():
            return target
        if os.path.lexists(target):
            raise refusal(wanted, "this is a link that leads nowhere" if target.is_symlink() else "this is no folder")
        below = next(parent for parent in target.parents if os.path.lexists(parent))
    except (OSError, ValueError) as error:
        raise refusal(wanted, f"this name cannot be used ({_reason(error)})") from None
    if not below.is_dir():
        raise refusal(wanted, f"{shown_name(from_here(below))} is no folder")
    return target


def check_content(target: Path) -> tuple[str, ...]:
    """Look for things that a new site would replace and no build has written; raises `SiteFolderError` for them.

    Returns the hidden files that others have put into an earlier site, such as `.nojekyll`: the next one keeps them.
    """
    if not is_filled(target):
        return ()
    found = list(files_within(target))
    ours = _marked(target)
    if ours is None and not _is_unmarked_site(found):
        what = _some(sorted(path.name for path in target.iterdir()))
        advice = f"if it is an old site, delete it; otherwise {_ANOTHER}"
        raise refusal(target, f"it is not empty, and no site of tabtools ({what})", advice)
    others = [name for name in found if name not in ours] if ours is not None else list(filter(_is_hidden, found))
    strange = [name for name in others if not _is_hidden(name) or not _is_kept(target / name)]
    if strange:
        raise refusal(target, f"no build has put there {_some(strange)}", "move that elsewhere first")
    return tuple(name for name in others if name != MARK)


def is_filled(folder: Path) -> bool:
    """Whether a folder is there and not empty."""
    return folder.is_dir() and any(folder.iterdir())


def files_within(folder: Path) -> Iterator[str]:
    """The path, from the folder, of everything in it that is no folder; links are not followed."""

    def refuse(error: OSError) -> None:
        raise refusal(Path(error.filename), f"it cannot be looked into ({_reason(error)})")

    for place, folders, names in os.walk(folder, onerror=refuse):
        links = [name for name in folders if Path(place, name).is_symlink()]
        for name in sorted((*names, *links)):
            yield Path(place, name).relative_to(folder).as_posix()


def mark(names: Iterable[str]) -> str:
    """The text of the mark of a site that has these files."""
    about = "This folder is a site that tabtools has made; the next build replaces it. These are its files."
    return json.dumps({"about": about, "files": sorted({*names} - {MARK})}, allow_nan=False, indent=0) + "\n"


def _marked(folder: Path) -> frozenset[str] | None:
    """What the mark says the build has written, itself included; None where there is no mark that can be read."""
    path = folder / MARK
    if not path.is_file() or path.is_symlink():
        return None
    try:
        names = json.loads(path.read_text(encoding="utf-8"))["files"]
        return frozenset((*names, MARK))
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None


def _is_unmarked_site(names: list[str]) -> bool:
    own = [name for name in names if not _is_hidden(name) and PurePosixPath(name).parent.as_posix() != _DOWNLOADS]
    return {*_OF_AN_UNMARKED_SITE} <= {*names} and not any(name.endswith(_SOURCES) for name in own)


def _is_hidden(name: str) -> bool:
    return any(part.startswith(".") for part in PurePosixPath(name).parts)


def _is_kept(path: Path) -> bool:
    return ".git" not in path.parts and (path.is_symlink() or path.is_file())


def _is_of_git(folder: Path) -> bool:
    """Whether git would take a folder for one of its own."""
    if folder.name.casefold() == ".git":
        return True
    return (folder / "HEAD").is_file() and (folder / "objects").is_dir() and (folder / "refs").is_dir()


def _is_within(inner: Path, outer: Path) -> bool:
    return any(_is_same(parent, outer) for parent in Path(os.path.realpath(inner)).parents)


def _is_same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:
        return False


def _some(names: list[str]) -> str:
    shown = [shown_name(Path(name)) for name in names[:_SHOWN]]
    more = [f"{len(names) - _SHOWN:,} more"] if len(names) > _SHOWN else []
    return " and ".join(filter(None, [", ".join((shown + more)[:-1]), (shown + more)[-1]]))


def _reason(error: OSError | ValueError) -> str:
    """Python words what it says of NUL characters, the one thing of a `ValueError` here, otherwise in each version."""
    if isinstance(error, ValueError):
        return "it holds a NUL character"
    return (error.strerror or str(error)).lower()
