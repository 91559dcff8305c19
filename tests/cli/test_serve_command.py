"""tabtools serve: what keeps it from serving is said before anything is built."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest
from invoked import SHORT_BAR, tabtools, write

from tabtools.website.serving.watching import Watch


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    tabtools("init", ".")
    return tmp_path


def test_solos_with_errors_are_served_all_the_same(repository: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(_: Watch) -> set[Path]:
        raise KeyboardInterrupt

    monkeypatch.setattr(Watch, "changes", interrupt)
    write(repository / "transcriptions", short=SHORT_BAR)
    address = f"127.0.0.1:{free_port()}"
    status, out, err = tabtools("serve", "--address", address)
    assert (status, err) == (0, "")
    assert out == f"1 error in 1 of 2 solos\nServing on http://{address}/ until you press Ctrl-C\n"


@pytest.mark.parametrize("host", ["127.0.0.1", "[::1]"])
def test_a_port_that_is_taken(repository: Path, host: str) -> None:
    with socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET) as other:
        try:
            other.bind((host.strip("[]"), 0))
        except OSError:
            pytest.skip(f"this machine has no {host}")
        other.listen()
        port = other.getsockname()[1]
        status, _, err = tabtools("serve", "--address", f"{host}:{port}")
    assert (status, err) == (
        2,
        f"tabtools: port {port} is taken, perhaps by another tabtools serve; stop that, or choose another port, "
        f"like --address {host}:{port + 1}\n",
    )


@pytest.mark.parametrize(
    "address",
    [
        "",
        "8000",
        "localhost",
        "nowhere.example:8000",
        "1.2.3:8000",
        "127.0.0.1:",
        ":8000",
        "127.0.0.1:65536",
        "127.0.0.1:x",
        "127.0.0.1:٣",
        "127.0.0.1:" + "9" * 9999,
    ],
)
def test_what_is_no_address(repository: Path, address: str) -> None:
    status, _, err = tabtools("serve", "--address", address)
    assert (status, err) == (2, f"tabtools: {address} is no address to serve at; write it like 127.0.0.1:9000\n")


def test_an_address_of_another_machine(repository: Path) -> None:
    status, _, err = tabtools("serve", "--address", "192.0.2.1:8000")
    assert (status, err) == (2, "tabtools: nothing can be served at 192.0.2.1:8000: cannot assign requested address\n")


def test_settings_that_are_not_there(repository: Path) -> None:
    status, _, err = tabtools("serve", "--config", "other.yml")
    assert (status, err) == (
        2,
        "tabtools: there is no other.yml here; run tabtools init, or name it with --config\n",
    )
