"""Drafted lessons: every claim in them holds, and what they say of a solo."""

from __future__ import annotations

from pathlib import Path

import pytest
from exchange_music import made_solo
from hypothesis import given, settings
from hypothesis import strategies as st
from made_music import HEAD, subject, texts
from strategies import solos
from thoroughness import share

from tabtools.checks.claim import check_lesson
from tabtools.checks.subject import Subject, subject_of
from tabtools.model.solo import Address, AddressRange, Solo
from tabtools.notation.claims import spans_of_claims
from tabtools.notation.write import canonical
from tabtools.source import from_text, read_source
from tabtools.study import study_of
from tabtools.study.addresses import Addresses, DisorderedError
from tabtools.study.lesson import draft_lesson
from tabtools.study.lesson_sentences import as_clause, lead
from tabtools.timeline.places import PlaceError, notes_at

DEMOS = sorted((Path(__file__).parents[2] / "transcriptions").glob("*.solo"))
STYLES = ("plain", "extended")


def draft(solo: Subject, style: str = "plain") -> str:
    return draft_lesson(study_of(solo.timeline, style))


def falsehoods(lesson: str, solo: Subject) -> list[str]:
    return [finding.message for finding in check_lesson(from_text(lesson, "lesson.md"), solo)]


def claims(lesson: str) -> list[str]:
    return [text for text, _ in spans_of_claims(from_text(lesson, "lesson.md"))]


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_every_claim_about_a_demo_solo_holds(path: Path, style: str) -> None:
    solo = subject_of(read_source(path))
    lesson = draft(solo, style)
    assert len(claims(lesson)) >= len(solo.timeline.bars)
    assert falsehoods(lesson, solo) == []


@settings(max_examples=share(100))
@given(texts, st.sampled_from(STYLES))
def test_every_claim_about_a_generated_solo_holds(text: str, style: str) -> None:
    solo = subject(text)
    lesson = draft(solo, style)
    assert falsehoods(lesson, solo) == []
    assert len(claims(lesson)) >= len(study_of(solo.timeline).phrases)


@pytest.mark.parametrize("first", range(0, share(200), 25))
def test_every_claim_about_a_solo_that_is_not_known_throughout_holds(first: int) -> None:
    for seed in range(first, first + 25):
        solo = subject(made_solo(seed, is_open=True))
        assert falsehoods(draft(solo), solo) == [], seed


def test_the_highest_note_is_told_where_all_are_known() -> None:
    head = "title: A\nrights: CC0-1.0\nmeter: 4/4\nkey: A minor\n\nbar 1  Am\n1    =A3 =E4\n"
    known, unknown = (subject(f"{head}{line}") for line in ("2-4  =C4 =D4 =B3\n", "2-4  =C4 ? =B3\n"))
    assert "rises to `@1.1.2 E4, 5 of Am`" in draft(known)
    assert "rises" not in draft(unknown)


@given(solos(), st.sampled_from(STYLES))
def test_every_claim_about_the_oddest_solo_holds(solo: Solo, style: str) -> None:
    read = subject_of(from_text(canonical(solo)))
    try:
        lesson = draft(read, style)
    except DisorderedError:
        return
    assert falsehoods(lesson, read) == []


@given(texts, st.data())
def test_addresses_name_the_notes_that_the_check_finds(text: str, data: st.DataObject) -> None:
    timeline = subject(text).timeline
    part = st.one_of(st.none(), st.integers(0, 6))
    address = st.builds(
        lambda bar, count, stroke: Address(bar, count, stroke if count else None), st.integers(0, 6), part, part
    )
    stretch = AddressRange(data.draw(address), data.draw(address))
    try:
        expected = notes_at(timeline, stretch)
    except PlaceError:
        expected = None
    notes = Addresses(timeline).notes(stretch)
    found = timeline.notes[notes.start : notes.stop]
    assert found == expected or expected is None


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ("A7 arpeggio over A7: 1 3 5 b7", "First comes an A7 arpeggio over A7: 1 3 5 b7"),
        ("Bm triad over G", "First comes a Bm triad over G"),
        ("4-3 suspension over A", "First comes a 4-3 suspension over A"),
        ("unison bend, 4 to 5 of Am", "First comes a unison bend, 4 to 5 of Am"),
        ("the blue third of A7, curled", "First comes the blue third of A7, curled"),
        ("double stops in thirds over A7", "First come double stops in thirds over A7"),
        ("tremolo picking: D E F", "First comes tremolo picking: D E F"),
        ("pinch harmonics: A G", "First come pinch harmonics: A G"),
        ("two bars picked as in 1.1-3.4", "First come two bars picked as in 1.1-3.4"),
        ("six notes as in 1.1-1.3, an octave higher", "Six notes are as in 1.1-1.3, an octave higher"),
        ("Eb and Bb/D broken, left ringing", "Eb and Bb/D are broken, left ringing"),
        ("from position X down to position III", "The hand goes from position X down to position III"),
        ("answer: begins as in 1.1, four notes", "It answers: it begins as in 1.1, four notes"),
        ("Bb and G# enclose A, 3 of Fmaj7", "Bb and G# enclose A, 3 of Fmaj7"),
        ("the bass stays on D under D", "The bass stays on D under D"),
        ("the open first string, E, comes back three times", "The open first string, E, comes back three times"),
        ("as in 1.1-1.3, one note changed", "It is as in 1.1-1.3, one note changed"),
        ("the same as in 1.1-1.3, over Dm", "It is the same as in 1.1-1.3, over Dm"),
        ("begins as in 1.1, three notes", "It begins as in 1.1, three notes"),
    ],
)
def test_what_a_device_says_is_put_into_a_sentence(said: str, sentence: str) -> None:
    made = as_clause(said) or lead(said, is_first=True, begins=True, ends=False, goes_on=False) + said
    assert made == sentence


def test_where_in_a_stretch_a_device_stands() -> None:
    verbs = [
        lead("run down", is_first, begins, ends, goes_on)
        for is_first, begins, ends, goes_on in (
            (True, True, True, False),
            (True, False, False, False),
            (False, False, False, False),
            (False, False, True, False),
            (True, True, False, True),
        )
    ]
    assert verbs == ["All of it is a ", "In it comes a ", "Then comes a ", "It ends with a ", "Here begins a "]


DRAFTS = Path(__file__).parent / "drafts"
SHORT = (DRAFTS / "low-tide.solo").read_text(encoding="utf-8")


def test_a_draft_word_for_word() -> None:
    assert draft(subject(SHORT)) == (DRAFTS / "low-tide.md").read_text(encoding="utf-8")


def test_what_comes_again_is_a_claim_about_both_places() -> None:
    told = draft(subject_of(read_source(DEMOS[0].with_stem("seven-piles"))))
    assert "`@5.1-5.5 7 notes, as 1.1-1.5 an octave higher`" in told


def test_devices_are_claimed_by_the_names_of_their_kinds() -> None:
    told = draft(subject_of(read_source(DEMOS[0].with_stem("rigging-lines"))))
    assert "- `@5.1-5.3 tapped figure` of 14 notes, three taps over" in told
    assert "`@9.1-10.4 32 notes, repeated cell`" in told


def test_the_extended_style_is_kept() -> None:
    assert "`@1.3.1 11 > b13 of Am7`" in draft(subject(SHORT), "extended")


def test_solos_without_music_have_their_facts() -> None:
    assert draft(subject(HEAD)) == "# A\n\nA minor, 4/4, 120 beats a minute, 0 bars. Played by B.\n"


@pytest.mark.parametrize(
    ("bars", "where"),
    [
        ("bar 1\n1-4 3:5\n\nbar 1\n1-4 3:7\n", "bar 1 stands after bar 1"),
        ("bar 2\n1-4 3:5\n\nbar 1\n1-4 3:7\n", "bar 1 stands after bar 2"),
        ("bar 1\n1-3 3:5\n2 3:7\n", "in bar 1 count 2 stands after count 3"),
    ],
)
def test_a_solo_whose_addresses_are_not_clear_is_refused(bars: str, where: str) -> None:
    with pytest.raises(DisorderedError, match=where):
        draft(subject(HEAD + "\n" + bars))
