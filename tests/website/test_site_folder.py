"""Where a site may be put, and what a new one may replace."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest
from broken_off import build, content
from hypothesis import example, given, settings
from hypothesis import strategies as st
from thoroughness import share

from tabtools.website import site_folder
from tabtools.website.site_folder import MARK, SiteFolderError, Sources, check_content, checked_folder, files_within

NAME = "name a folder of the site's own, as site_dir in mkdocs.yml or with tabtools build --to"


def write_repository(folder: Path) -> Sources:
    """A repository with its folders in `home/mine`, and what people have beside it."""
    root = folder / "home" / "mine"
    for name in ("solos/early", "pages", ".git/objects", ".git/refs", "empty", "notes"):
        (root / name).mkdir(parents=True)
    for name in ("solos/dusk.solo", "pages/index.md", ".git/HEAD", "mkdocs.yml", "notes/plan"):
        (root / name).write_text(f"{name}\n", encoding="utf-8")
    bare = root.parent / "bare"
    (bare / "objects").mkdir(parents=True)
    (bare / "refs").mkdir()
    (bare / "HEAD").touch()
    (root.parent / "clone" / ".git").mkdir(parents=True)
    (root.parent / "worktree").mkdir()
    (root.parent / "worktree" / ".git").write_text("gitdir: ../mine/.git/worktrees/one\n", encoding="utf-8")
    (root / "to-solos").symlink_to("solos")
    (root / "to-git").symlink_to(".git")
    (root / "to-empty").symlink_to("empty")
    (root / "to-new").symlink_to("new")
    (root / "round").symlink_to("round")
    (root / "to-home").symlink_to("..")
    os.mkfifo(root / "pipe")
    return Sources(root / "solos", root / "pages", (root,))


@pytest.fixture
def sources(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Sources:
    """What a site is made from; the repository is the working folder."""
    sources = write_repository(tmp_path)
    monkeypatch.chdir(sources.roots[0])
    return sources


SOLOS, PAGES, WHOLE = (
    "the folder of the solos",
    "the folder of the written pages",
    "the whole repository lies in it",
)


@pytest.mark.parametrize(
    ("wanted", "why"),
    [
        ("solos", f"this is {SOLOS}"),
        ("pages", f"this is {PAGES}"),
        ("solos/early", f"it lies in {SOLOS}"),
        ("solos/new/deeper", f"it lies in {SOLOS}"),
        ("pages/site", f"it lies in {PAGES}"),
        ("empty/../solos", f"this is {SOLOS}"),
        ("to-solos", f"this is {SOLOS}"),
        ("to-solos/site", f"it lies in {SOLOS}"),
        ("to-solos/../pages", f"this is {PAGES}"),
        (".", f"{SOLOS} lies in it"),
        ("..", f"{SOLOS} lies in it"),
        ("/", f"{SOLOS} lies in it"),
        (".git", "it belongs to git"),
        (".git/site", "it belongs to git"),
        ("to-git/site", "it belongs to git"),
        ("../bare", "it belongs to git"),
        ("../bare/refs/site", "it belongs to git"),
        (".GIT/site", "it belongs to git"),
        ("../clone", "this is a git repository"),
        ("../worktree", "this is a git repository"),
        ("/proc", "a disk begins there, and a site is replaced as a whole"),
        ("mkdocs.yml", "this is no folder"),
        ("mkdocs.yml/site", "mkdocs.yml is no folder"),
        ("pipe", "this is no folder"),
        ("round", "this is a link that leads nowhere"),
        ("a\0b", "this name cannot be used (it holds a NUL character)"),
    ],
)
def test_no_site_goes_where_something_could_be_lost(sources: Sources, wanted: str, why: str) -> None:
    with pytest.raises(SiteFolderError) as refused:
        checked_folder(Path.cwd() / wanted, sources)
    shown, _, rest = str(refused.value).removeprefix("the site cannot go into ").partition(": ")
    assert Path(shown.replace("␀", "\0")) in (Path(wanted), Path.cwd() / wanted)
    reason, _, advice = rest.partition("; ")
    assert reason == why
    assert advice in (NAME, "build into another folder and copy the pages from there", "name a folder within it")


def test_a_root_without_the_solos_is_kept_too(sources: Sources) -> None:
    apart = Sources(sources.solos, sources.pages, (sources.solos.parents[1] / "clone" / "inner",))
    apart.roots[0].mkdir()
    for wanted in (apart.roots[0], apart.roots[0] / ".." / "inner"):
        with pytest.raises(SiteFolderError, match=WHOLE):
            checked_folder(wanted, apart)


def test_solos_that_are_reached_through_a_link_are_kept(sources: Sources) -> None:
    linked = Sources(Path("to-solos").absolute(), sources.pages, sources.roots)
    with pytest.raises(SiteFolderError, match=f"this is {SOLOS}"):
        checked_folder(sources.solos, linked)


@pytest.mark.parametrize(
    ("wanted", "expected"),
    [
        ("site", "site"),
        ("empty", "empty"),
        ("new/deeper/site", "new/deeper/site"),
        ("solos/../site", "site"),
        ("solos-of-mine", "solos-of-mine"),
        ("to-empty", "empty"),
        ("to-new", "new"),
        ("../beside", "../beside"),
    ],
)
def test_any_other_folder_will_do(sources: Sources, wanted: str, expected: str) -> None:
    target = checked_folder(Path.cwd() / wanted, sources)
    assert target == Path(expected).resolve()
    assert check_content(target) == ()


def filled(folder: Path, *names: str, marked: tuple[str, ...] | None = None) -> Path:
    for name in names:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.touch()
    if marked is not None:
        (folder / MARK).write_text(site_folder.mark(marked), encoding="utf-8")
    return folder


def refused(folder: Path) -> str:
    with pytest.raises(SiteFolderError) as caught:
        check_content(folder)
    return str(caught.value).removeprefix(f"the site cannot go into {folder}: ")


@pytest.mark.parametrize(
    ("names", "shown"),
    [
        (["notes.md"], "notes.md"),
        ([".gitkeep"], ".gitkeep"),
        (["a/one", "b"], "a and b"),
        (["a", "b", "c"], "a, b and c"),
        (["a", "b", "c", "d", "e"], "a, b, c and 2 more"),
        (
            ["index.html", "404.html", "sitemap.xml", "search/search_index.json"],
            "404.html, index.html, search and 1 more",
        ),
    ],
)
def test_a_folder_that_is_no_site_of_ours_is_refused(tmp_path: Path, names: list[str], shown: str) -> None:
    assert refused(filled(tmp_path, *names)) == (
        f"it is not empty, and no site of tabtools ({shown}); if it is an old site, delete it; otherwise {NAME}"
    )


def test_folders_without_files_count_as_content(tmp_path: Path) -> None:
    (tmp_path / "drafts").mkdir()
    assert "no site of tabtools (drafts)" in refused(tmp_path)


UNMARKED = ("404.html", "sitemap.xml", "assets/tabtools.css", "assets/tab.css", "search/search_index.json")


def test_a_site_made_before_there_was_a_mark_may_be_replaced(tmp_path: Path) -> None:
    site = filled(tmp_path, *UNMARKED, "index.html", "solos/files/dusk.solo", ".nojekyll")
    assert check_content(site) == (".nojekyll",)


@pytest.mark.parametrize("name", ["notes.md", "solos/dusk.solo", "dusk.solo", "mkdocs.yml", "pyproject.toml"])
def test_a_site_without_a_mark_that_has_a_source_in_it_is_refused(tmp_path: Path, name: str) -> None:
    assert "no site of tabtools" in refused(filled(tmp_path, *UNMARKED, name))


@pytest.mark.parametrize("missing", UNMARKED)
def test_every_sign_of_a_site_without_a_mark_is_needed(tmp_path: Path, missing: str) -> None:
    assert "no site of tabtools" in refused(filled(tmp_path, *(name for name in UNMARKED if name != missing)))


def test_what_has_been_put_into_a_site_is_named(tmp_path: Path) -> None:
    site = filled(tmp_path, "index.html", "solos/dusk.solo", "notes", marked=("index.html",))
    assert refused(site) == "no build has put there notes and solos/dusk.solo; move that elsewhere first"


def test_hidden_files_that_were_put_into_a_site_are_kept(tmp_path: Path) -> None:
    names = (".nojekyll", ".well-known/one.txt", "solos/.DS_Store")
    site = filled(tmp_path, "index.html", *names, marked=("index.html", "gone.html"))
    assert sorted(check_content(site)) == sorted(names)


def test_repositories_and_pipes_in_a_site_are_named(tmp_path: Path) -> None:
    site = filled(tmp_path, "index.html", "solos/.git/HEAD", marked=("index.html",))
    os.mkfifo(site / ".pipe")
    assert "no build has put there .pipe and solos/.git/HEAD" in refused(site)


def test_a_link_to_a_folder_is_one_file(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "photo").touch()
    site = filled(tmp_path / "site", "index.html", marked=("index.html",))
    (site / "photos").symlink_to(tmp_path / "elsewhere")
    assert sorted(files_within(site)) == [MARK, "index.html", "photos"]
    assert "no build has put there photos" in refused(site)


def to_pipe(path: Path) -> None:
    path.unlink()
    os.mkfifo(path)


def to_link(path: Path) -> None:
    path.rename(path.parent.parent / "elsewhere")
    path.symlink_to(path.parent.parent / "elsewhere")


@pytest.mark.parametrize(
    "spoil",
    [
        lambda path: path.write_text("{", encoding="utf-8"),
        lambda path: path.write_text("[]", encoding="utf-8"),
        lambda path: path.write_text("{}", encoding="utf-8"),
        lambda path: path.write_text('{"files": 3}', encoding="utf-8"),
        lambda path: path.write_text('{"files": [[]]}', encoding="utf-8"),
        lambda path: path.write_text("[" * 100_000, encoding="utf-8"),
        lambda path: path.write_bytes(b"\xff"),
        lambda path: (path.unlink(), path.mkdir()),
        to_pipe,
        to_link,
    ],
)
def test_what_is_no_mark_vouches_for_nothing(tmp_path: Path, spoil: Callable[[Path], object]) -> None:
    site = filled(tmp_path / "site", "index.html", marked=("index.html",))
    assert check_content(site) == ()
    spoil(site / MARK)
    assert "no site of tabtools" in refused(site)


@given(st.lists(st.text(st.characters(blacklist_characters="/\0"), min_size=1, max_size=20)))
def test_a_mark_remembers_any_name(tmp_path_factory: pytest.TempPathFactory, names: list[str]) -> None:
    folder = tmp_path_factory.mktemp("site")
    (folder / MARK).write_text(site_folder.mark(names), encoding="utf-8")
    assert site_folder._marked(folder) == {*names, MARK}


NAMES = [
    "solos",
    "pages",
    "early",
    ".git",
    "empty",
    "to-solos",
    "to-git",
    "to-empty",
    "to-new",
    "to-home",
    "mine",
    "new",
]


def everything(folder: Path) -> dict[str, str | bytes]:
    """All that is in a folder: files with their bytes, anything else with what it is."""
    found: dict[str, str | bytes] = {}
    for path in sorted(folder.rglob("*")):
        is_file = path.is_file() and not path.is_symlink()
        kind = str(path.readlink()) if path.is_symlink() else "folder" if path.is_dir() else "pipe"
        found[path.relative_to(folder).as_posix()] = path.read_bytes() if is_file else kind
    return found


@settings(max_examples=share(400))
@given(
    st.lists(st.sampled_from([".", "to-home/mine", "solos/..", "../mine", "to-git/.."]), max_size=3),
    st.lists(st.sampled_from([".", "..", *NAMES]), min_size=1, max_size=2),
)
@example([], ["notes"])
@example(["to-home/mine"], ["empty"])
def test_wherever_a_site_is_put_nothing_is_lost(roundabout: list[str], names: list[str]) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        sources = write_repository(folder)
        before = everything(folder)
        try:
            target = checked_folder(sources.roots[0].joinpath(*roundabout, *names), sources)
            for text in ("old", "new"):
                build(target, {"index.html": text})
        except SiteFolderError:
            assert everything(folder) == before
        else:
            after = everything(folder)
            assert {path: after.get(path) for path in before} == before
            assert content(target) == {"index.html": "new"}
