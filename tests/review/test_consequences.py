"""What a correction brings with it: findings known again through renumbering, false claims, work for the hands."""

from __future__ import annotations

import re
from dataclasses import replace

from tabtools.checks.run import conclude, examine
from tabtools.checks.subject import subject_of
from tabtools.problem import Problem, Severity
from tabtools.reports.comparison import FileChange
from tabtools.reports.consequences import consequences_in_words, lint_in_short
from tabtools.reports.review import headline
from tabtools.review.compare import compare
from tabtools.review.consequences import (
    Consequences,
    Effort,
    claims_written_anew,
    consequences_of,
    findings_compared,
)
from tabtools.source import Span, from_text

DUSK = """\
title:        Ferry at Dusk
player:       the Slipway Trio
rights:       CC0-1.0
meter:        4/4
tempo:        100

bar 1  Dm7
1    3:5 3:7
2-4  2:6

bar 2  G7
1-4  4:9?

bar 3  Cmaj7
1-3  3:9
"""

LESSON = "The B, `@2.1.1 B3, 3 of G7`, and home.\n"


def consequences(before: str, after: str, lesson: str = LESSON, after_lesson: str | None = None) -> Consequences:
    subjects = [subject_of(from_text(text, "dusk.solo")) for text in (before, after)]
    lessons = [from_text(text, "dusk.md") for text in (lesson, lesson if after_lesson is None else after_lesson)]
    found = [conclude([examine(*both)]) for both in zip(subjects, lessons, strict=True)]
    follows = consequences_of(compare(*subjects), tuple(found), tuple(subject.hand for subject in subjects))
    return replace(follows, new_claims=claims_written_anew(*lessons))


def checks(problems: tuple) -> list[str]:
    return [f"{problem.address} {problem.check}".strip() for problem in problems]


def one_bar_more(text: str) -> str:
    """With another bar at the beginning, and every number one up."""
    head, _, body = text.partition("bar 1")
    body = re.sub(r"^bar (\d+)", lambda match: f"bar {int(match[1]) + 1}", f"bar 1{body}", flags=re.MULTILINE)
    return f"{head}bar 1  Am7\n1-4  3:5\n\n{body}"


def test_nothing_follows_from_nothing() -> None:
    assert not consequences(DUSK, DUSK)


def test_findings_are_known_again_under_their_new_numbers() -> None:
    found = consequences(DUSK, one_bar_more(DUSK), after_lesson=LESSON.replace("@2", "@3"))
    assert (found.appeared, found.vanished) == ((), ())


def test_findings_that_appear_and_vanish() -> None:
    found = consequences(DUSK, DUSK.replace("4:9?", "4:9").replace("3:5 3:7", "3:5 p7"))
    assert checks(found.appeared) == ["1.1.2 move-direction"]
    assert checks(found.vanished) == ["2.1.1 unsure-reading"]


def test_a_doubt_that_only_goes_to_another_stroke_is_another_doubt() -> None:
    found = consequences(DUSK.replace("1-4  4:9?", "1-4  4:9? 4:7"), DUSK.replace("1-4  4:9?", "1-4  4:9 4:7?"))
    assert checks(found.appeared) == ["2.1.2 unsure-reading"]
    assert checks(found.vanished) == ["2.1.1 unsure-reading"]


def test_a_doubt_behind_a_new_stroke_is_the_same_doubt() -> None:
    found = consequences(DUSK, DUSK.replace("1-4  4:9?", "1-4  4:7 4:9?"), lesson="", after_lesson="")
    assert (found.appeared, found.vanished) == ((), ())


def test_a_claim_that_becomes_false() -> None:
    found = consequences(DUSK, DUSK.replace("4:9?", "4:10?"))
    (claim,) = found.false_claims
    assert claim.path == "dusk.md"
    assert claim.message == "2.1.1 is C4, the 4 of G7; the text says B3, 3 of G7"
    assert checks(consequences(DUSK.replace("4:9?", "4:10?"), DUSK).vanished) == ["2.1.1 claim"]


def test_a_claim_about_what_is_not_known_any_more_is_not_false() -> None:
    found = consequences(DUSK, DUSK.replace("4:9?", "?"))
    assert found.false_claims == ()
    (claim,) = [problem for problem in found.appeared if problem.check == "claim"]
    assert claim.message == "the pitch of 2.1.1 is not known yet; the text says B3, 3 of G7"
    assert checks(consequences(DUSK, DUSK.replace("4:9?", "=B3")).appeared) == ["2.1.1 open-place"]


def test_a_claim_left_behind_by_new_numbers_is_false() -> None:
    assert checks(consequences(DUSK, one_bar_more(DUSK)).false_claims) == ["2.1.1 claim"]


def test_the_hands_reach_farther() -> None:
    found = consequences(DUSK.replace("1-4  4:9?", "1-4  4:9+3:7"), DUSK.replace("1-4  4:9?", "1-4  4:9+3:5"))
    (reach,) = [effort for effort in found.efforts if effort.what == "reach"]
    assert reach.was < reach.now
    assert str(reach.at) == "2.1.1"


def test_a_bend_is_told_in_semitones() -> None:
    found = Consequences(efforts=(Effort("bend", None, 1.0), Effort("bend", 1.0, 1.5)))
    assert list(consequences_in_words(found)) == [
        ("for the hands", ["widest bend: none → 1 semitone", "widest bend: 1 semitone → 1.5 semitones"])
    ]


def test_comments_ask_nothing_of_the_hands() -> None:
    found = consequences(DUSK, DUSK.replace("bar 1  Dm7", "bar 1  Dm7  # softly"))
    assert (found.efforts, found.bars) == ((), ())


RUN = ("2-4  2:6", "2-4  =C4 =D4 =E4 =F4 =G4 =A4")
RUN_ON_THE_NECK = ("2-4  2:6", "2-4  3:5 3:7 2:5 2:6 2:8 1:5")


def test_many_open_places_that_are_decided_stand_in_one_line() -> None:
    found = consequences(DUSK.replace(*RUN), DUSK.replace(*RUN_ON_THE_NECK))
    assert list(consequences_in_words(found)) == [
        ("no longer open", ["6 notes without a place on the neck (bar 1)"]),
    ]
    few = DUSK.replace("2-4  2:6", "2-4  =C4 =D4 2:6 2:8")
    found = consequences(few, few.replace("=C4 =D4", "3:5 3:7"))
    assert dict(consequences_in_words(found))["no longer open"] == [
        "1.2.1 C4 has no place on the neck yet",
        "1.2.2 D4 has no place on the neck yet",
    ]


def test_what_is_open_is_no_finding() -> None:
    found = consequences(DUSK, DUSK.replace("4:9?", "4:9").replace("3:5 3:7", "3:5 p7"))
    assert [title for title, _ in consequences_in_words(found)][:2] == ["new findings", "no longer open"]
    assert lint_in_short(found) == "1 finding before, 2 after: 1 new; 1 open thing before, 0 after: 1 gone"


def test_open_things_are_no_findings_in_a_headline() -> None:
    note = Problem("open-place", Severity.NOTE, "dusk.solo", Span(0, 1), "has no place yet")
    told = headline([FileChange("", "", "unreadable", consequences=Consequences((note,), (note,) * 77))])
    assert "finding" not in told and "; open things: 1 new, 77 settled" in told


def test_a_pitch_that_is_open_elsewhere_is_another() -> None:
    found = consequences(DUSK.replace("3:5 3:7", "3:5 3:7 ?"), DUSK.replace("3:5 3:7", "? ? 3:5"))
    assert checks(found.appeared) == ["1.1.1 open-pitch", "1.1.2 open-pitch"]
    assert checks(found.vanished) == ["1.1.3 open-pitch"]


def test_a_bar_whose_places_were_open_strains_the_hands_no_more_than_before() -> None:
    runs = [DUSK.replace("2-4  2:6", f"2-4 {12 * two}") for two in (" =C4 =D4", " 3:5 3:7")]
    fast = [run.replace("tempo:        100", "tempo:        180") for run in runs]
    assert [bar.now.bar for bar in consequences(runs[1], fast[1]).bars] == [1]
    assert consequences(*fast).bars == ()
    assert consequences(*reversed(fast)).bars == ()


def test_what_is_only_known_now_was_no_less_work_before() -> None:
    first = DUSK.replace("1    3:5 3:7\n2-4  2:6", "1-4  ??").replace("4:9?", "??").replace("1-3  3:9", "1-4  ??")
    written = DUSK.replace("1    3:5 3:7", "1    3:5 h7 3:8b10 3:7")
    assert consequences(first, written).efforts == ()
    assert consequences(DUSK.replace("3:5 3:7", "3:5 =D4"), DUSK).efforts == ()
    assert consequences(DUSK, written).efforts != ()


def test_bars_that_stay_easy_are_not_told() -> None:
    """A bend of two tones high up the neck asks for less than half of what hands can do."""
    assert consequences(DUSK, DUSK.replace("1-3  3:9", "1-3  2:8b12")).bars == ()
    assert consequences(DUSK, DUSK.replace("1-3  3:9", "1-3  2:1b5")).bars != ()


def test_more_notes_in_a_bar_are_more_work_without_being_told() -> None:
    bent, more = (DUSK.replace("1-3  3:9", line) for line in ("1-3  2:1b5", "1-3  3:9 2:1b5"))
    assert [bar.now.bar for bar in consequences(DUSK, bent).bars] == [3]
    assert consequences(DUSK, more).bars == ()
    assert consequences(DUSK.replace("1-3  3:9", "1-4  ."), more).bars == ()


def titles(found: Consequences) -> list[str]:
    return [title for title, _ in consequences_in_words(found)]


def told_in_a_headline(found: Consequences) -> str:
    return headline([FileChange("", "", "unreadable", consequences=found)])


def test_a_claim_that_was_never_true_did_not_stop_being_so() -> None:
    new = consequences(DUSK, DUSK, after_lesson=LESSON + "And `@3.1 5 notes`.\n")
    assert titles(new) == ["not true in the lesson (new)"]
    assert "1 claim of the lessons not true (new)" in told_in_a_headline(new)
    changed = consequences(DUSK, DUSK.replace("4:9?", "4:10?"))
    assert titles(changed)[0] == "no longer true in the lesson"
    assert "1 claim of the lessons no longer true" in told_in_a_headline(changed)


def test_a_claim_of_which_it_was_open_whether_it_is_true() -> None:
    found = consequences(DUSK.replace("4:9?", "?"), DUSK.replace("4:9?", "4:10"))
    assert titles(found)[0] == "turned out not true in the lesson"
    assert "1 claim of the lessons turned out not true" in told_in_a_headline(found)


def test_a_gap_that_gets_shorter_is_the_same_gap() -> None:
    found = consequences(DUSK.replace("4:9?", "??"), DUSK.replace("1-4  4:9?", "1-4  ? h? ??"), lesson="")
    assert [(one.address, one.message) for one in found.appeared] == [
        ("2.1.1", "the pitch of this note is not known yet"),
        ("2.1.2", "the pitch of this note is not known yet"),
    ]
    assert found.vanished == ()


def test_a_gap_that_ends_in_the_same_bar_is_the_same_gap() -> None:
    first = DUSK.replace("2-4  2:6", "2-4  ??").replace("4:9?", "??")
    found = consequences(first, first.replace("2-4  ??", "2-4  2:6"), lesson="")
    assert (found.appeared, found.vanished) == ((), ())


def test_a_line_that_cannot_be_read_settles_nothing() -> None:
    texts = [DUSK.replace("4:9?", line).replace("2:6", "2:6?") for line in ("4:9b ??", "4:9 ??")]
    after, before = (subject_of(from_text(text, "dusk.solo")) for text in texts)
    found = conclude([examine(before, None)]), conclude([examine(after, None)])
    follows = findings_compared((before.source, after.source), found, {1, 3})
    assert titles(follows) == ["new findings"]
    assert "settled" not in told_in_a_headline(follows)
    assert lint_in_short(follows).endswith("2 open things before, 1 after: 1 in lines that cannot be read")


def test_what_is_open_of_a_whole_bar_says_which_bar() -> None:
    found = consequences(DUSK, DUSK.replace("bar 3  Cmaj7", "bar 3  Cmaj7?"))
    assert dict(consequences_in_words(found))["open now"] == ["bar 3: Cmaj7 is not certain"]
