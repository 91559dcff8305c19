"""The hand-written pages say what the program does: examples lint, sessions repeat, tables agree with the code."""

from __future__ import annotations

import re
import tomllib
from dataclasses import asdict
from dataclasses import fields as dataclass_fields
from fractions import Fraction
from pathlib import Path
from typing import get_args

import pytest
from click import Context
from doc_pages import PAGES, ROOT, SESSION_PAGES, Fence, codes, fences, page_text, played, prose, session_for, table

from tabtools import source
from tabtools.checks import ALL_CHECKS
from tabtools.checks.claim import check_lesson
from tabtools.checks.run import lint
from tabtools.checks.subject import Subject, subject_of
from tabtools.cli import main
from tabtools.model.claims import Statement
from tabtools.model.harmony import MODES, Degree, scale_degrees
from tabtools.model.instrument import MAX_FRETS, MAX_STRINGS, NAMED_TUNINGS, NODES
from tabtools.model.rhythm import FOUR_FOUR
from tabtools.model.solo import Address, AddressRange, Field, Header, Passage, Stroke
from tabtools.notation import build, limits, lines, unreadable
from tabtools.notation.build import read_solo
from tabtools.notation.chords import read_chord
from tabtools.notation.claims import read_claim
from tabtools.notation.header import FIELD_NAMES, read_header
from tabtools.notation.marks import MARKS, accepts
from tabtools.notation.write import canonical, formatted
from tabtools.problem import Problem, Severity
from tabtools.reports.changes import groups_of
from tabtools.review.change import read_version
from tabtools.review.compare import compare
from tabtools.settings import Settings, load_settings
from tabtools.source import from_text
from tabtools.timeline.spread import leaves, positions

FORMAT = page_text("format.md")
HEADER = "title: A\nplayer: B\nrights: CC0-1.0\nkey: A minor\nmeter: 4/4\n\n"
PAGE_NAMES = sorted(path.name for path in PAGES.glob("*.md"))


def _solo_blocks() -> list[tuple[str, Fence]]:
    return [
        (page, fence) for page in PAGE_NAMES if page not in SESSION_PAGES for fence in fences(page_text(page), "solo")
    ]


def _whole(text: str) -> str:
    """A piece of a solo as a solo: header and bar in front where it has none."""
    has_header = text.startswith("title:")
    has_bar = re.search(r"^ *bars? ", text, re.MULTILINE)
    return ("" if has_header else HEADER) + ("" if has_bar else "bar 1  Am\n") + text


def _subject(text: str) -> Subject:
    return subject_of(from_text(_whole(text)))


def _errors(text: str) -> list[Problem]:
    return [problem for problem in lint([_subject(text)], ALL_CHECKS) if problem.severity is Severity.ERROR]


# ---- examples


@pytest.mark.parametrize(("page", "fence"), _solo_blocks(), ids=lambda value: value if isinstance(value, str) else "")
def test_a_solo_block_lints_unless_it_says_that_it_fails(page: str, fence: Fence) -> None:
    assert bool(_errors(fence.text)) == ("fails" in fence.words)


@pytest.mark.parametrize(("page", "fence"), _solo_blocks(), ids=lambda value: value if isinstance(value, str) else "")
def test_a_whole_solo_is_shown_in_canonical_form(page: str, fence: Fence) -> None:
    if fence.text.startswith("title:        "):
        assert canonical(read_solo(from_text(fence.text)).solo) == fence.text


@pytest.mark.parametrize("page", SESSION_PAGES)
def test_a_session_played_again_reads_the_same(page: str, tmp_path: Path) -> None:
    text = page_text(page)
    assert played(text, session_for(page, tmp_path)) == text


@pytest.mark.parametrize("page", PAGE_NAMES)
def test_links_between_pages_lead_somewhere(page: str) -> None:
    for target in re.findall(r"\]\(([^)\s]+)\)", page_text(page)):
        name, _, anchor = target.partition("#")
        assert "://" not in target
        if name.startswith(("solos/", "checks/")):
            continue
        assert (PAGES / (name or page)).is_file(), target
        headings = re.findall(r"^#+ (.*)$", page_text(name or page), re.MULTILINE)
        assert not anchor or anchor in {
            re.sub(r"[^\w\s-]", "", title).strip().lower().replace(" ", "-") for title in headings
        }


def test_home_shows_a_demo_solo_as_it_stands() -> None:
    demo = "\n".join(path.read_text(encoding="utf-8") for path in (ROOT / "transcriptions").glob("*.solo"))
    shown = fences(page_text("index.md"), "solo")
    assert shown and all(fence.text in demo for fence in shown)


def test_the_lesson_of_the_tutorial_is_true_and_may_become_false(tmp_path: Path) -> None:
    session = session_for("writing.md", tmp_path)
    played(page_text("writing.md"), session)
    lesson = from_text(session.solo.with_suffix(".md").read_text(encoding="utf-8"))
    text = session.solo.read_text(encoding="utf-8")
    assert not list(check_lesson(lesson, _subject(text)))
    assert list(check_lesson(lesson, _subject(text.replace("2:15b17=E5", "2:15b16"))))


@pytest.mark.parametrize("page", PAGE_NAMES)
def test_commands_and_their_options_exist(page: str) -> None:
    text = page_text(page)
    scripts = "".join(fence.text for fence in fences(text, "sh"))
    shown = [code for code in codes(prose(text)) if code.startswith("tabtools ")]
    shown += re.findall(r"^(?:exec )?(tabtools .*)$", scripts, re.MULTILINE)
    for command in shown:
        _, name, *words = command.split()
        shown_command = main.get_command(Context(main), name)
        assert shown_command, command
        known = {option for one in shown_command.params for option in one.opts}
        assert {word for word in words if word.startswith("--")} <= known, command


def test_settings_shown_are_all_there_are(tmp_path: Path) -> None:
    (shown,) = fences(page_text("publishing.md"), "toml")
    (tmp_path / "pyproject.toml").write_text(shown.text, encoding="utf-8")
    assert load_settings(tmp_path) == Settings(root=tmp_path)
    names = {one.name.replace("_", "-") for one in dataclass_fields(Settings)}
    assert set(tomllib.loads(shown.text)["tool"]["tabtools"]) == names - {"root"}


def test_rights_shown_are_accepted() -> None:
    for rights, _ in table(page_text("publishing.md"), "Rights first"):
        header = HEADER.replace("CC0-1.0", codes(rights)[0])
        assert not _errors(f"{header}bar 1  Am\n1-4  3:7\n")


# ---- the tables of the format: header


def _header(name: str, value: str) -> tuple[Header, list[Problem]]:
    problems: list[Problem] = []
    return read_header([Field(name, value)], "", problems), problems


def test_fields_are_those_the_program_reads_and_have_its_defaults() -> None:
    rows = table(FORMAT, "Header")
    assert tuple(codes(name)[0] for name, *_ in rows) == FIELD_NAMES
    for name, _, default in rows:
        for value in codes(default)[:1]:
            header, problems = _header(codes(name)[0], value)
            assert not problems
            assert _comparable(header) == _comparable(Header())


def _comparable(header: Header) -> dict:
    record = asdict(header)
    record["instrument"]["tuning"].pop("name")
    return record


RANGES = {
    codes(name)[0]: found
    for name, value, _ in table(FORMAT, "Header")
    if (found := re.search(r"(\d+) to (\d+)", value))
}
IN_FIELD = {
    "scale-length": "{} mm".format,
    "gauges": "{} 13 17 26w 36w 46w".format,
    "tuning": lambda strings: " ".join(["E2"] * strings),
}


@pytest.mark.parametrize("name", RANGES)
def test_ranges_of_fields_are_those_of_the_program(name: str) -> None:
    low, high = map(int, RANGES[name].groups())
    for value, is_allowed in ((low, True), (high, True), (low - 1, False), (high + 1, False)):
        _, problems = _header(name, IN_FIELD.get(name, str)(value))
        reasons = [problem.message for problem in problems if "leaves nothing" not in problem.message]
        assert (not reasons) == is_allowed, (value, reasons)


def test_every_field_with_a_range_is_tested() -> None:
    assert set(RANGES) == {"tuning", "capo", "frets", "scale-length", "gauges", "tempo", "reference"}


def test_values_shown_for_fields_are_read() -> None:
    for name, value, _ in table(FORMAT, "Header"):
        shown = [code for code in codes(value) if code not in ("w",)]
        for code in ["swing 2:1"] if "feel" in name else shown:
            assert not _header(codes(name)[0], code)[1], code


def test_named_tunings() -> None:
    assert {codes(name)[0]: pitches for name, pitches in table(FORMAT, "Tunings")} == NAMED_TUNINGS


def test_modes() -> None:
    rows = {codes(name)[0]: degrees for name, degrees in table(FORMAT, "Keys")}
    assert list(rows) == list(MODES)
    assert rows == {name: " ".join(map(str, scale_degrees(name))) for name in MODES}


# ---- what a correction settles


@pytest.mark.parametrize("row", table(page_text("corrections.md"), "What a correction settles"), ids=lambda row: row[0])
def test_what_is_settled_is_told_in_these_words(row: list[str]) -> None:
    before, after = (read_version(from_text(f"{HEADER}bar 1  Am\n1-4  {codes(cell)[0]}\n")) for cell in row[:2])
    (group,) = groups_of(compare(before, after))
    assert [told.what for told in group.told] == [row[2]]


# ---- the tables of the format: lines


def test_each_kind_of_line_is_read() -> None:
    grammar = lines.solo_grammar()
    kinds = [type(grammar.read(codes(example)[0] + "\n", "line")).__name__ for _, example in table(FORMAT, "Lines")]
    assert kinds == ["Field", "Section", "BarLine", "BeatLine", "Like", "Passage", "Remark"]


@pytest.mark.parametrize("code", [code for item, _ in table(FORMAT, "Bars") for code in codes(item)])
def test_what_stands_on_a_bar_line_is_read(code: str) -> None:
    reading = read_solo(from_text(f"{HEADER}bar 1  {code}\n1-4  3:7\n"))
    assert not reading.problems
    bar = reading.solo.bars[0]
    assert bar.chords or bar.at or bar.meter or bar.tempo or bar.free


@pytest.mark.parametrize("row", table(FORMAT, "Beat lines"), ids=lambda row: row[0])
def test_lengths_of_slots(row: list[str]) -> None:
    (line,) = _subject(codes(row[0])[0] + "\n").solo.bars[0].lines
    slots = zip(leaves(line.slots), positions(line, line.first - 1, FOUR_FOUR), strict=True)
    struck = [(slot, place) for slot, place in slots if isinstance(slot, Stroke)]
    ends = [place.offset for _, place in struck[1:]] + [Fraction(line.last)]
    lengths = [end - place.offset for (_, place), end in zip(struck, ends, strict=True)]
    assert " ".join(map(str, lengths)) == row[1]


@pytest.mark.parametrize("code", [code for written, _ in table(FORMAT, "Strokes") for code in codes(written)])
def test_strokes_are_read_and_written_as_they_stand(code: str) -> None:
    text = f"bar 1  Am\n1    3:7b9*3 {code}\n"
    assert canonical(_subject(text).solo).endswith(text)


OPEN_SIGNS = table(FORMAT, "What is not known yet")


OPEN_CHECKS = set(re.findall(r"\(checks/(open-[a-z]+|unsure-reading|alternative-pitch)\.md\)", FORMAT))


def _on_its_line(code: str) -> str:
    """A sign in a bar: a count on a line of its own, a chord on the bar line, a stroke behind another one."""
    if re.match(r"[0-9?-]+  ", code):
        return f"bar 1  Am\n{code}\n"
    if re.match(r"[?]?[A-G]m7", code):
        return f"bar 1  {code}\n1-4  3:7\n"
    return f"bar 1  Am\n1    3:7b9 {code}\n"


@pytest.mark.parametrize("code", [code for written, _, _ in OPEN_SIGNS for code in codes(written)])
def test_signs_for_what_is_open_are_read_and_written_as_they_stand(code: str) -> None:
    text = _on_its_line(code)
    assert not _subject(text).reading.problems
    assert canonical(_subject(text).solo).endswith(re.sub(r"^(1-2[?])  ", r"\1 ", text, flags=re.MULTILINE))


@pytest.mark.parametrize("code", [code for *_, wrong in OPEN_SIGNS for code in codes(wrong)])
def test_what_looks_like_a_sign_for_what_is_open_is_refused(code: str) -> None:
    assert "syntax" in {problem.check for problem in _subject(_on_its_line(code)).reading.problems}


def test_each_sign_for_what_is_open_is_open() -> None:
    for written, _, _ in OPEN_SIGNS:
        for code in codes(written):
            found = {problem.check for problem in lint([_subject(_on_its_line(code))], ALL_CHECKS)}
            assert found & OPEN_CHECKS, code


def test_nodes_of_harmonics() -> None:
    found = {int(part): touched for part, touched, _ in table(FORMAT, "Harmonics")}
    modes = sorted({mode for _, mode in NODES})
    low = {mode: [f"{fret:.2f}" for fret, one in NODES if one == mode and fret <= 24.01] for mode in modes}
    assert {part: [f"{float(fret):.2f}" for fret in touched.split()] for part, touched in found.items()} == low


def test_marks() -> None:
    rows = {codes(mark)[0]: (codes(takes), takes, means) for mark, takes, means in table(FORMAT, "Marks")}
    assert list(rows) == list(MARKS)
    for word, (arguments, takes, means) in rows.items():
        kind = MARKS[word]
        assert tuple(arguments or (["fret"] if takes else [])) == kind.arguments
        assert means.startswith(kind.meaning)
    for code in [*re.findall(r"`\[([^\]`]+)\]`", FORMAT), "trill 12"]:
        (bar,) = _subject(f"1-4  3:7[{code}]\n").solo.bars
        assert all(accepts(mark) for mark in bar.lines[0].slots[0].notes[0].marks), code


def test_the_canonical_form_of_the_example_is_the_one_shown() -> None:
    section = FORMAT[FORMAT.index("## Canonical form") : FORMAT.index("## Limits")]
    typed, shown = fences(section, "solo")
    assert formatted(from_text(HEADER + typed.text)).endswith("\n\n" + shown.text)


# ---- the tables of the format: chords, addresses, claims, limits


@pytest.mark.parametrize("row", table(FORMAT, "Chord symbols"), ids=lambda row: row[0])
def test_chord_symbols(row: list[str]) -> None:
    for code in codes(row[0]):
        chord = read_chord(code)
        assert " ".join(map(str, chord.degrees)) == row[1], code
        assert (str(chord.bass) if chord.bass else "") == code.partition("/")[2].strip("1369maj7"), code


def test_what_is_said_of_single_chords() -> None:
    assert read_chord("A7alt").available == (Degree(9, -1), Degree(9, 1), Degree(5, -1), Degree(13, -1))
    for code in ("A2", "A4", "Abb", "Ah7", "A07", "A^", "Amj7", "C/D7"):
        with pytest.raises(Exception, match=r"two ways|two accidentals|on others|can be read as|over each other"):
            read_chord(code)
    assert str(read_chord("Ab5").root) == "Ab"


def test_addresses_are_read() -> None:
    for address, _ in table(FORMAT, "Addresses"):
        (code,) = codes(address)
        reading = read_solo(from_text(f"{HEADER}bar 1\n1-4  3:7\n\npassage {code}  Here\n"))
        assert not reading.problems
        assert str(reading.solo.passages[0].range) == code


def test_claims_of_every_kind_are_shown_and_read() -> None:
    named = (Passage(AddressRange(Address(1), Address(1)), "The call"),)
    claims = [read_claim(codes(claim)[0], passages=named) for claim, _ in table(FORMAT, "Claims in the lesson")]
    kinds = [type(one) for claim in claims for one in claim.statements]
    assert list(dict.fromkeys(kinds)) == list(get_args(Statement))
    assert not claims[-1].statements


def test_the_claims_about_the_example_are_true() -> None:
    (lesson,) = fences(FORMAT, "markdown")
    before = [fence for fence in fences(FORMAT, "solo") if fence.start < lesson.start]
    subject = _subject(before[-1].text)
    assert not list(check_lesson(from_text(lesson.text), subject))
    raised = _subject(before[-1].text.replace("1:5", "1:6"))
    assert len(list(check_lesson(from_text(lesson.text), raised))) == 2


def test_limits() -> None:
    most = [cell.split()[0].replace(",", "") for _, cell in table(FORMAT, "Limits")]
    assert [int(number) for number in most] == [
        source.MAX_BYTES // 1024**2,
        unreadable.MAX_LINE,
        limits.MAX_BARS,
        limits.MAX_COUNT,
        limits.MAX_SLOTS,
        limits.MAX_PLAYED_SLOTS,
        limits.MAX_WEIGHT,
        3,
        build.LONGEST_FREE_BAR,
        MAX_STRINGS,
        MAX_FRETS,
    ]
    for depth in (3, 4):
        text = "1-4  " + "(" * depth + "3:7 3:5" + ")" * depth + "\n"
        assert bool(_subject(text).reading.problems) == (depth > 3)
