"""Each answer under “Fine points” of the format reference, seen in the program."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from doc_pages import page_text, table

from tabtools.checks import ALL_CHECKS
from tabtools.checks.run import lint
from tabtools.checks.subject import subject_of
from tabtools.source import from_text
from tabtools.timeline import TimedNote, Timeline

HEADER = "title: A\nplayer: B\nrights: CC0-1.0\nkey: A minor\n"


def _timeline(body: str, header: str = "meter: 4/4\n") -> Timeline:
    subject = subject_of(from_text(f"{HEADER}{header}\n{body}"))
    assert not [problem for problem in lint([subject], ALL_CHECKS) if problem.severity == "error"]
    return subject.timeline


def _checks(body: str) -> set[str]:
    subject = subject_of(from_text(f"{HEADER}meter: 4/4\n\n{body}"))
    return {problem.check for problem in lint([subject], ALL_CHECKS)}


def _chords(timeline: Timeline) -> list[tuple[int, Fraction, str | None]]:
    return [(bar.number, chord.onset - bar.onset, chord.symbol) for bar in timeline.bars for chord in bar.chords]


def _notes(body: str) -> tuple[TimedNote, ...]:
    return _timeline(body).notes


def half_a_count() -> None:
    body = "bar 1  Am@1 D7@3&\n1-4  3:7\n"
    assert _chords(_timeline(body))[1] == (1, Fraction(5, 2), "D7")
    assert _chords(_timeline(body, "meter: 12/8 in 4\n"))[1] == (1, 3 + Fraction(3, 4), "D7")


def bar_of_a_like_line() -> None:
    body = "bar 1  Am\n1-4  3:7\nbar 2\n1-4  3:5\nbars 3-4 like 1-2  Cm7 Gm7@{}\n"
    assert _chords(_timeline(body.format("4.1")))[-2:] == [(3, 0, "Cm7"), (4, 0, "Gm7")]
    assert "syntax" in _checks(body.format("5.1"))


def repeated_several_times() -> None:
    body = "bar 1  Am\n1-4  3:7\nbar 2  F\n1-4  3:5\nbars 3-{} like 1-2\n"
    timeline = _timeline(body.format(6))
    assert [note.fret for note in timeline.notes] == [7, 5] * 3
    assert [bar.chord for bar in timeline.bars] == ["Am", "F"] * 3
    assert "like-range" in _checks(body.format(5))


def single_bar_repeated() -> None:
    for word in ("bar", "bars"):
        assert [note.fret for note in _notes(f"bar 1  Am\n1-4  3:7\n{word} 2 like 1\n")] == [7, 7]


def comment_of_its_own_line() -> None:
    body = "# above\n\n# far\n\nbar 1\n1-2  3:7\n\n# line\n3-4  .\n# touches both\nbar 2\n1-4  .\n"
    text = f"{HEADER}# key\nmeter: 4/4\n{body}"
    solo = subject_of(from_text(text)).solo
    first, second = solo.bars
    assert [comment.text for comment in solo.fields[-1].comments.above] == ["# key"]
    assert [comment.text for comment in solo.fields[-1].comments.below] == ["# above"]
    assert [comment.text for comment in first.comments.above] == ["# far"]
    assert [comment.text for comment in first.lines[1].comments.above] == ["# line"]
    assert [comment.text for comment in second.comments.above] == ["# touches both"]


def only_even_pairs_swing() -> None:
    swing = "feel: swing 2:1\ntempo: 60\n"
    line = "bar 1  Am\n1    3:7 3:5\n2    3:7 3:5 3:7\n3    (3:7 3:5) 3:7\n4    - - - 3:5\n"
    starts = [note.start for note in _timeline(line, f"meter: 4/4\n{swing}").notes]
    assert starts == pytest.approx([0, 2 / 3, 1, 4 / 3, 5 / 3, 2, 2 + 1 / 3, 2 + 2 / 3, 3.75])
    brackets = _timeline("bar 1  Am\n1-2  (3:7 3:5) (3:7 3:5 3:7)\n3-4  3:7*3 3:5\n", f"meter: 4/4\n{swing}").notes
    assert [note.start for note in brackets] == pytest.approx([0, 2 / 3, 1, 4 / 3, 5 / 3, 2, 3 + 2 / 3])
    compound = _timeline("bar 1  Am\n1-4  3:7 3:5 3:7 3:5 3:7 3:5 3:7 3:5\n", f"meter: 12/8 in 4\n{swing}").notes
    assert compound[1].start == pytest.approx(0.5)


def fret_of_a_harmonic() -> None:
    assert [note.fret for note in _notes("bar 1  Am\n1-2  4:<12>\n3-4  4:5<17>\n")] == [12, 5]


def harmonic_moved() -> None:
    (note,) = _notes("bar 1  Am\n1-4  4:<7>w5\n")
    assert note.midi - note.attack == pytest.approx(-2)
    assert note.attack == pytest.approx(50 + 19.02, abs=0.01)


def string_left_out() -> None:
    assert [note.string for note in _notes("bar 1  Am\n1-4  3:7 h9\n")] == [3, 3]
    assert "syntax" in _checks("bar 1  Am\n1-4  3:7 9\n")
    assert "syntax" in _checks("bar 1  Am\n1-4  3:7+2:8 h3:9+h10\n")


def string_after_several() -> None:
    assert _notes("bar 1  Am\n1-4  3:5+1:5 h7\n")[-1].string == 3
    assert _notes("bar 1  Am\n1-4  1:5+3:5 h7\n")[-1].string == 1


def chords_of_a_like_line() -> None:
    timeline = _timeline("bar 1  Am@1 D7@3\n1-4  3:7\nbar 2  F\n1-4  3:5\nbars 3-4 like 1-2  Em\n")
    assert [bar.chord for bar in timeline.bars[2:]] == ["Em", "Em"]
    assert len(_chords(timeline)) == 4


ANSWERS: dict[str, Callable[[], None]] = {
    "When is `@3&`?": half_a_count,
    "Which bar is `@10.1` on a `like` line?": bar_of_a_like_line,
    "Can a stretch be repeated several times?": repeated_several_times,
    "And a single bar?": single_bar_repeated,
    "To whom does a comment on a line of its own belong?": comment_of_its_own_line,
    "What swings?": only_even_pairs_swing,
    "Which fret has a harmonic?": fret_of_a_harmonic,
    "How does the bar or a bend move a harmonic?": harmonic_moved,
    "When may the string be left out?": string_left_out,
    "Which string is meant, after several at once?": string_after_several,
    "Do chords on a `like` line add to the old ones?": chords_of_a_like_line,
}


def test_every_fine_point_is_tested() -> None:
    assert [question for question, _ in table(page_text("format.md"), "Fine points")] == list(ANSWERS)


@pytest.mark.parametrize("question", ANSWERS)
def test_fine_point(question: str) -> None:
    ANSWERS[question]()
