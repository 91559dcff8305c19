"""A lesson drafted from what is found in a solo, in claims that hold, for the teacher to rewrite.

A heading for every section, every passage and every phrase, as far as no passage covers it. Each stretch has a
paragraph: where it begins and ends, its highest note and its chords; where the hand stays, if that is another place
than before; and what is most worth telling of it, in order. What is worth less stands as a list at the end. A claim is
only written where its address names the very notes it speaks of.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from tabtools.hand.position import positions_at
from tabtools.model.pitch import nearest_semitone
from tabtools.model.solo import AddressRange, Bar, Like, Section
from tabtools.notation.claims import read_claim
from tabtools.study.addresses import Addresses
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import INTERVALS, listed
from tabtools.study.labels import pitch_in_words
from tabtools.study.lesson_sentences import as_clause, lead
from tabtools.study.melody import BENDS, stretch_of
from tabtools.study.study import Study
from tabtools.study.telling import statements, told_at_once
from tabtools.study.truth.heard import HeardNotes
from tabtools.study.truth.verdict import holds
from tabtools.timeline import TimedNote
from tabtools.timeline.written_names import written_tone
from tabtools.wording import several

MOST_COUNTED = 999
MOST_STATIONS = 4
HIGHEST = 127
OUT_OF_TUNE = 0.3
"""Semitones: a pitch farther off than this has no name here."""

_SPECIAL = re.compile(r"([\\*_\[\]<>#|~!&])")


class _LessonStretch(NamedTuple):
    """A passage, or as much of a phrase as no passage covers; its notes are indices into the timeline."""

    is_passage: bool
    name: str
    addresses: AddressRange
    notes: range


def draft_lesson(study: Study) -> str:
    """The draft as Markdown: a line a paragraph, claims in code spans that begin with `@`.

    Raises `DisorderedError` for a solo in which addresses are not clear.
    """
    header = study.timeline.solo.header
    addresses = Addresses(study.timeline)
    blocks = [f"# {_plain(header.title) or 'Untitled'}", _facts(study)]
    parts = _parts(study, addresses)
    draft = _Draft(study, addresses, [stretch for _, stretches in parts for stretch in stretches])
    folded = list(draft.folded())
    sign = "###" if len(parts) > 1 else "##"
    for heading, stretches in parts:
        blocks += [f"## {heading}"] if heading else []
        for stretch in stretches:
            blocks += [f"{sign} {stretch.name}", *draft.told(stretch)]
    if folded:
        blocks += ["## Also there", "\n".join(f"- {one}" for one in folded)]
    return "\n\n".join(blocks) + "\n"


# ---- what goes under which heading


def _facts(study: Study) -> str:
    header, timeline = study.timeline.solo.header, study.timeline
    facts = [str(header.key)] if header.key else []
    facts += [f"{header.meter}", f"{float(header.tempo):g} beats a minute", timeline.length_in_bars]
    by = f" Played by {_plain(header.player)}." if header.player else ""
    return f"{', '.join(facts)}.{by}"


def _parts(study: Study, addresses: Addresses) -> list[tuple[str, list[_LessonStretch]]]:
    """The sections, and before them what stands in none: heading, stretches in order."""
    stretches = sorted(_stretches(study, addresses), key=lambda stretch: (stretch.notes.start, -len(stretch.notes)))
    bar_of = [note.address.bar for note in study.timeline.notes]
    return [
        (heading, [stretch for stretch in stretches if bar_of[stretch.notes.start] in bars])
        for heading, bars in _sections(study)
    ]


def _sections(study: Study) -> list[tuple[str, set[int]]]:
    found: list[tuple[str, set[int]]] = [("", set())]
    for item in study.timeline.solo.items:
        if isinstance(item, Section):
            found.append((_plain(f"{item.label}: {item.name}" if item.name else item.label), set()))
        elif isinstance(item, Bar):
            found[-1][1].add(item.number)
        elif isinstance(item, Like):
            found[-1][1].update(bar.number for bar in study.timeline.bars if bar.like is item)
    return found


def _stretches(study: Study, addresses: Addresses) -> Iterator[_LessonStretch]:
    """The passages, and what they leave of the phrases."""
    covered: set[int] = set()
    for passage in study.timeline.solo.passages:
        notes = addresses.notes(passage.range)
        if notes:
            covered.update(notes)
            yield _LessonStretch(True, _plain(passage.name) or _bars(passage.range), passage.range, notes)
    for phrase in study.phrases:
        left = [note for note in study.melody.notes_of(phrase.first, phrase.last) if note not in covered]
        for run in _runs(left, covered):
            where = stretch_of(study.timeline.notes, run[0], run[-1])
            yield _LessonStretch(False, _bars(where), where, range(run[0], run[-1] + 1))


def _runs(notes: Sequence[int], covered: set[int]) -> Iterator[list[int]]:
    """Notes that follow one another without a covered one between them."""
    run: list[int] = []
    for note in notes:
        if run and not covered.isdisjoint(range(run[-1], note)):
            yield run
            run = []
        run.append(note)
    if run:
        yield run


def _bars(where: AddressRange) -> str:
    first, last = where.first.bar, where.last.bar
    return f"Bar {first}" if first == last else f"Bars {first} to {last}"


# ---- what is said of a stretch


class _Draft:
    """The draft while it is written; a device is told once, in the first stretch it begins in.

    `position` is where the hand was last said to stay.
    """

    def __init__(self, study: Study, addresses: Addresses, stretches: Sequence[_LessonStretch]):
        self.study = study
        self.addresses = addresses
        self.notes = study.timeline.notes
        self.beginnings = [device.notes[0] for device in study.devices]
        self.telling = self._telling(stretches)
        self.told_devices: set[int] = set()
        self.position = ""

    def told(self, stretch: _LessonStretch) -> Iterator[str]:
        """The paragraph of one stretch; none where it has no pitch and nothing to tell."""
        pitched = [index for index in stretch.notes if self._pitch_class(index) is not None]
        sentences = [self._course(stretch, pitched)] if pitched else []
        sentences += [*self._position(stretch), *self._devices(stretch, pitched)]
        if sentences:
            yield " ".join(sentences)

    def folded(self) -> Iterator[str]:
        """What is worth less than the rest."""
        for number, device in enumerate(self.study.devices):
            if number not in self.telling and not device.implied:
                said, where = self._told(device)
                yield f"{where}: {said}." if where else f"{said}."

    def _course(self, stretch: _LessonStretch, pitched: Sequence[int]) -> str:
        first, last = (self._top(pitched, at) for at in (pitched[0], pitched[-1]))
        over = f"over {listed(list(dict.fromkeys(map(self._chord, pitched))))}"
        if first == last:
            return f"One note, {self._note(first)}, {over}."
        highest = max(pitched, key=lambda index: self.notes[index].midi or 0)
        is_known = not any(self.notes[index].note.is_open and self.notes[index].midi is None for index in stretch.notes)
        who = "It" if stretch.is_passage else "The phrase"
        pitches = [self.notes[index].midi for index in (first, highest, last)]
        if pitches[1] in (pitches[0], pitches[2]) or not is_known:
            back = "back " if pitches[0] == pitches[2] else ""
            return f"{who} goes from {self._note(first)} {back}to {self._note(last)}, {over}."
        said = f"{who} begins on {self._note(first)}, rises to {self._note(highest)} and ends on {self._note(last)}"
        return f"{said}, {over}."

    def _top(self, pitched: Sequence[int], index: int) -> int:
        """The highest note of the stroke of a note."""
        address = self.notes[index].address
        own = [other for other in pitched if self.notes[other].address == address]
        return max(own, key=lambda other: self.notes[other].midi or 0)

    def _telling(self, stretches: Sequence[_LessonStretch]) -> set[int]:
        """The devices that are told where they begin: those most worth it, and of each stretch the best one."""
        devices = self.study.devices
        said = statements(self.study.weighed)
        first = told_at_once(said, len(self.study.timeline.bars))
        told = {one.first.rank for one in said if one.rank in first}
        telling = {number for number, device in enumerate(devices) if device.rank in told}
        for stretch in stretches:
            own = range(*(bisect_left(self.beginnings, at) for at in (stretch.notes.start, stretch.notes.stop)))
            best = [number for number in own if not devices[number].implied]
            if best:
                telling.add(min(best, key=lambda number: devices[number].rank))
        return telling

    def _chord(self, index: int) -> str:
        doubt = " (uncertain)" if "chord" in self.study.open_parts[index] else ""
        return (self.notes[index].chord or "no chord") + doubt

    def _position(self, stretch: _LessonStretch) -> Iterator[str]:
        """Where the hand stays for all that it frets; nothing while a place is open, or where it frets one note."""
        named = self._named(stretch.addresses)
        if any(note.note.is_open and note.fret is None for note in named):
            return
        positions = positions_at(self.study.hand, [note.index for note in named])
        if len(positions) == 1 and len({note.fret for note in named if note.fret}) > 1:
            claim = f"`@{stretch.addresses} position {positions[0]}`"
            if self.position != str(positions[0]):
                yield f"The hand stays in {claim}."
            self.position = str(positions[0])

    def _devices(self, stretch: _LessonStretch, pitched: Sequence[int]) -> Iterator[str]:
        """Sentences of what is most worth telling, in order."""
        first = bisect_left(self.beginnings, stretch.notes.start)
        is_first = True
        for number in range(first, bisect_left(self.beginnings, stretch.notes.stop)):
            device = self.study.devices[number]
            if number not in self.telling or number in self.told_devices:
                continue
            self.told_devices.add(number)
            said, where = self._told(device)
            sentence = as_clause(said)
            if sentence is None:
                begins, ends = device.notes[0] in pitched[:1], device.notes[-1] in pitched[-1:]
                goes_on = device.notes[-1] >= stretch.notes.stop
                sentence = lead(device.sentence, is_first, begins, ends, goes_on) + said
                is_first = False
            yield f"{_with_place(sentence, where)}."

    def _told(self, device: Device) -> tuple[str, str]:
        """What a device says, claims in it; and its address where that does not stand in it."""
        said, claim = device.sentence, device.data.get("claim", "")
        if "as_in" in device.data:
            said = said.replace(f"as in {device.data['as_in']}", f"as in `@{device.data['as_in']}`")
        if device.kind == "wide bend":
            return said, self._way(device.notes[0])
        if claim and said.startswith(claim) and self._is_named(device):
            return f"`@{device.range} {claim}`{said.removeprefix(claim)}", ""
        is_of_a_voice = "voice" in device.data
        counted = f"`@{device.range}`" if is_of_a_voice else self._counted(device.range, device.data.get("count"))
        if device.kind == "position shift" or any(self.study.open_parts[note] for note in device.notes):
            return said, counted
        if device.kind == "returning figure" and (same := self._same(device)):
            return said, _with(counted, same)
        if said.startswith(device.kind):
            return f"`@{device.range} {device.kind}`{said.removeprefix(device.kind)}", ""
        return said, counted if device.kind in said else _with(counted, device.kind)

    def _same(self, device: Device) -> str:
        """`as 5.1-5.3 an octave higher`, where every note of the two stretches is so far from the other; else empty."""
        semitones = device.data["semitones"]
        how = "as" if device.data["same_rhythm"] else "the same notes as"
        said = f"{how} {device.data['as_in']}"
        if semitones and abs(semitones) in INTERVALS:
            said += f" {INTERVALS[abs(semitones)]} {'higher' if semitones > 0 else 'lower'}"
        claim = read_claim(f"@{device.range} {said}")
        heard = HeardNotes(self._named(device.range), self.study.timeline, lambda: self.study)
        return said if holds(claim, heard) else ""

    # ---- claims

    def _note(self, index: int) -> str:
        """`@5.2.3 B3, 3 of G9`; `@1.1.1 4 > 5 of Am` for a bend; the pitch alone without chord and key."""
        note, backing = self.notes[index], self.study.melody.backings[index]
        if note.note.others:
            return f"`@{note.address}` (not certain)"
        is_bent = note.note.only_moves_pitch or any(motion.sign in BENDS for motion in note.motions)
        if is_bent or note.midi is None:
            return self._way(index)
        midi = nearest_semitone(note.midi)
        name = pitch_in_words(note, midi, backing.key)
        degree = self._degree(index, note.midi)
        return f"`@{note.address} {name}{f', {degree} of {backing.place}' if degree else ''}`"

    def _way(self, index: int) -> str:
        """`@1.1.1 4 > 5 of Am`: the degrees along a note, where all of them have names."""
        note, backing = self.notes[index], self.study.melody.backings[index]
        if note.note.others:
            return f"`@{note.address}`"
        stations = [midi for at, midi in enumerate(note.path) if at == 0 or midi != note.path[at - 1]]
        if len(stations) > MOST_STATIONS or not all(map(_is_in_tune, stations)):
            return f"`@{note.address}`"
        degrees = [self._degree(index, midi) for midi in stations]
        return f"`@{note.address} {' > '.join(degrees)} of {backing.place}`" if all(degrees) else f"`@{note.address}`"

    def _counted(self, stretch: AddressRange, told: int | None = None) -> str:
        """`@5.1 7 notes`: how many are struck or slurred to, unless the text goes on to tell another number.

        Strokes that only move the pitch are not counted, and nothing is where a stretch is not heard yet.
        """
        named = self._named(stretch)
        count = sum(not note.note.only_moves_pitch for note in named)
        is_heard = not any(note.note.unheard for note in named)
        if told not in (None, count) or not 0 < count <= MOST_COUNTED or not is_heard:
            return f"`@{stretch}`"
        return f"`@{stretch} {several(count, 'note')}`"

    def _named(self, stretch: AddressRange) -> tuple[TimedNote, ...]:
        notes = self.addresses.notes(stretch)
        return self.notes[notes.start : notes.stop]

    def _is_named(self, device: Device) -> bool:
        """Whether the address of a device names its notes and no others that sound a pitch, or may."""
        notes = self.notes
        named = (
            at for at in self.addresses.notes(device.range) if notes[at].midi is not None or notes[at].note.is_open
        )
        return tuple(named) == device.notes

    def _pitch_class(self, index: int) -> int | None:
        """None for a note without a pitch, or one too far off to be named."""
        midi = self.notes[index].midi
        return nearest_semitone(midi) % 12 if midi is not None and _is_in_tune(midi) else None

    def _degree(self, index: int, midi: float) -> str:
        backing, pitch = self.study.melody.backings[index], nearest_semitone(midi)
        return backing.degree_told(pitch % 12, written=written_tone(self.notes[index].note, pitch))


def _with_place(sentence: str, where: str) -> str:
    """A sentence with the address of what it tells in brackets; with its doubt, where it has one."""
    if not where:
        return sentence
    plain, _, doubt = sentence.rpartition(" (")
    is_doubted = doubt.endswith("uncertain)")
    return f"{plain} ({where}, {doubt}" if is_doubted else f"{sentence} ({where})"


def _with(claim: str, said: str) -> str:
    """A claim that says one thing more."""
    comma = "," if " " in claim else ""
    return f"{claim.removesuffix('`')}{comma} {said}`"


def _is_in_tune(midi: float) -> bool:
    """Whether a pitch has a name that a claim can say."""
    return 0 <= midi <= HIGHEST and abs(midi - nearest_semitone(midi)) <= OUT_OF_TUNE


def _plain(text: str) -> str:
    """Text that Markdown takes as it stands; a backtick becomes an apostrophe, so that none begins a claim."""
    return _SPECIAL.sub(r"\\\1", text.replace("`", "'").strip())
