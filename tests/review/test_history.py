"""What git remembers of solos: changes of music in words, on whose word, with the bars as they are numbered now."""

from __future__ import annotations

import re
import time
from collections.abc import Sequence
from pathlib import Path
from xml.etree import ElementTree

import pytest
from git_repositories import BETTER, DUSK, ENVIRONMENT, SOLO, GitRepository, new_repository, tabtools
from made_solos import made_solo

import tabtools.reports.history as history_module
from tabtools.cache.results import KEEPING_NOTHING, Keeping
from tabtools.reports.commit_summary import Corrected
from tabtools.reports.history import MOST_OF_ONE, CollectionHistory, ToldCorrection, collection_history_of
from tabtools.review import git, revisions
from tabtools.review.git_log import Commit
from tabtools.review.repository_log import RepositoryLog, Touch, repository_log_of
from tabtools.settings import Settings
from tabtools.website.collection import Collection, gather
from tabtools.website.feed import feed
from tabtools.website.history_page import FEED, feed_entries, listed_people
from tabtools.website.links import Links

ADDED = BETTER.replace("bar 2  G7", "bar 3  G7").replace("bar 1  Dm7", "bar 2  Dm7").replace(
    "\nbar 2", "\nbar 1  Am7\n1-4  1:5\n\nbar 2"
)  # fmt: skip
CREDIT = "a higher note\n\nSuggested-by: Nell Quayle <nell@quay.example>"
LINKS = Links(directory_urls=True)
ATOM = "{http://www.w3.org/2005/Atom}"
HOSTILE = "<img src=x onerror=alert(1)>\x1b[2J\u202e"


@pytest.fixture(autouse=True)
def no_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
        monkeypatch.setenv(name, ENVIRONMENT[name])


@pytest.fixture
def repository(tmp_path: Path) -> GitRepository:
    found = new_repository(tmp_path / "solos", DUSK)
    found.commit(BETTER, CREDIT)
    return found


def folder(repository: GitRepository) -> Path:
    return repository.folder / "transcriptions"


def past(repository: GitRepository, keeping: Keeping = KEEPING_NOTHING) -> CollectionHistory:
    texts = {path.relative_to(repository.folder).as_posix(): path for path in folder(repository).glob("*.solo")}
    return collection_history_of(
        repository_log_of(folder(repository)), {name: path.read_text for name, path in texts.items()}, keeping
    )


def entries(repository: GitRepository, name: str = SOLO) -> list[ToldCorrection]:
    return list(past(repository).of_solos[name])


def history(repository: GitRepository, name: str = SOLO) -> list[tuple[str, bool, tuple[int, ...]]]:
    """Subject, whether it is the first, bars."""
    return [(one.commit.subject, one.is_new, one.bars) for one in entries(repository, name)]


def site(repository: GitRepository, directory_urls: bool = True) -> Collection:
    return gather(folder(repository), Settings(root=repository.folder), directory_urls)


# ---- what is remembered


def test_the_latest_first_with_credits(repository: GitRepository) -> None:
    latest, first = entries(repository)
    assert (latest.commit.subject, latest.commit.credits, latest.bars) == ("a higher note", ("Nell Quayle",), (2,))
    assert latest.told is not None and latest.told.summary == "1 note to another pitch (bar 2)"
    assert first.is_new and first.told is None


def test_layout_and_comments_are_no_history(repository: GitRepository) -> None:
    repository.commit(BETTER.replace("bar 2  G7", "bar 2    G7  # a remark"), "tidied")
    assert [subject for subject, _, _ in history(repository)] == ["a higher note", "the first transcription"]


def test_bars_are_named_as_they_are_now(repository: GitRepository) -> None:
    repository.commit(ADDED, "a bar before")
    assert history(repository)[:2] == [("a bar before", False, (1,)), ("a higher note", False, (3,))]


def test_a_rename_is_followed(repository: GitRepository) -> None:
    repository.git("mv", SOLO, "transcriptions/evening.solo")
    repository.commit(BETTER.replace("3:9", "3:10"), "renamed and corrected", "transcriptions/evening.solo")
    found = history(repository, "transcriptions/evening.solo")
    assert [subject for subject, _, _ in found] == ["renamed and corrected", "a higher note", "the first transcription"]


def test_what_cannot_be_read_is_said_to_be_so(repository: GitRepository) -> None:
    repository.commit(BETTER.replace("bar 2  G7", "bar two"), "broken")
    repository.commit(BETTER, "mended")
    mended, broken, *_ = entries(repository)
    assert not mended.told.is_readable and not broken.told.is_readable


@pytest.mark.parametrize(
    ("was", "now", "said", "bars"),
    [
        ({"3:9": "3:9?=Eb4?", "2:10": "2:10?4:"}, {}, "2 lines mended that could not be read (bar 2)", (2,)),
        ({}, {"3:9": "3:9?="}, "1 line cannot be read (bar 2)", (2,)),
        ({"3:9": "3:9?="}, {"3:9": "3:9?=x"}, "1 line still cannot be read (bar 2)", (2,)),
        (
            {"3:9": "3:9?=", "3:7": "3:"},
            {"3:9": "3:9?="},
            "1 of 2 lines that cannot be read mended (bar 1)",
            (1,),
        ),
        ({"tempo:": "tempo"}, {}, "1 line mended that could not be read", ()),
    ],
)
def test_lines_that_cannot_be_read_are_counted(
    repository: GitRepository, was: dict[str, str], now: dict[str, str], said: str, bars: tuple[int, ...]
) -> None:
    for changes in (was, now):
        text = BETTER + "# the same again\n"
        for old, new in changes.items():
            text = text.replace(old, new)
        repository.commit(text, "again")
    latest = entries(repository)[0]
    assert latest.told is not None
    assert (latest.told.summary, latest.bars) == (said, bars)
    assert all(row[:2] in ("- ", "+ ") for row in latest.told.details) and latest.told.details
    if not now:
        assert f"{said}, by Ida Marlow" in site(repository).history.by_slug["dusk"]


def test_texts_that_a_partial_clone_lacks_are_not_called_unreadable(repository: GitRepository, tmp_path: Path) -> None:
    """`git clone --filter=blob:none` has the commits, and of the texts those of the last one."""
    repository.commit(BETTER.replace("3:9", "3:10"), "one more")
    repository.set("uploadpack.allowFilter", "true")
    repository.git("clone", "--quiet", "--filter=blob:none", repository.folder.as_uri(), str(tmp_path / "clone"))
    partial = GitRepository(tmp_path / "clone")
    keeping = Keeping(tmp_path / "kept.sqlite")
    latest, earlier, first = past(partial, keeping).of_solos[SOLO]
    assert (latest.commit.subject, earlier.commit.credits, first.is_new) == ("one more", ("Nell Quayle",), True)
    assert not latest.told.is_known and not earlier.told.is_known
    (told,) = (one for one in site(partial).gathered if "corrections" in one.path)
    assert "the text changed; how is not known here" in told.body(LINKS)
    assert [one.told.summary for one in past(repository, keeping).recent] == [
        "1 note to another pitch (bar 2)", "1 note to another pitch (bar 2)"
    ]  # fmt: skip


def test_what_git_could_not_give_once_is_asked_for_again(
    repository: GitRepository, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def slow(*_: object) -> dict[str, bytes]:
        raise git.GitError("git cat-file took longer than 60 seconds")

    keeping = Keeping(tmp_path / "kept.sqlite")
    with monkeypatch.context() as patched:
        patched.setattr(revisions.Repository, "blobs", slow)
        assert [one.told.is_known for one in past(repository, keeping).recent] == [False]
    assert [one.told.summary for one in past(repository, keeping).recent] == ["1 note to another pitch (bar 2)"]


def test_branches_that_are_merged_are_remembered(repository: GitRepository) -> None:
    repository.branch("one", BETTER.replace("3:5 3:7", "3:5 3:8"))
    repository.git("checkout", "--quiet", "main")
    repository.commit(BETTER.replace("1:10 1:8", "1:10 1:9"), "on main")
    repository.git("merge", "--quiet", "--no-edit", "one")
    repository.commit(DUSK, "another", "transcriptions/dawn.solo")
    found = {subject for subject, _, _ in history(repository)}
    assert found == {"one corrects", "on main", "a higher note", "the first transcription"}


def test_a_long_history_is_cut(repository: GitRepository) -> None:
    for step in range(MOST_OF_ONE + 3):
        repository.commit(BETTER.replace("126", str(60 + step)), f"tempo {step}")
    assert len(history(repository)) == MOST_OF_ONE


def test_recent_corrections_of_all(repository: GitRepository) -> None:
    repository.commit(DUSK, "another", "transcriptions/dawn.solo")
    repository.commit(BETTER, "dawn corrected", "transcriptions/dawn.solo")
    recent = past(repository).recent
    assert [(one.path, one.commit.subject) for one in recent] == [
        ("transcriptions/dawn.solo", "dawn corrected"),
        (SOLO, "a higher note"),
    ]
    among = collection_history_of(repository_log_of(folder(repository)), {SOLO: lambda: repository.read()})
    assert [one.path for one in among.recent] == [SOLO] and list(among.of_solos) == [SOLO]
    assert listed_people(recent) == "Nell Quayle"


# ---- less to know


def test_a_shallow_clone_says_less(repository: GitRepository, tmp_path: Path) -> None:
    repository.commit(BETTER.replace("126", "120"), "slower")
    repository.git("clone", "--quiet", "--depth=2", repository.folder.as_uri(), str(tmp_path / "clone"))
    clone = GitRepository(tmp_path / "clone")
    assert repository_log_of(folder(clone)).is_cut
    assert [one.commit.subject for one in entries(clone)] == ["slower"]


def test_outside_of_git_nothing_is_remembered(tmp_path: Path) -> None:
    place = tmp_path / "transcriptions"
    place.mkdir()
    (place / "dusk.solo").write_text(DUSK, encoding="utf-8")
    memory = repository_log_of(place)
    assert memory.repository is None and collection_history_of(memory, {SOLO: lambda: DUSK}) == CollectionHistory()
    found = gather(place, Settings(root=tmp_path))
    assert found.history.by_slug == {} and not any("corrections" in page.path for page in found.gathered)


def test_without_git_nothing_is_remembered(repository: GitRepository, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    assert past(repository) == CollectionHistory()


def test_nothing_committed_yet(tmp_path: Path) -> None:
    empty = new_repository(tmp_path / "solos")
    empty.write(DUSK)
    assert past(empty) == CollectionHistory()


# ---- on the site


def test_the_history_stands_on_the_page(repository: GitRepository) -> None:
    html = site(repository).history.by_slug["dusk"]
    assert "“a higher note”: 1 note to another pitch (bar 2), by Ida Marlow, suggested by Nell Quayle" in html
    assert 'Bar <a href="#b2">2</a>.' in html
    assert "2.2.2 2:8 G4, 1 of G7 → 2:10 A4, 2 of G7 (other pitch)" in html
    assert ": first transcribed, by" in html
    assert html.index("suggested by") < html.index("first transcribed")


@pytest.mark.parametrize(
    ("directory_urls", "root", "page"), [(True, "../../../", "dusk/"), (False, "../../", "dusk.html")]
)
def test_the_page_of_corrections(repository: GitRepository, directory_urls: bool, root: str, page: str) -> None:
    found = site(repository, directory_urls)
    (corrections,) = (one for one in found.gathered if "corrections" in one.path)
    html = corrections.body(found.links.seen_from(corrections.path))
    assert f'href="{root}solos/{page}#b2"' in html and f'href="{root}{FEED}"' in html
    assert "Suggested by Nell Quayle." in html
    assert "by/time/corrections" in found.index and "by/time/corrections" in found.history.by_slug["dusk"]


def test_nobody_is_told_of_a_draft(repository: GitRepository) -> None:
    repository.commit(BETTER.replace("tempo:", "draft: yes\ntempo:", 1), "a draft again")
    found = site(repository)
    assert "suggested by Nell Quayle" in found.history.by_slug["dusk"]
    assert [one for one in found.gathered if "corrections" in one.path] == [] == list(found.history.recent)
    assert "corrections" not in found.index + found.history.by_slug["dusk"]


def test_the_feed_is_atom(repository: GitRepository) -> None:
    """Elements an Atom feed and its entries must have: RFC 4287, 4.1.1 and 4.1.2."""
    repository.commit(BETTER.replace("126", "120"), f"slower {HOSTILE}")
    recent = site(repository).history.recent
    entries = list(feed_entries(recent, {"dusk": f"Dusk {HOSTILE}"}, LINKS))
    root = ElementTree.fromstring(feed("Corrections", "https://solos.example/", entries, FEED))
    assert all(root.find(f"{ATOM}{name}") is not None for name in ("id", "title", "updated"))
    found = root.findall(f"{ATOM}entry")
    assert len(found) == 2
    assert all(one.find(f"{ATOM}{name}") is not None for one in found for name in ("id", "title", "updated", "author"))
    ids = [one.findtext(f"{ATOM}id") for one in found]
    assert len(set(ids)) == 2 and root.findtext(f"{ATOM}id") == f"https://solos.example/{FEED}"


def test_a_correction_keeps_its_id_when_its_bars_move(repository: GitRepository) -> None:
    """RFC 4287, 4.2.6: the id of an entry must not change, whatever becomes of its link."""

    def told(site_url: str) -> tuple[str, str]:
        recent = site(repository).history.recent
        entries = list(feed_entries(recent, {"dusk": "Dusk"}, LINKS))
        found = ElementTree.fromstring(feed("Corrections", site_url, entries, FEED)).iter(f"{ATOM}entry")
        (entry,) = (one for one in found if "to another pitch" in one.findtext(f"{ATOM}title"))
        return entry.findtext(f"{ATOM}id"), entry.find(f"{ATOM}link").get("href")

    before = told("https://solos.example/")
    repository.commit(ADDED, "a bar before")
    after = told("https://solos.example/")
    assert (before[1][-3:], after[1][-3:]) == ("#b2", "#b3")
    assert before[0] == after[0] == told("")[0] != ""


def test_hostile_names_arrive_as_text(repository: GitRepository) -> None:
    repository.git("config", "user.name", "x")
    author = f"--author={HOSTILE} <x@x.example>".replace("<img", "(img").replace("(1)>", "(1))")
    repository.write(BETTER.replace("126", "120").replace("Ferry at Dusk", "<script>alert(1)</script>"))
    repository.git("commit", "--quiet", "--all", author, "-m", f"slower\n\nSuggested-by: {HOSTILE}&\"'")
    found = site(repository)
    (corrections,) = (one for one in found.gathered if "corrections" in one.path)
    for html in (found.history.by_slug["dusk"], corrections.body(LINKS)):
        assert not re.search(r"<(script|img)|[\x1b\u202e]", html)


def test_blame_and_history_agree_on_who(repository: GitRepository) -> None:
    done = tabtools(repository.folder, "blame", SOLO, "2")
    assert "Nell Quayle" in done.stdout
    assert history(repository)[0][2] == (2,)


class Watched:
    """What git is asked, and how many corrections are worked out."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.asked: list[tuple[str, bytes]] = []
        self.worked_out = 0
        run, work_out = git.run, history_module.corrected

        def watched_run(arguments: Sequence[str], folder: Path, given: bytes = b"", *rest: object, **more: object):
            self.asked.append((arguments[0], given))
            return run(arguments, folder, given, *rest, **more)

        def watched_work(*texts: object):
            self.worked_out += 1
            return work_out(*texts)

        for module in (git, revisions):
            monkeypatch.setattr(module, "run", watched_run)
        monkeypatch.setattr(history_module, "corrected", watched_work)

    def blobs(self) -> set[bytes]:
        return {name for command, given in self.asked if command == "cat-file" for name in given.split()}


def test_a_thousand_solos_are_remembered_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    many = new_repository(tmp_path / "solos")
    for number in range(1000):
        many.write(DUSK, f"transcriptions/solo-{number}.solo")
    many.commit(message="all")
    for number in range(5):
        many.write(made_solo(number), f"transcriptions/solo-{number}.solo")
    many.commit(message="five")
    keeping = Keeping(tmp_path / "kept.sqlite")
    watched = Watched(monkeypatch)
    found = past(many, keeping)
    assert len(found.recent) == 5 and len(found.of_solos) == 1000
    assert len(watched.asked) <= 7 and watched.worked_out == 5
    assert len(watched.blobs()) == 6, "one text before, five after"
    again = Watched(monkeypatch)
    assert past(many, keeping) == found
    assert again.worked_out == 0 and not again.blobs()
    many.write(made_solo(7), "transcriptions/solo-7.solo")
    many.commit(message="one more")
    third = Watched(monkeypatch)
    assert len(past(many, keeping).recent) == 6
    assert third.worked_out == 1 and len(third.blobs()) == 2


def test_many_corrections_of_layout_hide_none_of_the_music(repository: GitRepository) -> None:
    for step in range(MOST_OF_ONE + 5):
        repository.commit(BETTER.replace("bar 2  G7", f"bar 2  G7  # take {step}"), f"remark {step}")
    assert [subject for subject, _, _ in history(repository)] == ["a higher note", "the first transcription"]
    assert [one.commit.subject for one in past(repository).recent] == ["a higher note"]


def test_thousands_of_corrections_of_layout_take_no_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """One solo, of whose corrections none changed the music: each has to be looked at."""
    commits = [Commit(str(number), "Ida Marlow", "2026-03-01", "tidied", ()) for number in range(9000)]
    touches = [(SOLO, Touch(commit, SOLO, (f"before {commit.name}",), commit.name)) for commit in commits]
    monkeypatch.setattr(history_module._HistoryTeller, "tell", lambda *_: None)
    monkeypatch.setattr(history_module._HistoryTeller, "told", lambda *_: Corrected(numbers=((),)))
    began = time.process_time()
    assert collection_history_of(RepositoryLog(touches=touches), {SOLO: lambda: DUSK}).recent == ()
    assert time.process_time() - began < 5


def test_settings_of_git_change_nothing(repository: GitRepository) -> None:
    before = history(repository)
    for name, value in (("log.showRoot", "false"), ("log.follow", "true"), ("diff.renames", "false")):
        repository.set(name, value)
    assert history(repository) == before


def test_a_date_that_no_calendar_has_stops_nothing(repository: GitRepository, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("GIT_AUTHOR_DATE", "GIT_COMMITTER_DATE"):
        monkeypatch.setitem(ENVIRONMENT, name, "@999999999999 +0000")
    repository.commit(ADDED, "from far away")
    found = site(repository)
    assert found.history.recent[0][1].commit.subject == "from far away"
    assert found.dates["dusk"].published.year == 1970
