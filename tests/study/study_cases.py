"""Case files of the study: short phrases, decided by hand, written with pitches instead of places on the neck.

A case is a block between empty lines: `case: title`, header fields of a solo (`key: C major`), bars, and what is
expected. On beat lines `C#4` stands for a place where it sounds, `C4bD4` for that place bent to D4, `hE4` for a
hammer-on on the string of the stroke before. Places (`3:5`) may be written too, and pitches that have none (`=C#4`).

What is expected stands behind `roles:` or `devices:`. A line `differs: ANSWER because REASON` says that the
program answers otherwise, and why that is let stand.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path

from tabtools.model.pitch import parse_pitch
from tabtools.notation.build import read_solo
from tabtools.source import SourceText
from tabtools.timeline import Timeline, timeline_of

CASES = Path(__file__).parent / "cases"
OPEN_STRINGS = (64, 59, 55, 50, 45, 40)
COMFORTABLE_FRET = 5

_PITCH = r"[A-G](?:#|b)?\d"
_MOTION = r"(?:pb|[hpbrw/\\])"
_NOTE = re.compile(rf"(?<![\w:.#<=])({_MOTION}?)({_PITCH})((?:{_MOTION}{_PITCH})*)(?![\w:])")
_BEAT = re.compile(r"\d+(?:-\d+)?\??  ")


@dataclass(frozen=True)
class Case:
    """A phrase and what is expected of it; `differs` is the program's own answer where it is another one."""

    name: str
    text: str
    expected: tuple[str, ...]
    differs: tuple[str, ...] | None = None
    reason: str = ""

    @property
    def timeline(self) -> Timeline:
        return timeline_of_text(self.text)


@dataclass
class _Block:
    title: str = ""
    header: list[str] = field(default_factory=list)
    bars: list[str] = field(default_factory=list)
    expected: list[str] = field(default_factory=list)
    differs: list[str] = field(default_factory=list)
    reason: str = ""


def cases_in(folder: str, separator: str) -> list[Case]:
    """All cases of a folder, each file's in order; `separator` stands between answers on one line."""
    cases = []
    for path in sorted((CASES / folder).glob("*.txt")):
        for text in re.split(r"\n\s*\n", path.read_text(encoding="utf-8")):
            lines = [line for line in text.splitlines() if line.strip() and not line.startswith("# ")]
            if lines:
                cases.append(_case(path.stem, lines, separator))
    return cases


def _case(stem: str, lines: list[str], separator: str) -> Case:
    block = _Block()
    for line in lines:
        name, _, value = line.partition(":")
        if name == "case":
            block.title = value.strip()
        elif name in ("roles", "device"):
            block.expected += [part.strip() for part in value.split(separator)]
        elif name == "differs":
            answer, _, block.reason = value.partition(" because ")
            block.differs += [part.strip() for part in answer.split(separator)]
        elif line.startswith(("bar", "section")) or _BEAT.match(line):
            block.bars.append(line)
        else:
            block.header.append(line)
    assert block.title, lines
    differs = tuple(answer for answer in block.differs if answer != "none") if block.differs else None
    expected = tuple(answer for answer in block.expected if answer != "none")
    return Case(f"{stem}: {block.title}", solo_text(block.header, block.bars), expected, differs, block.reason.strip())


def solo_text(header: list[str], bars: list[str]) -> str:
    """A solo of these header lines and bars, pitches turned into places."""
    head = ["title: A case", "rights: CC0-1.0", *header]
    if not any(line.startswith("meter:") for line in header):
        head.append("meter: 4/4")
    return "\n".join([*head, "", *with_places(bars)]) + "\n"


def with_places(lines: list[str]) -> list[str]:
    """Beat lines with places on the neck in the place of pitches."""
    last_string = [1]
    return [_with_places(line, last_string) if _BEAT.match(line) else line for line in lines]


def _with_places(line: str, last_string: list[int]) -> str:
    count, rest = line.split("  ", 1)
    words = [_placed(word, last_string) for word in re.split(r"(\s+|[()])", rest)]
    return f"{count}  {''.join(words)}"


def _placed(word: str, last_string: list[int]) -> str:
    found = list(_NOTE.finditer(word))
    if not found:
        if place := re.search(r"(\d):", word):
            last_string[0] = int(place[1])
        return word
    strings: dict[int, int] = {}
    taken: set[int] = set()
    for index, match in sorted(enumerate(found), key=lambda entry: -parse_pitch(entry[1][2])):
        string = last_string[0] if match[1] and len(found) == 1 else _string(parse_pitch(match[2]), taken)
        taken.add(string)
        strings[index] = string
    last_string[0] = strings[0]
    placed, end = "", 0
    for index, match in enumerate(found):
        string = strings[index]
        motions = re.sub(_PITCH, lambda pitch, string=string: str(_fret(pitch[0], string)), match[3])
        named = "" if match[1] and len(found) == 1 else f"{string}:"
        placed += word[end : match.start()] + f"{match[1]}{named}{_fret(match[2], string)}{motions}"
        end = match.end()
    return placed + word[end:]


def _string(midi: int, taken: set[int]) -> int:
    free = [string for string in range(1, 7) if string not in taken and midi >= OPEN_STRINGS[string - 1]]
    return next((string for string in free if midi - OPEN_STRINGS[string - 1] >= COMFORTABLE_FRET), free[-1])


def _fret(pitch: str, string: int) -> int:
    return parse_pitch(pitch) - OPEN_STRINGS[string - 1]


def timeline_of_text(text: str) -> Timeline:
    reading = read_solo(SourceText("case.solo", text))
    assert not reading.unreadable, text
    return timeline_of(reading.solo)


def agreement(what: str, cases: list[Case]) -> str:
    """How many of the phrases the program and the hand agree on."""
    agreed = sum(case.differs is None for case in cases)
    return f"{what}: {agreed} of {len(cases)} phrases as decided by hand ({agreed / len(cases):.1%})"
