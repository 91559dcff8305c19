"""A grammar read from what was kept reads as the one that was made; what is damaged is made anew."""

from __future__ import annotations

import os
import random
from collections.abc import Iterator
from pathlib import Path

import lark
import pytest

from tabtools.cache.folder import DAYS
from tabtools.notation import chords, claims, lines
from tabtools.notation.read import Grammar, MisreadError

CORPUS = [path.read_text("utf-8") for path in sorted((Path(__file__).parents[2] / "transcriptions").glob("*.solo"))]
CHORDS = ("Am7", "C#m9", "F#7#9", "Bb13sus4/F", "E7alt", "NC", "H", "Am7b", "C(", "G6/9", "maj7")
CLAIMS = ("@5.2.3 B3", "@1.1 1 > 2 of Dm7", "@5.1-5.2 F triad", "@2.1 7 notes", "@5.", "B3", "@5.2.3 5 of the key")
GRAMMARS = {"solo": lines.solo_grammar, "symbol": chords._grammar, "claim": claims._grammar}
"""Each grammar by the rule that its texts begin with."""


def made_or_kept(start: str) -> Grammar:
    """A grammar as a new process gets it."""
    return GRAMMARS[start].__wrapped__()


def with_slips() -> Iterator[str]:
    dice = random.Random(1)
    for text in CORPUS:
        yield text
        for line in text.splitlines(keepends=True):
            at = dice.randrange(len(line))
            yield line[:at] + dice.choice("()-.:;[]#@ x7") + line[at + 1 :]


TEXTS = {"solo": tuple(with_slips()), "symbol": CHORDS, "claim": CLAIMS}


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's cache folder, not there yet."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    return tmp_path / "tabtools"


@pytest.fixture
def making(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The grammars that lark has worked out."""
    made: list[str] = []
    init = lark.Lark.__init__

    def noted(self: lark.Lark, grammar: str, **options: object) -> None:
        made.append(grammar)
        init(self, grammar, **options)

    monkeypatch.setattr(lark.Lark, "__init__", noted)
    return made


def outcome(grammar: Grammar, text: str, start: str) -> object:
    try:
        return grammar.read(text, start)
    except MisreadError as error:
        return type(error), *error.args


@pytest.mark.parametrize("start", GRAMMARS)
def test_it_reads_the_same(folder: Path, making: list[str], start: str) -> None:
    made, kept = made_or_kept(start), made_or_kept(start)
    assert len(making) == 1
    outcomes = [outcome(made, text, start) for text in TEXTS[start]]
    assert outcomes == [outcome(kept, text, start) for text in TEXTS[start]]
    assert len({isinstance(one, tuple) and isinstance(one[0], type) for one in outcomes}) == 2


@pytest.mark.parametrize("content", [b"", b"nonsense" * 99, None], ids=["empty", "nonsense", "cut off"])
def test_what_is_damaged_is_made_anew_and_kept(folder: Path, making: list[str], content: bytes | None) -> None:
    made_or_kept("solo")
    (file,) = folder.iterdir()
    whole = file.read_bytes()
    file.write_bytes(whole[:-1] if content is None else content)
    for _ in range(2):
        assert made_or_kept("solo").read("bar 1\n", "solo")
        assert len(making) == 2


def test_what_belongs_to_another_lark_is_not_taken(
    folder: Path, making: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    made_or_kept("solo")
    monkeypatch.setattr(lark, "__version__", "1.9")
    made_or_kept("solo")
    assert len(making) == 2


def test_the_old_are_forgotten(folder: Path, making: list[str]) -> None:
    made_or_kept("solo")
    for name, days in (("grammar-solo-old", DAYS + 1), ("grammar-solo-new", DAYS - 1), ("grammar-chord-old", DAYS + 1)):
        (folder / name).write_bytes(b"")
        then = (folder / name).stat().st_mtime - days * 86_400
        os.utime(folder / name, (then, then))
    next(folder.glob("grammar-solo-?????*")).write_bytes(b"")
    made_or_kept("solo")
    assert not (folder / "grammar-solo-old").exists()
    assert (folder / "grammar-solo-new").exists() and (folder / "grammar-chord-old").exists()


@pytest.mark.parametrize("obstacle", ["a file", "a folder", "a pipe"])
def test_what_cannot_be_kept_is_made(folder: Path, making: list[str], obstacle: str) -> None:
    if obstacle == "a file":
        folder.write_text("in the way", encoding="utf-8")
    else:
        made_or_kept("solo")
        (file,) = folder.iterdir()
        file.unlink()
        os.mkfifo(file) if obstacle == "a pipe" else file.mkdir()
    making.clear()
    for _ in range(2):
        assert made_or_kept("solo").read("bar 1\n", "solo")
    assert len(making) == 2
