"""What all tests share: how hypothesis runs, and one browser."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, Phase, settings

settings.register_profile(
    "tabtools",
    deadline=None,
    database=None,
    derandomize=True,
    max_examples=100,
    phases=(Phase.explicit, Phase.generate, Phase.shrink),
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("tabtools")

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    from browser import chromium

    with chromium() as found:
        yield found
