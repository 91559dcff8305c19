"""Bars as they are played: `like` written out, meters, tempos and chords carried on, lengths and onsets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from tabtools.model.rhythm import Meter, quarters
from tabtools.model.solo import Bar, BeatLine, ChordMark, Count, Like, Solo
from tabtools.notation.limits import MAX_BARS, MAX_PLAYED_SLOTS, slots_of
from tabtools.timeline.records import Moment, TimedBar, TimedChord, TimedLine
from tabtools.timeline.spread import slot_sum

NO_CHORD = frozenset({"NC", "N.C."})


@dataclass(slots=True)
class _Played:
    """What a bar took over from those before it, for `like` to repeat."""

    written: Bar
    chords: tuple[ChordMark, ...]
    chord: ChordMark | None
    meter: Meter


def unroll(solo: Solo) -> tuple[TimedBar, ...]:
    """The bars of a solo in the order they are played, within the limits that the reader reports."""
    bars: list[TimedBar] = []
    played: dict[int, _Played] = {}
    meter, tempo = solo.header.meter, solo.header.tempo
    chord: ChordMark | None = None
    onset, start = Fraction(0), 0.0
    order = _in_order(solo)
    pickup = _pickup_counts(order[0][1]) if order else 0
    slots = 0
    for position, (number, item) in enumerate(order):
        like = item if isinstance(item, Like) else None
        if isinstance(item, Bar):
            written, meter, chords = item, item.meter or meter, item.chords
        else:
            source = played.get(item.source_of(number))
            if source is None:
                continue
            written, meter = source.written, source.meter
            slots += slots_of(written)
            if slots > MAX_PLAYED_SLOTS:
                break
            own = item.chords_of(number)
            chords, chord = (source.chords, source.chord) if own is None else (own, chord)
        tempo = written.tempo or tempo
        first = _pickup_counts(written) if number == 0 and like is None else 1
        length = _length(written, meter, tempo, first, pickup if position == len(order) - 1 else 0)
        lines = tuple(_timed_lines(written, onset, length, first, meter))
        if lines:
            length = max(length, lines[-1].begins.offset + lines[-1].length)
        per_quarter = float(60 / (tempo * meter.beat))
        end = start + float(length) * per_quarter
        if written.free:
            end = start + float(written.free)
        played.setdefault(number, _Played(written, chords, chord, meter))
        timed = tuple(sorted(_timed_chords(chords, onset, first, meter, lines if written.free else ()), key=_onset))
        if timed and timed[0].onset <= onset:
            chord = timed[0].mark
        bars.append(
            TimedBar(
                number,
                written,
                like,
                meter,
                tempo,
                onset,
                length,
                first,
                start,
                end,
                _symbol(chord),
                timed,
                lines,
                written.at if like is None else None,
            )
        )
        if timed:
            chord = timed[-1].mark
        onset += length
        start = end
    return tuple(bars)


def _in_order(solo: Solo) -> list[tuple[int, Bar | Like]]:
    """The number of each bar that is played, with what says what is in it."""
    order: list[tuple[int, Bar | Like]] = []
    for item in solo.items:
        if isinstance(item, Bar):
            order.append((item.number, item))
        elif isinstance(item, Like):
            last = min(item.last, item.first + MAX_BARS)
            order.extend((number, item) for number in range(item.first, last + 1))
        if len(order) >= MAX_BARS:
            return order[:MAX_BARS]
    return order


def _pickup_counts(bar: Bar | Like) -> int:
    """The count a pickup bar starts on."""
    if isinstance(bar, Like) or bar.number != 0 or not bar.lines or bar.free:
        return 1
    return max(1, min(line.first for line in bar.lines))


def _length(bar: Bar, meter: Meter, tempo: Fraction, first: int, pickup: int) -> Fraction:
    if bar.free:
        return bar.free * tempo / 60 * meter.beat
    if first > 1:
        return max(meter.beat, (meter.counts - first + 1) * meter.beat)
    if pickup > 1 and bar.lines and max(line.last for line in bar.lines) == pickup - 1:
        return (pickup - 1) * meter.beat
    return meter.length


def _timed_lines(bar: Bar, onset: Fraction, length: Fraction, first: int, meter: Meter) -> Iterator[TimedLine]:
    if not bar.free:
        upcoming = first
        for line in sorted(bar.lines, key=_first_count):
            count, counts = max(line.first, upcoming), line.last - line.first + 1
            upcoming = count + counts
            yield TimedLine(Moment(onset, quarters(meter, count - first)), quarters(meter, counts), line, count)
        return
    offset = Fraction(0)
    unit = length / max(1, sum(slot_sum(line) for line in bar.lines))
    for line in bar.lines:
        share = slot_sum(line) * unit
        yield TimedLine(Moment(onset, offset), share, line, line.first)
        offset += share


def _timed_chords(
    chords: tuple[ChordMark, ...], onset: Fraction, first: int, meter: Meter, free_lines: tuple[TimedLine, ...]
) -> Iterator[TimedChord]:
    """The chords of a bar; a free bar has its counts where its lines are."""
    for mark in chords:
        moment = mark.at or Count(first)
        count = moment.count + Fraction(int(moment.half), 2)
        offset = _free_offset(count, free_lines) if free_lines else (count - first) * meter.beat
        yield TimedChord(onset + max(Fraction(0), offset), _symbol(mark), mark)


def _free_offset(count: Fraction, lines: tuple[TimedLine, ...]) -> Fraction:
    for timed in reversed(lines):
        if count >= timed.line.first:
            within = min(Fraction(1), (count - timed.line.first) / (timed.line.last - timed.line.first + 1))
            return timed.begins.offset + within * timed.length
    return Fraction(0)


def _onset(chord: TimedChord) -> Fraction:
    return chord.onset


def _first_count(line: BeatLine) -> int:
    return line.first


def _symbol(mark: ChordMark | None) -> str | None:
    return None if mark is None or mark.symbol in NO_CHORD else mark.symbol
