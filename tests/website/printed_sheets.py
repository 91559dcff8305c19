"""How far down each sheet of a PDF is printed, read from what draws it: enough for what Chromium's Skia writes."""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator

Matrix = tuple[float, float, float, float, float, float]

_OBJECT = re.compile(rb"(\d+) 0 obj\s*(.*?)endobj", re.DOTALL)
_TOKEN = re.compile(rb"\((?:\\.|[^()\\])*\)|<[0-9A-Fa-f]*>|\[[^\]]*\]|/?[^\s\[\]<>()/]+")
_POINTS = {b"m": 1, b"l": 1, b"c": 3}


def feet_of(pdf: bytes, header: float) -> list[float]:
    """The height of the lowest ink of each sheet as a share of its height, from the top.

    What lies within `header` points of either edge, the running title and the number of the sheet, is left out.
    """
    objects = dict(_OBJECT.findall(pdf))
    feet = []
    for body in objects.values():
        if not re.search(rb"/Type\s*/Page\b", body):
            continue
        height = float(re.search(rb"/MediaBox\s*\[\S+ \S+ \S+ (\S+)\]", body)[1])
        content = objects[re.search(rb"/Contents (\d+) 0 R", body)[1]]
        drawn = zlib.decompress(re.search(rb"stream\r?\n(.*)\r?\nendstream", content, re.DOTALL)[1])
        inside = [y for y in _heights(drawn) if header < y < height - header]
        feet.append(1 - min(inside, default=height) / height)
    return feet


def _heights(content: bytes) -> Iterator[float]:
    """The heights of all points of lines and of all beginnings of texts, from the lower edge."""
    matrix: Matrix = (1, 0, 0, 1, 0, 0)
    text: Matrix = matrix
    kept: list[Matrix] = []
    numbers: list[float] = []
    for token in _TOKEN.findall(content):
        try:
            numbers.append(float(token))
            continue
        except ValueError:
            pass
        if token == b"q":
            kept.append(matrix)
        elif token == b"Q":
            matrix = kept.pop()
        elif token == b"cm":
            matrix = _times(tuple(numbers[-6:]), matrix)
        elif token == b"Tm":
            text = _times(tuple(numbers[-6:]), matrix)
        elif token in (b"Tj", b"TJ"):
            yield text[5]
        elif token in _POINTS:
            x, y = numbers[-2:]
            yield matrix[1] * x + matrix[3] * y + matrix[5]
        numbers = []


def _times(one: Matrix, other: Matrix) -> Matrix:
    a, b, c, d, e, f = one
    g, h, i, j, k, m = other
    return a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m
