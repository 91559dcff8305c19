"""The strokes of a solo, for searching.

Where several notes are struck together the highest is the stroke's pitch. A bend or slide within a stroke counts
with the pitch it arrives at; a pitch whose place is open counts as any other. Pitches are told apart by quarter tones:
a pitch within 5 cents of a quarter tone stands for it, any other for its nearest semitone. A dead note has no pitch and
interrupts a run of intervals; so does what is not heard yet, and a line of the tab that cannot be read: nothing is said
of the bars it leaves unclear. Under a doubtful count no rhythm is claimed.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import groupby, pairwise

from tabtools.checks.subject import Subject
from tabtools.harmony.chords import chord_type
from tabtools.model.pitch import IN_TUNE_CENTS, nearest_semitone
from tabtools.model.solo import Address
from tabtools.notation.chords import chord_or_none
from tabtools.notation.write import note_text
from tabtools.search.columns import NOTHING, number_cell, tabled
from tabtools.search.devices import NotedDevice, device_line, device_name
from tabtools.search.strokes import DEGREE_CELLS, HIGHEST, LOWEST, PHRASE, Strokes
from tabtools.study import Study, study_of
from tabtools.study.techniques import techniques_of
from tabtools.timeline import TimedNote, Timeline


def strokes_of(subject: Subject, study: Study | None = None) -> Strokes:
    """The strokes of a solo; those of unclear bars are left out and interrupt what surrounds them. `study` is the solo
    studied, where it is at hand."""
    timeline, unclear_bars = subject.timeline, subject.unclear_bars
    strokes = [_SearchStroke(tuple(notes)) for _, notes in groupby(timeline.notes, key=lambda note: note.address)]
    kept = [stroke for stroke in strokes if stroke.address.bar not in unclear_bars]
    chord_table, chords = tabled(chord_entry(stroke.top.chord) for stroke in kept)
    play_table, plays = tabled(" ".join(techniques_of(stroke.notes)) or None for stroke in kept)
    time_table, times = tabled(_times(kept, _doubtful_stretches(timeline)))
    count = len(kept)
    study = study or study_of(timeline)
    opening = {_address(study, phrase.first) for phrase in study.phrases}
    header = subject.solo.header
    return Strokes(
        title=header.title,
        player=header.player,
        unreadable_lines=tuple(subject.source.locate(span.start)[0] for span in subject.unreadable),
        steps="".join(map(number_cell, _steps(strokes, unclear_bars))),
        pitches="".join(number_cell(stroke.pitch) for stroke in kept),
        degrees="".join(_degree_cell(stroke.top.midi, stroke) for stroke in kept),
        starts="".join(_degree_cell(stroke.top.attack, stroke) for stroke in kept),
        chords=chords,
        chord_table=chord_table,
        plays=plays,
        play_table=play_table,
        beats=times[:count],
        lengths=times[count : 2 * count],
        proportions=times[2 * count : 3 * count],
        closings=times[3 * count :],
        time_table=time_table,
        phrases="".join(PHRASE if stroke.address in opening else NOTHING for stroke in kept),
        addresses=" ".join(str(stroke.address) for stroke in kept),
        texts=" ".join(_text(stroke) for stroke in kept),
        devices="".join(_devices(study, {stroke.address: at for at, stroke in enumerate(kept)})),
    )


def chord_entry(symbol: str | None) -> str | None:
    """A chord as the table keeps it: symbol, root, type and bass (the root where none is written).

    Spaces stand between them; None where there is no chord or it cannot be read.
    """
    chord = chord_or_none(symbol)
    return None if chord is None else f"{symbol} {chord.root} {chord_type(chord)} {chord.bass or chord.root}"


class _SearchStroke:
    """The notes struck at one moment, and the one that leads."""

    __slots__ = ("address", "notes", "onset", "pitch", "top")

    def __init__(self, notes: Sequence[TimedNote]):
        self.notes = notes
        self.address: Address = notes[0].address
        self.onset: Fraction = notes[0].onset
        self.top = max(notes, key=lambda note: -1 if note.midi is None else note.midi)
        self.pitch = _quarter_tones(self.top.midi)


def _address(study: Study, stroke: int) -> Address:
    return study.timeline.notes[study.melody.strokes[stroke].notes[0]].address


def _devices(study: Study, places: dict[Address, int]) -> Iterator[str]:
    """The devices all of whose strokes are at hand, a line each."""
    for device in study.devices:
        addresses = [study.timeline.notes[note].address for note in device.notes]
        found = [places[address] for address in addresses if address in places]
        if len(found) == len(addresses):
            yield device_line(NotedDevice(device_name(device.kind), min(found), max(found), device.sentence))


def _quarter_tones(midi: float | None) -> int | None:
    if midi is None or not LOWEST <= midi <= HIGHEST:
        return None
    nearest = round(midi * 2)
    return nearest if abs(midi * 2 - nearest) * 50 <= IN_TUNE_CENTS else 2 * nearest_semitone(midi)


def _steps(strokes: Sequence[_SearchStroke], unclear_bars: Collection[int]) -> Iterator[int | None]:
    before: int | None = None
    for stroke in strokes:
        if stroke.address.bar in unclear_bars:
            before = None
            continue
        yield None if before is None or stroke.pitch is None else stroke.pitch - before
        before = stroke.pitch


def _degree_cell(midi: float | None, stroke: _SearchStroke) -> str:
    chord = chord_or_none(stroke.top.chord)
    if chord is None or midi is None:
        return NOTHING
    return DEGREE_CELLS[(nearest_semitone(midi) - chord.root.pitch_class) % 12]


def _doubtful_stretches(timeline: Timeline) -> list[tuple[Fraction, Fraction]]:
    """From when until when the rhythm is not known, in quarter notes since the start."""
    lines = (line for bar in timeline.bars for line in bar.lines if line.line.doubtful)
    return [(line.onset, line.onset + line.length) for line in lines]


def _times(strokes: Sequence[_SearchStroke], doubtful: Sequence[tuple[Fraction, Fraction]]) -> Iterator[str | None]:
    """The columns `beats`, `lengths`, `proportions` and `closings`, one after another; None where the rhythm is not
    known."""

    def between(begins: Fraction, ends: Fraction) -> Fraction | None:
        is_doubtful = any(start <= moment < end for start, end in doubtful for moment in (begins, ends))
        return None if is_doubtful else ends - begins

    beats = [between(before.onset, after.onset) for before, after in pairwise(strokes)]
    lengths = [between(stroke.onset, stroke.top.release) for stroke in strokes]
    columns: tuple[list[Fraction | None], ...] = (
        [*beats, None],
        [*lengths],
        [None, *(_ratio(after, before) for before, after in pairwise(beats)), None],
        [None, *(_ratio(after, before) for before, after in zip(beats, lengths[1:], strict=True))],
    )
    for column in columns:
        for value in column[: len(strokes)]:
            yield None if value is None else str(value)


def _ratio(time: Fraction | None, before: Fraction | None) -> Fraction | None:
    return None if time is None or before is None else time / before


def _text(stroke: _SearchStroke) -> str:
    """The stroke as the format writes it, every string named, marks and heard pitches left out."""
    return "+".join(
        note_text(replace(timed.note, string=timed.string or None, marks=(), heard=None)) for timed in stroke.notes
    )
