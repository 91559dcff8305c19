"""A site that is built once and then page by page, as its solos change. mkdocs does the work, as in `build.py`."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple
from urllib.parse import urlsplit

from tabtools.source import LESSON_SUFFIX, SUFFIX
from tabtools.website.build import SiteError, engine
from tabtools.website.collection import is_taken
from tabtools.website.links import BY
from tabtools.website.serving.bench import Bench

if TYPE_CHECKING:
    from mkdocs.config.defaults import MkDocsConfig
    from mkdocs.structure.pages import Page

    from tabtools.website.plugin import TabtoolsPlugin


class Changed(NamedTuple):
    """A solo whose page has changed, and the address of that below the site."""

    slug: str
    address: str
    is_gone: bool = False


class LiveSite:
    """A site in a folder of its own. `mount` is the path that it stands at on its server, `/` or longer.

    Whole builds and single pages are made one after the other; what was made before can be read meanwhile.
    """

    def __init__(self, config_path: Path, folder: Path) -> None:
        self.bench = Bench()
        self.mount = "/"
        self.reading = threading.Lock()
        """Held while the file of a page is written."""
        self._config_path = config_path
        self._folder = folder
        self._making = threading.RLock()
        self._builds = 0
        self._changes = self._told = 0
        self._made_at: dict[str, int] = {}
        self._by_address: dict[str, Page] = {}
        self._config: MkDocsConfig
        self._plugin: TabtoolsPlugin

    @property
    def folder(self) -> Path:
        """Where the latest whole build stands."""
        return self._folder / str(self._builds)

    def build(self) -> None:
        """Build all of it. Raises `SiteError`; what was there stays."""
        with self._making, self._unharmed(), engine(self._config_path):
            from mkdocs.commands.build import build
            from mkdocs.config import load_config

            from tabtools.website.plugin import TabtoolsPlugin

            target = self._folder / str(self._builds + 1)
            shutil.rmtree(target, ignore_errors=True)
            config = load_config(str(self._config_path), site_dir=str(target))
            plugin = next((one for one in config.plugins.values() if isinstance(one, TabtoolsPlugin)), None)
            if plugin is None:
                raise SiteError(f"{self._config_path.name} has no tabtools among its plugins")
            plugin.preparing = self.bench.prepare
            if not self._builds:
                config.plugins.on_startup(command="serve", dirty=False)
            build(config, serve_url="/")
            with self.reading:
                before, self._builds = self.folder, self._builds + 1
            self._config, self._plugin = config, plugin
            self._changes = self._told = 0
            self._made_at = {}
            self._by_address = {one.page.url: one.page for one in plugin.made.files.documentation_pages() if one.page}
            self.mount = urlsplit(config.site_url or "/").path or "/"
            shutil.rmtree(before, ignore_errors=True)

    @contextmanager
    def _unharmed(self) -> Iterator[None]:
        """Within, a build that fails leaves the plugin as it was: mkdocs has one for all builds."""
        known = dict(vars(self._plugin)) if self._builds else {}
        try:
            yield
        except BaseException:
            if known:
                vars(self._plugin).update(known)
            raise

    def close(self) -> None:
        """End what plugins have begun."""
        if self._builds:
            self._config.plugins.on_shutdown()

    @property
    def solos(self) -> Path:
        """The folder of the solos."""
        return self._plugin.folder.absolute()

    def sources(self) -> Iterator[Path]:
        """The files and folders that the site is made from."""
        config = self._config
        yield from (self._config_path, self._plugin.folder, Path(config.docs_dir))
        yield self._plugin.settings.root / "pyproject.toml"
        if config.theme.custom_dir:
            yield Path(config.theme.custom_dir)
        yield from map(Path, config.watch)

    def stands_alone(self, path: Path) -> bool:
        """Whether a file that was saved, or is gone, is a solo or a lesson that changes, brings or takes one page.

        Where two solos have one name, or one that no page can have, only a whole build knows what becomes of them.
        """
        if path.suffix not in (SUFFIX, LESSON_SUFFIX) or not path.is_relative_to(self.solos):
            return False
        known = self._plugin.collection.solos.get(path.stem)
        is_other = known is not None and Path(known.path).absolute() != path.with_suffix(SUFFIX)
        return not is_other and not is_taken(path)

    def renew(self, path: Path) -> list[Changed]:
        """Make the page of a solo anew, bring that of a new one, take that of one that is gone. `path` is its file.

        What leads to it is told when it is asked for, but for lessons that name a solo that comes or goes. Returns the
        solos whose pages changed. Raises `SiteError`.
        """
        slug = path.stem
        with self._making, engine(self._config_path):
            was_there = slug in self._plugin.collection.solos
            uri = self._plugin.renew(path, self._config) if was_there or path.is_file() else None
            if uri is None and not was_there:
                return []
            self._changes += 1
            gone = "" if uri is not None else self._plugin.forget(slug, self._config)
            naming = self._renewed_naming(slug) if gone or not was_there else ()
            others = [Changed(other, self._make_now(name)) for other, name in naming]
            if uri is not None:
                return [*others, Changed(slug, self._make_now(uri))]
            self.bench.forget(slug)
            return [*others, Changed(slug, self._take(gone), is_gone=True)]

    def _renewed_naming(self, slug: str) -> Iterator[tuple[str, str]]:
        """The other solos whose lessons name one that has come or gone, made ready again, and their pages' names."""
        solos = self._plugin.collection.solos
        for other in list(self._plugin.collection.naming(slug)):
            name = self._plugin.renew(Path(solos[other].path).absolute(), self._config)
            if name is not None:
                yield other, name

    def refresh(self, address: str) -> None:
        """Bring the page at an address below the site up to date. Passes it over while something else is made, unless
        it is one that may only then be there.

        Raises `SiteError`.
        """
        is_known = address in self._by_address
        if not is_known and not (address.startswith(f"{BY}/") and self._told < self._changes):
            return
        if self._made_at.get(address, 0) == self._changes or not self._making.acquire(blocking=not is_known):
            return
        try:
            with engine(self._config_path):
                if self._told < self._changes:
                    self._retell()
                page = self._by_address.get(address)
                if page is not None and page.file.generated_by == "tabtools":
                    self._make(page)
            self._made_at[address] = self._changes
        finally:
            self._making.release()

    def _retell(self) -> None:
        """Tell anew what leads to the solos; its pages are made when they are asked for."""
        come, gone = self._plugin.retell(self._config)
        self._told = self._changes
        for uri in gone:
            self._take(uri)
        for uri in come:
            self._page_of(uri)

    def slug_at(self, address: str) -> str:
        """The slug of the solo whose page has this address below the site, empty for any other page."""
        page = self._by_address.get(address)
        slug = page.file.src_uri.removeprefix("solos/").removesuffix(".md") if page else ""
        return slug if slug in self._plugin.collection.solos and page and page.file.generated_by == "tabtools" else ""

    def _page_of(self, uri: str) -> Page:
        """The page of this name among the sources; a new one from here on stands at its address."""
        from mkdocs.structure.pages import Page

        file = self._plugin.made.files.get_file_from_path(uri)
        assert file is not None
        page = file.page or Page(None, file, self._config)
        self._by_address[page.url] = page
        return page

    def _make_now(self, uri: str) -> str:
        """Make a page that has just changed. Returns its address."""
        page = self._page_of(uri)
        self._make(page)
        self._made_at[page.url] = self._changes
        return page.url

    def _take(self, uri: str) -> str:
        """Take a page out, unless it was written by hand. Returns its address."""
        page = self._page_of(uri)
        if page.file.generated_by == "tabtools":
            self._plugin.made.files.remove(page.file)
            del self._by_address[page.url]
            with self.reading:
                (self.folder / page.file.dest_uri).unlink(missing_ok=True)
        return page.url

    def _make(self, page: Page) -> None:
        """One page, as a whole build makes it."""
        from mkdocs.commands.build import _build_page, _populate_page

        made = self._plugin.made
        _populate_page(page, self._config, made.files)
        with self.reading:
            _build_page(page, self._config, made.files.documentation_pages(), made.nav, made.env)
