"""Build or serve the site from Python. mkdocs does the work, or properdocs, which continues it."""

from __future__ import annotations

import errno
import ipaddress
import logging
import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tabtools.source import is_number

CONFIG_NAMES = ("properdocs.yml", "mkdocs.yml")
"""What a site's settings are called, and with it what builds the site: the first of them that is there."""

_SERVER, _WAITING = "livereload", "plugins.tabtools.waiting"
_NOT_REBUILT = "the site is not rebuilt until that is mended and saved"
_USUAL_PORT, _LAST_PORT, _FIGURES_OF_A_PORT = 8000, 65535, 5


class SiteError(Exception):
    """A site that could not be built or served; the text says why."""


def build_site(config_path: Path | str, folder: Path | str | None = None, strict: bool = False) -> Path:
    """Build the site that a mkdocs.yml describes, into `folder` or where it says. Returns the site's folder.

    Raises `SiteError`; the site that was there stays. With `strict`, warnings are errors too.
    """
    config_path = Path(config_path)
    with _engine(config_path):
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


def serve_site(config_path: Path | str, address: str = "127.0.0.1:8000") -> None:
    """Serve the site while its sources change, and log where.

    Raises `SiteError` when the first build fails or nothing can be served at that address.
    """
    _check_address(address)
    with _engine(Path(config_path)):
        from mkdocs.commands.serve import serve

        serve(str(config_path), dev_addr=address)


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
def _engine(config_path: Path) -> Iterator[None]:
    """Within, `mkdocs` is what builds the site of these settings, and what keeps it from that is a `SiteError`."""
    os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")  # that version is pinned away
    if config_path.stem == "properdocs":
        _take_properdocs()
    from mkdocs.exceptions import Abort, ConfigurationError

    engine = logging.getLogger(Abort.__module__.partition(".")[0])
    for name in (_SERVER, _WAITING):
        engine.getChild(name).setLevel(logging.INFO)
    messages = _Messages()
    engine.addHandler(messages)
    try:
        yield
    except (Abort, ConfigurationError) as error:
        raise SiteError("\n".join(messages.errors or [str(error)]).removeprefix("tabtools: ")) from error
    except OSError as error:
        place = f" ({error.filename})" if error.filename else ""
        raise SiteError(f"no site was built: {(error.strerror or str(error)).lower()}{place}") from error
    finally:
        engine.removeHandler(messages)


def _take_properdocs() -> None:
    """Let properdocs answer wherever mkdocs is asked for, as its own command does. It has to come before mkdocs."""
    try:
        import properdocs.replacement  # noqa: F401
    except ImportError:
        raise SiteError("properdocs.yml needs properdocs: pip install properdocs, or call it mkdocs.yml") from None
    logging.getLogger("mkdocs").parent = logging.getLogger("properdocs")


class _Messages(logging.Handler):
    """Shows what is said while a site is built. Its errors are kept, to be raised, until the site is served."""

    def __init__(self) -> None:
        super().__init__(logging.INFO)
        self.errors: list[str] = []
        self._shown = logging.StreamHandler()
        self._is_serving = False

    def emit(self, record: logging.LogRecord) -> None:
        is_of_server = record.name.endswith(_SERVER)
        self._is_serving = self._is_serving or is_of_server
        if record.levelno < logging.ERROR:
            if is_of_server or record.name.endswith(_WAITING) or record.levelno == logging.WARNING:
                self._shown.emit(record)
        elif not self._is_serving:
            self.errors.append(record.getMessage())
        else:
            if is_of_server:
                record.msg, record.args = _NOT_REBUILT, ()
            self._shown.emit(record)


def _check_address(address: str) -> None:
    """Raises `SiteError` for an address that nothing can be served at."""
    name, _, port = address.rpartition(":")
    try:
        host = "127.0.0.1" if name == "localhost" else name.removeprefix("[").removesuffix("]")
        family = socket.AF_INET6 if ipaddress.ip_address(host).version == 6 else socket.AF_INET
        is_one = is_number(port) and len(port) <= _FIGURES_OF_A_PORT and int(port) <= _LAST_PORT
    except ValueError:
        is_one = False
    if not is_one:
        raise SiteError(f"{address} is no address to serve at; write it like 127.0.0.1:9000")
    try:
        with socket.socket(family) as one:
            one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            one.bind((host, int(port)))
            one.listen()
    except OSError as error:
        next_one = int(port) + 1 if _USUAL_PORT <= int(port) < _LAST_PORT else _USUAL_PORT
        other = f"choose another port, like --address {name}:{next_one}"
        if error.errno == errno.EADDRINUSE:
            why = f"port {port} is taken, perhaps by another tabtools serve; stop that, or {other}"
        elif error.errno == errno.EACCES:
            why = f"port {port} is not yours to use; {other}"
        else:
            why = f"nothing can be served at {address}: {(error.strerror or str(error)).lower()}"
        raise SiteError(why) from None
