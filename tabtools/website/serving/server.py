"""The server of a site that is being written: its files, and word of every change. It reads and never writes.

What the open page needs to follow changes is put into each page on its way out, so that the pages themselves are
those that are published.
"""

from __future__ import annotations

import ipaddress
import mimetypes
import threading
from collections.abc import Callable
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from socketserver import TCPServer
from typing import NamedTuple
from urllib.parse import unquote, urlsplit

from tabtools.website.serving.endpoint import Endpoint, EndpointError, why_not
from tabtools.website.serving.news import News

OWN = "_tabtools/"
"""What of the server's own stands below this address."""
NEWS = f"{OWN}news"
_SECONDS_OF_SILENCE = 10.0


class Answer(NamedTuple):
    """What a page or file is answered with."""

    content: bytes
    kind: str
    status: int = 200
    to: str = ""
    """Where to look instead."""


Answering = Callable[[str], "Answer | None"]
"""An address below the site, without its query, to its answer; None where nothing stands there."""


class Server(ThreadingHTTPServer):
    """Answers at an address until it is closed. Raises `EndpointError` where it cannot."""

    daemon_threads = True
    allow_reuse_address = True

    def __init__(self, address: Endpoint, answering: Answering, news: News) -> None:
        self.address_family = address.family
        self.mount = "/"
        self.answering = answering
        self.news = news
        self.is_own = address.is_own
        try:
            super().__init__((address.host, address.port), _Handler)
        except OSError as error:
            raise EndpointError(why_not(address, error)) from None
        self._thread = threading.Thread(target=self.serve_forever, args=(0.1,), daemon=True)

    def begin(self) -> None:
        """Answer from now on, beside what else is done."""
        self._thread.start()

    def end(self) -> None:
        """Answer nobody any more."""
        self.news.close()
        if self._thread.is_alive():
            self.shutdown()
        self.server_close()

    def server_bind(self) -> None:
        """Bind without asking who this machine is, which may take long."""
        TCPServer.server_bind(self)
        self.server_name, self.server_port = str(self.server_address[0]), int(self.server_address[1])


class _Handler(BaseHTTPRequestHandler):
    server: Server
    server_version = "tabtools"
    sys_version = ""
    protocol_version = "HTTP/1.1"
    timeout = 60

    def do_GET(self) -> None:
        self._answer(has_body=True)

    def do_HEAD(self) -> None:
        self._answer(has_body=False)

    def _answer(self, has_body: bool) -> None:
        if not self._is_asked_by_name():
            self._send(Answer(b"This site is served to this machine alone.\n", "text/plain", 403), has_body)
            return
        path = unquote(urlsplit(self.path).path, errors="replace")
        mount = self.server.mount
        if not path.startswith(mount):
            self._send(Answer(b"", "text/plain", 302, mount), has_body)
            return
        address = path[len(mount) :]
        if address == NEWS and has_body:
            self._tell()
            return
        answer = self.server.answering(address)
        self._send(answer or Answer(b"There is no such page.\n", "text/plain", 404), has_body)

    def _is_asked_by_name(self) -> bool:
        """Whether the browser asked this machine, and not a name of the web that leads here."""
        host = urlsplit(f"//{self.headers.get('Host', '')}").hostname or ""
        if not self.server.is_own or host == "localhost":
            return True
        try:
            return ipaddress.ip_address(host).is_loopback
        except ValueError:
            return False

    def _send(self, answer: Answer, has_body: bool) -> None:
        self.send_response(answer.status)
        kind = f"{answer.kind}; charset=utf-8" if answer.kind.startswith("text/") else answer.kind
        headers = {"Content-Type": kind, "Content-Length": str(len(answer.content)), "Cache-Control": "no-store"}
        headers |= {"X-Content-Type-Options": "nosniff"} | ({"Location": answer.to} if answer.to else {})
        for name, value in headers.items():
            self.send_header(name, value)
        self.end_headers()
        if has_body:
            self.wfile.write(answer.content)

    def _tell(self) -> None:
        """Send word of every change until the page is closed."""
        self.send_response(200)
        for name, value in (("Content-Type", "text/event-stream"), ("Cache-Control", "no-store")):
            self.send_header(name, value)
        self.send_header("Connection", "close")
        self.end_headers()
        self.close_connection = True
        for text in self.server.news.told(_SECONDS_OF_SILENCE):
            self.wfile.write(text.encode())
            self.wfile.flush()

    def handle(self) -> None:
        """Answer, and let go where the other side has gone."""
        try:
            super().handle()
        except (ConnectionError, TimeoutError):
            self.close_connection = True

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing of what is asked for."""


def file_at(folder: Path, address: str) -> Path | None:
    """The file of a site at an address; None for what is not there, or does not lie within."""
    if "\0" in address or "\\" in address:
        return None
    path = folder / address.lstrip("/")
    if address == "" or address.endswith("/"):
        path /= "index.html"
    try:
        real = path.resolve(strict=True)
    except (OSError, RuntimeError):
        return None
    return real if real.is_file() and real.is_relative_to(folder.resolve()) else None


def kind_of(path: Path) -> str:
    """What is in a file, as a browser wants to know it."""
    return _KINDS.get(path.suffix) or mimetypes.guess_type(path.name)[0] or "application/octet-stream"


_KINDS = {".js": "text/javascript", ".html": "text/html", ".css": "text/css", ".svg": "image/svg+xml"}
"""Independent of what this machine thinks of them."""
