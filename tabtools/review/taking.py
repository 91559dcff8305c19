"""Taking a reader's patch: what the file becomes, worked out aside; then written and committed, or left as it was."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from tabtools.review.git import output, run
from tabtools.review.patch import Patch, PatchRefused
from tabtools.review.revisions import Repository
from tabtools.source import MAX_BYTES

PLAIN_FILES = ("100644", "100755")
_AS_WRITTEN = ("--whitespace=nowarn", "--no-ignore-whitespace")
_ASIDE = "solo"


@dataclass(frozen=True)
class Correction:
    """A patch that fits: the whole file before and after it."""

    patch: Patch
    place: Path
    old: bytes
    new: bytes


def fitted(repository: Repository, patch: Patch) -> Correction:
    """What a patch makes of the file as it is. Writes nothing. Raises `PatchRefused`, `GitFault`."""
    place = _plain_file(repository, patch.path)
    given = patch.text.encode()
    checked = run(["apply", "--check", *_AS_WRITTEN, "-"], repository.top, given, fine=(0, 1, 128))
    old = place.read_bytes()
    new = _patched(patch, old) if checked.returncode == 0 else None
    if new is None:
        raise PatchRefused(
            f"it does not fit {patch.path} as it is now: it was made from another version of the file",
            "ask for it anew, made from the page as it is today",
        )
    if new == old:
        raise PatchRefused("it changes nothing")
    if len(new) > MAX_BYTES:
        raise PatchRefused(f"{patch.path} would have {len(new):,} bytes; the most is {MAX_BYTES:,} (1 MiB)")
    return Correction(patch, place, old, new)


def _plain_file(repository: Repository, path: str) -> Path:
    """The file, which is committed as a plain file, unchanged since, and reached through no link."""
    place = repository.top / path
    for folder in (place, *place.parents):
        if folder == repository.top:
            break
        if folder.is_symlink():
            raise PatchRefused(f"{path} is a link, or lies behind one", "only plain files are corrected this way")
    known = output(["ls-files", "--stage", "-z", "--", path], repository.top).rstrip("\x00").split("\x00")
    facts = known[0].partition("\t")[0].split()
    if not place.is_file() or not facts:
        raise PatchRefused(f"{path} is no file of this repository", "a correction changes a file that is there")
    if len(known) > 1:
        raise PatchRefused(f"{path} is in the middle of a merge", "finish the merge first")
    if facts[0] not in PLAIN_FILES:
        raise PatchRefused(f"{path} is no plain file", "only plain files are corrected this way")
    if output(["status", "--porcelain", "-z", "--", path], repository.top):
        raise PatchRefused(f"{path} has changes that are not committed", "commit them first, or put them aside")
    return place


def _patched(patch: Patch, old: bytes) -> bytes | None:
    """The file after the patch, made in a folder of its own; None where the patch does not fit."""
    with TemporaryDirectory(prefix="tabtools-") as folder:
        copy = Path(folder, _ASIDE)
        copy.write_bytes(old.replace(b"\r\n", b"\n"))
        given = patch.text_for(_ASIDE).encode()
        arguments = ["apply", *_AS_WRITTEN, "-"]
        run(["init", "--quiet", "--template="], Path(folder), anew=True)
        done = run(arguments, Path(folder), given, fine=(0, 1, 128), anew=True)
        return copy.read_bytes() if done.returncode == 0 else None


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
    """Commit this one file, whatever else is staged, as the repository's user; the commit's name. Raises `GitFault`."""
    arguments = ["commit", "--quiet", "--only", "--cleanup=whitespace", "--file=-", "--", patch.path]
    run(arguments, repository.top, message.encode("utf-8", "replace"))
    return output(["rev-parse", "HEAD"], repository.top).strip()


def is_still(correction: Correction) -> bool:
    """Whether the file is what it was when the correction was worked out."""
    try:
        return not correction.place.is_symlink() and correction.place.read_bytes() == correction.old
    except OSError:
        return False
