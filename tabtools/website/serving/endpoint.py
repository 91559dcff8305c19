"""The address that a site is served at: what is one, and what keeps one from being used."""

from __future__ import annotations

import errno
import ipaddress
import socket
from typing import NamedTuple

from tabtools.source import is_number

_USUAL_PORT, _LAST_PORT, _FIGURES_OF_A_PORT = 8000, 65535, 5


class EndpointError(Exception):
    """An address that nothing can be served at; the text says why and what to do."""


class Endpoint(NamedTuple):
    """An address as a socket takes it, and as it was written."""

    family: socket.AddressFamily
    host: str
    port: int
    written: str

    @property
    def is_own(self) -> bool:
        """Whether only this machine can reach it."""
        return ipaddress.ip_address(self.host).is_loopback


def read_endpoint(text: str) -> Endpoint:
    """`127.0.0.1:8000`, `localhost:8000` or `[::1]:8000`. Raises `EndpointError`."""
    name, _, port = text.rpartition(":")
    host = "127.0.0.1" if name == "localhost" else name.removeprefix("[").removesuffix("]")
    try:
        family = socket.AF_INET6 if ipaddress.ip_address(host).version == 6 else socket.AF_INET
        is_one = is_number(port) and len(port) <= _FIGURES_OF_A_PORT and int(port) <= _LAST_PORT
    except ValueError:
        is_one = False
    if not is_one:
        raise EndpointError(f"{text} is no address to serve at; write it like 127.0.0.1:9000")
    return Endpoint(family, host, int(port), text)


def why_not(address: Endpoint, error: OSError) -> str:
    """Why nothing can be served at an address, and what to do."""
    name, port = address.written.rpartition(":")[0], address.port
    next_one = port + 1 if _USUAL_PORT <= port < _LAST_PORT else _USUAL_PORT
    other = f"choose another port, like --address {name}:{next_one}"
    if error.errno == errno.EADDRINUSE:
        return f"port {port} is taken, perhaps by another tabtools serve; stop that, or {other}"
    if error.errno == errno.EACCES:
        return f"port {port} is not yours to use; {other}"
    return f"nothing can be served at {address.written}: {(error.strerror or str(error)).lower()}"
