"""What other programs may call: a solo read, linted, annotated. `import tabtools` names all of it.

Nothing here prints, exits, writes, or looks at settings: what comes back depends on the arguments alone, and on the
lessons that stand beside the solos.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from os import PathLike
from pathlib import Path

from tabtools.checks.choice import UnknownCheckError, chosen
from tabtools.files import MissingPathError, Unread, read_all, solo_paths
from tabtools.harmony.degrees import DegreeStyle
from tabtools.linting import lint_many
from tabtools.model.solo import Header, Solo
from tabtools.notation.build import Reading, read_solo
from tabtools.problem import PlacedProblem, Problem, Severity, placed
from tabtools.source import SourceError, SourceText, from_text, read_source
from tabtools.study import Device, Labels, Role, study_of
from tabtools.study.open_parts import OpenPart
from tabtools.timeline import TimedNote, timeline_of

__all__ = [
    "AnnotatedNote",
    "Annotation",
    "DegreeStyle",
    "Device",
    "Header",
    "MissingPathError",
    "OpenPart",
    "PlacedProblem",
    "Problem",
    "Reading",
    "Role",
    "Severity",
    "Solo",
    "Source",
    "SourceError",
    "SourceText",
    "UnknownCheckError",
    "annotate",
    "from_text",
    "lint",
    "read",
]

Source = str | PathLike[str] | SourceText
"""A path, or a text that `from_text` made."""


@dataclass(frozen=True, slots=True)
class AnnotatedNote:
    """One note as it sounds, and what it does.

    `address` is its place in the music (`5.2.3`: bar, count, stroke). `placed` says that its place on the neck is
    known. `string` counts from 1, the highest; `fret` is the one attacked, counted from the capo, None for a dead note
    too; both are None where they are not known. `open` is what of it is not known yet (see `OpenPart`). `pitch` and
    `midi` are what it arrives at, `attack_pitch` what it starts at, None where no pitch sounds. `onset` and `duration`
    are quarter notes, `seconds` is the onset at the solo's tempo. `chord` is the symbol it sounds over. `degree` is
    over the chord, `key_degree` over the key, None where there is none.
    """

    address: str
    placed: bool
    string: int | None
    fret: Fraction | int | None
    attack_pitch: str | None
    pitch: str | None
    midi: float | None
    onset: Fraction
    duration: Fraction
    seconds: float
    chord: str | None
    degree: str | None
    key_degree: str | None
    role: Role
    open: tuple[OpenPart, ...]


@dataclass(frozen=True, slots=True)
class Annotation:
    """A solo annotated: what was read, its notes in order of onset, and what its phrases do."""

    reading: Reading
    notes: tuple[AnnotatedNote, ...]
    devices: tuple[Device, ...]


def read(solo: Source) -> Reading:
    """A solo as records: `solo` is the music, `problems` what could not be read, `source` the text.

    Raises `SourceError` where there is no text to read: a file that is not there, is too large, or is not UTF-8.
    """
    return read_solo(_text(solo))


def lint(*solos: Source, select: Sequence[str] = (), ignore: Sequence[str] = ()) -> tuple[PlacedProblem, ...]:
    """What the checks find in solos, those in folders included, in the lessons beside them, and across them.

    `select` names the checks to run, all where it is empty; `ignore` those to leave out. A file that cannot be read is
    a problem like others. Raises `MissingPathError` for a path that is not there, `UnknownCheckError` for a name that
    no check has.
    """
    checks = chosen(select, ignore)
    linted = lint_many(list(_texts(solos)), checks)
    texts = {source.path: source for source in linted.sources}
    return tuple(placed(problem, texts.get(problem.path)) for problem in linted.problems)


def annotate(solo: Source, style: DegreeStyle = "plain") -> Annotation:
    """What every note of a solo does, and what its phrases do; `style` is how degrees are written (`b3` or `#9`).

    What could not be read is left out, and stands in `reading.problems`. Raises `SourceError` as `read` does.
    """
    reading = read(solo)
    study = study_of(timeline_of(reading.solo), style)
    notes = zip(study.timeline.notes, study.labels, study.roles, study.open_parts, strict=True)
    return Annotation(reading, tuple(_annotated(*note) for note in notes), study.devices)


def _annotated(note: TimedNote, labels: Labels, role: Role, parts: tuple[OpenPart, ...]) -> AnnotatedNote:
    return AnnotatedNote(
        address=str(note.address),
        placed=note.is_placed,
        string=note.string or None,
        fret=note.fret,
        attack_pitch=labels.attack_pitch,
        pitch=labels.pitch,
        midi=note.midi,
        onset=note.onset,
        duration=note.duration,
        seconds=note.start,
        chord=note.chord,
        degree=labels.degree,
        key_degree=labels.key_degree,
        role=role,
        open=parts,
    )


def _text(solo: Source) -> SourceText:
    return solo if isinstance(solo, SourceText) else read_source(Path(solo))


def _texts(solos: Sequence[Source]) -> Iterator[SourceText | Unread]:
    for solo in solos:
        if isinstance(solo, SourceText):
            yield solo
        else:
            path = Path(solo)
            yield from read_all(solo_paths([path]), [path])
