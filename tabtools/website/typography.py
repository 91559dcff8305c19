"""Chords, notes and degrees as pages print them, within text that says other things too.

`with_accidentals` prints what is known to be a name; here names are looked for in sentences, by somebody's hand or with
places of the format among them, such as `2:7b9`, which stay as they are.
"""

from __future__ import annotations

import re

from tabtools.engraving.metrics import with_accidentals

_KIND = r"(?:m(?:aj|in)?|M|dim|aug|sus|add|alt|°|ø|[(),/+-]|[b#]?[0-9]+|(?<=/)[A-G][b#]?)*"
_NAME = re.compile(
    rf"(?<![\w:.#/-])(?:[A-G](?:[b#](?![a-z])|[b#]?(?=m|M|dim|aug|sus|add|alt|[0-9(/])){_KIND}"
    r"|(?:bb?(?=[2-7]|9|1[13])|#(?=[4569]|11))[0-9]{1,2})(?![\w:])"
)
_TAG = re.compile(r"(<(code|pre|kbd)\b.*?</\2>|<[^>]*>)", re.DOTALL)


def in_prose(text: str) -> str:
    """A text with the names in it as they are printed: `the b3 of F#m7, 2:7b9` as `the ♭3 of F♯m7, 2:7b9`."""
    return _NAME.sub(lambda name: with_accidentals(name[0]), text)


def in_prose_of(html: str) -> str:
    """The same for HTML, whose code and tags stay as they are."""
    parts = _TAG.split(html)
    return "".join(in_prose(part) if at % 3 == 0 else part if at % 3 == 1 else "" for at, part in enumerate(parts))
