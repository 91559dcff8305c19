"""Three-way merges case by case: what merges, what is a conflict, and how conflicts are written."""

from __future__ import annotations

import pytest
from test_merge import merged, solo

from tabtools.review.merging.text import MarkerLabels, MergedText, MergeError, decided, merge_texts

HEADER = """\
title:        Ferry at Dusk
meter:        4/4
tempo:        126
"""

BARS = """\
bar 1  Dm7
1    3:5 h7
2    2:5 2:8
3    p5 -
4    1:8 1:7

bar 2  G7
1    3:7 3:9
2    2:6 2:8
3-4  1:7 - 1:10

bar 3  Cmaj7
1-4  3:9
"""

BASE = f"{HEADER}\n{BARS}"


def with_changes(*changes: tuple[str, str], text: str = BASE) -> str:
    for old, new in changes:
        assert text.count(old) == 1, f"“{old}” stands {text.count(old)} times"
        text = text.replace(old, new)
    return text


def clean(ours: str, theirs: str, base: str = BASE) -> str:
    """The merged text of corrections that do not collide, the same whichever side is ours."""
    outcome = merged(base, ours, theirs)
    assert outcome == MergedText(outcome.text, 0)
    return outcome.text


def test_neighbouring_beats_merge() -> None:
    ours, theirs = with_changes(("2    2:5 2:8", "2    2:5 2:7")), with_changes(("1    3:5 h7", "1    3:4 h7"))
    assert clean(ours, theirs) == with_changes(("2    2:5 2:8", "2    2:5 2:7"), ("1    3:5 h7", "1    3:4 h7"))


def test_bars_that_both_sides_changed_are_counted() -> None:
    beat, next_beat, other_bar = (
        ("2    2:5 2:8", "2    2:5 2:7"),
        ("1    3:5 h7", "1    3:4 h7"),
        ("1-4  3:9", "1-4  3:8"),
    )
    counts = [
        merged(BASE, with_changes(*ours), with_changes(*theirs)).bars
        for ours, theirs in (
            ([beat], [next_beat]), ([beat], [other_bar]), ([beat], [beat]), ([beat, other_bar], [next_beat, other_bar]),
            ([beat], [("bar 1  Dm7", "bar 1  Dm9")]), ([beat], [("2    2:5 2:8", "2    2:5 2:8  # late")]),
        )
    ]  # fmt: skip
    assert counts == [1, 0, 0, 1, 1, 0]


def test_formatting_never_conflicts() -> None:
    ours = BASE.replace("\n\n", "\n\n\n").replace("    ", "  ").replace("bar 2  G7", "bar  2   G7")
    theirs = with_changes(("2    2:6 2:8", "2    2:6 1:3"))
    assert clean(ours, theirs) == clean(theirs, ours) == theirs


def test_the_same_correction_from_both_sides_is_made_once() -> None:
    changed = with_changes(("bar 3", "bar 3  G7\n1-4  4:5\n\nbar 4"), ("126", "130"))
    assert clean(changed, changed) == changed


def test_both_may_insert_bars_and_count_on() -> None:
    ours = with_changes(("bar 2  G7", "bar 2  Em7\n1-4  4:2\n\nbar 3  G7"), ("bar 3  Cmaj7", "bar 4  Cmaj7"))
    theirs = f"{BASE}\nbar 4  Am7\n1-4  3:2\n"
    assert clean(ours, theirs) == f"{ours}\nbar 5  Am7\n1-4  3:2\n"


def test_what_names_bars_follows_them() -> None:
    ours = with_changes(
        ("bar 1", "bar 1  Em7\n1-4  4:2\n\nbar 2"), ("bar 2  G7", "bar 3  G7"), ("bar 3  Cm", "bar 4  Cm")
    )
    theirs = f"{BASE}\nbars 4-5 like 1-2  Am7@4.1\n\npassage 2.1-3.1  Answer\n"
    assert clean(ours, theirs) == f"{ours}\nbars 5-6 like 2-3  Am7@5.1\n\npassage 3.1-4.1  Answer\n"


def test_passages_and_fields_of_both_are_kept() -> None:
    ours = f"{BASE}\npassage 1.1  Call\n".replace("meter:", "key:          C major\nmeter:")
    theirs = f"{BASE}\npassage 3.1  Answer\n".replace("meter:", "capo:         2\nmeter:")
    text = clean(ours, theirs)
    for line in ("passage 1.1  Call", "passage 3.1  Answer", "key:          C major", "capo:         2"):
        assert line in text.splitlines()


def test_music_and_comment_of_one_line_merge() -> None:
    ours, theirs = with_changes(("1-4  3:9", "1-4  3:9  # long")), with_changes(("1-4  3:9", "1-4  3:9~"))
    assert clean(ours, theirs) == with_changes(("1-4  3:9", "1-4  3:9~  # long"))


@pytest.mark.parametrize("music", ["1    3:5 h7 [ring]", "1    3:5 h8"])
def test_a_line_keeps_the_mark_or_the_note_of_one_side_and_the_comment_of_the_other(music: str) -> None:
    ours, theirs = with_changes(("1    3:5 h7", music)), with_changes(("1    3:5 h7", "1    3:5 h7  # long"))
    assert clean(ours, theirs) == clean(theirs, ours) == with_changes(("1    3:5 h7", f"{music}  # long"))


def test_comments_above_a_bar_are_kept_from_both() -> None:
    ours, theirs = with_changes(("bar 2", "# from Tam\nbar 2")), with_changes(("bar 2", "# from Wick\nbar 2"))
    assert clean(ours, theirs) == with_changes(("bar 2", "# from Tam\n# from Wick\nbar 2"))


def test_a_comment_that_both_added_stands_once() -> None:
    ours, theirs = with_changes(("bar 2", "# loud\n# from Tam\nbar 2")), with_changes(("bar 2", "# from Tam\nbar 2"))
    assert merged(BASE, ours, theirs) == MergedText(ours, 0)


def test_a_line_that_one_side_divides_keeps_its_parts() -> None:
    divided = ("3-4  1:7 - 1:10", "3    1:7\n4    1:10")
    ours, theirs = with_changes(divided), with_changes(("2    2:6 2:8", "2    2:6 2:9"))
    assert clean(ours, theirs) == clean(theirs, ours) == with_changes(divided, ("2    2:6 2:8", "2    2:6 2:9"))


def test_a_line_that_both_divide_alike_keeps_its_parts() -> None:
    divided, other = ("3-4  1:7 - 1:10", "3    1:7\n4    1:10"), ("2    2:6 2:8", "2    2:6 2:9")
    assert clean(with_changes(divided), with_changes(divided, other)) == with_changes(divided, other)


def test_lines_that_one_side_draws_together_are_one() -> None:
    together = ("3    p5 -\n4    1:8 1:7", "3-4  p5 1:8")
    ours, theirs = with_changes(together), with_changes(("1    3:5 h7", "1    3:4 h7"))
    assert clean(ours, theirs) == clean(theirs, ours) == with_changes(together, ("1    3:5 h7", "1    3:4 h7"))


def test_a_bar_out_of_time_takes_a_chord_and_a_comment_of_the_other_side() -> None:
    ours, theirs = with_changes(("  G7", "  G7  free 4s")), with_changes(("bar 2  G7", "# slower\nbar 2  G9"))
    assert clean(ours, theirs) == clean(theirs, ours) == with_changes(("bar 2  G7", "# slower\nbar 2  G9  free 4s"))


def test_a_repeat_takes_its_bars_from_one_side_and_its_chords_from_the_other() -> None:
    base = f"{BASE}\nbars 4-5 like 1-2\n"
    ours, theirs = base.replace("like 1-2", "like 2-3"), base.replace("like 1-2", "like 1-2  Am7@4.1")
    assert clean(ours, theirs, base) == clean(theirs, ours, base) == base.replace("like 1-2", "like 2-3  Am7@4.1")


def test_a_move_keeps_the_string_its_writer_meant() -> None:
    ours = with_changes(("2    2:5 2:8", "2    2:5 1:3"))
    theirs = with_changes(("3    p5 -", "3    p5 p3"))
    assert clean(ours, theirs) == with_changes(("2    2:5 2:8", "2    2:5 1:3"), ("3    p5 -", "3    p2:5 p3"))


def test_a_move_nobody_touched_goes_along_with_its_stroke() -> None:
    ours, theirs = with_changes(("2    2:5 2:8", "2    2:5 1:3")), with_changes(("1-4  3:9", "1-4  3:10"))
    assert "3    p5 -" in clean(ours, theirs)


def test_a_moved_bar_takes_its_correction_along() -> None:
    first, second, third = BARS.split("\n\n")
    moved = "\n\n".join([second, third.rstrip("\n"), first])
    ours = f"{HEADER}\n" + moved.replace("bar 2", "bar 4").replace("bar 3", "bar 2").replace("bar 1", "bar 3").replace(
        "bar 4", "bar 1"
    )
    theirs = with_changes(("4    1:8 1:7", "4    1:8 1:6"))
    assert clean(ours + "\n", theirs) == (ours + "\n").replace("4    1:8 1:7", "4    1:8 1:6")


def test_a_file_that_ends_its_lines_in_another_way_keeps_doing_so() -> None:
    crlf = BASE.replace("\n", "\r\n")
    theirs = crlf.replace("3:9", "3:10")
    text = merge_texts(BASE.encode(), crlf.encode(), theirs.encode()).text
    assert text == with_changes(("1-4  3:9", "1-4  3:10"), ("1    3:7 3:9", "1    3:7 3:10")).replace("\n", "\r\n")


# ---- a retuning on one side


DROPPED = f"{HEADER}tuning:       drop D\n\n{BARS}".replace("bar 3  Cmaj7\n1-4  3:9", "bar 3  Cmaj7\n1-4  3:9+6:3")
LOW = BASE.replace("bar 3  Cmaj7\n1-4  3:9", "bar 3  Cmaj7\n1-4  3:9+6:3")
RETUNINGS = {
    "drop D": ("tuning:       drop D\n", {6}),
    "half step down": ("tuning:       half step down\n", {1, 2, 3, 4, 5, 6}),
    "a capo": ("capo:         2\n", {1, 2, 3, 4, 5, 6}),
    "a string more": ("tuning:       seven string\n", {7}),
    "another word for it": ("tuning:       E2 A2 D3 G3 B3 E4\n", set()),
}


@pytest.mark.parametrize(("field", "strings"), RETUNINGS.values(), ids=RETUNINGS)
@pytest.mark.parametrize("string", range(1, 7))
def test_notes_on_strings_that_are_retuned_meanwhile_are_left_to_be_decided(
    field: str, strings: set[int], string: int
) -> None:
    retuned = with_changes(("tempo:", f"{field}tempo:"))
    corrected = with_changes(("2    2:6 2:8", f"2    2:6 {string}:1"))
    for ours, theirs in ((retuned, corrected), (corrected, retuned)):
        outcome = merged(BASE, ours, theirs)
        assert outcome.conflicts == (string in strings)
        if outcome.conflicts:
            assert "<<<<<<< ours: bar 2, the tunings differ\nbar 2  G7\n1    3:7 3:9\n" in outcome.text
            assert "=======\nbar 2  G7\n1    3:7 3:9\n" in outcome.text
            assert solo(decided(outcome.text, "ours")).count("6:1") == ours.count("6:1")
        header = outcome.text.partition("\n\n")[0]
        assert field.strip() in header and "<<<" not in header


@pytest.mark.parametrize(
    ("change", "conflicts"),
    [
        (("2    2:6 2:8", "2    2:6~ 2:8[accent]"), 0),
        (("2    2:6 2:8", "2    2:6 -"), 0),
        (("2    2:6 2:8", "2    2:6 - 2:8"), 0),
        (("2    2:6 2:8", "2    2:6 2:x"), 0),
        (("bar 3  Cmaj7", "bar 3  C6"), 0),
        (("bar 3  Cmaj7", "# from the film\nbar 3  Cmaj7"), 0),
        (("2    2:6 2:8", "2    2:6 2:8b10"), 1),
        (("2    2:6 2:8", "2    2:6 2:8?3:12"), 1),
        (("3    p5 -", "3    p3 -"), 1),
        (("bar 3  Cmaj7", "bar 3  Am7\n1-4  2:5\n\nbar 4  Cmaj7"), 1),
    ],
)
def test_only_other_notes_are_a_question_of_tuning(change: tuple[str, str], conflicts: int) -> None:
    retuned = with_changes(("tempo:", "tuning:       half step down\ntempo:"))
    for ours, theirs in ((retuned, with_changes(change)), (with_changes(change), retuned)):
        assert merged(BASE, ours, theirs).conflicts == conflicts


def test_the_side_that_retunes_may_move_its_own_notes() -> None:
    ours = DROPPED.replace("6:3", "6:5")
    theirs = with_changes(("2    2:6 2:8", "2    2:6 2:10"), text=LOW)
    assert merged(LOW, ours, theirs).conflicts == 0
    assert merged(LOW, ours, with_changes(("3    1:7", "3    6:3"), text=LOW.replace("3-4  1:7", "3    1:7"))).conflicts


def test_both_may_retune_alike() -> None:
    ours = with_changes(("tempo:", "tuning:       drop D\ntempo:"))
    theirs = with_changes(("tempo:", "tuning:       drop D\ntempo:"), ("2    2:6 2:8", "2    2:6 6:1"))
    assert clean(ours, theirs) == theirs


def test_where_both_retune_otherwise_the_notes_of_both_are_left_to_be_decided() -> None:
    ours = with_changes(("tempo:", "tuning:       drop D\ntempo:"), ("1    3:5 h7", "1    6:5 h7"))
    theirs = with_changes(("tempo:", "tuning:       drop C\ntempo:"), ("2    2:6 2:8", "2    2:6 6:1"))
    text = merged(BASE, ours, theirs).text
    assert [line for line in text.splitlines() if line.startswith("<<<")] == [
        "<<<<<<< ours: tuning",
        "<<<<<<< ours: bar 1, the tunings differ",
        "<<<<<<< ours: bar 2, the tunings differ",
    ]


# ---- conflicts


def test_only_the_beats_that_clash_are_in_conflict() -> None:
    ours = with_changes(("2    2:6 2:8", "2    2:6 2:9"), ("3-4  1:7 - 1:10", "3-4  1:7 - 1:11"))
    theirs = with_changes(
        ("1    3:7 3:9", "1    3:7 3:10"), ("2    2:6 2:8", "2    2:6 1:3"), ("3-4  1:7 - 1:10", "3-4  1:7 - 1:8")
    )
    assert merged(BASE, ours, theirs) == MergedText(
        f"""{HEADER}
bar 1  Dm7
1    3:5 h7
2    2:5 2:8
3    p5 -
4    1:8 1:7

bar 2  G7
1    3:7 3:10
<<<<<<< ours: bar 2
2    2:6 2:9
=======
2    2:6 1:3
>>>>>>> theirs: bar 2
<<<<<<< ours: bar 2
3-4  1:7 - 1:11
=======
3-4  1:7 - 1:8
>>>>>>> theirs: bar 2

bar 3  Cmaj7
1-4  3:9
""",
        1,
    )


def test_beats_of_one_bar_that_clash_keep_the_strings_of_those_that_do_not() -> None:
    """A move that one side writes behind a beat in conflict stays on its string, whichever side is taken."""
    ours = with_changes(("2    2:5 2:8", "2    2:5 3:9"))
    theirs = with_changes(("2    2:5 2:8", "2    2:5 2:6"), ("3    p5 -", "3    p3 -"))
    text = merged(BASE, ours, theirs).text
    assert "3    p2:3 -" in decided(text, "ours")
    assert "3    p3 -" in decided(text, "theirs")


def test_a_bar_of_which_more_than_beats_clashes_is_in_conflict_whole() -> None:
    ours = with_changes(("bar 2  G7", "bar 2  G9"), ("2    2:6 2:8", "2    2:6 2:9"))
    theirs = with_changes(("bar 2  G7", "bar 2  Gm7"), ("2    2:6 2:8", "2    2:6 1:3"))
    text = merged(BASE, ours, theirs).text
    assert "<<<<<<< ours: bar 2\nbar 2  G9\n1    3:7 3:9\n2    2:6 2:9\n3-4  1:7 - 1:10\n=======\nbar 2  Gm7\n" in text


def test_markers_are_as_long_as_asked_and_show_the_base_where_wanted() -> None:
    sides = [text.encode() for text in (BASE, BASE.replace("126", "130"), BASE.replace("126", "120"))]
    text = merge_texts(*sides, 9, MarkerLabels("HEAD", "correction", "base")).text
    assert text.startswith(
        """\
title:        Ferry at Dusk
meter:        4/4
<<<<<<<<< HEAD: tempo
tempo:        130
||||||||| base: tempo
tempo:        126
=========
tempo:        120
>>>>>>>>> correction: tempo

bar 1"""
    )


LAST = "bar 3  Cmaj7\n1-4  3:9\n"
COLLISIONS = {
    "gone, changed": (BASE.replace(f"\n{LAST}", ""), BASE.replace("1-4  3:9", "1-4  3:10")),
    "redivided": (BASE.replace("3-4  1:7 - 1:10", "3    1:7\n4    1:10"), BASE.replace("1:10", "1:11")),
    "shortened": (BASE.replace("3-4  1:7 - 1:10", "3    1:7"), BASE.replace("1:10", "1:12")),
    "chords": (BASE.replace("  G7", "  G7@1 D7@3"), BASE.replace("  G7", "  G9")),
    "appended": (f"{BASE}\nbar 4  A7\n1-4  3:2\n", f"{BASE}\nbar 4  E7\n1-4  4:2\n"),
    "comments": (BASE.replace("1-4  3:9", "1-4  3:9  # a"), BASE.replace("1-4  3:9", "1-4  3:9  # b")),
    "out of time": (BASE.replace("  G7", "  G7  free 4s"), BASE.replace("1:7 - 1:10", "1:7 - 1:9")),
}


@pytest.mark.parametrize(("ours", "theirs"), COLLISIONS.values(), ids=COLLISIONS)
def test_what_collides_is_a_conflict_whichever_side_is_ours(ours: str, theirs: str) -> None:
    for one, other in ((ours, theirs), (theirs, ours)):
        outcome = merged(BASE, one, other)
        assert outcome.conflicts == 1
        assert solo(decided(outcome.text, "ours")) == solo(one)
        assert solo(decided(outcome.text, "theirs")) == solo(other)


@pytest.mark.parametrize("place", ["# low\nbar 2  G7", "bar 2  G7  # low", "1    3:7 3:9  # low"])
def test_a_comment_that_both_changed_is_a_conflict(place: str) -> None:
    base = with_changes((place.replace("# low\n", "").replace("  # low", ""), place))
    ours, theirs = base.replace("# low", "# high"), base.replace("# low", "# soft")
    for one, other in ((ours, theirs), (theirs, ours)):
        outcome = merged(base, one, other)
        assert outcome.conflicts == 1
        assert solo(decided(outcome.text, "ours")) == solo(one)
    assert clean(ours, base, base) == clean(base, ours, base) == ours


def test_a_comment_that_one_took_out_and_the_other_changed_is_a_conflict() -> None:
    base = with_changes(("bar 2  G7", "# low\nbar 2  G7"))
    assert merged(base, BASE, base.replace("# low", "# high")).conflicts == 1


def test_a_repeat_of_bars_that_the_other_side_took_out_is_a_conflict() -> None:
    ours = BASE.replace("\nbar 3  Cmaj7\n1-4  3:9\n", "")
    theirs = f"{BASE}\nbar 4 like 3\n"
    outcome = merged(BASE, ours, theirs)
    assert outcome.conflicts == 1
    assert "like 3" in outcome.text


def test_without_a_base_every_difference_is_a_conflict() -> None:
    ours = BASE + "\nbar 4  A7\n1-4  3:2\n"
    theirs = with_changes(("126", "130"), ("2    2:6 2:8", "2    2:6 2:9"), ("meter:", "capo:         2\nmeter:"))
    outcome = merged("", ours, theirs)
    assert outcome.conflicts == 4
    assert solo(decided(outcome.text, "ours")) == ours
    assert solo(decided(outcome.text, "theirs")) == theirs
    assert merged("", ours, ours) == MergedText(ours, 0)


# ---- what cannot be merged as music


@pytest.mark.parametrize(
    ("broken", "reason"),
    [
        ("title: A\n\nbar 1\n1    3:5 3:\n", "line 4 of theirs cannot be read as music"),
        ("title: A\x00\n", "theirs is no solo: a NUL byte is not allowed in a solo file"),
        ("title: A\n<<<<<<< ours\n=======\n>>>>>>> theirs\n", "line 2 of theirs cannot be read as music"),
    ],
)
def test_what_cannot_be_read_is_left_to_a_merge_of_texts(broken: str, reason: str) -> None:
    with pytest.raises(MergeError, match=f"^{reason}"):
        merged(BASE, BASE, broken)
