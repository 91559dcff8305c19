"""What a served page is told of its solo."""

from __future__ import annotations

import re

from tabtools.checks.run import lint
from tabtools.checks.subject import subject_of
from tabtools.source import from_text
from tabtools.website.serving.bench import OnTheBench
from tabtools.website.serving.on_the_way_out import said_html

DRAFT = """\
title: Rope Ferry
player: the Slipway Trio
rights: CC0-1.0
meter: 4/4

bar 1  Am7
1-4  =E4 =G4

bar 2  D7?
1-4  =C4 =E4

bar 3  Am7
1-3  =A3?
"""


def test_a_first_draft_floods_no_panel_and_hides_no_error() -> None:
    subject = subject_of(from_text(DRAFT, "dusk.solo"))
    html = str(said_html(OnTheBench(tuple(lint([subject])), (subject.source,))))
    rows = re.findall(r'<li class="tt-(\w+)"(?: data-count="(\d+)")?>.*?<small>\[([\w-]+)\]', html)
    assert rows == [
        ("error", "", "bar-duration"),
        ("note", "", "open-chord"),
        ("note", "", "unsure-reading"),
        ("note", "5", "open-place"),
    ]
    assert '<h3>Bars <a href="#b1">1</a>, <a href="#b2">2</a>, <a href="#b3">3</a></h3>' in html
