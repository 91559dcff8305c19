"""Merges of solos that are not settled yet: what one side settles goes together with what the other changes beside."""

from __future__ import annotations

import random

import pytest
from test_merge import merged, solo
from thoroughness import share

from tabtools.review.merging.text import MergedText, decided

HEADER = "title:        Ferry at Dusk\nmeter:        4/4\n"


def bar(line: str, chords: str = "Am7") -> str:
    count = line.partition(" ")[0]
    return f"{HEADER}\nbar 1  {chords}\n{count:<4} {line.partition(' ')[2]}\n"


@pytest.mark.parametrize(
    ("base", "ours", "theirs", "both"),
    [
        ("1-4 =D4 3:5", "1-4 3:7=D4 3:5", "1-4 =D4 3:5~", "1-4 3:7=D4 3:5~"),
        ("1-4 =D4 =E4", "1-4 3:7=D4 =E4", "1-4 =D4 3:9=E4", "1-4 3:7=D4 3:9=E4"),
        ("1-4 =D4 =E4 =D4", "1-4 3:7 =E4 3:7", "1-4 =D4 3:9 =D4", "1-4 3:7 3:9 3:7"),
        ("1-4 ? 3:5", "1-4 =D4 3:5", "1-4 ? 3:4", "1-4 =D4 3:4"),
        ("1-4 3:9?4:12 3:5", "1-4 4:12 3:5", "1-4 3:9?4:12 3:4", "1-4 4:12 3:4"),
        ("1-4 =D4+=F#4 3:5", "1-4 3:7+=F#4 3:5", "1-4 =D4+2:7 3:5", "1-4 3:7+2:7 3:5"),
        ("1-4 =D4 3:5", "1-4 3:7 3:5", "1-4 3:7=D4 3:5", "1-4 3:7=D4 3:5"),
        ("1-4 =D4 3:5", "1-4 3:7=D4 3:5", "1-4 3:7=D4 3:5", "1-4 3:7=D4 3:5"),
        ("1-4 3:7b=E4 3:5", "1-4 3:7b9 3:5", "1-4 3:7b=E4 3:4", "1-4 3:7b9 3:4"),
        ("1-4 ?? 2:5", "1-4 (3:5 h7 3:4) 2:5", "1-4 ?? 2:6", "1-4 (3:5 h7 3:4) 2:6"),
        ("1-4 ?? 2:5 2:6", "1-4 3:5 h7 2:5 2:6", "1-4 ?? 2:4 2:6", "1-4 3:5 h7 2:4 2:6"),
        ("1-4 3:7 ??*3", "1-4 3:7 3:5 h7 3:4", "1-4 3:9 ??*3", "1-4 3:9 3:5 h7 3:4"),
        ("1-4 ?? - 2:5", "1-4 3:5 h7 2:5", "1-4 ?? - 2:6", "1-4 3:5 h7 2:6"),
        ("1-4? 3:5 h7 =B3", "1-4 3:5 - h7 =B3", "1-4? 3:5 h7 3:4", "1-4 3:5 - h7 3:4"),
        ("1-4? 3:5 h7 3:4", "1-4 3:5 h7 3:4", "1-4? 3:5 h7 3:2", "1-4 3:5 h7 3:2"),
        ("1-4? 3:5 h7", "1-4 3:5 h7", "1-4? 3:5 h7  # low", "1-4 3:5 h7  # low"),
        ("1-4 3:5 h7", "1-4? 3:5 h7", "1-4 3:5 h7  # low", "1-4? 3:5 h7  # low"),
    ],
)
def test_what_one_side_settles_stands_beside_what_the_other_changed(
    base: str, ours: str, theirs: str, both: str
) -> None:
    for one, other in ((ours, theirs), (theirs, ours)):
        assert merged(*map(bar, (base, one, other))) == MergedText(bar(both), 0)


@pytest.mark.parametrize(
    ("base", "ours", "theirs", "why"),
    [
        ("1-4 =D4 3:5", "1-4 3:7 3:5", "1-4 4:12 3:5", ", =D4 is 3:7 here and 4:12 there"),
        ("1-4 ? 3:5", "1-4 =D4 3:5", "1-4 =Eb4 3:5", ", ? is =D4 here and =Eb4 there"),
        ("1-4 ??*2 3:5", "1-4 3:7*2 3:5", "1-4 (3:7 h9)*2 3:5", ", ??*2 is 3:7*2 here and (3:7 h9)*2 there"),
        ("1-4 3:9?4:12 3:5", "1-4 4:12 3:5", "1-4 3:9 3:5", ", 3:9?4:12 is 4:12 here and 3:9 there"),
        ("1-4 3:9? h10", "1-4 2:5 h10", "1-4 3:9? h11", ""),
        ("1-4? 3:5 h7", "1-4 3:5 - h7", "1-4 3:5 h7 -", ""),
        ("1-4 =D4 3:5", "1-4 . 3:5", "1-4 =D4 3:4", ""),
        ("1-4 3:7 3:5", "1-4 =D4 3:5", "1-4 3:7 3:4", ""),
    ],
)
def test_what_both_sides_settle_in_their_own_way_is_left_to_be_decided(
    base: str, ours: str, theirs: str, why: str
) -> None:
    outcome = merged(*map(bar, (base, ours, theirs)))
    assert outcome.conflicts == 1
    assert f"<<<<<<< ours: bar 1{why}\n" in outcome.text
    assert solo(decided(outcome.text, "ours")) == bar(ours)
    assert solo(decided(outcome.text, "theirs")) == bar(theirs)
    assert merged(*map(bar, (base, theirs, ours))).conflicts == 1


@pytest.mark.parametrize(
    ("base", "ours", "theirs", "both"),
    [
        ("Am7? D7?@3", "Am7 D7?@3", "Am7? D9@3", "Am7 D9@3"),
        ("Am7? D7@3", "Am7 D7@3", "Am7? D9@3", "Am7 D9@3"),
        ("Am7?", "Am7", "Am7", "Am7"),
    ],
)
def test_chords_are_settled_one_by_one(base: str, ours: str, theirs: str, both: str) -> None:
    for one, other in ((ours, theirs), (theirs, ours)):
        versions = (bar("1-4 3:5", chords) for chords in (base, one, other))
        assert merged(*versions) == MergedText(bar("1-4 3:5", both), 0)


def test_a_chord_settled_in_two_ways_is_left_to_be_decided() -> None:
    outcome = merged(*(bar("1-4 3:5", chords) for chords in ("Am7?", "Am7", "C6")))
    assert outcome.conflicts == 1
    assert "<<<<<<< ours: bar 1, Am7? is Am7 here and C6 there\n" in outcome.text


def test_notes_that_are_open_are_no_question_of_tuning() -> None:
    base = bar("1-4 3:5 =D4")
    retuned = base.replace("meter:", "tuning:       half step down\nmeter:")
    for line, conflicts in (("1-4 3:5 3:=E4", 0), ("1-4 3:5 ?", 0), ("1-4 3:5 3:=E4b9", 1)):
        assert merged(base, retuned, bar(line)).conflicts == conflicts


def test_a_move_that_opens_such_a_line_keeps_the_string_its_writer_meant() -> None:
    versions = [
        f"{HEADER}\nbar 1  Am7\n1-2  3:5 {first}\n3-4  {second}\n"
        for first, second in (("3:5", "h7 =D4"), ("2:5", "h7 4:12"), ("3:5", "h8 =D4"))
    ]
    assert merged(*versions).text.endswith("1-2  3:5 2:5\n3-4  h3:8 4:12\n")


# ---- made up

OPEN = {
    "=D4": ("3:7=D4", "4:12", "3:=D4"),
    "3:=E4": ("3:9", "3:9=E4"),
    "?": ("=F4", "2:6", "3:?"),
    "??": ("(3:5 3:7)", "?", "2:3"),
    "3:9?4:12": ("3:9", "4:12"),
    "=A4?=G4": ("=A4", "1:5", "2:8"),
    "2:5b=F#4": ("2:5b7",),
}
PLACED = ("3:5", "2:8", "1:3~", "4:7+3:7", "-", ".")


class MadeLine:
    """A beat in which some is open: what the first side settles, and what the second changes beside it."""

    def __init__(self, seed: int):
        self.rng = rng = random.Random(seed)
        self.base = [rng.choice(tuple(OPEN)), *rng.choices((*OPEN, *PLACED), k=rng.randint(1, 5))]
        rng.shuffle(self.base)
        places = rng.sample(range(len(self.base)), len(self.base))
        is_open = [at for at in places if self.base[at] in OPEN]
        self.settled = is_open[: rng.randint(1, len(is_open))]
        self.changed = [at for at in places if at not in self.settled][: rng.randint(0, 3)]
        self.doubt = rng.choice(("", "", "?"))

    def settle(self, slots: list[str]) -> list[str]:
        for at in self.settled:
            slots[at] = random.Random(f"{self.base} {at}").choice(OPEN[self.base[at]])
        return slots

    def change(self, slots: list[str]) -> list[str]:
        for at in self.changed:
            slots[at] = f"5:{at + 1}"
        return slots

    def text(self, slots: list[str]) -> str:
        return bar(f"1-4{self.doubt} {' '.join(slots)}")


@pytest.mark.parametrize("seed", range(share(320)))
def test_made_up_beats_are_settled_by_one_side_and_changed_beside_that_by_the_other(seed: int) -> None:
    made = MadeLine(seed)
    ours, theirs = made.settle(list(made.base)), made.change(list(made.base))
    both = MergedText(solo(made.text(made.change(list(ours)))), 0)
    base, ours_text, theirs_text = map(made.text, (made.base, ours, theirs))
    assert merged(base, ours_text, theirs_text) == merged(base, theirs_text, ours_text) == both


@pytest.mark.parametrize("seed", range(share(200)))
def test_made_up_beats_in_which_both_sides_settle_one_note_keep_both_whole(seed: int) -> None:
    made = MadeLine(seed)
    ours, theirs = made.settle(list(made.base)), made.change(list(made.base))
    theirs[made.settled[0]] = "6:3"
    base, ours_text, theirs_text = map(made.text, (made.base, ours, theirs))
    outcome = merged(base, ours_text, theirs_text)
    assert outcome.conflicts == 1
    assert solo(decided(outcome.text, "ours")) == solo(ours_text)
    assert solo(decided(outcome.text, "theirs")) == solo(theirs_text)
