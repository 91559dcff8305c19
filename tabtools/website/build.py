"""Build or serve the site from Python, with mkdocs doing the work."""

from __future__ import annotations

import logging
import os
from pathlib import Path


class SiteError(Exception):
    """A site that could not be built; the text says why."""


def build_site(config_path: Path | str, folder: Path | str | None = None, strict: bool = False) -> Path:
    """Build the site that a mkdocs.yml describes, into `folder` or where it says. Returns the site's folder.

    Raises `SiteError`; mkdocs has then logged the details. With `strict`, warnings are errors too.
    """
    _quiet()
    from mkdocs.commands.build import build
    from mkdocs.config import load_config
    from mkdocs.exceptions import Abort, ConfigurationError

    settings = {"strict": True} if strict else {}
    if folder is not None:
        settings["site_dir"] = str(Path(folder).resolve())
    try:
        config = load_config(str(config_path), **settings)
        config.plugins.on_startup(command="build", dirty=False)
        try:
            build(config)
        finally:
            config.plugins.on_shutdown()
    except (Abort, ConfigurationError, OSError) as error:
        raise SiteError(str(error)) from error
    return Path(config.site_dir)


def serve_site(config_path: Path | str, address: str = "127.0.0.1:8000") -> None:
    """Serve the site while its sources change, and log where. Raises `SiteError` when the first build fails."""
    _quiet()
    server = logging.getLogger("mkdocs.livereload")
    server.setLevel(logging.INFO)
    server.addHandler(logging.StreamHandler())
    from mkdocs.commands.serve import serve
    from mkdocs.exceptions import Abort, ConfigurationError

    try:
        serve(str(config_path), dev_addr=address)
    except (Abort, ConfigurationError, OSError) as error:
        raise SiteError(str(error)) from error


def _quiet() -> None:
    """Silence the notice that a second major version will drop plugins: the versions are pinned for that reason."""
    os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")
