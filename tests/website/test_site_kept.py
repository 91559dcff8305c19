"""Publishing loses nothing: whatever becomes of a build, the sources are as they were, and the site is whole."""

from __future__ import annotations

import logging
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from git_repositories import GitRepository, new_repository
from mkdocs.__main__ import cli as mkdocs
from sites import BAD, DAY, GOOD, write_site

from tabtools.cli import main
from tabtools.website.build import build_site
from tabtools.website.site_folder import MARK
from tabtools.website.site_staging import Staging

pytestmark = pytest.mark.build

PATIENCE = 120
SMALL_CONFIG = """\
site_name: Test
docs_dir: site_docs
theme: {name: material, font: false}
plugins: [search, tabtools: {}]
hooks: [hooks.py]
nav: [Home: index.md, Solos: solos/index.md]
"""
HOOKS = """
import os
import signal
from pathlib import Path

def acts(name):
    def act(*arguments, **named):
        event, what = os.environ.get("AT", ":").split(":")
        if name == event:
            if what == "die":
                os.kill(os.getpid(), signal.SIGKILL)
            elif what == "fail":
                raise OSError(5, "Input/output error")
            else:
                Path(what).write_text(os.environ["TEXT"])
    return act

EVENTS = (
    "config", "pre_build", "files", "nav", "env", "page_markdown", "page_content", "page_context", "post_page",
    "pre_template", "post_template", "post_build",
)
globals().update({f"on_{name}": acts(name) for name in EVENTS})
"""
MOMENTS = ("pre_build", "files", "page_markdown", "post_page", "post_build")


def tree(folder: Path, but: tuple[str, ...] = ()) -> dict[str, bytes | str]:
    """Everything in a folder but for these parts: files with their bytes, links with where they lead."""
    found: dict[str, bytes | str] = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder)
        if name.parts[0] not in but and "__pycache__" not in name.parts:
            if path.is_symlink():
                found[name.as_posix()] = f"-> {path.readlink()}"
            else:
                found[name.as_posix()] = path.read_bytes() if path.is_file() else "a folder"
    return found


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> GitRepository:
    """One solo and its lesson, committed; hooks that can break off a build stand beside."""
    for name, value in DAY.items():
        monkeypatch.setenv(name, value)
    repository = new_repository(tmp_path / "mine")
    solos = {"one.solo": GOOD.format(title="Before"), "one.md": "Play it slowly.\n"}
    write_site(repository.folder, solos, SMALL_CONFIG)
    (repository.folder / "hooks.py").write_text(HOOKS, encoding="utf-8")
    repository.git("add", ".")
    repository.git("commit", "--quiet", "--message", "one solo")
    monkeypatch.chdir(repository.folder)
    return repository


def run(*words: str, **variables: str) -> Result:
    """`mkdocs` or `tabtools`, run in this process."""
    return CliRunner(env=variables).invoke({"mkdocs": mkdocs, "tabtools": main}[words[0]], words[1:])


def run_apart(*words: str, **variables: str) -> subprocess.CompletedProcess[str]:
    """A program of this environment, such as mkdocs, run in the repository."""
    command = [sys.executable, "-m", *words]
    environment = os.environ | variables
    return subprocess.run(command, env=environment, capture_output=True, text=True, check=False, timeout=PATIENCE)


def is_clean(repository: GitRepository) -> bool:
    return not [path.name for path in repository.folder.iterdir() if ".tabtools-" in path.name]


REFUSED = (
    "transcriptions",
    "transcriptions/site",
    "site_docs/site",
    ".",
    "..",
    "/",
    ".git/site",
    "to-solos",
    "hooks.py",
    "hooks.py/site",
    "pipe",
)


def refusal(*words: str) -> str:
    """What `tabtools build` says, in one line, when it builds nothing."""
    done = CliRunner().invoke(main, ["build", *words], catch_exceptions=False)
    assert done.exit_code == 2, done.output
    assert len(done.stderr.splitlines()) == 1
    return done.stderr.removeprefix("tabtools: ")


@pytest.mark.parametrize("wanted", REFUSED)
def test_the_command_takes_no_folder_of_the_repositorys(repository: GitRepository, wanted: str) -> None:
    Path("to-solos").symlink_to("transcriptions")
    os.mkfifo("pipe")
    before = tree(repository.folder)
    assert refusal("--to", wanted).startswith("the site cannot go into ")
    assert tree(repository.folder) == before


def test_why_is_told_where_nothing_is_logged_as_well(
    repository: GitRepository, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(logging.getLogger("mkdocs.commands.build"), "disabled", True)
    assert refusal("--to", "transcriptions").startswith("the site cannot go into ")


@pytest.mark.parametrize("wanted", ["transcriptions", "site_docs", ".", ".git/site", "notes", "5"])
def test_nor_do_the_settings(repository: GitRepository, wanted: str) -> None:
    Path("notes").mkdir()
    Path("notes", "lesson plan").touch()
    with Path("mkdocs.yml").open("a", encoding="utf-8") as file:
        file.write(f"site_dir: {wanted}\n")
    before = tree(repository.folder)
    assert refusal().startswith("mkdocs.yml: site_dir is to be" if wanted == "5" else "the site cannot go into ")
    assert run("mkdocs", "build").exit_code == 1
    assert tree(repository.folder) == before


def test_settings_in_another_folder_are_judged_from_there(
    repository: GitRepository, monkeypatch: pytest.MonkeyPatch
) -> None:
    work = repository.folder.parent / "work"
    work.mkdir()
    monkeypatch.chdir(work)
    before = tree(repository.folder)
    for wanted in ("../mine/transcriptions", "../mine"):
        assert run("mkdocs", "build", "-f", "../mine/mkdocs.yml", "-d", wanted).exit_code == 1
    assert tree(repository.folder) == before


def test_solos_kept_elsewhere_are_as_safe(repository: GitRepository) -> None:
    elsewhere = repository.folder.parent / "elsewhere"
    Path("transcriptions").rename(elsewhere)
    Path("transcriptions").symlink_to(elsewhere)
    before = tree(repository.folder.parent)
    for wanted in ("../elsewhere", "../elsewhere/site"):
        done = run("mkdocs", "build", "-d", wanted)
        assert done.exit_code == 1
        assert "the site cannot go into" in done.stderr
    assert tree(repository.folder.parent) == before


def test_a_link_to_a_folder_stays_a_link(repository: GitRepository) -> None:
    published = repository.folder.parent / "published"
    published.mkdir()
    Path("site").symlink_to(published)
    for _ in range(2):
        assert build_site("mkdocs.yml") == repository.folder / "site"
    assert Path("site").readlink() == published
    assert (published / "index.html").is_file()
    assert is_clean(repository)


@pytest.mark.parametrize("program", [("mkdocs", "build"), ("mkdocs", "build", "--strict"), ("tabtools", "build")])
def test_a_build_that_fails_leaves_the_site(repository: GitRepository, program: tuple[str, ...]) -> None:
    site = build_site("mkdocs.yml")
    old = tree(site)
    sources = tree(repository.folder, but=("site",))
    for event in ("files", "post_build"):
        assert run(*program, AT=f"{event}:fail").exit_code != 0
        assert tree(site) == old
    Path("transcriptions", "one.solo").write_text(BAD, encoding="utf-8")
    assert run(*program).exit_code == 1
    assert tree(site) == old
    assert sources | {"transcriptions/one.solo": BAD.encode()} == tree(repository.folder, but=("site",))


def test_a_build_that_is_refused_for_its_warnings_leaves_the_site(repository: GitRepository) -> None:
    site = build_site("mkdocs.yml")
    old = tree(site)
    Path("site_docs", "index.md").write_text("# Home\n\n[Solos](solos/index.md) [nowhere](gone.md)\n", encoding="utf-8")
    done = run("mkdocs", "build", "--strict")
    assert done.exit_code == 1
    assert "Aborted with 1 warnings in strict mode" in done.output
    assert tree(site) == old
    assert is_clean(repository)
    assert run("mkdocs", "build").exit_code == 0
    assert tree(site) != old


def test_the_place_of_an_error_of_the_disk_is_told(repository: GitRepository) -> None:
    done = run_apart("tabtools", "build", AT="env:fail")
    assert (done.returncode, done.stderr) == (2, "tabtools: no site was built: input/output error\n")


def test_a_build_that_is_killed_leaves_the_site(repository: GitRepository) -> None:
    site = build_site("mkdocs.yml")
    old = tree(site)
    Path("transcriptions", "one.solo").write_text(GOOD.format(title="After"), encoding="utf-8")
    sources = tree(repository.folder, but=("site",))
    for event in MOMENTS:
        assert run_apart("mkdocs", "build", AT=f"{event}:die").returncode == -9
        assert tree(site) == old, event
        assert not is_clean(repository)
    new = tree(build_site("mkdocs.yml"))
    assert b"<title>After" in new["solos/one/index.html"]
    assert tree(repository.folder, but=("site",)) == sources
    assert tree(build_site("mkdocs.yml", repository.folder.parent / "fresh")) == new


@pytest.mark.parametrize("event", MOMENTS)
def test_a_solo_that_is_saved_while_the_site_is_built_is_kept(
    repository: GitRepository, event: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    solo, saved = Path("transcriptions", "one.solo"), GOOD.format(title="After")
    old = tree(build_site("mkdocs.yml"))
    sources = tree(repository.folder, but=("site",)) | {solo.as_posix(): saved.encode()}
    monkeypatch.setenv("AT", f"{event}:{solo}")
    monkeypatch.setenv("TEXT", saved)
    site = build_site("mkdocs.yml", strict=True)
    assert tree(repository.folder, but=("site",)) == sources
    assert tree(site).keys() == old.keys()


def test_a_file_that_is_saved_into_the_site_is_kept(repository: GitRepository) -> None:
    site = build_site("mkdocs.yml")
    done = run("mkdocs", "build", AT="env:site/solos/two.solo", TEXT="an evening's work")
    assert done.exit_code == 1
    assert "no build has put there solos/two.solo; move that elsewhere first" in done.stderr
    assert (site / "solos" / "two.solo").read_text(encoding="utf-8") == "an evening's work"
    done = run_apart("tabtools", "build")
    assert (done.returncode, done.stderr.count("move that elsewhere first")) == (2, 1)
    (site / "solos" / "two.solo").rename("transcriptions/two.solo")
    Path("transcriptions/two.solo").write_text(GOOD.format(title="Two"), encoding="utf-8")
    assert run("tabtools", "build").exit_code == 0
    assert is_clean(repository)


def test_a_site_without_a_mark_is_replaced_and_marked(repository: GitRepository) -> None:
    site = build_site("mkdocs.yml")
    (site / MARK).unlink()
    (site / "removed.html").touch()
    assert run("mkdocs", "build").exit_code == 0
    assert (site / MARK).is_file()
    assert not (site / "removed.html").exists()


def test_a_build_waits_for_another_and_says_so(repository: GitRepository) -> None:
    site = build_site("mkdocs.yml")
    other = Staging(site, lambda: None)
    command = [sys.executable, "-m", "tabtools", "build"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as second:
        assert second.stderr is not None
        said = second.stderr.readline()
        other.drop()
        out, rest = second.communicate(timeout=PATIENCE)
    assert said == "another build into site is running; waiting until it has ended\n"
    assert (second.returncode, rest, out.splitlines()[-1]) == (0, "", "site built: site/index.html")


def test_two_builds_at_once_make_one_whole_site(repository: GitRepository) -> None:
    command = [sys.executable, "-m", "mkdocs", "build", "--quiet"]
    running = [subprocess.Popen(command) for _ in range(2)]
    assert [one.wait(PATIENCE) for one in running] == [0, 0]
    assert tree(repository.folder / "site") == tree(build_site("mkdocs.yml", repository.folder.parent / "fresh"))
    assert is_clean(repository)


def test_the_site_is_where_what_publishes_it_looks_for_it(repository: GitRepository) -> None:
    remote = new_repository(repository.folder.parent / "remote")
    repository.git("remote", "add", "origin", str(remote.folder))
    done = run_apart("mkdocs", "gh-deploy", "--quiet")
    assert done.returncode == 0, done.stderr
    published = remote.git("ls-tree", "-r", "--name-only", "gh-pages").split()
    assert {"index.html", "solos/one/index.html"} <= {*published}


ON_A_SMALL_DISK = """
mkdir "$1"
mount -t tmpfs -o size="$2" none "$1" || exit 75
cd "$1"
cp -r ../mine/. .
build() { "$PYTHON" -m "$@" build >/dev/null 2>told; }
build mkdocs || exit 1
cp -r site ../first
find . -path ./site -prune -o -type f ! -name told -print0 | sort -z | xargs -0 cksum >../before
for program in mkdocs tabtools; do
    build $program && exit 2
    grep -qi "no space left on device" told || exit 3
    diff -r site ../first || exit 4
    find . -path ./site -prune -o -type f ! -name told -print0 | sort -z | xargs -0 cksum | diff - ../before || exit 5
done
"""


def test_a_full_disk_leaves_the_site(repository: GitRepository) -> None:
    size = sum(path.stat().st_blocks for path in build_site("mkdocs.yml").rglob("*")) * 512
    Path("site").rename("../measured")
    words = ["sh", "-uc", ON_A_SMALL_DISK, "sh", "../disk", str(int(1.6 * size))]
    alone = ["unshare", "--map-root-user", "--mount", *words]
    done = subprocess.run(
        alone,
        env=os.environ | {"PYTHON": sys.executable},
        capture_output=True,
        text=True,
        timeout=PATIENCE,
        check=False,
    )
    if not Path("../first").exists() and not os.environ.get("CI"):
        pytest.skip(f"no disk of its own can be made here: {done.stderr.strip()}")
    assert done.returncode == 0, done.stdout + done.stderr
