"""Made-up corrections of bars, the header, sections and passages, and the tuple of every made-up correction."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from made_beat_edits import BEATS, Edit
from made_drafts import Draft, Spot
from made_solos import CHORDS, made_lines, made_words

from tabtools.model.solo import AddressRange, Bar, ChordMark, Comment, Field, Like, Passage, Section
from tabtools.notation.build import read_solo
from tabtools.source import from_text


def harmony(draft: Draft) -> bool:
    for one in draft.bars():
        draft.items[one] = replace(draft.items[one], chords=(ChordMark("Bbmaj7"),))
        draft.expect_at(Spot(one), "harmony")
        return True
    return False


def recording(draft: Draft) -> bool:
    for one in draft.bars():
        draft.items[one] = replace(draft.items[one], at=Fraction(draft.rng.randint(10, 900), 10))
        draft.expect_at(Spot(one), "recording")
        return True
    return False


def tempo_of_a_bar(draft: Draft) -> bool:
    for one in draft.bars():
        draft.items[one] = replace(draft.items[one], tempo=Fraction(61))
        draft.expect_at(Spot(one), "rhythm")
        return True
    return False


def bar_comment(draft: Draft) -> bool:
    for one in draft.bars():
        bar = draft.items[one]
        comment = Comment(f"# {made_words(draft.rng)} here")
        draft.items[one] = replace(bar, comments=replace(bar.comments, above=(comment,)))
        draft.expect_at(Spot(one), "comment")
        return True
    return False


def _places_for_a_bar(draft: Draft) -> list[int]:
    """Places in the order right behind a bar, away from where others came or went."""
    return [
        at
        for at, one in enumerate(draft.order, 1)
        if isinstance(draft.items[one], Bar) and draft.settled.isdisjoint(draft.order[at - 1 : at + 1])
    ]


def new_bar(draft: Draft) -> bool:
    places = _places_for_a_bar(draft)
    if not places:
        return False
    at = draft.rng.choice(places)
    draft.settle(at)
    number = draft.items[draft.order[at - 1]].number + 1
    text = "\n".join([f"bar {number}  {draft.rng.choice(CHORDS)}", *made_lines(draft.rng)])
    (bar,) = read_solo(from_text(text + "\n")).solo.items
    draft.expect("bars", new=Spot(draft.insert(at, bar)))
    return True


def lost_bar(draft: Draft) -> bool:
    for one in draft.lone_bars():
        if one in draft.settled:
            continue
        draft.settle(draft.order.index(one))
        draft.order.remove(one)
        draft.expect("bars", old=Spot(one))
        draft.touched.add(one)
        return True
    return False


def moved_bar(draft: Draft) -> bool:
    for one in draft.lone_bars():
        at = draft.order.index(one)
        if one in draft.settled:
            continue
        rest = [other for other in draft.order if other != one]
        far = [
            place
            for place in range(1, len(rest) + 1)
            if isinstance(draft.items[rest[place - 1]], Bar)
            and draft.settled.isdisjoint(rest[place - 1 : place + 1])
            and _bars_between(draft, rest, at, place) > 2
        ]
        if far:
            draft.settle(at)
            draft.order = rest
            at = draft.rng.choice(far)
            draft.settle(at)
            rest.insert(at, one)
            draft.expect_at(Spot(one), "bars")
            return True
    return False


def _bars_between(draft: Draft, order: list[int], at: int, place: int) -> int:
    return sum(isinstance(draft.items[one], Bar) for one in order[min(at, place) : max(at, place)])


def repeat_of_others(draft: Draft) -> bool:
    for one in draft.order:
        item = draft.items[one]
        if isinstance(item, Like) and one not in draft.touched:
            draft.items[one] = replace(item, like_first=3, like_last=4)
            draft.expect_at(Spot(one), "bars")
            return True
    return False


# ---- header, sections, passages


def _field(draft: Draft, name: str, value: str) -> bool:
    at = next((index for index, one in enumerate(draft.fields) if one.name == name), None)
    if any(change.name == name for change in draft.expected):
        return False
    if at is None:
        draft.fields.append(Field(name, value))
    else:
        draft.fields[at] = replace(draft.fields[at], value=value)
    draft.expect("header", name=name)
    return True


def title(draft: Draft) -> bool:
    return _field(draft, "title", made_words(draft.rng))


def tempo(draft: Draft) -> bool:
    return _field(draft, "tempo", str(draft.rng.randint(110, 180)))


def retuning(draft: Draft) -> bool:
    return _field(draft, "tuning", draft.rng.choice(("drop D", "half step down")))


def lost_field(draft: Draft) -> bool:
    at = next((index for index, one in enumerate(draft.fields) if one.name == "recording"), None)
    if at is None:
        return False
    del draft.fields[at]
    draft.expect("header", name="recording")
    return True


def field_comment(draft: Draft) -> bool:
    at, one = next((index, one) for index, one in enumerate(draft.fields) if one.name == "player")
    if one.comments:
        return False
    draft.fields[at] = replace(one, comments=replace(one.comments, beside=Comment("# a guess")))
    draft.expect("comment", name="player")
    return True


def section_name(draft: Draft) -> bool:
    for one in draft.order:
        item = draft.items[one]
        if isinstance(item, Section) and one not in draft.touched:
            draft.items[one] = replace(item, name=made_words(draft.rng))
            draft.touched.add(one)
            draft.expect("parts")
            return True
    return False


def new_section(draft: Draft) -> bool:
    places = _places_for_a_bar(draft)
    if places:
        draft.insert(draft.rng.choice(places), Section(f"X{len(draft.items)}", made_words(draft.rng)))
        draft.expect("parts")
    return bool(places)


def passage_name(draft: Draft) -> bool:
    return _passage(draft, lambda passage: replace(passage, name=made_words(draft.rng)))


def passage_stretch(draft: Draft) -> bool:
    def longer(passage: Passage) -> Passage:
        first, last = passage.range.first, passage.range.last
        return replace(passage, range=AddressRange(first, last._replace(count=5 - last.count % 4)))

    return _passage(draft, longer)


def _passage(draft: Draft, change: Callable[[Passage], Passage]) -> bool:
    for one in draft.rng.sample(draft.order, len(draft.order)):
        item = draft.items[one]
        if isinstance(item, Passage) and one not in draft.touched:
            draft.items[one] = change(item)
            draft.expect_at(Spot(one), "parts")
            return True
    return False


BARS: tuple[Edit, ...] = (harmony, recording, tempo_of_a_bar, bar_comment, repeat_of_others)
STRUCTURE: tuple[Edit, ...] = (new_bar, lost_bar, moved_bar)
HEADER: tuple[Edit, ...] = (title, tempo, retuning, lost_field, field_comment)
PARTS: tuple[Edit, ...] = (section_name, new_section, passage_name, passage_stretch)
EVERY_EDIT = BEATS + BARS + STRUCTURE + HEADER + PARTS
