"""Bytes to text, places in it, and what cannot be taken as text at all."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tabtools.source import MAX_BYTES, SourceError, SourceText, Span, decode, from_text, visible


def refused(data: bytes) -> tuple[str, str, tuple[int, int] | None]:
    """The message, the advice and the place of what is refused."""
    with pytest.raises(SourceError) as caught:
        decode(data, "x.solo")
    error = caught.value
    return error.message, error.advice, error.source.locate(error.offset) if error.source else None


@pytest.mark.parametrize(
    ("data", "message", "place"),
    [
        (b"title: A\nbar 1\0\n", "a NUL byte is not allowed in a solo file", (2, 6)),
        (b"title: \x1b[31mA\n", "a terminal escape is not allowed in a solo file", (1, 8)),
        (b"title: A\x07\n", "a control character (U+0007) is not allowed in a solo file", (1, 9)),
        (b"title: A\x7f\n", "a control character (U+007F) is not allowed in a solo file", (1, 9)),
        ("title: A\u0085\n".encode(), "a control character (U+0085) is not allowed in a solo file", (1, 9)),
        (b"title: A\x0cB\n", "a control character (U+000C) is not allowed in a solo file", (1, 9)),
        ("x\nt: \u202eA\n".encode(), "a bidirectional control (U+202E) is not allowed in a solo file", (2, 4)),
        ("t: \u2066A\n".encode(), "a bidirectional control (U+2066) is not allowed in a solo file", (1, 4)),
        ("t: \u200fA\n".encode(), "a bidirectional control (U+200F) is not allowed in a solo file", (1, 4)),
        ("t: \u061cA\n".encode(), "a bidirectional control (U+061C) is not allowed in a solo file", (1, 4)),
        ("t: A\u2028B\n".encode(), "a line separator is not allowed in a solo file", (1, 5)),
        ("t: A\u2029B\n".encode(), "a paragraph separator is not allowed in a solo file", (1, 5)),
        (
            "t: A\n\ufeffB\n".encode(),
            "a byte-order mark in the middle of the text is not allowed in a solo file",
            (2, 1),
        ),
    ],
)
def test_characters_no_solo_needs_are_refused_with_their_place(
    data: bytes, message: str, place: tuple[int, int]
) -> None:
    assert refused(data) == (message, "delete it", place)


@pytest.mark.parametrize(
    ("data", "message", "place"),
    [
        (b"title: caf\xe9\n", "byte 0xe9 is not UTF-8 text", (1, 11)),
        (b"title: A\nbar 1\n1 3:7 # \xff\n", "byte 0xff is not UTF-8 text", (3, 9)),
        (b"\xef\xbb\xbftitle: \xe9\n", "byte 0xe9 is not UTF-8 text", (1, 8)),
        (b"a\r\nb\xe9\r\n", "byte 0xe9 is not UTF-8 text", (2, 2)),
        (b"\x89PNG\r\n", "byte 0x89 is not UTF-8 text", (1, 1)),
        (b"title: \xe2\x82", "byte 0xe2 is not UTF-8 text", (1, 8)),
        (b"\xed\xa0\x80", "byte 0xed is not UTF-8 text", (1, 1)),
    ],
)
def test_bytes_that_are_not_utf8_are_refused_with_their_place(
    data: bytes, message: str, place: tuple[int, int]
) -> None:
    assert refused(data) == (message, "save the file as UTF-8", place)


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_other_encodings_are_refused(encoding: str) -> None:
    message, _, _ = refused("title: A\n".encode(encoding))
    assert message in ("the file is in UTF-16", "a NUL byte is not allowed in a solo file")


def test_the_largest_file() -> None:
    assert len(decode(b"#" * MAX_BYTES, "x.solo").text) == MAX_BYTES + 1
    message, advice, place = refused(b"#" * (MAX_BYTES + 1))
    assert message == "the file has 1,048,577 bytes; the most is 1,048,576 (1 MiB)"
    assert advice == "one file holds one solo: split it"
    assert place is None


def test_line_ends_and_the_byte_order_mark_are_tidied() -> None:
    source = decode(b"\xef\xbb\xbfa\r\nb\rc", "x.solo")
    assert source.text == "a\nb\nc\n"
    assert source.had_bom
    assert source.had_crlf
    plain = decode(b"a\nb\nc\n", "x.solo")
    assert plain == source
    assert not plain.had_bom
    assert not plain.had_crlf


def test_an_empty_file_is_empty() -> None:
    source = decode(b"", "x.solo")
    assert source.text == ""
    assert source.lines() == []
    assert source.locate(0) == (1, 1)
    assert source.excerpt(Span(0, 0)) == ("", "^")


def test_places_count_characters_from_one() -> None:
    source = from_text("é🎸x\n\nlast")
    assert [source.locate(offset) for offset in range(9)] == [
        (1, 1),
        (1, 2),
        (1, 3),
        (1, 4),
        (2, 1),
        (3, 1),
        (3, 2),
        (3, 3),
        (3, 4),
    ]
    assert source.line(3) == "last"
    assert source.line(4) == source.line(0) == ""


def test_an_excerpt_points_at_its_span() -> None:
    source = from_text("bar 1\n1    3:7 3:x9 3:5\n")
    assert source.excerpt(Span(15, 19)) == ("1    3:7 3:x9 3:5", "         ^^^^")


def test_an_excerpt_of_a_long_line_is_cut_about_its_span() -> None:
    source = from_text("1    " + "3:7 " * 100 + "3:x9 " + "3:5 " * 100)
    line, carets = source.excerpt(Span(405, 409), 60)
    assert len(line) == 60
    assert line.startswith("…")
    assert line.endswith("…")
    assert line[carets.index("^") : len(carets)] == "3:x9"


def test_controls_are_shown_as_signs() -> None:
    """An excerpt of what was refused must not do in a terminal what the file wanted it to do."""
    source = SourceText("x.solo", "a\x1b[2Jb\x7f\u202ec\tz\x00\n")
    line, carets = source.excerpt(Span(1, 2))
    assert line == "a␛[2Jb␡\ufffdc z␀"
    assert carets == " ^"
    assert visible("x\n\t\x9b") == "x␊␉\ufffd"


@given(st.text(max_size=300), st.integers(0, 320), st.integers(0, 50), st.integers(10, 80))
def test_excerpts_fit_and_point_at_the_character(text: str, start: int, length: int, width: int) -> None:
    source = SourceText("x.solo", text.replace("\r", "") + "\n")
    start = min(start, len(source.text))
    line, carets = source.excerpt(Span(start, start + length), width)
    assert len(line) <= width
    assert len(carets) <= width
    assert carets.strip(" ") == "^" * len(carets.strip(" "))
    number, column = source.locate(start)
    shown = visible(source.line(number).replace("\t", " "))
    if column <= len(shown):
        assert line[carets.index("^")] == shown[column - 1]


@given(st.binary(max_size=200))
def test_any_bytes_are_text_or_refused(data: bytes) -> None:
    try:
        source = decode(data, "x.solo")
    except SourceError as error:
        assert error.message
        assert error.advice
        if error.source is not None:
            assert 0 <= error.offset <= len(error.source.text)
    else:
        assert source.text == "" or source.text.endswith("\n")
