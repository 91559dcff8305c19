"""Files as git has them: which changed between two versions of a repository, and what stands in each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from tabtools.review.git import GitError, NoCommits, output, run
from tabtools.source import MAX_BYTES, SourceError, SourceText, cut, decode

MOST_ARGUMENTS = 500
LONGEST_REVISION = 1_000
SYMBOLIC_LINK = "120000"
"""The mode of one in git: `gitformat-index(5)`."""
Content = bytes | SourceError | None
"""What a file holds; why that is not to be read; None where there is no such file."""


class FilePair(NamedTuple):
    """One file before and after; None where it is not there. Paths are from the top of the repository."""

    old: str | None
    new: str | None

    @property
    def name(self) -> str:
        """Where the file is, or was last."""
        return self.new or self.old or ""


@dataclass(frozen=True)
class Repository:
    """A working tree. `top` is its top folder. What a revision names is asked of git once."""

    top: Path
    _named_before: dict[str, str | None] = field(default_factory=dict, compare=False, repr=False)

    def resolve(self, revision: str) -> str:
        """The commit a revision names. Raises `GitError` where there is none."""
        found = self.find(revision)
        if found is None:
            raise GitError(f"“{cut(revision)}” names no commit here", "git log shows the commits there are")
        return found

    def find(self, revision: str) -> str | None:
        """The commit a revision names, None where there is none. To git it is never an option."""
        if not revision or len(revision) > LONGEST_REVISION or revision[0] in "-^" or "\x00" in revision:
            return None
        if revision not in self._named_before:
            # behind `:/words` everything is among the words
            name = self._named(revision) if revision.startswith(":") else revision
            self._named_before[revision] = self._named(f"{name}^{{commit}}") if name else None
        return self._named_before[revision]

    def _named(self, name: str) -> str | None:
        command = ["rev-parse", "--verify", "--quiet", "--end-of-options", name]
        done = run(command, self.top, fine=(0, 1, 128))
        words = done.stdout.decode("ascii", "replace").split()
        return words[-1] if words and not done.returncode else None

    def range_of(self, text: str) -> tuple[str, str] | None:
        """The two commits of `A..B`, or of `A...B` (then the first is where B left A); one left out is HEAD.

        None where the text is no such range, as dots alone. Raises `GitError` where a side names no commit.
        """
        dots = "..." if "..." in text else ".."
        first, found, second = text.partition(dots)
        if not found or not (first or second):
            return None
        old, new = self.resolve(first or "HEAD"), self.resolve(second or "HEAD")
        return (self.merge_base(old, new) if dots == "..." else old), new

    def kind(self, commit: str, path: str) -> str | None:
        """What a path is in a commit: `blob`, `tree` or `commit` (of a submodule); None where it is not there."""
        entry = output(["ls-tree", "-z", "--full-tree", commit, "--", path], self.top)
        return entry.split(maxsplit=2)[1] if entry else None

    def has_commits(self) -> bool:
        """Whether anything is committed on this branch. Raises `GitError` where the branch is damaged."""
        try:
            output(["log", "--max-count=1", "--format=%H"], self.top)
        except NoCommits:
            return False
        return True

    def merge_base(self, one: str, other: str) -> str:
        """The best common ancestor of two commits. Raises `GitError` where they share none."""
        done = run(["merge-base", one, other], self.top, fine=(0, 1))
        if done.returncode:
            raise GitError("the two revisions share no history", "compare them with two dots, like main..correction")
        return done.stdout.decode("ascii").split()[0]

    def is_shallow(self) -> bool:
        return output(["rev-parse", "--is-shallow-repository"], self.top).strip() == "true"

    def changed(self, old: str | None, new: str | None) -> list[FilePair]:
        """The files that differ between two commits; `new` None is the working tree, `old` None nothing at all.

        Renames are found, also where the content changed along. Files git does not know yet count as new.
        """
        base = old or self._empty_tree()
        command = ["diff", "--no-ext-diff", "--name-status", "-z", "--find-renames=40%", "-l2000", base]
        command += [new] if new else []
        found = list(_name_status(output([*command, "--"], self.top)))
        if new is None:
            known = {pair.new for pair in found}
            others = output(["ls-files", "--others", "--exclude-standard", "-z"], self.top)
            found += [FilePair(None, name) for name in others.split("\x00") if name and name not in known]
        return found

    def _empty_tree(self) -> str:
        return output(["hash-object", "-t", "tree", "--stdin"], self.top).strip()

    def contents(self, commit: str, paths: Iterable[str]) -> dict[str, Content]:
        """What stands in files at a commit; None where a file is not there, or is no file but a link or a folder."""
        wanted = list(dict.fromkeys(paths))
        plain = self._plain_files(commit, wanted)
        blobs = self.blobs([plain[path] for path in wanted if path in plain])
        return {path: blobs.get(plain[path]) if path in plain else None for path in wanted}

    def _plain_files(self, commit: str, paths: Sequence[str]) -> dict[str, str]:
        """Path → blob, symbolic links and submodules left out."""
        found: dict[str, str] = {}
        for start in range(0, len(paths), MOST_ARGUMENTS):
            some = paths[start : start + MOST_ARGUMENTS]
            found |= self._listed(["ls-tree", "-r", "-z", "--full-tree", commit, "--", *some])
        return found

    def _listed(self, command: Sequence[str]) -> dict[str, str]:
        found = {}
        for entry in filter(None, output(command, self.top).split("\x00")):
            facts, _, path = entry.partition("\t")
            mode, kind, blob = facts.split()[:3]
            if kind == "blob" and mode != SYMBOLIC_LINK:
                found[path] = blob
        return found

    def blobs(self, names: Iterable[str]) -> dict[str, Content]:
        """The contents of blobs by their names (hashes, or `commit:path`), all in one go; None where missing.

        A path with a line break in it counts as missing: git is asked line by line.
        """
        wanted = list(dict.fromkeys(names))
        sizes = self._sizes([name for name in wanted if "\n" not in name])
        found: dict[str, Content] = dict.fromkeys(wanted)
        found |= {name: too_long(size) for name, size in sizes.items() if size > MAX_BYTES}
        readable = [name for name, size in sizes.items() if size <= MAX_BYTES]
        data = self._batch("--batch", readable)
        at = 0
        for name in readable:
            start = data.index(b"\n", at) + 1
            found[name] = data[start : start + sizes[name]]
            at = start + sizes[name] + 1
        return found

    def _sizes(self, names: Sequence[str]) -> dict[str, int]:
        """The sizes of those that are blobs."""
        lines = self._batch("--batch-check=%(objecttype) %(objectsize)", names).splitlines()
        words = (line.rsplit(maxsplit=1) for line in lines)
        return {name: int(size) for name, (kind, size) in zip(names, words, strict=True) if kind == b"blob"}

    def _batch(self, option: str, names: Sequence[str]) -> bytes:
        if not names:
            return b""
        given = b"".join(name.encode("utf-8", "surrogateescape") + b"\n" for name in names)
        return run(["cat-file", option], self.top, given).stdout


def text_of(content: Content, path: str = "") -> SourceText | None:
    """What a file holds as text; None where there is no file, or no text in it."""
    try:
        return decode(content, path) if isinstance(content, bytes) else None
    except SourceError:
        return None


def repository_at(folder: Path) -> Repository:
    """The repository a folder lies in. Raises `NoRepository`, or `GitError` where git cannot say."""
    top = output(["rev-parse", "--show-toplevel"], folder).rstrip("\n")
    if not top:
        raise GitError("this repository has no working tree", "run this where its files are checked out")
    return Repository(Path(top))


def _name_status(text: str) -> Iterable[FilePair]:
    words = iter(text.split("\x00"))
    for status in words:
        if not status:
            return
        path = next(words)
        if status[0] == "R":
            yield FilePair(path, next(words))
        elif status[0] == "C":
            yield FilePair(None, next(words))
        elif status[0] == "A":
            yield FilePair(None, path)
        elif status[0] == "D":
            yield FilePair(path, None)
        else:
            yield FilePair(path, path)


def too_long(size: int) -> SourceError:
    """Why a content of so many bytes is not read."""
    return SourceError(f"the file has {size:,} bytes; the most is {MAX_BYTES:,} (1 MiB)", "one file holds one solo")
