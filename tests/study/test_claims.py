"""Claims of every kind: each true one has a false neighbour, and what is true is said of that."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from case_files import cases_in
from hypothesis import given, settings
from hypothesis import strategies as st
from thoroughness import share

from tabtools.checks.claim import check_lesson
from tabtools.checks.subject import Subject, subject_of
from tabtools.notation.claims import ClaimError, read_claim
from tabtools.source import from_text, read_source
from tabtools.study import study_of
from tabtools.study.role import ROLE_KINDS
from tabtools.study.techniques import TECHNIQUES
from tabtools.study.truth.named import KINDS

CASES = Path(__file__).parent / "cases" / "claims"
SOLOS = Path(__file__).parents[2] / "transcriptions"
FEWEST_PAIRS = 60


@cache
def subject(name: str) -> Subject:
    here = CASES / f"{name}.solo"
    return subject_of(read_source(here if here.exists() else SOLOS / f"{name}.solo"))


def pairs() -> list[tuple[str, str, str, str]]:
    """(solo, a true claim, a false one, what is true) of every pair."""
    found = []
    for case in cases_in(CASES, "..", "--"):
        solo = case.file if case.file == "one_solo" else case.name
        for true, false in zip(case.said[".."], case.said["--"], strict=True):
            claim, _, truth = false.partition(" => ")
            found.append((solo, true, claim, truth))
    return found


def findings(solo: str, claim: str) -> list[str]:
    return [finding.message for finding in check_lesson(from_text(f"`{claim}`\n"), subject(solo))]


@pytest.mark.parametrize(("solo", "true", "false", "truth"), pairs(), ids=lambda text: text)
def test_a_true_claim_and_its_false_neighbour(solo: str, true: str, false: str, truth: str) -> None:
    assert findings(solo, true) == []
    (message,) = findings(solo, false)
    assert message.partition("; the text says ")[0] == truth


def test_there_are_as_many_as_there_should_be() -> None:
    assert len(pairs()) >= FEWEST_PAIRS


@pytest.mark.parametrize("slug", sorted(path.stem for path in SOLOS.glob("*.solo")))
def test_every_device_can_be_claimed_by_its_kind(slug: str) -> None:
    devices = study_of(subject(slug).timeline).devices
    lesson = "".join(f"`@{device.range} {device.kind}`\n" for device in devices)
    assert list(check_lesson(from_text(lesson), subject(slug))) == []


def test_every_kind_role_and_technique_has_a_name_that_can_be_claimed() -> None:
    names = {*KINDS, *(kind for kind in ROLE_KINDS if kind not in ("no pitch", "not known")), *TECHNIQUES}
    lesson = "".join(f"`@1.1 {name}`\n" for name in sorted(names))
    said = [finding.message for finding in check_lesson(from_text(lesson), subject("one_solo"))]
    assert [words for words in said if "nothing a claim can say" in words or "the text says" not in words] == []


WORDS = """
@ @1.1 @1.1-1.2 @"Opening" @99 @1.9 B3 C F# Bb 3 b7 third root flat seventh of G7 Am7 the key chord > to ,
triad arpeggio C major minor pent D Dorian chromatic 7 notes four position 5 V in fifth string 3 fret 3:5 open guide
tones first inversion ascending falling run highest note phrase bar on off beat and of 2 triplets sixteenths
syncopated groups
of seven last one short up down a an octave as 1.1 5.1-5.3 "Opening" higher lower above than same rhythm resolves to
leads 4.2.1 approach from below approached bend whole step half-step sequence enclosure encloses hammer-on slide “ " - .
14 #9
""".split()  # noqa: SIM905


@given(st.lists(st.sampled_from(WORDS), max_size=9).map(" ".join).map(lambda text: f"@{text}".replace("@@", "@")))
@settings(max_examples=share(2000))
def test_any_claim_is_judged_or_refused_in_words(text: str) -> None:
    for finding in check_lesson(from_text(f"`{text}`\n"), subject("one_solo")):
        assert finding.message and finding.span.start < finding.span.end


@given(st.text(max_size=60))
@settings(max_examples=share(400))
def test_any_text_behind_the_sign_is_read_or_refused(text: str) -> None:
    try:
        read_claim(f"@{text}")
    except ClaimError as error:
        assert error.message and error.advice
        assert 0 <= error.offset <= len(text) + 1
