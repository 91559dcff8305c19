"""A reader's patch: what is written git takes, what is read can do one thing only."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from git_repositories import BETTER, DUSK, ENVIRONMENT, SOLO, GitRepository, new_repository
from hypothesis import given
from hypothesis import strategies as st
from patches import PATCH, applied, repository_in, saved, state

from tabtools.review.hunks import patched
from tabtools.review.patch import Patch, PatchError, read_patch, suggestion


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> GitRepository:
    return repository_in(tmp_path, monkeypatch)


# ---- writing

TEXTS = st.lists(st.sampled_from(["", "bar 1", "1  3:7", "-- ", "--- a/x", "+++ b/x", "@@ -1 +1 @@", " x", "é\x0cñ"]))
LINES = st.builds(lambda lines, end: "\n".join(lines) + end, TEXTS, st.sampled_from(["", "\n"]))
PIECES = ["diff --git a/x b/x", "--- a/x", "\n", "@@ -1 +1 @@", "Reason: ", "é", " ", "\x1b", "\u202e"]
HEADS = st.lists(st.sampled_from(PIECES)).map("".join)


@pytest.fixture(scope="module")
def bare_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[GitRepository]:
    yield new_repository(tmp_path_factory.mktemp("applied"))


@given(LINES, LINES, HEADS, HEADS)
def test_git_takes_what_is_suggested(bare_folder: GitRepository, old: str, new: str, credit: str, reason: str) -> None:
    if old == new or not old or not new:
        return
    path = bare_folder.folder / "transcriptions" / "a b.solo"
    path.parent.mkdir(exist_ok=True)
    path.write_text(old, encoding="utf-8", newline="")
    patch = suggestion(old, new, "transcriptions/a b.solo", credit, reason)
    for text in (patch, read_patch(patch.encode(), "transcriptions").text):
        path.write_text(old, encoding="utf-8", newline="")
        done = subprocess.run(
            ["git", "apply", "--whitespace=nowarn"], cwd=bare_folder.folder, env=ENVIRONMENT, input=text.encode(),
            capture_output=True, check=False,
        )  # fmt: skip
        assert done.returncode == 0, (text, done.stderr)
        assert path.read_bytes().decode() == new


def test_what_is_suggested_is_read_again() -> None:
    read = read_patch(PATCH.encode(), "transcriptions")
    assert read.path == SOLO
    assert (read.credit, read.at, read.reason) == ("Nell Quayle", "0:42.3", "The tape has the higher note.")
    assert read.text in PATCH


def test_nothing_changed_is_no_suggestion() -> None:
    with pytest.raises(ValueError, match="the same"):
        suggestion(DUSK, DUSK, SOLO)


def test_a_patch_made_by_git_is_read(repository: GitRepository) -> None:
    repository.write(BETTER)
    made = repository.git("diff")
    repository.git("checkout", "--", SOLO)
    assert read_patch(made.encode(), "transcriptions").files[0].hunks.startswith("@@ -13,6 +13,6 @@")
    assert applied(repository, made, "--yes").exit_code == 0
    assert repository.read() == BETTER


def test_a_name_that_git_quotes_is_read(repository: GitRepository) -> None:
    name = "transcriptions/dämmerung.solo"
    repository.commit(DUSK, "another", name)
    repository.write(BETTER, name)
    made = repository.git("-c", "core.quotePath=true", "diff")
    assert '"a/transcriptions/d\\303\\244mmerung.solo"' in made
    assert read_patch(made.encode(), "transcriptions").path == name


@pytest.mark.parametrize("after", ["", "\n", "\n\n\n", "-- \n2.39.5\n\n"], ids=repr)
@pytest.mark.parametrize(
    ("was", "now"),
    [
        ("4    1:8 1:7\n", "4    1:8 1:9\n"),
        ("bar 1  Dm7\n", "bar 1  Dm9\n"),
        ("\n\nbar 2  G7\n1    3:7 3:9\n2", "\n\n\n\nbar 2  G7\n1    3:7 3:9\n\n2"),
        ("1    3:5 3:7\n", "1    3:5 3:8\n"),
    ],
    ids=["in the middle", "before the change", "beside new ones", "last"],
)
def test_empty_lines_that_a_mail_stripped_are_read_as_git_reads_them(
    repository: GitRepository, was: str, now: str, after: str
) -> None:
    """Outside truth: git itself, which takes them, and takes no patch that ends too early."""
    old = DUSK.replace("bar 2", "\nbar 2").replace("3    1:5 -\n", "3    1:5 -\n\n")
    repository.commit(old)
    new = old.replace(was, now)
    sent = suggestion(old, new, SOLO).replace("\n \n", "\n\n").replace("\n \n", "\n\n")
    assert "\n \n" not in sent and new != old
    cut = sent.removesuffix("\n").rpartition("\n")[0] + "\n"
    for text, is_whole in ((sent + after, True), (cut, False)):
        done = subprocess.run(
            ["git", "apply", "--check"], cwd=repository.folder, env=ENVIRONMENT, input=text.encode(), check=False,
            capture_output=True,
        )  # fmt: skip
        assert (done.returncode == 0) == is_whole, done.stderr
    read = read_patch((sent + after).encode(), "transcriptions")
    assert read == read_patch(suggestion(old, new, SOLO).encode(), "transcriptions")
    assert patched(read.files[0].hunks, old.encode()) == new.encode()
    with pytest.raises(PatchError, match="cut off"):
        read_patch(cut.encode(), "transcriptions")


def test_a_reason_keeps_paragraphs_that_a_mail_stripped() -> None:
    reason = "The tape has it.\n\n\nTwice, even."
    sent = suggestion(DUSK, BETTER, SOLO, "Nell Quayle", reason).replace("\n \n", "\n\n").replace("\n \n", "\n\n")
    assert "it.\n\n\n Twice" in sent
    assert read_patch(sent.encode(), "transcriptions").reason == reason
    ended = PATCH.replace("\n\ndiff", "\n\nBest wishes,\n Nell\n\ndiff").replace("0:42.3\n", "0:42.3\n\n there\n")
    read = read_patch(ended.encode(), "transcriptions")
    assert (read.at, read.reason) == ("0:42.3", "The tape has the higher note.")


# ---- refusing


def renamed(old: str, new: str | None = None) -> str:
    """The good patch, for other files."""
    new = old if new is None else new
    return PATCH.replace(f"a/{SOLO}", f"a/{old}").replace(f"b/{SOLO}", f"b/{new}")


HEAD, _, HUNKS = PATCH.partition("--- ")
FIRST = f"diff --git a/{SOLO} b/{SOLO}\n"
LINK = f"{FIRST}index 1234567..89abcde 120000\n--- {HUNKS}"
NEW_LINK = (
    f"{FIRST}new file mode 120000\nindex 0000000..1234567\n--- /dev/null\n+++ b/{SOLO}\n"
    "@@ -0,0 +1 @@\n+../../secret\n\\ No newline at end of file\n"
)
BINARY = f"{FIRST}index 1234567..89abcde 100644\nGIT binary patch\nliteral 3\nKcmZ\n\n"
HOSTILE: dict[str, tuple[str | bytes, str]] = {
    "outside": (renamed("README.md"), "lies outside transcriptions/"),
    "another folder": (renamed("transcriptions-2/dusk.solo"), "lies outside transcriptions/"),
    "a long name": (renamed(f"transcriptions/{'d' * 5_000}.solo"), f"“transcriptions/{'d' * 44}…” is too long a name"),
    "a name of many bytes": (renamed(f"transcriptions/{'é' * 126}.solo"), "is too long a name"),
    "a deep folder": (renamed(f"transcriptions/{'d/' * 2_500}dusk.solo"), "is too long a name"),
    "hunks without end": (PATCH + "@@ -1 +1 @@\n-a\n+b\n" * 20_000, "where line 1 is “a” and not “title: "),
    "lines far away": (PATCH + "@@ -9999999 +9999999 @@\n-a\n+b\n", "does not fit"),
    "lines without end": (PATCH + "@@ -1,9999999 +1,9999999 @@\n-a\n+b\n", "it is cut off"),
    "a line beyond all numbers": (PATCH + f"@@ -{'9' * 5_000} +1 @@\n-a\n+b\n", "is no head of a hunk"),
    "nothing around its lines": (
        f"--- a/{SOLO}\n+++ b/{SOLO}\n@@ -10 +10 @@\n-2    2:5 2:8\n+2    2:5 2:7\n",
        "it shows none of the lines around its changes, so their place is not certain; git diff shows three of them",
    ),
    "absolute": (renamed("/etc/dusk.solo"), "is no path within the repository"),
    "a drive": (renamed("C:/dusk.solo"), "is no path within the repository"),
    "backslashes": (renamed("transcriptions\\..\\dusk.solo"), "is no path within the repository"),
    "up": (renamed("transcriptions/../README.md"), "leads astray"),
    "up and away": (renamed("../dusk.solo"), "leads astray"),
    "here": (renamed("transcriptions/./dusk.solo"), "leads astray"),
    "nowhere": (renamed("transcriptions//dusk.solo"), "leads astray"),
    "in .git": (renamed("transcriptions/.git/config.solo"), "leads astray"),
    "in .GIT": (renamed("transcriptions/.GIT/config.solo"), "leads astray"),
    "attributes": (renamed("transcriptions/.gitattributes"), "leads astray"),
    "another kind": (renamed("transcriptions/dusk.py"), "neither a solo nor a lesson"),
    "not there": (renamed("transcriptions/dawn.solo"), "is no file of this repository"),
    "a terminal escape in the name": (renamed("transcriptions/\x1b[2Jdusk.solo"), "characters that cannot be shown"),
    "a right-to-left name": (renamed("transcriptions/\u202edusk.solo"), "characters that cannot be shown"),
    "a quoted control": (
        PATCH.replace(f"a/{SOLO}", '"a/transcriptions/\\033dusk.solo"').replace(
            f"b/{SOLO}", '"b/transcriptions/\\033dusk.solo"'
        ),
        "characters that cannot be shown",
    ),
    "a quoted way up": (
        PATCH.replace(f"a/{SOLO}", '"a/transcriptions/\\056\\056/x.solo"').replace(
            f"b/{SOLO}", '"b/transcriptions/\\056\\056/x.solo"'
        ),
        "leads astray",
    ),
    "bytes that are no text": (PATCH.replace("Nell", "N\xe9ll").encode("latin-1"), "is not UTF-8 text"),
    "rename": (renamed(SOLO, "transcriptions/dawn.solo"), "renames a file, or changes more than one"),
    "rename in words": (PATCH.replace("--- a", f"rename from {SOLO}\nrename to x.solo\n--- a"), "it renames a file"),
    "two names": (PATCH.replace(FIRST, FIRST.replace("b/transcriptions", "b/elsewhere")), "names another file"),
    "copy": (PATCH.replace("--- a", "copy from README.md\n--- a"), "it copies a file"),
    "mode": (PATCH.replace("--- a", "old mode 100644\nnew mode 100755\n--- a"), "it changes the mode"),
    "deletion": (PATCH.replace("--- a", "deleted file mode 100644\n--- a"), "it deletes a file"),
    "deletion without words": (PATCH.replace(f"+++ b/{SOLO}", "+++ /dev/null"), "it deletes a file"),
    "a new file": (PATCH.replace(f"--- a/{SOLO}", "--- /dev/null"), "it makes a new file"),
    "a link": (LINK, "no plain file"),
    "a new link": (NEW_LINK, "it makes a new file"),
    "binary": (BINARY, "it is binary"),
    "one file twice": (PATCH + PATCH.partition("\n\n")[2], "one file twice"),
    "two files without heads": (PATCH + "--- a/x\n+++ b/x\n@@ -1 +1 @@\n-a\n+b\n", "lies outside transcriptions/"),
    "a thousand files": ("".join(renamed(f"transcriptions/{n}.solo") for n in range(1000)), "something follows"),
    "too long": (PATCH + "x" * 1024 * 1024, "more than 1,048,576 bytes"),
    "cut off": (PATCH[:-40], "it is cut off"),
    "other lines than said": (PATCH.replace("@@ -13,6 +13,6 @@", "@@ -13,2 +13,6 @@"), "other lines than it says"),
    "nothing": ("", "no changed lines"),
    "prose": ("Dear Ida,\nbar 2 is wrong.\n", "no changed lines"),
    "no change": (f"--- a/{SOLO}\n+++ b/{SOLO}\n@@ -1 +1 @@\n title:        Ferry at Dusk\n", "it changes nothing"),
    "the same line": (PATCH.replace("2:6 2:10", "2:6 2:8"), "it changes nothing"),
    "stale": (PATCH.replace(" 3    1:7 -", " 3    1:9 -"), "does not fit"),
    "controls in the text": (
        PATCH.replace("2:6 2:10", "2:6 2:10 # \x1b[2J"),
        f"with it, {SOLO} could not be read: a terminal escape",
    ),
    "bidirectional text": (PATCH.replace("2:6 2:10", "2:6 2:10 # \u202e"), "a bidirectional control"),
}


@pytest.mark.parametrize(("patch", "said"), HOSTILE.values(), ids=HOSTILE)
def test_a_hostile_patch_is_refused_and_changes_nothing(
    repository: GitRepository, patch: str | bytes, said: str
) -> None:
    saved(repository, patch)
    before = state(repository)
    done = applied(repository, patch, "--yes")
    assert done.exit_code == 2, done.stdout
    assert said in done.stderr and "Traceback" not in done.stderr
    assert "this correction is refused" in done.stderr
    assert not {"\x1b", "\u202e"} & set(done.stderr + done.stdout)
    assert state(repository) == before


PARTS = st.sampled_from([*PATCH.splitlines(True), "--- ", "+++ ", "@@ ", "diff --git ", "\n", "-", "\x00", '"'])


@given(st.lists(PARTS).map("".join))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        read = read_patch(text.encode(), "transcriptions")
    except PatchError as refused:
        assert refused.message and refused.advice
    else:
        assert isinstance(read, Patch) and read.path == SOLO


def test_a_link_in_the_repository_is_not_followed(repository: GitRepository) -> None:
    secret = repository.folder.parent / "secret.solo"
    secret.write_text(DUSK, encoding="utf-8")
    (repository.folder / SOLO).unlink()
    (repository.folder / SOLO).symlink_to(secret)
    repository.commit()
    assert "is a link" in applied(repository, PATCH, "--yes").stderr
    assert secret.read_text(encoding="utf-8") == DUSK


def test_a_folder_that_is_a_link_is_not_followed(repository: GitRepository) -> None:
    away = repository.folder.parent / "away"
    (repository.folder / "transcriptions").rename(away)
    (repository.folder / "transcriptions").symlink_to(away)
    assert applied(repository, PATCH, "--yes").exit_code == 2
    assert (away / "dusk.solo").read_text(encoding="utf-8") == DUSK


def test_a_file_with_work_in_it_is_left_alone(repository: GitRepository) -> None:
    repository.write(DUSK.replace("126", "120"))
    before = state(repository)
    saved(repository, PATCH)
    assert "has changes that are not committed" in applied(repository, PATCH, "--yes").stderr
    assert state(repository)[:2] == before[:2]
