"""`tabtools serve`: watches the sources of a site, has it brought up to date, answers browsers and tells open pages."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from time import sleep, strftime, time_ns

from tabtools.reports.problems import summary
from tabtools.source import LESSON_SUFFIX, SUFFIX
from tabtools.website.build import SiteError
from tabtools.website.live_build import LiveSite
from tabtools.website.scripts import ASSETS, BENCH, joined
from tabtools.website.serving.endpoint import EndpointError, read_endpoint
from tabtools.website.serving.news import News
from tabtools.website.serving.on_the_way_out import with_bench
from tabtools.website.serving.server import OWN, Answer, Server, file_at, kind_of
from tabtools.website.serving.watching import Watch

SECONDS_BETWEEN_LOOKS = 0.15

Say = Callable[[str], None]


def serve_site(config_path: Path, address: str, say: Say) -> None:
    """Serve the site that these settings describe while its sources change, until Ctrl-C. `say` is told what happens.

    Raises `SiteError` when the first build fails or nothing can be served at that address. Later on, nothing that is
    wrong with the sources ends it.
    """
    with _ended_as_interrupted(), TemporaryDirectory(prefix="tabtools-serve-") as folder:
        live, news = LiveSite(config_path, Path(folder)), News()
        desk = _Desk(live, news, say)
        try:
            server = Server(read_endpoint(address), desk.answer, news)
        except EndpointError as error:
            raise SiteError(str(error)) from None
        try:
            began = time_ns()
            live.build()
            with _until_interrupted():
                server.mount = live.mount
                server.begin()
                say(live.bench.summary())
                say(f"Serving on http://{address}{live.mount} until you press Ctrl-C")
                desk.follow(began)
        finally:
            server.end()
            live.close()


@contextmanager
def _until_interrupted() -> Iterator[None]:
    try:
        yield
    except KeyboardInterrupt:
        return


@contextmanager
def _ended_as_interrupted() -> Iterator[None]:
    """Within, whoever ends this process has it tidy up as Ctrl-C does."""

    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGTERM, interrupt)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


class _Desk:
    """What follows the sources and answers for the site. `fault` is why the last whole build failed."""

    def __init__(self, live: LiveSite, news: News, say: Say) -> None:
        self._live = live
        self._news = news
        self._say = say
        self._fault = ""

    def follow(self, began: int) -> None:
        """Bring the site up to date with every change since its build `began`, in nanoseconds; for ever."""
        watch = Watch()
        watch.add(self._live.sources(), began)
        while True:
            sleep(SECONDS_BETWEEN_LOOKS)
            changed = {path for path in watch.changes() if self._matters(path)}
            if not changed:
                continue
            if all(self._live.stands_alone(path) for path in changed):
                self._renew(changed)
            else:
                began = time_ns()
                self._build()
                watch.add(self._live.sources(), began)

    def _matters(self, path: Path) -> bool:
        """Whether a file may be part of the site: of the folder of solos, only solos and lessons are."""
        if path.is_relative_to(self._live.solos):
            return path.suffix in (SUFFIX, LESSON_SUFFIX)
        return not path.name.endswith("~")

    def _renew(self, changed: set[Path]) -> None:
        for path in sorted({path.with_suffix(SUFFIX) for path in changed}):
            try:
                solos = self._live.renew(path)
            except SiteError as error:
                self._fail(error)
                return
            for slug, address, is_gone in solos:
                said = "gone" if is_gone else summary(self._live.bench.said[slug].problems, 1)
                self._say(f"{strftime('%H:%M:%S')} {slug}: {said}")
                self._news.tell(page=address)

    def _build(self) -> None:
        try:
            self._live.build()
        except SiteError as error:
            self._fail(error)
            return
        self._fault = ""
        self._say(f"{strftime('%H:%M:%S')} the whole site is up to date")
        self._news.tell(page="")

    def _fail(self, error: SiteError) -> None:
        self._fault = str(error)
        self._say(f"{strftime('%H:%M:%S')} {self._fault}\nthe site stays as it was until that is mended and saved")
        self._news.tell(page="")

    def answer(self, address: str) -> Answer | None:
        """What stands at an address below the site."""
        if address.startswith(OWN):
            return _own(address.removeprefix(OWN))
        try:
            self._live.refresh(address)
        except SiteError as error:
            self._fault = str(error)
        with self._live.reading:
            folder = self._live.folder
            if (folder / address).is_dir() and address and not address.endswith("/"):
                return Answer(b"", "text/plain", 302, f"{self._live.mount}{address}/")
            path, status = file_at(folder, address), 200
            if path is None:
                path, status = file_at(folder, "404.html"), 404
            if path is None:
                return None
            content, kind = path.read_bytes(), kind_of(path)
        if kind == "text/html":
            said = self._live.bench.said.get(self._live.slug_at(address))
            content = with_bench(content, self._live.mount, self._news.number, said, self._fault)
        return Answer(content, kind, status)


def _own(name: str) -> Answer | None:
    if name == BENCH:
        return Answer(joined(BENCH).encode(), "text/javascript")
    if name == "bench.css":
        return Answer((ASSETS / name).read_bytes(), "text/css")
    return None
