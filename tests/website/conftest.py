"""The site of the demo solos, built once: on the disk and served; and a small one with corrections and a draft."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from filelock import FileLock
from jinja2 import BytecodeCache, Environment
from jinja2.bccache import Bucket
from mkdocs.theme import Theme
from sites import DAY, served, write_corrected, write_demo, write_in_folders

from tabtools.website.build import build_site


class CompiledTemplates(BytecodeCache):
    """Templates of themes as code, by their text, for all sites that this process builds."""

    def __init__(self) -> None:
        self.kept: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        if bucket.key in self.kept:
            bucket.bytecode_from_string(self.kept[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        self.kept[bucket.key] = bucket.bytecode_to_string()


@pytest.fixture(scope="session", autouse=True)
def templates_compiled_once() -> Iterator[None]:
    """A small site is built in half the time."""
    compiled, get_env = CompiledTemplates(), Theme.get_env

    def with_compiled(theme: Theme) -> Environment:
        environment = get_env(theme)
        environment.bytecode_cache = compiled
        return environment

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Theme, "get_env", with_compiled)
        yield


Build = Callable[[str, Callable[[Path], Path]], Path]
"""A name, and what writes the sources of a site into a folder and returns its mkdocs.yml, to the built site."""


@pytest.fixture(scope="session")
def built_once(tmp_path_factory: pytest.TempPathFactory, shared_folder: Path) -> Build:
    """A strict build of what a function writes into a folder; one of the workers does it, for all of them."""

    def build(name: str, write: Callable[[Path], Path]) -> Path:
        finished = shared_folder / f"{name}.txt"
        with FileLock(shared_folder / f"{name}.lock"):
            if not finished.exists():
                with pytest.MonkeyPatch.context() as patch:
                    for variable, value in DAY.items():
                        patch.setenv(variable, value)
                    site = build_site(write(tmp_path_factory.mktemp(name)), strict=True)
                finished.write_text(str(site), encoding="utf-8")
        return Path(finished.read_text(encoding="utf-8"))

    return build


@pytest.fixture(scope="session")
def demo(built_once: Build) -> Path:
    return built_once("demo", write_demo)


@pytest.fixture(scope="session")
def served_demo(demo: Path) -> Iterator[str]:
    with served(demo) as address:
        yield address


@pytest.fixture(scope="session")
def in_folders(built_once: Build) -> Path:
    return built_once("folders", write_in_folders)


@pytest.fixture(scope="session")
def corrected(built_once: Build) -> Path:
    """A site of one demo solo with a history, and of a draft."""
    return built_once("corrected", write_corrected)


@pytest.fixture(scope="session")
def served_corrected(corrected: Path) -> Iterator[str]:
    with served(corrected) as address:
        yield address
