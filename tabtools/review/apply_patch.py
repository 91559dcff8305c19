"""Taking a reader's patch: what its files become, worked out aside; then written and committed, or left as is."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from tabtools.lock import Lock
from tabtools.review.git import output, run
from tabtools.review.hunks import Misfit, lacks_context, lines_of, misfit, patched
from tabtools.review.patch import Patch, PatchedFile, PatchError, read_patch
from tabtools.review.revisions import Content, Repository
from tabtools.source import MAX_BYTES, SUFFIX, cut
from tabtools.wording import several
from tabtools.writing import holds, write_atomically

COMMIT_TIMEOUT = 600
"""Seconds, as hooks may lint a whole collection."""
PLAIN_FILES = ("100644", "100755")
_BAR = re.compile(r"bar\s+([0-9]+)\b")
_PENDING = "tabtools-correction.patch"
_LOCK = "tabtools-correction.lock"


@dataclass(frozen=True)
class CorrectedFile:
    """One whole file before and after a correction.

    `is_written` says that it holds the correction already, but that it is not committed: taking it was broken off.
    """

    path: str
    place: Path
    old: bytes
    new: bytes
    is_written: bool = False


@dataclass(frozen=True)
class Correction:
    """A patch that fits."""

    patch: Patch
    files: tuple[CorrectedFile, ...]

    @property
    def is_written(self) -> bool:
        """Whether a file holds its part already: taking it was broken off."""
        return any(one.is_written for one in self.files)

    @property
    def paths(self) -> str:
        """The files as they are named in a sentence and on a command line."""
        return " ".join(one.path for one in self.files)

    def file(self, suffix: str) -> CorrectedFile | None:
        """The file with this ending, where the patch changes it."""
        return next((one for one in self.files if one.path.endswith(suffix)), None)


def fitted(repository: Repository, patch: Patch) -> Correction:
    """What a patch makes of the files as they are. Writes nothing. Raises `PatchError`, `GitError`."""
    return Correction(patch, tuple(_fitted(repository, one) for one in patch.files))


def _fitted(repository: Repository, patch: PatchedFile) -> CorrectedFile:
    place = _plain_file(repository, patch.path)
    old = place.read_bytes()
    if output(["status", "--porcelain", "-z", "--", patch.path], repository.top):
        return _broken_off(repository, patch, place, old)
    new = _patched(patch, old)
    if new is None:
        raise _misfit(patch, old)
    if new == old:
        raise PatchError("it changes nothing")
    if len(new) > MAX_BYTES:
        raise PatchError(f"{patch.path} would have {len(new):,} bytes; the most is {MAX_BYTES:,} (1 MiB)")
    return CorrectedFile(patch.path, place, old, new)


def _patched(patch: PatchedFile, old: bytes, backward: bool = False) -> bytes | None:
    try:
        return patched(patch.hunks, old, backward)
    except UnicodeDecodeError:
        raise PatchError(f"{patch.path} is not UTF-8 text", "save it as UTF-8 first") from None


def _misfit(patch: PatchedFile, old: bytes) -> PatchError:
    if _patched(patch, old, backward=True) is not None:
        return PatchError(f"{patch.path} has this correction already", "nothing is left to do; git log says since when")
    found = misfit(patch.hunks, old)
    if found is not None and not found.wanted and lacks_context(patch.hunks):
        return PatchError(
            "it shows none of the lines around its changes, so their place is not certain",
            "git diff shows three of them",
        )
    where = _where(patch, old, found) if found else ""
    return PatchError(
        f"it does not fit {patch.path} as it is now: it was made from another version of the file{where}",
        "ask for it anew, made from the page as it is today",
    )


def _where(patch: PatchedFile, old: bytes, found: Misfit) -> str:
    """`, where line 15, in bar 2, is “3 1:9 -” and not “3 1:7 -”`."""
    if not found.wanted:
        return f"; look at line {found.line}"
    before = lines_of(old.decode("utf-8"))[: found.line]
    bars = (_BAR.match(line) for line in reversed(before)) if patch.path.endswith(SUFFIX) else ()
    bar = next((f", in bar {named[1]}," for named in bars if named), "")
    if not found.found:
        return f", which has more than {several(len(before), 'line')}"
    wanted, there = (f"“{cut(text)}”" if (text := line.rstrip("\n")) else "empty" for line in found[1:])
    return f", where line {found.line}{bar} is {wanted} and not {there}"


def _plain_file(repository: Repository, path: str) -> Path:
    """The file, which is committed as a plain file, and reached through no link."""
    place = repository.top / path
    for folder in (place, *place.parents):
        if folder == repository.top:
            break
        if folder.is_symlink():
            raise PatchError(f"{path} is a link, or lies behind one", "only plain files are corrected this way")
    known = output(["ls-files", "--stage", "-z", "--", path], repository.top).rstrip("\x00").split("\x00")
    facts = known[0].partition("\t")[0].split()
    if not place.is_file() or not facts:
        raise PatchError(f"{path} is no file of this repository", "a correction changes a file that is there")
    if len(known) > 1:
        raise PatchError(f"{path} is in the middle of a merge", "finish the merge first")
    if facts[0] not in PLAIN_FILES:
        raise PatchError(f"{path} is no plain file", "only plain files are corrected this way")
    return place


# ---- what was broken off


def _broken_off(repository: Repository, patch: PatchedFile, place: Path, now: bytes) -> CorrectedFile:
    """The correction, where it is just what the file has that is not committed. Raises `PatchError`."""
    committed = repository.contents("HEAD", [patch.path])[patch.path]
    if isinstance(committed, bytes):
        new = _patched(patch, committed)
        if new is not None and _is_one_text(new, now):
            return CorrectedFile(patch.path, place, committed, now, is_written=True)
        if _is_one_text(committed, now):
            raise PatchError(
                f"the lines of {patch.path} end otherwise in git than .gitattributes or git's settings say",
                f"git add --renormalize {patch.path}, commit that, then try again",
            )
    raise PatchError(f"{patch.path} has changes that are not committed", "commit them first, or put them aside")


def _is_one_text(one: bytes, other: bytes) -> bool:
    """Whether two files differ in their line ends at most."""
    return one.replace(b"\r\n", b"\n") == other.replace(b"\r\n", b"\n")


def pending(repository: Repository, folder: str) -> tuple[Path, Patch] | None:
    """A correction that was written and not committed, and where it is kept; None where nothing was broken off."""
    kept = _kept(repository)
    try:
        patch = read_patch(kept.read_bytes(), folder)
        if _is_done(repository, patch):
            let_go(kept)
            return None
        return (kept, patch) if fitted(repository, patch).is_written else None
    except (OSError, PatchError):
        return None


def _is_done(repository: Repository, patch: Patch) -> bool:
    """Whether what is committed has the correction."""
    committed = repository.contents("HEAD", [one.path for one in patch.files])
    return all(_has(committed[one.path], one) for one in patch.files)


def _has(content: Content, patch: PatchedFile) -> bool:
    return isinstance(content, bytes) and _patched(patch, content, backward=True) is not None


def keep(repository: Repository, patch: Patch) -> Path:
    """Keep a correction while it is taken, so that it can be finished if that is broken off; where. Raises `OSError`,
    `GitError`."""
    kept = _kept(repository)
    write_atomically(kept, patch.text)
    return kept


def let_go(kept: Path) -> None:
    """The correction is taken, or given up. What cannot be removed does no harm: `pending` sees that it is done."""
    with suppress(OSError):
        kept.unlink()


def alone(repository: Repository, waiting: Callable[[], None]) -> Lock:
    """Take corrections one after the other; `waiting` is called before another one is waited for. Raises `OSError`,
    `GitError`."""
    return Lock(_within_git(repository, _LOCK), waiting)


def _kept(repository: Repository) -> Path:
    return _within_git(repository, _PENDING)


def _within_git(repository: Repository, name: str) -> Path:
    return repository.top / output(["rev-parse", "--git-path", name], repository.top).rstrip("\n")


# ---- committing


def message_of(patch: Patch, subject: str) -> str:
    """The commit's message: the subject, the sender's words as a quotation in which no trailer can hide, the credit."""
    paragraphs = [subject]
    rows = [row for line in patch.reason.splitlines() for row in textwrap.wrap(line, 70) or [""]]
    if rows:
        paragraphs.append("\n".join(f"> {row}".rstrip() for row in rows))
    if patch.at:
        paragraphs.append(f"In the recording at {patch.at}.")
    if patch.credit:
        paragraphs.append(f"Suggested-by: {patch.credit}")
    return "\n\n".join(paragraphs) + "\n"


def commit(repository: Repository, patch: Patch, message: str) -> str:
    """Commit these files alone, whatever else is staged, as the repository's user; the commit's name.

    Raises `GitError`.
    """
    arguments = ["commit", "--quiet", "--only", "--cleanup=whitespace", "--file=-", "--"]
    paths = [one.path for one in patch.files]
    run([*arguments, *paths], repository.top, message.encode("utf-8", "replace"), COMMIT_TIMEOUT)
    return output(["rev-parse", "HEAD"], repository.top).strip()


def propose_message(repository: Repository, message: str) -> bool:
    """Let the next `git commit` open with these words, as a cherry-pick without a commit does.

    False, and nothing is written, where git keeps words for another commit already. Raises `OSError`, `GitError`.
    """
    place = _within_git(repository, "MERGE_MSG")
    if place.exists():
        return False
    write_atomically(place, message)
    return True


def is_committed(repository: Repository, correction: Correction) -> bool:
    """Whether the last commit has the correction, whatever went wrong after it. Raises `GitError`."""
    committed = repository.contents("HEAD", [one.path for one in correction.files])
    return all(_is_new(committed[one.path], one) for one in correction.files)


def _is_new(content: Content, file: CorrectedFile) -> bool:
    return isinstance(content, bytes) and _is_one_text(content, file.new)


def is_still(file: CorrectedFile) -> bool:
    """Whether a file is what it was when the correction was worked out."""
    return _is_plain(file, file.new if file.is_written else file.old)


def is_taken(file: CorrectedFile) -> bool:
    """Whether a file is what the correction made of it."""
    return _is_plain(file, file.new)


def _is_plain(file: CorrectedFile, content: bytes) -> bool:
    return not file.place.is_symlink() and holds(file.place, content)
