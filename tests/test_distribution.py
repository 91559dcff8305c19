"""What is published: a wheel that holds the package, and a source archive that holds all that stands in git."""

from __future__ import annotations

import subprocess
import sys
import tarfile
import tomllib
from collections.abc import Iterator
from email import message_from_bytes
from email.message import Message
from pathlib import Path
from zipfile import ZipFile

import pytest

import tabtools

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
NAME = f"tabtools-{tabtools.__version__}"
OF_THE_ARCHIVE = "PKG-INFO"


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with both archives, built without a network."""
    folder = tmp_path_factory.mktemp("published")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-d", folder], cwd=ROOT, check=True, capture_output=True
    )
    return folder


@pytest.fixture(scope="module")
def wheel(published: Path) -> Iterator[ZipFile]:
    with ZipFile(published / f"{NAME}-py3-none-any.whl") as archive:
        yield archive


def files_of_git(*folders: str) -> set[str]:
    """The files that git keeps or would keep, by their path from the top."""
    if not (ROOT / ".git").exists():
        pytest.skip("this is no clone: nothing says which files are the repository's")
    listed = subprocess.run(
        ["git", "-c", "safe.directory=*", "ls-files", "-z", "--cached", "--others", "--exclude-standard", *folders],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    )
    return {name for name in listed.stdout.split("\0") if name and (ROOT / name).exists()}


@pytest.mark.build
def test_the_source_archive_holds_what_git_holds(published: Path) -> None:
    with tarfile.open(published / f"{NAME}.tar.gz") as archive:
        held = {member.name.removeprefix(f"{NAME}/") for member in archive if member.isfile()}
    assert held - {OF_THE_ARCHIVE} == files_of_git()


@pytest.mark.build
def test_the_wheel_holds_the_package_and_nothing_else(wheel: ZipFile) -> None:
    held = {name for name in wheel.namelist() if not name.startswith(f"{NAME}.dist-info/")}
    assert held == files_of_git("tabtools")


@pytest.mark.build
def test_the_wheel_says_under_which_licence_it_is(wheel: ZipFile) -> None:
    described: Message = message_from_bytes(wheel.read(f"{NAME}.dist-info/METADATA"))
    assert described["License-Expression"] == "MIT"
    licence = described["License-File"]
    text = wheel.read(f"{NAME}.dist-info/licenses/{licence}")
    assert text == wheel.read(licence) == (ROOT / licence).read_bytes()
    assert described["Author"] in text.decode("utf-8").splitlines()[2]


def test_the_oldest_python_is_the_first_that_is_named() -> None:
    named = [name.rpartition(" ")[2] for name in PROJECT["classifiers"] if ":: Python :: 3." in name]
    assert PROJECT["requires-python"] == f">={named[0]}"
    assert named == sorted(named, key=lambda name: int(name.partition(".")[2]))
    assert f"Python {named[0]} or newer" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_this_version_stands_first_among_what_changed() -> None:
    page = (ROOT / "site_docs" / "changelog.md").read_text(encoding="utf-8")
    first = next(line for line in page.splitlines() if line.startswith("## "))
    assert first == f"## {tabtools.__version__}"
