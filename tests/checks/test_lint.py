"""Linting as a whole: permissions, the order of reports, and that nothing hides anything else."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from linted import HEADER, find

from tabtools.checks import ALL_CHECKS, bar_duration, unsure_reading
from tabtools.checks.run import lint
from tabtools.checks.subject import Subject, subject_of
from tabtools.model.solo import Address
from tabtools.problem import Severity
from tabtools.source import decode, from_text

REASON = "the tape was cut here"


def shown(text: str) -> list[str]:
    return [f"{one.problem.check} {one.line}:{one.column}" for one in find(text)]


def subject(text: str) -> Subject:
    return subject_of(from_text(HEADER + text, "case.solo"))


class TestPermissions:
    def test_behind_a_line_it_holds_for_that_line_alone(self) -> None:
        text = f"bar 1  Am\n1-2  3:9?  # allow unsure-reading: {REASON}\n3-4  3:9?\n"
        assert shown(text) == ["unsure-reading 3:6"]

    def test_above_a_line_it_holds_for_that_line_alone(self) -> None:
        text = f"bar 1  Am\n1-2  3:9?\n# allow unsure-reading: {REASON}\n3-4  3:9?\n"
        assert shown(text) == ["unsure-reading 2:6"]

    @pytest.mark.parametrize("bar", ["# allow {0}\nbar 1  Am", "bar 1  Am  # allow {0}"])
    def test_with_a_bar_it_holds_for_its_lines_and_no_other_bar(self, bar: str) -> None:
        text = bar.format(f"unsure-reading: {REASON}") + "\n1-2  3:9?\n3-4  3:9?\nbar 2\n1-4  3:9?\n"
        assert [one.problem.address for one in find(text)] == ["2.1.1"]

    def test_in_the_header_it_holds_for_the_file(self) -> None:
        text = f"# allow unsure-reading: {REASON}\n{HEADER}bar 1  Am\n1-2  3:9?\n3-4  3:9?\nbar 2\n1-4  3:9?\n"
        assert shown(text) == []

    def test_in_the_header_of_one_file_it_does_not_hold_for_another(self) -> None:
        plain = f"{HEADER}bar 1  Am\n1-4  3:9?\n"
        found = find(f"# one.solo\ntags: a  # allow unsure-reading: {REASON}\n{plain}# two.solo\n{plain}")
        assert [one.file for one in found] == ["two.solo"]

    def test_several_on_one_line_each_for_its_check(self) -> None:
        text = (
            f"bar 1  Am\n# allow unsure-reading: {REASON}\n# allow heard-pitch: the guitar was out of tune\n"
            "1-4  3:9=D4?\n"
        )
        assert shown(text) == []

    def test_for_what_is_seen_across_solos(self) -> None:
        clash = f"# Dusk.solo\nbar 1  Am\n1-4  3:7\n# dusk.solo\n{HEADER}bar 1  Am\n1-4  3:7\n"
        assert shown(clash) == ["slug-clash 1:1"]
        assert shown(clash.replace("title: A", f"title: A  # allow slug-clash: {REASON}")) == []

    def test_on_a_like_line(self) -> None:
        like = "bars 2-3 like 1  Am@2.1 A-@3.1"
        text = f"bar 1  Am\n1-4  3:7\n{like}{{0}}\n"
        assert shown(text.format("")) == ["chord-spelled-inconsistently 3:25"]
        assert shown(text.format(f"  # allow chord-spelled-inconsistently: {REASON}")) == []

    def test_for_another_check_it_silences_nothing(self) -> None:
        text = f"bar 1  Am\n1-4  3:9?  # allow heard-pitch: {REASON}\n"
        assert shown(text) == ["unsure-reading 2:6", "unused-permission 2:12"]

    @pytest.mark.parametrize("written", ["allow bar-duration", "allow bar-duration:"])
    def test_without_a_reason_it_silences_nothing(self, written: str) -> None:
        assert shown(f"bar 1  Am  # {written}\n1-3  3:7\n") == ["bar-duration 1:1", "permission 1:12"]

    @pytest.mark.parametrize("written", [f"allow bar-duration:{REASON}", f"allow  bar-duration :  {REASON}"])
    def test_spaces_in_it_are_free(self, written: str) -> None:
        assert shown(f"bar 1  Am  #{written}\n1-3  3:7\n") == []
        assert shown(f"bar 1  Am  # {written}\n1-3  3:7\n") == []

    def test_an_unknown_check_silences_nothing_and_is_reported(self) -> None:
        assert shown(f"bar 1  Am  # allow bar-length: {REASON}\n1-3  3:7\n") == ["bar-duration 1:1", "permission 1:12"]

    def test_what_cannot_be_read_cannot_be_permitted(self) -> None:
        text = f"bar 1  Am  # allow syntax: {REASON}\n1-2  37  # allow syntax: {REASON}\n3-4  3:7\n"
        assert shown(text) == ["permission 1:12", "syntax 2:6"]

    @pytest.mark.parametrize(
        "check", [check for check in ALL_CHECKS if hasattr(check, "ALWAYS_ON")], ids=lambda one: one.NAME
    )
    def test_no_check_that_is_always_on_can_be_silenced(self, check) -> None:
        assert shown(f"bar 1  Am  # allow {check.NAME}: {REASON}\n1-4  3:7\n") == ["permission 1:12"]

    def test_a_value_that_cannot_be_read_stays_reported_under_a_check_that_can_be_silenced(self) -> None:
        text = HEADER.replace("meter", f"tuning: low  # allow tuning: {REASON}\nmeter") + "bar 1  Am\n1-4  3:7\n"
        assert shown(text) == ["tuning 5:9", "unused-permission 5:14"]

    def test_one_for_a_check_that_did_not_run_is_not_called_unused(self) -> None:
        one = subject(f"bar 1  Am  # allow bar-duration: {REASON}\n1-4  3:7\n")
        assert lint([one], [unsure_reading]) == []
        assert [problem.check for problem in lint([one], [bar_duration])] == ["unused-permission"]

    def test_every_one_of_two_for_the_same_finding_counts_as_used(self) -> None:
        text = f"# allow unsure-reading: {REASON}\nbar 1  Am\n1-4  3:9?  # allow unsure-reading: {REASON}\n"
        assert shown(text) == []


FAULTY_BARS = {
    1: ("bar 1  Amx\n1-4  3:7", "chord-symbol"),
    2: ("bar 2  Am\n1-3  3:7", "bar-duration"),
    3: ("bar 3  Am\n1-4  3:7=E4", "heard-pitch"),
    4: ("bar 4  Am\n1-4  2:5+2:7", "two-notes-one-string"),
    5: ("bar 5  Am\n1-4  . p3:5", "move-origin"),
    6: ("bar 6  Am\n1-4  3:5 p7", "move-direction"),
    7: ("bar 7  Am\n1-4  3:7b5", "bend-shape"),
    8: ("bar 8  Am\n1-4  . -", "hold-without-note"),
    9: ("bar 9  Am\n1-4  4:<11>", "harmonic-node"),
    10: ("bar 10  Am\n1-4  3:7[loud]", "unknown-mark"),
    11: ("bar 11  Am\n1-4  3:30", "fret-range"),
    12: ("bar 12  Am\n1-4  8:3", "string-number"),
}
BREAKAGES = {
    "a beat line": "1-4  37",
    "a bar line": "bar {0}  tempo slow\n1-4  3:7",
    "a bar number": "bar number {0}\n1-4  3:7",
    "a nest of groups": "bar {0}\n1-4  ((((3:7 3:5) 3:7) 3:5) 3:7)",
    "a mark": "bar {0}  Am\n1-4  3:7[pm",
    "a conflict": "bar {0}  Am\n<<<<<<< HEAD\n1-4  3:7\n=======\n1-4  3:5\n>>>>>>> other",
}


class TestNothingHides:
    def test_every_faulty_bar_is_found(self) -> None:
        text = "\n".join(bar for bar, _ in FAULTY_BARS.values()) + "\n"
        found = {int(one.problem.address.partition(".")[0]): one.problem.check for one in find(text)}
        assert found == {number: check for number, (_, check) in FAULTY_BARS.items()}

    @pytest.mark.parametrize("broken", FAULTY_BARS)
    @pytest.mark.parametrize("breakage", BREAKAGES)
    def test_a_bar_that_cannot_be_read_hides_no_other_and_adds_no_noise(self, broken: int, breakage: str) -> None:
        bars = {number: bar for number, (bar, _) in FAULTY_BARS.items()}
        bars[broken] = BREAKAGES[breakage].format(broken)
        if breakage == "a beat line":
            bars[broken] = f"bar {broken}  Am\n{bars[broken]}"
        found = find("\n".join(bars.values()) + "\n")
        about_music = {
            (one.problem.address.partition(".")[0], one.problem.check) for one in found if one.problem.address
        }
        expected = {(str(number), check) for number, (_, check) in FAULTY_BARS.items() if number != broken}
        assert about_music == expected
        unplaced = {one.problem.check for one in found if not one.problem.address}
        assert unplaced <= {"syntax", "conflict-marker", "field-value"}
        assert unplaced

    def test_one_file_hides_no_other(self) -> None:
        found = find("# one.solo\nbar 1  Am\n1-4  37\n# two.solo\n\u0000\n# three.solo\nbar 1  Am\n1-3  3:7\n")
        assert {(one.file, one.problem.check) for one in found} == {
            ("one.solo", "syntax"),
            ("two.solo", "unreadable-file"),
            ("three.solo", "bar-duration"),
        }

    def test_a_header_that_cannot_be_read_hides_no_bar_and_is_not_called_missing(self) -> None:
        header = "title A\nplayer B\nrights CC0-1.0\nmeter 4/4\ntuning drop D\n\n"
        text = header + "bar 1  Am\n1-4  3:7=E4\nbar 2\n1-4  3:7 - 3:5b2\n"
        assert {one.problem.check for one in find(text)} == {"syntax", "bend-shape"}

    def test_problems_stand_in_the_order_of_solos_and_text(self) -> None:
        text = "\n".join(bar for bar, _ in FAULTY_BARS.values()) + "\n"
        found = find(f"# b.solo\n{text}# a.solo\n{text}")
        assert [one.file for one in found] == ["b.solo"] * 12 + ["a.solo"] * 12
        for file in ("a.solo", "b.solo"):
            spans = [one.problem.span for one in found if one.file == file]
            assert spans == sorted(spans)

    def test_what_a_repeat_brings_again_is_said_once(self) -> None:
        bars = "\n".join(bar for bar, _ in FAULTY_BARS.values()) + "\n"
        assert shown(bars) == shown(f"{bars}bars 13-36 like 1-12\n")


class TestSubject:
    def test_written_notes_leave_out_what_like_repeats(self) -> None:
        one = subject("bar 1  Am\n1-4  3:7 3:5+2:5\nbars 2-3 like 1\nbar 4\n1-4  2:5\n")
        addresses = [note.address for note in one.written_notes]
        assert addresses == [Address(1, 1, 1), Address(1, 1, 2), Address(1, 1, 2), Address(4, 1, 1)]
        assert len(one.timeline.notes) == 10

    def test_bars_are_unclear_that_are_damaged_or_follow_a_loss(self) -> None:
        one = subject(
            "bar 1\n1-4  37\nbar 2\n1-4  3:7\nbar 3\n1-4  3:7\nbar four\n1-4  3:7\nbar 5\n1-4  3:7\nbar 6 like 1\n"
        )
        assert one.unclear_bars == {1, 2, 5, 6}

    def test_fields_are_doubtful_that_are_there_in_a_way_that_cannot_be_read(self) -> None:
        text = "titel: A\ncapo 3\nfrets: many\nmeter: 4/4\ntuning: low\nkey: A minor\n\nbar 1  Am\n1-4  3:7\n"
        assert subject_of(from_text(text)).doubtful_fields == {"title", "capo", "frets", "tuning"}


LINES = st.sampled_from(
    [
        *(line for bar, _ in FAULTY_BARS.values() for line in bar.split("\n")),
        *(
            "bar 0",
            "bar 999999  free 3s",
            "bars 2-5 like 1",
            "bars 1-9 like 1-9",
            "bars 999999-1 like 3",
            "bar 1 like 1",
        ),
        *("title: A", "tuning: E2", "tuning: G4 C4 E4 A4", "capo: 24", "frets: 5", "meter: 1/32", "meter: 12/8 in 4"),
        *("tempo: 10", "feel: swing 3:1", "section A", "passage 0.0.0", "passage 3-1.9.9  x", "# allow reach: why"),
        *(
            "1  - - -",
            "2-3  r7 b3 w2 \\0",
            "999999  .",
            "1  (3:x 2:0b2)*64 -*64",
            "1-999999  h7~",
            "4  3:1<40>=C-1?9:99",
        ),
        *(
            "<<<<<<< HEAD",
            "bar 3  at 0:10  meter 3/4 tempo 600",
            "bar 4  at 0:01  Dm7@9& G@1",
            "\t",
            "1  0:0/0\\0t0p0[lh]",
        ),
    ]
)


@given(st.lists(LINES, max_size=30))
def test_no_text_makes_a_check_fail_and_every_problem_has_a_place_and_words(lines: list[str]) -> None:
    text = "".join(f"{line}\n" for line in lines)
    for problem in lint([subject_of(from_text(text, "any.solo"))]):
        assert 0 <= problem.span.start <= len(text)
        assert problem.span.start <= problem.span.end
        assert problem.message
        assert problem.severity in Severity
        words = f"{problem.message} {problem.advice}"
        assert not [leak for leak in ("None", "Fraction(", "Address(", "Span(") if leak in words]


def test_a_text_that_was_just_read_is_judged_by_its_own_line_ends_and_mark() -> None:
    plain, marked = (decode(mark + b"title: A\n", "case.solo") for mark in (b"", b"\xef\xbb\xbf"))
    found = [subject_of(one).source.had_bom for one in (plain, marked, plain)]
    assert found == [False, True, False]
    assert subject_of(plain) is subject_of(plain)
