"""Made-up corrections of bars, the header, sections and passages, and the tuple of every made-up correction."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from made_beat_edits import BEATS, Edit
from made_drafts import Draft, Spot
from made_settling_edits import PLACED, SETTLING
from made_solos import CHORDS, made_lines, made_words

from tabtools.model.solo import AddressRange, Bar, ChordMark, Comment, Count, Field, Like, Passage, Section
from tabtools.notation.build import read_solo
from tabtools.source import from_text


def harmony(draft: Draft) -> bool:
    for one in draft.bars():
        is_settled = any(mark.doubtful and (mark.at or Count(1)) == Count(1) for mark in draft.items[one].chords)
        draft.items[one] = replace(draft.items[one], chords=(ChordMark("Bbmaj7"),))
        draft.expect_at(Spot(one), "harmony", *(["resolved"] if is_settled else []))
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


def new_bar(draft: Draft) -> bool:
    places = draft.places()
    if not places:
        return False
    behind = draft.rng.choice(places)
    draft.settle(behind)
    number = draft.solo.items[behind].number + 1
    text = "\n".join([f"bar {number}  {draft.rng.choice(CHORDS)}", *made_lines(draft.rng)])
    (bar,) = read_solo(from_text(text + "\n")).solo.items
    draft.expect("bars", new=Spot(draft.insert(behind, bar)))
    return True


def lost_bar(draft: Draft) -> bool:
    for one in draft.lone_bars():
        draft.settle(one)
        draft.order.remove(one)
        draft.expect("bars", old=Spot(one))
        draft.touched.add(one)
        return True
    return False


def moved_bar(draft: Draft) -> bool:
    for one in draft.lone_bars():
        far = [place for place in draft.places() if _bars_between(draft, one, place) > 3]
        if far:
            behind = draft.rng.choice(far)
            draft.order.remove(one)
            draft.order.insert(draft.order.index(behind) + 1, one)
            draft.settle(one)
            draft.settle(behind)
            draft.expect_at(Spot(one), "bars")
            return True
    return False


def _bars_between(draft: Draft, one: int, other: int) -> int:
    return sum(isinstance(item, Bar) for item in draft.solo.items[min(one, other) : max(one, other)])


def repeat_of_others(draft: Draft) -> bool:
    for one in draft.old(Like):
        draft.items[one] = replace(draft.items[one], like_first=2, like_last=2)
        draft.expect_at(Spot(one), "bars")
        return True
    return False


# ---- header, sections, passages


def _field(draft: Draft, name: str, value: str) -> bool:
    if name in draft.touched:
        return False
    draft.touched.add(name)
    at = next((index for index, one in enumerate(draft.fields) if one.name == name), None)
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
    return PLACED not in draft.touched and _field(draft, "tuning", draft.rng.choice(("drop D", "half step down")))


def lost_field(draft: Draft) -> bool:
    if "recording" in draft.touched:
        return False
    draft.touched.add("recording")
    draft.fields = [one for one in draft.fields if one.name != "recording"]
    draft.expect("header", name="recording")
    return True


def field_comment(draft: Draft) -> bool:
    if "player" in draft.touched:
        return False
    draft.touched.add("player")
    at, one = next((index, one) for index, one in enumerate(draft.fields) if one.name == "player")
    draft.fields[at] = replace(one, comments=replace(one.comments, beside=Comment("# a guess")))
    draft.expect("comment", name="player")
    return True


def section_name(draft: Draft) -> bool:
    for one in draft.old(Section):
        draft.items[one] = replace(draft.items[one], name=made_words(draft.rng))
        draft.touched.add(one)
        draft.expect("parts")
        return True
    return False


def new_section(draft: Draft) -> bool:
    places = draft.places()
    if places:
        behind = draft.rng.choice(places)
        draft.settle(behind)
        draft.insert(behind, Section(f"X{behind}", made_words(draft.rng)))
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
    for one in draft.old(Passage):
        draft.items[one] = change(draft.items[one])
        draft.expect_at(Spot(one), "parts")
        return True
    return False


BARS: tuple[Edit, ...] = (harmony, recording, tempo_of_a_bar, bar_comment, repeat_of_others)
STRUCTURE: tuple[Edit, ...] = (new_bar, lost_bar, moved_bar)
HEADER: tuple[Edit, ...] = (title, tempo, retuning, lost_field, field_comment)
PARTS: tuple[Edit, ...] = (section_name, new_section, passage_name, passage_stretch)
EVERY_EDIT = BEATS + SETTLING + BARS + STRUCTURE + HEADER + PARTS
