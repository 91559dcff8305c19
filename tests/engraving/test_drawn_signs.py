"""What each sign of the format puts on the page."""

from __future__ import annotations

import re
from fractions import Fraction
from xml.etree import ElementTree

import pytest
from drawn import bars, boxes, drawing, first_bar, joined, texts
from generated import solos
from hypothesis import given, settings
from thoroughness import share

from tabtools.engraving import GLYPHS
from tabtools.engraving.strokes import interval_name


def staff(notes: str, meter: str = "4/4") -> str:
    return first_bar(f"bar 1  Am\n1-4  {notes}\n", meter).staff


@pytest.mark.parametrize(
    ("note", "shown"),
    [
        ("3:9", ["9"]),
        ("3:0", ["0"]),
        ("3:x", ["×"]),
        ("4:<12>", ["<12>"]),
        ("4:<3.9>", ["<3.9>"]),
        ("4:5<17>", ["5<17>"]),
        ("3:9?", ["9?"]),
        ("3:9[ghost]", ["(9)"]),
        ("3:9+2:8", ["9", "8"]),
        ("3:7 h9", ["7", "9"]),
        ("3:7 b9", ["7"]),
        ("3:7b9 r7", ["7", "(7)"]),
    ],
)
def test_figures(note: str, shown: list[str]) -> None:
    assert texts(staff(note), "fret") == shown


@pytest.mark.parametrize(
    ("semitones", "name"),
    [(Fraction(1, 2), "¼"), (1, "½"), (Fraction(3, 2), "¾"), (2, "full"), (3, "1½"), (4, "2"), (5, "2½"), (6, "3")],
)
def test_a_bend_names_its_interval_in_steps(semitones: Fraction, name: str) -> None:
    """Common practice: a whole tone is a full step."""
    assert interval_name(semitones) == name


def test_bends_are_labelled_once_for_a_double_stop() -> None:
    assert texts(staff("3:7b9"), "step") == ["full"]
    assert texts(staff("3:7b9r7"), "step") == ["full"]
    assert texts(staff("3:7pb9 r7"), "step") == ["full"]
    assert texts(staff("3:7 b8 b9"), "step") == ["½", "full"]
    assert texts(staff("3:7b9+2:8b10"), "step") == ["full"]


def test_bends_of_a_double_stop_do_not_cross() -> None:
    """That of the higher string stands nearest, each begins at its number, and each label stands over its own top."""
    svg = staff("3:7b9+2:8b9")
    assert texts(svg, "step") == ["½", "full"]
    curves = [tuple(float(one) for one in found) for found in re.findall(r'd="M(\S+) (\S+)Q(\S+) \S+ \S+ (\S+)"', svg)]
    (start, y, end, _), (lower_start, lower_y, lower_end, _) = curves
    assert (y, lower_y) == (13, 26)
    assert start == lower_start < end < lower_end


def test_a_bend_that_ends_lower_is_named_beside_its_top_under_the_line_of_the_other() -> None:
    svg = staff("3:7b8+2:8b10 - r3:7+r2:8")
    held = [float(y) for y in re.findall(r'<line class="dashed"[^>]* y1="([^"]+)"', svg)]
    tops = [box.top for box in boxes(svg, 600) if box.kind.startswith("step") and box.text == "½"]
    assert len(held) == 2 and len(tops) == 1
    assert all(tops[0] > y for y in held)


def test_a_bend_held_over_the_bar_line_goes_on_in_the_next_bar() -> None:
    first, second = bars(drawing("bar 1\n1-4  3:7b9\n\nbar 2\n1-2  -\n3-4  r7\n"))
    assert "dashed" in first.staff
    assert "dashed" in second.staff
    assert texts(second.staff, "fret") == ["(7)"]


def test_higher_bends_rise_higher() -> None:
    tops = [boxes(staff(f"3:7b{fret}"), 300) for fret in (8, 9, 10, 11)]
    heights = [next(box.top for box in found if box.kind == "step") for found in tops]
    rows = [next(box.top for box in found if box.kind == "fret") for found in tops]
    rises = [row - height for row, height in zip(rows, heights, strict=True)]
    assert rises == sorted(set(rises))


@pytest.mark.parametrize(
    ("notes", "letters"),
    [
        ("3:5 h7", ["H"]),
        ("3:7 p5", ["P"]),
        ("t3:12 p7 h9", ["T", "P", "H"]),
        ("3:5+2:5 h3:7+h2:7", ["H"]),
        ("3:5 /7", []),
    ],
)
def test_letters_of_moves(notes: str, letters: list[str]) -> None:
    assert texts(staff(notes), "letter") == letters


@pytest.mark.parametrize(
    ("mark", "kind", "shown"),
    [
        ("3:5[pm] 3:5[pm]", "word", ["PM"]),
        ("3:5[ring] 2:5[ring] .", "word", ["let ring"]),
        ("3:5[pinch]", "word", ["PH"]),
        ("3:5[rake]", "word", ["rake"]),
        ("3:5[trill 7]", "word", ["tr (7)"]),
        ("3:5[lh 3]", "finger", ["3"]),
        ("3:5[rh p]+2:5[rh a]", "finger", ["p", "a"]),
        ("3:7w5w7", "word", ["bar −1"]),
        ("3:5h7p5", "ornament", ["7", "5"]),
        ("3:5h7p5", "fret", ["5"]),
        ("3:8/10", "ornament", ["8"]),
        ("3:8/10", "fret", ["10"]),
        ("3:5h7?", "fret", ["7?"]),
        ("3:5h7[ghost]", "fret", ["(7)"]),
        ("3:5h7b9", "fret", ["7"]),
        ("3:5h7b9", "step", ["full"]),
        ("3:7b9r7p5", "fret", ["7"]),
        ("3:7b9r7p5", "ornament", ["5"]),
        ("3:9?4:14", "other", ["or 14"]),
        ("3:9?3:10", "other", ["or 10"]),
    ],
)
def test_marks(mark: str, kind: str, shown: list[str]) -> None:
    assert texts(staff(mark), kind) == shown


@pytest.mark.parametrize("word", ["accent", "stacc", "down", "up"])
def test_signs_refer_to_a_drawn_sign(word: str) -> None:
    assert f'href="#tt-{word}"' in staff(f"3:5[{word}]")


@settings(max_examples=share(60))
@given(solos())
def test_every_sign_referred_to_is_drawn_once(text: str) -> None:
    known = re.findall(r'id="(tt-[\w-]+)"', GLYPHS)
    assert len(known) == len(set(known))
    for bar in bars(drawing(text)):
        ElementTree.fromstring(bar.staff)
        assert set(re.findall(r"#(tt-[\w-]+)", bar.staff)) <= set(known)


def test_waves_and_hatchings_are_lines_and_no_patterns_which_print_grey() -> None:
    drawn = staff("3:5~ ??")
    assert re.search(r'<svg class="wavy"[^>]* width="[^"]+%" height="12"><use href="#tt-wave"/></svg>', drawn)
    assert "<pattern" not in GLYPHS + drawn and "url(" not in drawn


@pytest.mark.parametrize("second", ["p3:5 3:7 3:5", "3:5[lh 1] 3:7", "3:5[rh m] 3:7", "h3:9[lh 4] 3:7"])
def test_the_number_of_a_bar_is_read_with_nothing_beside_it(second: str) -> None:
    """No letter and no finger within seven pixels on its line: P10 and 14 1 are misread."""
    drawn = bars(drawing(f"bar 13\n1-4  3:5 3:5 3:5 3:7\n\nbar 14\n1-4  {second}\n"))
    whole = joined([(bar.width, bar.staff) for bar in drawn])
    found = boxes(whole, sum(bar.width for bar in drawn))
    (number,) = (box for box in found if box.kind == "number" and box.text == "14")
    wide = number._replace(left=number.left - 7, right=number.right + 7)
    assert [box for box in found if box.kind in ("letter", "finger") and box.overlaps(wide)] == []


def test_a_span_over_the_bar_line_is_named_once_at_one_height() -> None:
    first, second = bars(drawing("bar 1\n1-4  3:5[pm]\n\nbar 2\n1-4  1:17b20[pm] 3:5[pm]\n"))
    assert texts(first.staff, "word") == ["PM"]
    assert texts(second.staff, "word") == texts(second.staff, "again") == ["(PM)"]
    levels = {re.search(r'class="dashed"[^>]*y1="([^"]+)"', bar.staff)[1] for bar in (first, second)}
    assert len(levels) == 1


def test_a_span_that_goes_on_is_named_again_wherever_a_system_begins() -> None:
    """Elsewhere the name waits until a line of the page begins there."""
    text = "".join(f"bar {one}\n1-4  3:5[ring] 3:7[ring]\n\n" for one in range(1, 10))
    drawn = [bar.staff for bar in bars(drawing(text))]
    waiting = [len(texts(svg, "again")) for svg in drawn]
    assert [texts(svg, "word") for svg in drawn] == [["let ring"], *([["(let ring)"]] * 8)]
    assert waiting == [0, 1, 1, 1, 0, 1, 0, 1, 1]


def test_dips_of_the_bar_stand_on_one_line_and_a_way_back_needs_no_words() -> None:
    svg = first_bar("bar 1\n1  1:12 w10 - w12\n2  - - 3:10 w9\n3-4  w10~ - w9 -\n").staff
    found = [box for box in boxes(svg, 600) if box.kind.startswith("word")]
    assert [box.text for box in found] == ["bar −1", "bar −½", "bar −½"]
    assert len({box.top for box in found}) == 1


def test_tempo_stands_over_the_names_of_chords() -> None:
    """Common practice: nothing of a system stands higher than its tempo."""
    first, second = bars(drawing("bar 1  Am\n1-4  3:5\n\nbar 2  Dm\n1-4  3:5\n"))
    tempo, chord = (next(box for box in boxes(first.chords, 300) if box.kind == kind) for kind in ("tempo", "chord"))
    assert tempo.bottom < chord.top
    (beside,) = (box for box in boxes(second.chords, 300) if box.kind == "chord")
    assert (beside.top, beside.bottom) == (chord.top, chord.bottom)


def test_a_tied_pitch_is_written_again_over_the_bar_line() -> None:
    """A bend that has come back is held at its place; one still bent is not."""
    held = {
        "3:7": ["(7)"],
        "3:5h7": ["(7)"],
        "3:7b9 r7": ["(7)"],
        "3:7 w5 w7": ["(7)"],
        "3:7b9": [],
        "3:7 b9": [],
    }
    for notes, shown in held.items():
        second = bars(drawing(f"bar 1\n1-4  {notes}\n\nbar 2\n1-2  -\n3-4  3:5\n"))[1]
        assert texts(second.staff, "held") == shown, notes


def test_strokes_of_the_pick_stand_on_one_line() -> None:
    svg = staff("3:5[accent, down] 3:5[up] 3:5[stacc, down] 1:5h7[up]")
    feet = re.findall(r'href="#tt-(?:down|up)" y="([^"]+)"', svg)
    assert len(feet) == 4
    assert len(set(feet)) == 1


def test_an_accent_stands_near_its_number_beside_a_bend() -> None:
    (foot,) = re.findall(r'href="#tt-accent" y="([^"]+)"', staff("1:13b15[accent] - - r13"))
    assert float(foot) == -10


def test_what_several_fingers_pluck_stands_as_it_sounds() -> None:
    """Common practice: the finger of the highest note stands highest."""
    found = [box for box in boxes(staff("5:3[rh p]+3:0[rh i]+1:0[rh a] 4:2[rh p]"), 300) if box.kind == "finger"]
    first = [box for box in found if box.left < 150]
    assert [box.text for box in sorted(first, key=lambda box: box.top)] == ["a", "i", "p"]
    assert {round(box.top, 1) for box in found if box.text == "p"} == {round(max(box.top for box in found), 1)}


def test_hairpins_of_a_bar_stand_at_one_height() -> None:
    svg = staff("1:14~[swell] 2:13[swell] 1:17~~[swell]")
    feet = re.findall(r'<svg x="[^"]+" y="([^"]+)" width="[^"]+" height="8" viewBox="0 0 100 8"', svg)
    assert len(feet) == 3
    assert len(set(feet)) == 1


def test_vibrato_is_a_line_and_no_pattern() -> None:
    """A pattern would print as grey pixels."""
    assert 'href="#tt-wave"' in staff("3:5~")
    assert "pattern" not in GLYPHS + staff("3:5~ 3:7~~")


def test_a_dot_stands_clear_of_the_strokes_of_a_tremolo() -> None:
    svg = staff("3:5[trem] - - 3:7[trem]")
    (dot,) = re.findall(r'<circle class="tt-ink" cx="([^"]+)"', svg)
    assert float(dot) - 1.5 > 4.5


def test_head_of_the_solo() -> None:
    text = "title: A\nmeter: 12/8 in 4\ntempo: 96\ncapo: 3\ntuning: DADGAD\n\nbar 1  Am  at 1:02.5\n1-4  3:5\n"
    bar = bars(drawing(text))[0]
    assert texts(bar.staff, "meter") == ["12", "8"]
    assert texts(bar.chords, "tempo") == ["= 96"]
    assert texts(bar.chords, "word") == ["capo 3"]
    assert texts(bar.chords, "time") == ["1:02.5"]
    assert texts(bar.staff, "open") == ["D", "A", "G", "D", "A", "D"]
    assert texts(bar.staff, "count") == ["1", "2", "3", "4"]
    assert texts(bar.chords, "chord") == ["Am"]


def test_meter_and_tempo_are_shown_where_they_change() -> None:
    text = "bar 1\n1-4  3:5\n\nbar 2  meter 3/4  tempo 90\n1-3  3:5\n\nbar 3\n1-3  3:5\n"
    drawn = bars(drawing(text))
    assert [texts(bar.staff, "meter") for bar in drawn] == [["4", "4"], ["3", "4"], []]
    assert [texts(bar.chords, "tempo") for bar in drawn] == [["= 120"], ["= 90"], []]


def test_the_meter_of_the_next_system_keeps_from_the_bar_line_however_far_a_bar_is_stretched() -> None:
    plain = "".join(f"bar {number}\n1-4  3:5\n\n" for number in range(1, 5))
    bar = bars(drawing(f"{plain}bar 5  meter 3/4\n1-3  3:5\n\nbar 6\n1-3  3:5\n"))[3]
    (moved,) = re.findall(r'translate\((-[0-9.]+)\)"><line class="barline"', bar.staff)
    for stretch in (1, 2, 3):
        meter = [box for box in boxes(bar.staff, bar.width * stretch) if box.kind == "meter"]
        assert min(box.left for box in meter) - (bar.width * stretch + float(moved)) > 4


def test_time_that_is_kept_again_says_its_meter_and_that_the_tempo_is_that_of_before() -> None:
    one = "1-4  3:5\n\n"
    drawn = bars(drawing(f"bar 1  free 4s\n{one}bar 2\n{one}bar 3  free 4s\n{one}bar 4  tempo 90\n{one}"))
    assert [texts(bar.staff, "meter") for bar in drawn] == [[], ["4", "4"], [], ["4", "4"]]
    assert [texts(bar.chords, "word") for bar in drawn] == [["free, 4 s"], ["a tempo"], ["free, 4 s"], []]
    assert [texts(bar.chords, "tempo") for bar in drawn] == [["= 120"], [], [], ["= 90"]]


@pytest.mark.parametrize(("tempo", "said"), [(69, ["= 69", "(", "=", ")"]), (70, ["= 70"])])
def test_another_value_is_counted_as_fast_as_before(tempo: int, said: list[str]) -> None:
    text = f"title: A\nmeter: 7/8\ntempo: 138\n\nbar 1\n1-7  3:5\n\nbar 2  meter 4/4  tempo {tempo}\n1-4  3:5\n"
    assert texts(bars(drawing(text))[1].chords, "tempo") == said


def test_the_end_of_a_system_says_the_meter_of_the_next_behind_its_bar_line() -> None:
    four = "".join(f"bar {number}\n1-4  3:5\n\n" for number in range(1, 5))
    section = drawing(f"{four}section A\n\nbar 5  meter 3/4\n1-3  3:5\n", has_staff=True).sections[0]
    *others, last = (piece for bar in section.bars for piece in bar.pieces)
    assert texts(last.staff, "meter") == ["3", "4"]
    assert [texts(piece.staff, "meter") for piece in others] == [["4", "4"], [], []]
    for svg in (last.staff, last.standard):
        moved, *_ = re.findall(r'translate\((-[0-9.]+)\)"><line class="barline" x1="100%"', svg)
        assert float(moved) < -10
    assert re.findall("#tt-figure[0-9]", last.standard) == ["#tt-figure3", "#tt-figure4"]


@pytest.mark.parametrize(
    ("count", "systems"), [(4, [4]), (5, [2, 3]), (6, [4, 2]), (7, [4, 3]), (9, [4, 2, 3]), (8, [4, 4]), (1, [1])]
)
def test_no_bar_is_left_alone_at_the_end_of_a_section(count: int, systems: list[int]) -> None:
    (section,) = drawing("".join(f"bar {number}\n1-4  3:5\n\n" for number in range(1, count + 1))).sections
    assert [len(phrase) for phrase in section.phrases] == systems


def test_a_free_bar_has_no_counts_and_no_rhythm() -> None:
    bar = first_bar("bar 1  Am  free 4.5s\n1  3:5 3:7*3\n")
    assert texts(bar.chords, "word") == ["free, 4.5 s"]
    assert texts(bar.staff, "count") == []
    assert "stem" not in bar.staff


def test_sections_and_anchors() -> None:
    drawn = drawing("section A  Head\n\nbar 1\n1-2  3:5 3:7\n3-4  3:5\n\nsection B\n\nbars 2-3 like 1-1\n")
    assert [(section.label, section.name, len(section.bars)) for section in drawn.sections] == [
        ("A", "Head", 1),
        ("B", "", 2),
    ]
    assert drawn.anchors["1.1.2"] == "b1.1.2"
    assert drawn.anchors["3.3"] == "b3.3"
    svg = "".join(bar.staff for bar in bars(drawn))
    ids = re.findall(r'id="([^"]+)"', svg) + [bar.anchor for bar in bars(drawn)]
    assert sorted(ids) == sorted(drawn.anchors.values())


def test_a_bar_number_written_twice_gives_no_id_twice() -> None:
    drawn = drawing("bar 1\n1-4  3:5\n\nbar 1\n1-4  3:5 3:7\n")
    ids = re.findall(r'id="([^"]+)"', "".join(bar.staff for bar in bars(drawn)))
    assert len(ids) == len(set(ids))


def test_a_longer_note_takes_more_room() -> None:
    columns = sorted(box.left for box in boxes(staff("3:5 - - 3:5 3:5"), 400) if box.kind == "fret")
    assert columns[1] - columns[0] > columns[2] - columns[1]


def test_text_of_a_file_stays_text() -> None:
    bar = first_bar('bar 1  A<script>alert(1)</script>&"\n1-4  3:5[<b>]\n')
    assert texts(bar.chords, "chord") == ['A<script>alert(1)</script>&"']
    assert "<script" not in bar.chords


def test_staves_of_a_system_lie_at_whole_pixels() -> None:
    drawn = drawing("bar 1\n1-4  3:5\n\nbar 2\n1-4  1:17b20[accent]\n\nbar 3\n1-4  3:5b5.5+2:5~\n")
    heights = [
        re.search(r'class="tt-staff"[^>]* height="(\d+)" style="margin-top:(\d+)px"', bar.staff) for bar in bars(drawn)
    ]
    assert len({height[1] for height in heights}) == 1
    assert len({height[2] for height in heights}) > 1


@pytest.mark.parametrize("number", [3, 13, 113])
@pytest.mark.parametrize("mark", ["rh p, rh m", "down", "accent"])
def test_what_stands_over_the_first_stroke_keeps_clear_of_the_bar_number(number: int, mark: str) -> None:
    """So signs of one kind stand at one height all along the bar."""
    bar = first_bar(f"bar {number}  Am\n1-4  3:5[{mark}] 3:5[{mark}] 3:5[{mark}] 3:5[{mark}]\n")
    kind = r'<text class="finger"[^>]* y="([^"]+)"' if "rh" in mark else rf'#tt-{mark}" y="([^"]+)"'
    heights = re.findall(kind, bar.staff)
    assert len(heights) == 4
    assert len(set(heights)) == 1


def test_a_slide_through_a_bar_line_is_one_line() -> None:
    first, second = bars(drawing("bar 1\n1-4  3:5\n\nbar 2\n1-4  /9\n"))
    (leaves,) = re.findall(r'<line class="tt-line" [^>]*y1="([^"]+)" y2="([^"]+)"', first.staff)
    (arrives,) = re.findall(r'<line class="tt-line" [^>]*y1="([^"]+)" y2="([^"]+)"', second.staff)
    assert float(leaves[0]) > float(leaves[1]) == float(arrives[0]) > float(arrives[1])


@pytest.mark.parametrize("notes", ["4:5[roll]+3:5+2:5", "4:5+3:5+2:5[roll]", "4:5+3:5+2:5 - [roll]"])
def test_a_rolled_chord_has_its_wavy_line_wherever_the_mark_stands(notes: str) -> None:
    assert len(re.findall(r'<path class="tt-line" d="M\S+ \S+q-2.5', staff(notes))) == 1
    assert "q-2.5" not in staff(notes.replace("[roll]", ""))


def test_degrees_of_a_chord_lie_under_each_other_as_its_strings_do() -> None:
    svg = staff("5:3+4:2+2:1+3:x - 2:1+3:0")
    degrees = sorted(
        (round(box.left + box.right), box.top, box.text) for box in boxes(svg, 300) if box.kind == "degree"
    )
    assert [text for _, _, text in degrees] == ["b3", "5", "b3", "b3", "b7"]
