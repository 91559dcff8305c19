"""The site of the demo solos, built once: on the disk and served; and a small one with corrections and a draft."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sites import served, write_corrected, write_demo

from tabtools.website.build import build_site


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build_site(write_demo(tmp_path_factory.mktemp("demo")), strict=True)


@pytest.fixture(scope="session")
def served_demo(demo: Path) -> Iterator[str]:
    with served(demo) as address:
        yield address


@pytest.fixture(scope="session")
def corrected(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A site of one demo solo with a history, and of a draft."""
    return build_site(write_corrected(tmp_path_factory.mktemp("corrected")), strict=True)


@pytest.fixture(scope="session")
def served_corrected(corrected: Path) -> Iterator[str]:
    with served(corrected) as address:
        yield address
