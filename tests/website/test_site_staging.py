"""A new site takes the place of the old one whole, or not at all."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys
import threading
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from broken_off import build, content, fill
from thoroughness import IS_THOROUGH

from tabtools.website import site_staging
from tabtools.website.site_folder import MARK, SiteFolderError
from tabtools.website.site_staging import Staging

PATIENCE = 120
OLD, NEW = {"index.html": "old", "solos/gone.html": "old"}, {"index.html": "new"}


def begun(target: Path) -> Staging:
    return Staging(target, lambda: pytest.fail("no other build is running"))


@pytest.fixture(params=["in one step", "in two steps"])
def site(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a site, on a disk where folders can change places in one step, and on another."""
    if request.param == "in two steps":
        monkeypatch.setattr(site_staging, "_exchanged", lambda one, other: False)
    build(tmp_path / "site", OLD)
    return tmp_path / "site"


def beside(site: Path) -> list[str]:
    return sorted(path.name for path in site.parent.iterdir() if path != site)


def test_the_new_site_has_nothing_of_the_old_one(site: Path) -> None:
    staging = begun(site)
    fill(staging.folder, NEW)
    assert content(site) == OLD
    staging.put_in_place()
    assert content(site) == NEW
    assert (site / MARK).is_file()
    assert beside(site) == []


def test_a_site_that_is_given_up_changes_nothing(site: Path) -> None:
    staging = begun(site)
    fill(staging.folder, NEW)
    staging.drop()
    staging.drop()
    assert content(site) == OLD
    assert beside(site) == []


@pytest.mark.parametrize("depth", ["site", "a/b/site"])
def test_folders_are_made_for_the_first_site_when_it_is_there(tmp_path: Path, depth: str) -> None:
    target = tmp_path / depth
    staging = begun(target)
    fill(staging.folder, NEW)
    assert [path for path in tmp_path.iterdir() if not path.name.startswith(".")] == []
    staging.put_in_place()
    assert content(target) == NEW
    assert beside(target) == []


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    (tmp_path / "site").mkdir()
    build(tmp_path / "site", NEW)
    assert content(tmp_path / "site") == NEW


def test_the_folder_keeps_its_permissions_and_a_first_one_has_the_usual_ones(site: Path) -> None:
    (site.parent / "usual").mkdir()
    assert stat.S_IMODE(site.stat().st_mode) == stat.S_IMODE((site.parent / "usual").stat().st_mode)
    site.chmod(0o2750)
    build(site, NEW)
    assert stat.S_IMODE(site.stat().st_mode) == 0o2750


def test_hidden_files_of_others_stay(site: Path) -> None:
    fill(site, {".nojekyll": "", ".well-known/one.txt": "mine", ".htaccess": "old"})
    (site / ".link").symlink_to("nowhere")
    build(site, NEW | {".htaccess": "new"})
    assert content(site) == NEW | {".nojekyll": "", ".well-known/one.txt": "mine", ".htaccess": "new"}
    assert (site / ".link").readlink() == Path("nowhere")
    build(site, NEW)
    assert content(site) == NEW | {".nojekyll": "", ".well-known/one.txt": "mine"}


def test_what_is_saved_into_the_site_meanwhile_is_not_lost(site: Path) -> None:
    staging = begun(site)
    fill(staging.folder, NEW)
    fill(site, {"dusk.solo": "an evening's work"})
    with pytest.raises(SiteFolderError, match=r"no build has put there dusk\.solo"):
        staging.put_in_place()
    assert content(site) == OLD | {"dusk.solo": "an evening's work"}
    assert beside(site) == []


def test_a_site_that_cannot_be_put_in_place_leaves_the_old_one(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    staging = begun(site)
    fill(staging.folder, NEW)
    rename = Path.rename

    def busy(self: Path, to: Path) -> Path:
        if self == staging.folder:
            raise OSError(errno.EBUSY, "Device or resource busy")
        return rename(self, to)

    def also_busy(one: Path, other: Path) -> bool:
        raise OSError(errno.EBUSY, "Device or resource busy")

    monkeypatch.setattr(Path, "rename", busy)
    if site_staging._exchanged.__name__ != "<lambda>":
        monkeypatch.setattr(site_staging, "_exchanged", also_busy)
    with pytest.raises(SiteFolderError, match=r"cannot be replaced as a whole \(device or .*; name a folder within it"):
        staging.put_in_place()
    assert content(site) == OLD
    assert beside(site) == []


def test_the_disk_of_this_machine_is_asked_to_do_it_in_one_step(tmp_path: Path) -> None:
    if sys.platform != "linux":
        pytest.skip("only Linux has a call for it")
    fill(tmp_path, {"one/a": "1", "two/b": "2"})
    assert site_staging._exchanged(tmp_path / "one", tmp_path / "two")
    assert content(tmp_path) == {"one/b": "2", "two/a": "1"}
    with pytest.raises(FileNotFoundError):
        site_staging._exchanged(tmp_path / "one", tmp_path / "three")


@pytest.mark.parametrize(
    ("way", "expected"),
    [
        ([], {"old, then old", "new, then new"}),
        (["--in-two-steps"], {"old, then old", "nothing, then old", "new, then new"}),
    ],
)
def test_a_build_may_be_killed_at_any_step(tmp_path: Path, way: list[str], expected: set[str]) -> None:
    program = Path(__file__).with_name("broken_off.py")
    command = [sys.executable, str(program), str(tmp_path / "folder"), *way]
    if IS_THOROUGH:
        command.append("--within-shutil")
    environment = os.environ | {"PYTHONPATH": str(program.parents[1])}
    told = subprocess.run(command, env=environment, capture_output=True, text=True, check=True, timeout=PATIENCE).stdout
    counted = Counter(told.splitlines())
    assert set(counted) == expected
    assert counted["old, then old"] > 100
    assert counted["new, then new"] > (50 if IS_THOROUGH else 5)


def test_leftovers_of_other_sites_and_links_are_let_be(tmp_path: Path) -> None:
    build(tmp_path / "site", OLD)
    others = (".other.tabtools-0a1b2c3d", ".site.tabtools", "site.tabtools-0a1b2c3d")
    for name in others:
        fill(tmp_path / name, OLD)
    (tmp_path / ".site.tabtools-link").symlink_to(tmp_path / others[0])
    fill(tmp_path / ".site.tabtools-0a1b2c3d", OLD)
    build(tmp_path / "site", NEW)
    assert beside(tmp_path / "site") == sorted([".site.tabtools-link", *others])
    assert content(tmp_path / others[0]) == OLD


BUILDER = """
import os
import sys
from pathlib import Path
from tabtools.website.site_staging import Staging
print("started", flush=True)
staging = Staging(Path(sys.argv[1]), lambda: print("waiting", flush=True))
if os.fork() == 0:  # a process that helps, and outlives its parent
    os.close(1)
    os.read(int(sys.argv[3]), 1)
    os._exit(0)
print("begun", flush=True)
input()
(staging.folder / "index.html").write_text(sys.argv[2])
staging.put_in_place()
print("in place", flush=True)
"""


@pytest.fixture
def builders(site: Path) -> Iterator[list[subprocess.Popen[str]]]:
    """Two processes that build into one folder; each finishes when it is written to."""
    reading, writing = os.pipe()
    both = [
        subprocess.Popen(
            [sys.executable, "-c", BUILDER, str(site), name, str(reading)],
            pass_fds=(reading,),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for name in "ab"
    ]
    os.close(reading)
    timer = threading.Timer(PATIENCE, lambda: [one.kill() for one in both])
    timer.start()
    yield both
    timer.cancel()
    os.close(writing)
    for one in both:
        one.kill()
        one.communicate()


def line_of(process: subprocess.Popen[str]) -> str:
    assert process.stdout is not None
    return process.stdout.readline().strip()


def go_on(process: subprocess.Popen[str]) -> None:
    assert process.stdin is not None
    process.stdin.write("\n")
    process.stdin.flush()


def written_by(process: subprocess.Popen[str]) -> str:
    assert isinstance(process.args, list)
    return str(process.args[4])


def in_order(builders: list[subprocess.Popen[str]]) -> list[subprocess.Popen[str]]:
    """The one that builds, and the one that waits for it."""
    assert [line_of(one) for one in builders] == ["started", "started"]
    said = [line_of(one) for one in builders]
    assert sorted(said) == ["begun", "waiting"]
    return builders if said[0] == "begun" else builders[::-1]


def test_of_two_builds_into_one_folder_one_waits(site: Path, builders: list[subprocess.Popen[str]]) -> None:
    first, second = in_order(builders)
    go_on(first)
    assert line_of(first) == "in place"
    assert line_of(second) == "begun"
    assert content(site) == {"index.html": written_by(first)}
    go_on(second)
    assert line_of(second) == "in place"
    assert content(site) == {"index.html": written_by(second)}
    assert beside(site) == []


def test_a_build_that_is_killed_is_not_waited_for(site: Path, builders: list[subprocess.Popen[str]]) -> None:
    first, second = in_order(builders)
    first.kill()
    assert line_of(second) == "begun"
    assert content(site) == OLD
    go_on(second)
    assert line_of(second) == "in place"
    assert content(site) == {"index.html": written_by(second)}
    assert beside(site) == []


@pytest.mark.parametrize(
    ("number", "said"),
    [
        (errno.EACCES, "permission denied; name a folder beside which you may write"),
        (errno.EROFS, "read-only file system; name a folder beside which you may write"),
        (errno.ENOSPC, "no space left on device; make room there"),
    ],
)
def test_where_nothing_can_be_written_that_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, said: str
) -> None:
    def refuse(*arguments: object) -> int:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(SiteFolderError) as refused:
        begun(tmp_path / "site")
    place = f"the site cannot go into {tmp_path}/site: a new site is made beside the old one, in {tmp_path}: "
    assert str(refused.value) == place + said
