"""Changes in a musician's words: what stood where, what stands there now, and what kind of change that is."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from tabtools.checks.wording import listed
from tabtools.model.instrument import Instrument
from tabtools.model.solo import Address, Bar, Field, Like, Passage, first_number
from tabtools.reports.change_summary import bars_in_words, draft_in_words, is_of_draft
from tabtools.reports.gap_words import gap_in_words, is_gone_gap
from tabtools.reports.settling import FEWEST_FOLDED, follows_its_note, is_only_placed, is_placed_as_heard, words_of
from tabtools.review.align import renumbered
from tabtools.review.change import KINDS_IN_WORDS, Change, Comparison, Kind, Part, Written
from tabtools.source import is_number
from tabtools.study.labels import Labels, labels_of
from tabtools.timeline import TimedBar, TimedNote, Timeline
from tabtools.wording import plural, several

NOTHING = "nothing"
_SAYS_PITCH = re.compile(r"[^=]*=[A-G][^=?]*\??")
"""A note whose writing says its pitch, and no other reading."""


@dataclass(frozen=True, slots=True)
class ToldChange:
    """One change: its place in the new version (in the old one where it is gone), both writings, its class.

    `block` are lines of music that came (`+`) or went (`-`) with it; `more` are changes told in the same line.
    """

    place: str
    was: str
    now: str
    what: str
    change: Change
    block: tuple[str, ...] = ()
    more: tuple[Change, ...] = ()

    @property
    def changes(self) -> tuple[Change, ...]:
        """All that it tells."""
        return self.change, *self.more

    @property
    def text(self) -> str:
        """In one line."""
        if self.was and self.now and self.was != self.now:
            said = f"{self.was} → {self.now}"
        else:
            said = self.now or self.was
        return f"{said} ({self.what})" if said else f"({self.what})"


@dataclass(frozen=True, slots=True)
class ChangeGroup:
    """Changes under one heading: the header, a bar, a section or passage."""

    title: str
    told: tuple[ToldChange, ...]
    bar: int | None = None


def groups_of(comparison: Comparison) -> list[ChangeGroup]:
    """Every change, bar by bar. Notes that only follow a new tuning are told in one line of the header.

    Of a bar in which many notes got their places these stand in one line, where the first of them is.
    """
    teller = ChangeTeller(comparison)
    groups: list[ChangeGroup] = []
    for change in comparison.changes:
        if change.part is Part.NOTE and change.follows:
            continue
        title, bar = teller.title(change)
        if not groups or groups[-1].title != title:
            groups.append(ChangeGroup(title, (), bar))
        groups[-1] = replace(groups[-1], told=(*groups[-1].told, teller.told(change)))
    if (following := teller.following()) is not None:
        at = next((index for index, group in enumerate(groups) if group.title == HEADER), None)
        if at is None:
            groups.insert(0, ChangeGroup(HEADER, (following,)))
        else:
            groups[at] = replace(groups[at], told=(*groups[at].told, following))
    return [replace(group, told=tuple(_folded(_without_echoes(group.told)))) for group in groups]


def _without_echoes(told: Sequence[ToldChange]) -> list[ToldChange]:
    """Without what other rows say better: that a line is laid out otherwise in which notes changed, that a gap is gone
    which is told to be filled."""
    tells_gap = any(one.change.part is Part.LINES and gap_in_words(one.change) for one in told)

    def is_echo(one: ToldChange) -> bool:
        if one.change.part is Part.LINES and one.change.kinds == (Kind.LAYOUT,):
            return any(other.place.startswith(f"{one.place}.") for other in told)
        return tells_gap and is_gone_gap(one.change)

    return [one for one in told if not is_echo(one)]


def _folded(told: Sequence[ToldChange]) -> Iterator[ToldChange]:
    """Many placed notes in one line: `2:8 2:11 1:8 (3 notes placed)`."""
    placed = [one for one in told if is_placed_as_heard(one.change)]
    if len(placed) < FEWEST_FOLDED:
        yield from told
        return
    row = [one for one in told if one in placed or follows_its_note(one.change)]
    first, *others = row
    places = " ".join(one.change.now.partition("=")[0] for one in row)
    for one in told:
        if one is first:
            where = f"bar {one.place.partition('.')[0]}:"
            more = tuple(other.change for other in others)
            yield ToldChange(where, "", places, f"{len(placed)} notes placed", one.change, more=more)
        elif one not in others:
            yield one


HEADER = "header"
_TUNING = ("tuning", "capo")
WHOLE = "the whole file"


class ChangeTeller:
    """Puts the changes of one comparison into words."""

    def __init__(self, comparison: Comparison):
        self.comparison = comparison
        self.before, self.after = comparison.before, comparison.after
        self.new_bars = {bar.number: bar for bar in reversed(self.after.timeline.bars)}
        self.old_bars = {bar.number: bar for bar in reversed(self.before.timeline.bars)}

    @property
    def _instruments(self) -> tuple[Instrument, Instrument]:
        return self.before.solo.header.instrument, self.after.solo.header.instrument

    # ---- headings

    def title(self, change: Change) -> tuple[str, int | None]:
        item = self._item(change)
        if change.name:
            return HEADER, None
        if isinstance(item, Bar | Like):
            return self._bar_title(change)
        if change.part is Part.NUMBERS or item is None:
            return WHOLE, None
        return "sections and passages", None

    def _item(self, change: Change) -> object:
        if change.site.new_item is not None:
            return self.after.solo.items[change.site.new_item]
        return self.before.solo.items[change.site.item] if change.site.item is not None else None

    def _bar_title(self, change: Change) -> tuple[str, int | None]:
        old, new = change.old and change.old.bar, change.new and change.new.bar
        if old is None and change.site.item is not None:
            old = _first(self.before.solo.items[change.site.item])
        if new is None and change.site.new_item is not None:
            new = _first(self.after.solo.items[change.site.new_item])
        bars = self.old_bars if new is None else self.new_bars
        number = old if new is None else new
        timed = None if number is None else bars.get(number)
        chords = " ".join(_chords_of(timed)) if timed else ""
        was = f" (was {old})" if old is not None and new is not None and old != new else ""
        return f"bar {number}{was}  {chords}".rstrip().replace("   ", "  "), new

    # ---- changes

    def told(self, change: Change) -> ToldChange:
        address = change.new or change.old
        place = f"{change.name}:" if change.name else _spoken(address) if address else ""
        if is_of_draft(change):
            place = ""
        was, now = self._writings(change)
        return ToldChange(place, was, now, self.what(change), change, _block(change))

    def what(self, change: Change) -> str:
        """What kind of change it is, in words."""
        words = ", ".join(words_of(change, self._name, self._instruments))
        if change.part is Part.NUMBERS:
            words = "only the numbers of bars"
        elif change.part is Part.ORDER:
            words = "stands elsewhere now" if change.kinds == (Kind.LAYOUT,) else "moved"
        elif change.part is Part.NOTHING and change.kinds == (Kind.LAYOUT,) and not change.was:
            words = "laid out otherwise"
        elif change.part is Part.ITEM and change.before is None:
            words = "written otherwise, the same music" if Kind.LAYOUT in change.kinds else "added"
        elif change.part is Part.ITEM and change.after is None:
            words = "written otherwise, the same music" if Kind.LAYOUT in change.kinds else "gone"
        elif change.part is Part.ITEM and change.was == change.now:
            words = f"left where it was, though its bars are {self._where_now(change)} now"
        elif change.part is Part.ITEM and change.kinds[0] is Kind.BARS:
            words = "repeats other bars"
        elif self._is_mended(change):
            words = "line mended"
        elif is_of_draft(change):
            words = draft_in_words(change)
        elif change.name in _TUNING:
            words = ", ".join([words, *self._retuned()])
        elif change.follows:
            words += ", as the stroke before moved"
        if change.alike:
            words += f"; {_alike(change)}"
        return words

    def _is_mended(self, change: Change) -> bool:
        """Whether lines came into a bar of which some could not be read before."""
        item = self.before.solo.items[change.site.item] if change.site.item is not None else None
        is_new = change.part is Part.LINES and not change.was
        return is_new and isinstance(item, Bar) and item.damaged

    def _retuned(self) -> Iterator[str]:
        """How the open strings sound now: one phrase for each shift."""
        old, new = self._instruments
        both = range(1, min(old.strings, new.strings) + 1)
        shifts: dict[int, list[int]] = {}
        for string in both:
            shifts.setdefault(new.open_midi(string) - old.open_midi(string), []).append(string)
        for shift, strings in sorted(shifts.items()):
            if shift:
                which = f"{plural('string', len(strings))} {listed(strings)}" if len(shifts) > 1 else "every string"
                verb = "is" if len(strings) == 1 or len(shifts) == 1 else "are"
                yield f"{which} {verb} {several(abs(shift), 'semitone')} {'higher' if shift > 0 else 'lower'}"

    def _where_now(self, change: Change) -> str:
        """Where the stretch of a passage, or the music of a repeat, stands in the new version."""
        item = change.before
        if isinstance(item, Like):
            item = renumbered(item, self.comparison.bar_numbers)
            return f"{item.like_first}-{item.like_last}"
        return str(renumbered(item, self.comparison.bar_numbers).range) if isinstance(item, Passage) else ""

    def _writings(self, change: Change) -> tuple[str, str]:
        if change.part is Part.NUMBERS:
            return _numbered(change.was), _numbered(change.now)
        if change.part is Part.FIELD:
            if is_of_draft(change):
                return "", ""
            return _value(change.before), _value(change.after)
        if change.part is Part.ORDER:
            return _first_line(change.was), _first_line(change.now)
        if change.part is Part.ITEM and None in (change.before, change.after):
            return ("", "") if _block(change) else (change.was, change.now)
        if change.part is Part.NOTE and is_only_placed(change):
            return change.was, change.now
        if change.part in (Part.NOTE, Part.NOTHING):
            was, now = (
                self.note("", notes, timeline)
                for notes, timeline in ((change.sounded, self.before.timeline), (change.sounds, self.after.timeline))
            )
            is_same = was == now and bool(change.was) and change.was != change.now
            sounded = () if is_same else change.sounded
            return self.note(change.was, sounded, self.before.timeline), self.note(
                change.now, change.sounds, self.after.timeline
            )
        if change.part is Part.LINES:
            return _lines(change) if not self._is_mended(change) else ("", change.now)
        if change.part is Part.STROKE:
            return change.was, change.now + self._more(change)
        return change.was or NOTHING, change.now or NOTHING

    def _more(self, change: Change) -> str:
        come = [self.note("", (note,), self.after.timeline) for note in change.sounds]
        gone = [self.note("", (note,), self.before.timeline) for note in change.sounded]
        said = [f"adds {' and '.join(come)}"] if come else []
        said += [f"without {' and '.join(gone)}"] if gone else []
        return f", {', '.join(said)}" if said else ""

    def note(self, writing: str, notes: Iterable[TimedNote], timeline: Timeline) -> str:
        """`4:9 B3, 6 of D7`: a writing with the names and degrees of what sounds."""
        names = [name for name in (note_in_words(note, timeline) for note in notes) if name]
        said = " and ".join(names)
        name, _, degree = said.partition(",")
        if degree and _SAYS_PITCH.fullmatch(writing) and f"={name}" in writing:
            return f"{writing},{degree}"
        return " ".join(filter(None, [writing, said]))

    def _name(self, note: TimedNote) -> str:
        """The pitch a note of the new version begins with."""
        return labels_for(note, self.after.timeline).attack_pitch or ""

    def following(self) -> ToldChange | None:
        """The notes that keep their pitch in another tuning, in one line."""
        notes = [change for change in self.comparison.changes if change.part is Part.NOTE and change.follows]
        if not notes:
            return None
        said = "1 note keeps its pitch" if len(notes) == 1 else f"{len(notes)} notes keep their pitch"
        bars = bars_in_words(sorted({change.new.bar for change in notes if change.new is not None}))
        return ToldChange("tuning:", "", f"{said} in new places, in {bars}", KINDS_IN_WORDS[Kind.PLACE], notes[0])


def labels_for(note: TimedNote, timeline: Timeline) -> Labels:
    """The labels of one note."""
    (labels,) = labels_of(replace(timeline, notes=(note,)))
    return labels


def note_in_words(note: TimedNote, timeline: Timeline) -> str:
    """`B3, 6 of D7`; under no chord `B3, 6 of the key`; empty for a note without a pitch."""
    labels = labels_for(note, timeline)
    if labels.pitch is None:
        return ""
    is_bent = len(labels.path or labels.key_path) > 1 and labels.attack_pitch != labels.pitch
    name = f"{labels.attack_pitch} > {labels.pitch}" if is_bent else labels.pitch
    if labels.path:
        return f"{name}, {' > '.join(labels.path)} of {note.chord}"
    return f"{name}, {' > '.join(labels.key_path)} of the key" if labels.key_path else name


def _spoken(address: Address) -> str:
    """A bar in words, as its number alone runs into what is said of it; all else as it is written."""
    return str(address) if address.count is not None else f"bar {address}:"


def _first(item: object) -> int | None:
    return first_number(item) if isinstance(item, Bar | Like) else None


def _chords_of(bar: TimedBar) -> dict[str, None]:
    """The symbols of the chords that sound in a bar, each once, those that begin there with their doubt."""
    own = [f"{one.mark.symbol}{'?' * one.mark.doubtful}" for one in bar.chords]
    begins_with_own = bool(bar.chords) and bar.chords[0].onset == bar.onset
    return dict.fromkeys(own if begins_with_own else [bar.chord or "", *own])


def _alike(change: Change) -> str:
    bars = bars_in_words(change.alike)
    return f"the same music as {bars}" if change.part is Part.ITEM else f"heard again in {bars}"


def _lines(change: Change) -> tuple[str, str]:
    """Lines for one count without it; more than one with theirs, side by side."""
    was, now = change.was.split("\n"), change.now.split("\n")
    if len(was) == len(now) == 1 and was[0].partition(" ")[0] == now[0].partition(" ")[0]:
        return was[0].partition(" ")[2], now[0].partition(" ")[2]
    return _side_by_side(was), _side_by_side(now)


def _side_by_side(lines: list[str]) -> str:
    return " / ".join(filter(None, lines)) or NOTHING


def _numbered(bars: str) -> str:
    return f"bar {bars}" if is_number(bars) else f"bars {bars}"


def _value(field: Written | None) -> str:
    return field.value if isinstance(field, Field) else NOTHING


def _first_line(text: str) -> str:
    return text.partition("\n")[0].rstrip()


def _block(change: Change) -> tuple[str, ...]:
    """The lines of music that came or went; a section or passage stands in its row."""
    if change.part is not Part.ITEM or None not in (change.before, change.after):
        return ()
    if not isinstance(change.before or change.after, Bar | Like):
        return ()
    sign = "-" if change.after is None else "+"
    return tuple(f"{sign} {line}" for line in (change.was or change.now).split("\n"))
