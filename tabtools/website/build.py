"""Build the site from Python. mkdocs does the work, or properdocs, which continues it."""

from __future__ import annotations

import logging
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

CONFIG_NAMES = ("properdocs.yml", "mkdocs.yml")
"""What a site's settings are called, and with it what builds the site: the first of them that is there."""

_WAITING = "plugins.tabtools.waiting"


class SiteError(Exception):
    """A site that could not be built or served; the text says why."""


def build_site(config_path: Path | str, folder: Path | str | None = None, strict: bool = False) -> Path:
    """Build the site that a mkdocs.yml describes, into `folder` or where it says. Returns the site's folder.

    Raises `SiteError`; the site that was there stays. With `strict`, warnings are errors too.
    """
    config_path = Path(config_path)
    with engine(config_path):
        from mkdocs.commands.build import build
        from mkdocs.config import load_config

        config = load_config(str(config_path), site_dir=os.devnull, strict=strict or None)
        config.site_dir = str(_wanted_folder(config_path, folder))
        config.plugins.on_startup(command="build", dirty=False)
        try:
            build(config)
        finally:
            config.plugins.on_shutdown()
        return Path(config.site_dir)


def _wanted_folder(config_path: Path, folder: Path | str | None) -> Path:
    """Where the site is to be. The plugin judges that, in better words than those that mkdocs has for some of it."""
    if folder is not None:
        return Path(folder).absolute()
    from mkdocs.utils.yaml import yaml_load

    with config_path.open("rb") as file:
        own = yaml_load(file).get("site_dir", "site")
    if not isinstance(own, str):
        raise SiteError(f"{config_path.name}: site_dir is to be the name of a folder")
    return config_path.absolute().parent / own


@contextmanager
def engine(config_path: Path) -> Iterator[None]:
    """Within, `mkdocs` is what builds the site of these settings, and what keeps it from that is a `SiteError`."""
    os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")  # that version is pinned away
    if config_path.stem == "properdocs":
        _take_properdocs()
    from jinja2 import TemplateError
    from mkdocs.exceptions import Abort, ConfigurationError

    log = logging.getLogger(Abort.__module__.partition(".")[0])
    log.getChild(_WAITING).setLevel(logging.INFO)
    messages = _Messages()
    log.addHandler(messages)
    try:
        yield
    except (Abort, ConfigurationError) as error:
        said = messages.errors or [str(error.__context__ or error)]
        raise SiteError("\n".join(said).removeprefix("tabtools: ")) from error
    except UnicodeDecodeError as error:
        raise SiteError("\n".join(messages.errors or [str(error)])) from error
    except TemplateError as error:
        raise SiteError(f"a template of the site cannot be used: {error}") from error
    except OSError as error:
        place = f" ({error.filename})" if error.filename else ""
        raise SiteError(f"no site was built: {(error.strerror or str(error)).lower()}{place}") from error
    finally:
        log.removeHandler(messages)


def _take_properdocs() -> None:
    """Let properdocs answer wherever mkdocs is asked for, as its own command does. It has to come before mkdocs."""
    try:
        import properdocs.replacement  # noqa: F401
    except ImportError:
        raise SiteError("properdocs.yml needs properdocs: pip install properdocs, or call it mkdocs.yml") from None
    logging.getLogger("mkdocs").parent = logging.getLogger("properdocs")


class _Messages(logging.Handler):
    """Shows what is said while a site is built. Its errors are kept, to be raised."""

    def __init__(self) -> None:
        super().__init__(logging.INFO)
        self.errors: list[str] = []
        self._shown = logging.StreamHandler()

    def emit(self, record: logging.LogRecord) -> None:
        if record.levelno >= logging.ERROR:
            self.errors.append(record.getMessage())
        elif record.name.endswith(_WAITING) or record.levelno == logging.WARNING:
            self._shown.emit(record)
