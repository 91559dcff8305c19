"""The mkdocs plugin: a page for every solo, an index that leads to them, and the check reference.

Nothing is written below docs_dir: pages are generated in memory. Solos stay out of the navigation tree, whose cost
grows with the square of its size; the index leads to them. The tab is put in after the page has been rendered, so
that neither Markdown nor the search index spends time on drawings. mkdocs is given a folder beside the site's own to
build in, because it begins by emptying the folder it is given.
"""

from __future__ import annotations

import logging
from html import escape
from importlib.metadata import version
from pathlib import Path
from typing import NamedTuple

from jinja2 import Environment
from mkdocs.config import base, config_options
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.livereload import LiveReloadServer
from mkdocs.plugins import BasePlugin, CombinedEvent, event_priority
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page
from mkdocs.utils import CountHandler
from mkdocs.utils.templates import TemplateContext

from tabtools.cache.results import users_keeping
from tabtools.checks import ALL_CHECKS
from tabtools.files import from_here
from tabtools.settings import Settings, SettingsError, load_settings
from tabtools.website import wrong_address
from tabtools.website.check_reference import check_page, checks_index
from tabtools.website.collection import Collection, Preparing, UnpublishableError, gather
from tabtools.website.facet_pages import Gathered
from tabtools.website.generated import generated, written
from tabtools.website.page_build import Prepared
from tabtools.website.placing import PlaceMissingError, check_linked, filled, is_place_in
from tabtools.website.searched import SearchedWords
from tabtools.website.site import Site, Whereabouts
from tabtools.website.site_config import (
    SiteConfigError,
    check_features,
    check_folders,
    check_once,
    polyfills_of,
    solos_folder,
)
from tabtools.website.site_folder import SiteFolderError, Sources, checked_folder
from tabtools.website.site_staging import Staging
from tabtools.website.solo_page import correction_form
from tabtools.website.solo_page.page import TAB_HERE
from tabtools.website.theme import (
    CALM_THEME,
    DISPENSABLE,
    LATE_SEARCH,
    SIGN,
    STYLESHEETS,
    THEMES_SIGN,
    WORKER,
    ThemeError,
    check_scripts,
    check_words,
    is_known,
    mended,
    own_template,
)

log = logging.getLogger(f"{BasePlugin.__module__}.tabtools")

waiting = log.getChild("waiting")

FIRST, LAST = 1000, -1000
"""Before and after what other plugins do at a moment of the build."""

SOLOS, CHECKS = "solos", "checks"


class TabtoolsConfig(base.Config):  # type: ignore[no-untyped-call]  # mkdocs leaves it untyped
    """Settings under `plugins: - tabtools:` in mkdocs.yml."""

    transcriptions = config_options.Optional(config_options.Type(str))
    check_pages = config_options.Type(bool, default=False)
    issue_url = config_options.Type(str, default="")


class Made(NamedTuple):
    """What a build has made before its pages, and what they are made with."""

    env: Environment
    files: Files
    nav: Navigation


class TabtoolsPlugin(BasePlugin[TabtoolsConfig]):  # type: ignore[no-untyped-call]
    """Publishes the solo files of a folder beside mkdocs.yml. With `preparing`, solos with errors too."""

    folder: Path
    settings: Settings
    collection: Collection
    site: Site
    assets: list[str]
    made: Made
    nav: Navigation
    is_serving = False
    preparing: Preparing | None = None
    staging: Staging | None = None

    def on_startup(self, *, command: str, dirty: bool) -> None:
        """A site that is only served stands in a folder that was made for it; one that is published takes no errors."""
        self.is_serving = command == "serve"
        if not self.is_serving:
            self.preparing = None

    def on_shutdown(self) -> None:
        """Clear away a build that was broken off."""
        self._drop_staging()

    @event_priority(50)
    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Find the folder of the solos and add the stylesheets."""
        root = Path(config.config_file_path).parent if config.config_file_path else Path.cwd()
        try:
            self.settings = load_settings(root.resolve())
            correction_form.check_issue_address(self.config.issue_url)
            self.folder = solos_folder(root, self.config.transcriptions, self.settings)
            check_folders(self.folder, Path(config.docs_dir))
            check_features(config.theme.get("features"))
            check_once(isinstance(one, TabtoolsPlugin) for one in config.plugins.values())
            polyfills = polyfills_of(config.extra)
            if not self.is_serving:
                sources = Sources(self.folder, Path(config.docs_dir), (root, self.settings.root))
                self.target = checked_folder(Path(config.site_dir), sources)
        except correction_form.IssueAddressError as fault:
            raise PluginError(f"tabtools: issue_url in mkdocs.yml: {fault}") from None
        except (SettingsError, SiteConfigError, SiteFolderError) as fault:
            raise PluginError(f"tabtools: {fault}") from None
        if not is_known(config.theme.dirs):
            log.warning("the pages of solos are made for the theme material; nobody has seen them in another one")
        config.extra_css.extend(STYLESHEETS)
        self.assets = [*STYLESHEETS]
        self.searched = SearchedWords()
        if config.theme.get("favicon") == THEMES_SIGN:
            config.theme["favicon"] = SIGN
            self.assets.append(SIGN)
        is_offline = any(
            name.endswith("offline") and one.config.get("enabled", True) for name, one in config.plugins.items()
        )
        before_theme = [WORKER] * is_offline + [LATE_SEARCH, CALM_THEME] * is_known(config.theme.dirs)
        config.extra["polyfills"] = [*polyfills, *before_theme]
        self.assets += before_theme
        return config

    def on_nav(self, nav: Navigation, *, config: MkDocsConfig, files: Files) -> None:
        """Keep the navigation for pages that are made again."""
        self.nav = nav

    @event_priority(LAST)
    def on_env(self, env: Environment, *, config: MkDocsConfig, files: Files) -> None:
        """Look whether the theme is as it has to be."""
        self.made = Made(env, files, self.nav)
        try:
            check_scripts(config.extra.get("polyfills", ()))
            if is_known(config.theme.dirs):
                check_words(lambda name: own_template(env, name), version("mkdocs-material"))
        except ThemeError as fault:
            raise PluginError(f"tabtools: {fault}") from None

    @event_priority(FIRST)
    def on_pre_build(self, *, config: MkDocsConfig) -> None:
        """Have the site built beside the one that is there."""
        if self.is_serving:
            return
        try:
            self.staging = Staging(self.target, self._say_that_another_build_runs)
        except SiteFolderError as fault:
            raise PluginError(f"tabtools: {fault}") from None
        self.site_dir, config.site_dir = config.site_dir, str(self.staging.folder)

    @event_priority(LAST)
    def on_post_build(self, *, config: MkDocsConfig) -> None:
        """Put the finished site in its place."""
        if self.staging is None:
            return
        config.site_dir = self.site_dir
        if _is_refused_for_warnings(config):
            return
        try:
            self.staging.put_in_place()
        except SiteFolderError as fault:
            raise PluginError(f"tabtools: {fault}") from None
        log.info("the site stands in %s", from_here(self.target))

    def on_build_error(self, *, error: Exception) -> None:
        """Leave the site as it was."""
        self._drop_staging()

    def _drop_staging(self) -> None:
        if self.staging is not None:
            self.staging.drop()
            self.staging = None

    def _say_that_another_build_runs(self) -> None:
        waiting.info("another build into %s is running; waiting until it has ended", from_here(self.target))

    def on_serve(self, server: LiveReloadServer, *, config: MkDocsConfig, builder: object) -> LiveReloadServer:
        """Rebuild when a solo or a lesson changes."""
        server.watch(str(self.folder))
        return server

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """Check the solos and add their pages. An error in one that is no draft stops the build."""
        try:
            self.collection = gather(
                from_here(self.folder), self.settings, config.use_directory_urls, users_keeping(), self.preparing
            )
        except UnpublishableError as fault:
            raise PluginError(f"tabtools: not published\n{fault}") from None
        for warning in self.collection.warnings:
            log.warning("%s", warning)
        self.site = Site(self.collection, self.folder, _whereabouts(config, self.config.issue_url))
        for solo in self.collection.solos.values():
            self._add(files, config, f"{SOLOS}/{solo.slug}.md", source=solo.path)
            if solo.header.draft:
                log.info("%s is published as a draft", solo.slug)
        self._add(files, config, f"{SOLOS}/index.md", listed=True)
        if self.config.check_pages:
            self._add(files, config, f"{CHECKS}/index.md", checks_index(ALL_CHECKS), listed=True)
            for check in ALL_CHECKS:
                self._add(files, config, f"{CHECKS}/{check.NAME}.md", check_page(check))
        for uri, content in self.site.files():
            files.append(generated(config, uri, content))
        for uri, data in self.site.downloads(self.collection.solos):
            files.append(written(config, uri, data))
        for gathered in self.site.gathered.values():
            self._add(files, config, gathered.path + ".md")
        for asset in self.assets:
            files.append(File.generated(config, asset, abs_src_path=str(Path(__file__).parent / asset)))
        return files

    def renew(self, path: Path, config: MkDocsConfig) -> str | None:
        """Make a solo ready again that is new, or whose file or lesson has changed; its page and what leads to it stay
        as they were.

        Returns the name of its page among the sources, None where the solo is not there any more.
        """
        assert self.preparing is not None
        folder = from_here(self.folder)
        path = folder / path.relative_to(self.folder.absolute())
        solo = self.collection.prepared_anew(path, folder, self.settings, self.preparing)
        if solo is None:
            return None
        self.collection = self.collection.with_solo(solo)
        self.site = self.site.of(self.collection)
        for uri, data in self.site.downloads([solo.slug]):
            written(config, uri, data)
        return self._with_page(config, f"{SOLOS}/{solo.slug}.md", solo.path)

    def forget(self, slug: str, config: MkDocsConfig) -> str:
        """Take a solo out that is gone, and its files; what led to it stays as it was. Returns the name of its page."""
        for uri, _ in self.site.downloads([slug]):
            Path(config.site_dir, uri).unlink(missing_ok=True)
        self.collection = self.collection.without_solo(slug)
        self.site = self.site.of(self.collection)
        return f"{SOLOS}/{slug}.md"

    def retell(self, config: MkDocsConfig) -> tuple[list[str], list[str]]:
        """Tell anew what leads to the solos. Returns the names of pages that are new, and of those that are gone."""
        before = self.site.gathered.keys()
        self.collection = self.collection.retold()
        self.site = self.site.of(self.collection)
        for uri, content in self.site.files():
            written(config, uri, content.encode())
        now = self.site.gathered.keys()
        come = [self._with_page(config, f"{path}.md") for path in now - before]
        return come, [f"{path}.md" for path in before - now]

    def _with_page(self, config: MkDocsConfig, uri: str, source: str = "") -> str:
        """The name of a page, which is added where it is not there yet."""
        files = self.made.files
        if files.get_file_from_path(uri) is None:
            self._add(files, config, uri, source=source)
        return uri

    def _add(
        self, files: Files, config: MkDocsConfig, uri: str, content: str = "", listed: bool = False, source: str = ""
    ) -> None:
        """Add a page, unless one of that name was written by hand."""
        if files.get_file_from_path(uri) is not None:
            log.info("%s is written by hand and is left as it is", uri)
            return
        file = generated(config, uri, content, source)
        file.inclusion = InclusionLevel.UNDEFINED if listed else InclusionLevel.NOT_IN_NAV
        files.append(file)

    def on_page_markdown(self, markdown: str, *, page: Page, config: MkDocsConfig, files: Files) -> str:
        """Give a solo's page its title, description and tags; there is no Markdown to render."""
        solo = self._solo(page)
        if solo is not None:
            page.title = escape(solo.title)
            page.meta = {
                "title": escape(solo.title),
                "description": escape(solo.description),
                "tags": [escape(tag) for tag in solo.header.tags],
                "hide": ["navigation", "toc"],
            }
        elif (gathered := self._gathered(page)) is not None:
            page.title = escape(gathered.title)
            page.meta = gathered.meta()
        elif self._is_index(page):
            page.title = "Solos"
            page.meta = {"description": "All solos, with key, meter, tempo and tuning.", "hide": ["toc"]}
        return markdown

    def on_page_content(self, html: str, *, page: Page, config: MkDocsConfig, files: Files) -> str:
        """The body of a solo's page, of the index."""
        solo = self._solo(page)
        if solo is not None:
            sheet = solo.open()
            page.present_anchor_ids = {*(page.present_anchor_ids or ()), *sheet.page.anchors.values()}
            return str(sheet.page.body)
        if (gathered := self._gathered(page)) is not None:
            return str(self.site.body(gathered))
        return str(self.site.index()) if self._is_index(page) else html

    @event_priority(100)
    def _before_search(self, /, context: TemplateContext, *, page: Page, **_: object) -> TemplateContext:
        if self._is_made(page):
            page.content = self.searched.prose(page.content or "")
        return context

    @event_priority(-100)
    def _after_search(self, /, context: TemplateContext, *, page: Page, **_: object) -> TemplateContext:
        if self._is_made(page):
            page.content = self.searched.whole()
        else:
            page.content = self.site.with_openings(page.content or "", page.file.src_uri.removesuffix(".md"))
        return context

    on_page_context = CombinedEvent(_before_search, _after_search)
    """The search reads the prose of pages that we make, and nothing of solos shown on others: it finds them anyway."""

    def on_post_page(self, output: str, *, page: Page, config: MkDocsConfig) -> str:
        """Put the tab where it belongs, and say where the feed is."""
        solo = self._solo(page)
        output = mended(output)
        try:
            output = self.site.announced(output, page.url)
            if solo is not None:
                check_linked(output, [one for one in self.assets if one not in DISPENSABLE])
                return filled(output, self.site.completed(solo, solo.open(), page.url))
        except PlaceMissingError as fault:
            if page.file.generated_by == "tabtools":
                raise PluginError(f"tabtools: {page.file.src_uri}: {fault}") from None
        if is_place_in(output, TAB_HERE):
            log.warning("%s shows the page of a solo, whose tab is missing there", page.file.src_uri)
        return output

    def on_post_template(self, output: str, *, template_name: str, config: MkDocsConfig) -> str:
        """Mend the pages that are no documents; that for a wrong address is ours unless somebody wrote one."""
        if template_name == wrong_address.NAME and own_template(self.made.env, template_name):
            return str(wrong_address.page(config.site_name, config.site_url or "", self.collection.links))
        return mended(output) if template_name.endswith(".html") else output

    def _solo(self, page: Page) -> Prepared | None:
        if page.file.generated_by != "tabtools":
            return None
        folder, _, name = page.file.src_uri.partition("/")
        return self.collection.solos.get(name.removesuffix(".md")) if folder == SOLOS else None

    def _gathered(self, page: Page) -> Gathered | None:
        if page.file.generated_by != "tabtools":
            return None
        return self.site.gathered.get(page.file.src_uri.removesuffix(".md"))

    def _is_made(self, page: Page) -> bool:
        return bool(self._solo(page) or self._gathered(page) or self._is_index(page))

    def _is_index(self, page: Page) -> bool:
        return page.file.generated_by == "tabtools" and page.file.src_uri == f"{SOLOS}/index.md"


def _is_refused_for_warnings(config: MkDocsConfig) -> bool:
    """Whether mkdocs, once all is built, will call it a failure because of the warnings it has counted."""
    handlers = logging.getLogger(log.name.partition(".")[0]).handlers
    return config.strict and any(one.get_counts() for one in handlers if isinstance(one, CountHandler))


def _whereabouts(config: MkDocsConfig, issues: str) -> Whereabouts:
    return Whereabouts(
        config.site_name,
        config.site_url or "",
        config.repo_url or "",
        config.edit_uri or "",
        Path(config.docs_dir),
        issues,
    )
