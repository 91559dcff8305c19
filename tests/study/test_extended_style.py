"""In the extended style sentences call tones as the labels do: an altered chord has #9 and b13, not b3 and b6."""

from __future__ import annotations

import pytest
from made_music import subject

from tabtools.study import study_of

CELL = "bar 1  G7alt\n1  3:15 3:13 2:16 3:13\n2  3:15 3:13 2:16 3:13\n3  3:15 3:13 2:16 3:13\n4  3:15 - - -\n"
BEND = "bar 1  G7alt\n1-2  3:10b13\n3-4  .\n"


def sentences(text: str, style: str) -> str:
    study = study_of(subject(text).timeline, style)
    return " | ".join([*(device.sentence for device in study.devices), *(role.said for role in study.roles)])


@pytest.mark.parametrize(
    ("text", "plain", "extended"),
    [
        (CELL, "b3 b2 b6 b2 of G7alt", "#9 b9 b13 b9 of G7alt"),
        (BEND, "from b7 to b2 of G7alt", "from b7 to b9 of G7alt"),
    ],
)
def test_sentences_have_the_degrees_of_the_style(text: str, plain: str, extended: str) -> None:
    assert plain in sentences(text, "plain")
    assert extended in sentences(text, "extended")
    assert plain not in sentences(text, "extended")
