"""A site that is built once and then page by page, as its solos change. mkdocs does the work, as in `build.py`."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from tabtools.source import LESSON_SUFFIX, SUFFIX
from tabtools.website.build import SiteError, engine
from tabtools.website.serving.bench import Bench

if TYPE_CHECKING:
    from mkdocs.config.defaults import MkDocsConfig
    from mkdocs.structure.pages import Page

    from tabtools.website.plugin import TabtoolsPlugin


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

    def is_known(self, path: Path) -> bool:
        """Whether a file that was saved, or is gone, is a solo or a lesson that changes the page of its solo alone."""
        solo = path.with_suffix(SUFFIX)
        is_of_solos = path.suffix in (SUFFIX, LESSON_SUFFIX) and path.is_relative_to(self.solos)
        return is_of_solos and solo.is_file() and solo.stem in self._plugin.collection.solos

    def renew(self, slug: str) -> bool:
        """Make the page of a solo anew; what leads to it, when it is asked for. Returns whether the solo is there.

        Raises `SiteError`.
        """
        with self._making, engine(self._config_path):
            is_there = self._plugin.renew(slug, self._config)
            if is_there:
                self._changes += 1
                page = self._page_of(slug)
                self._make(page)
                self._made_at[page.url] = self._changes
            return is_there

    def refresh(self, address: str) -> None:
        """Bring the page at an address below the site up to date. Passes it over while something else is made.

        Raises `SiteError`.
        """
        if self._made_at.get(address, 0) == self._changes or address not in self._by_address:
            return
        if not self._making.acquire(blocking=False):
            return
        try:
            page = self._by_address[address]
            with engine(self._config_path):
                if self._told < self._changes:
                    is_same = self._plugin.retell(self._config)
                    self._told = self._changes
                    if not is_same:
                        self.build()
                        return
                if page.file.generated_by == "tabtools":
                    self._make(page)
            self._made_at[address] = self._changes
        finally:
            self._making.release()

    def slug_at(self, address: str) -> str:
        """The slug of the solo whose page has this address below the site, empty for any other page."""
        page = self._by_address.get(address)
        slug = page.file.src_uri.removeprefix("solos/").removesuffix(".md") if page else ""
        return slug if slug in self._plugin.collection.solos and page and page.file.generated_by == "tabtools" else ""

    def address_of(self, slug: str) -> str:
        """The address of the page of a solo below the site."""
        return self._page_of(slug).url

    def _page_of(self, slug: str) -> Page:
        file = self._plugin.made.files.get_file_from_path(f"solos/{slug}.md")
        assert file is not None
        assert file.page is not None
        return file.page

    def _make(self, page: Page) -> None:
        """One page, as a whole build makes it."""
        from mkdocs.commands.build import _build_page, _populate_page

        made = self._plugin.made
        _populate_page(page, self._config, made.files)
        with self.reading:
            _build_page(page, self._config, made.files.documentation_pages(), made.nav, made.env)
