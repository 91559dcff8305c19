"""What all tests share: how hypothesis runs, what the user's settings cannot change, and one browser."""

from __future__ import annotations

import gc
import os
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, Phase, settings
from thoroughness import share

settings.register_profile(
    "tabtools",
    deadline=None,
    database=None,
    derandomize=True,
    max_examples=share(100),
    phases=(Phase.explicit, Phase.generate, Phase.shrink),
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("tabtools")

if TYPE_CHECKING:
    from playwright.sync_api import Browser


def pytest_configure() -> None:
    """Interruptions reach the tests' own processes, also where a shell has put the tests into the background."""
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def pytest_collection_finish() -> None:
    """Ten thousand collected tests are no garbage: looking through them again and again took a tenth of all time."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def shared_folder(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """A folder that all processes of this run have in common."""
    own = tmp_path_factory.getbasetemp()
    return own if worker_id == "master" else own.parent


@pytest.fixture(scope="session", autouse=True)
def cache_of_its_own(shared_folder: Path) -> Iterator[None]:
    """Results that tests keep are not the user's; what one of the workers has made, the others find."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(shared_folder / "cache"))
        yield


@pytest.fixture(scope="session", autouse=True)
def git_without_settings() -> Iterator[None]:
    """Git knows nothing of where the tests were started from, of who the user is, and of what the user set."""
    with pytest.MonkeyPatch.context() as patch:
        for name in [name for name in os.environ if name.startswith("GIT_")]:
            patch.delenv(name)
        patch.setenv("GIT_CONFIG_GLOBAL", os.devnull)
        patch.setenv("GIT_CONFIG_NOSYSTEM", "1")
        yield


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    from browser import chromium

    with chromium() as found:
        yield found
