"""Whatever is done to the bars, all that is said of them is still said of the same music, or is named."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_rearranged_solos import done_to
from thoroughness import share
from thrown_solos import thrown

from tabtools.checks.claim import check_lesson
from tabtools.checks.subject import Subject
from tabtools.model.solo import Solo
from tabtools.notation.build import read_solo
from tabtools.notation.write import canonical
from tabtools.renumbering.carried import carried_lesson
from tabtools.renumbering.plan import PlanError
from tabtools.renumbering.rearranged import bars_of
from tabtools.source import SourceText, from_text
from tabtools.timeline import timeline_of

DEMO = sorted((Path(__file__).parents[2] / "transcriptions").glob("*.solo"))


def made(dice: Random) -> str:
    """A solo of some bars with sections, passages, changes of meter and repeats with chords of their own."""
    bars = [block for block in thrown(dice, 6, 0.0).partition("\nbar ")[2].split("\nbar ") if " like " not in block]
    head = "title: Made\nplayer: B\nrecording: C\nrights: CC0-1.0\nmeter: 4/4\n"
    parts, last = [head], 0
    for block in bars:
        lines = block.split("\n\npassage")[0].split("\n")
        last += 1
        if dice.random() < 0.2:
            parts.append(f"section {'ABCDEFGH'[last % 8]}")
        more = dice.choice(("", "", "  Dm7", "  G7@1 C@2", "  meter 3/4", "  tempo 90", "  meter 4/4  F"))
        parts.append("\n".join([f"bar {last}{more}", *lines[1:]]))
        if last > 1 and dice.random() < 0.4:
            first = dice.randint(1, last)
            length, times = last - first + 1, dice.choice((1, 1, 2))
            later = f"@{last + length * times}.2" if length * times > 1 else "@2"
            chords = dice.choice(("", "", "  Em", f"  Em A7{later}", "  Bb@2&"))
            parts.append(f"bars {last + 1}-{last + length * times} like {first}-{last}{chords}")
            last += length * times
        if dice.random() < 0.2:
            first = dice.randint(1, last)
            parts.append(f"passage {first}-{last}  Part {last}")
    return "\n".join(parts) + "\n"


def lesson_of(solo: Solo, dice: Random) -> str:
    """A lesson with claims that are true, about single notes, stretches and what one is to another."""
    timeline = timeline_of(solo)
    notes = [note for note in timeline.notes if note.midi is not None and note.fret is not None]
    lines = []
    for note in dice.sample(notes, min(6, len(notes))):
        lines.append(f"Here `@{note.address} string {note.string}` it is.")
    bars = [bar.number for bar in timeline.bars]
    for _ in range(4):
        first, last = sorted(dice.choices(bars, k=2))
        count = sum(
            first <= note.address.bar <= last and note.note.via not in ("b", "r", "w") for note in timeline.notes
        )
        stretch = f"{first}-{last}" if first < last else f"{first}"
        lines.append(f"Look at `@{stretch} {count} notes`, and at [bar {first}](#b{first}).")
    return "\n".join(lines) + "\n"


def false_claims(solo: Solo, lesson: str) -> set[str]:
    subject = Subject(read_solo(from_text(canonical(solo))))
    source = from_text(lesson)
    return {lesson[one.span.start : one.span.end] for one in check_lesson(source, subject)}


def any_change(solo: Solo, dice: Random) -> str:
    bars = bars_of(solo)
    first, last = sorted(dice.choices(bars, k=2))
    side = dice.choice(("before", "after"))
    return dice.choice(
        (
            f"insert {side} {first} {dice.randint(1, 3)}",
            f"remove {first}-{last}",
            f"move {first}-{last} {side} {dice.choice(bars)}",
        )
    )


def carried(lesson: SourceText, done: str, text: str) -> tuple[str, set[str]]:
    """The lesson afterwards, and the claims that are named as left."""
    plan, _ = done_to(text, done)
    found = carried_lesson(lesson, "made", True, plan)
    return found.text, {one.text for one in found.left}


@settings(max_examples=share(500), deadline=None)
@given(st.integers(0, 2**40))
def test_what_a_lesson_says_is_still_true_or_named(seed: int) -> None:
    dice = Random(seed)
    text = made(dice)
    solo = read_solo(from_text(text)).solo
    lesson = lesson_of(solo, dice)
    before = false_claims(solo, lesson)
    done = any_change(solo, dice)
    try:
        _, found = done_to(text, done)
    except PlanError:
        return
    after, left = carried(from_text(lesson), done, text)
    false = false_claims(found.solo, after)
    cut_off = min((number for number, _ in found.cut_off), default=10**6)
    for was, now in zip(lesson.splitlines(), after.splitlines(), strict=True):
        claim = now.split("`")[1]
        if claim in false and not ("string" in claim and int(claim[1:].split(".")[0]) >= cut_off):
            assert was.split("`")[1] in left | before, (done, was, now)


@settings(max_examples=share(200), deadline=None)
@given(st.integers(0, 2**40), st.integers(1, 4))
def test_bars_put_in_and_taken_out_leave_no_trace(seed: int, count: int) -> None:
    dice = Random(seed)
    solo = read_solo(from_text(made(dice))).solo
    text, lesson = canonical(solo), lesson_of(solo, dice)
    bar = dice.choice(bars_of(solo))
    _, found = done_to(text, f"insert after {bar} {count}")
    middle, _ = carried(from_text(lesson), f"insert after {bar} {count}", text)
    between = canonical(found.solo)
    back = f"remove {bar + 1}-{bar + count}"
    assert canonical(done_to(between, back)[1].solo) == text
    assert carried(from_text(middle), back, between)[0] == lesson


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_the_lessons_of_the_demo_stay_true(path: Path) -> None:
    text, lesson = path.read_text(encoding="utf-8"), path.with_suffix(".md").read_text(encoding="utf-8")
    solo = read_solo(from_text(text)).solo
    dice = Random(path.stem)
    for done in (any_change(solo, dice) for _ in range(share(8))):
        try:
            _, found = done_to(text, done)
        except PlanError:
            continue
        after, left = carried(from_text(lesson), done, text)
        going_on = {f"@{number}." for number, _ in found.cut_off}
        for claim in false_claims(found.solo, after):
            assert claim.startswith(tuple(going_on)) or any(claim.split()[1:] == one.split()[1:] for one in left), (
                done,
                claim,
            )
