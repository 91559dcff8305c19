"""The score that a page plays, and the controls around it: from text to numbers and HTML, without a browser."""

from __future__ import annotations

import gzip
import json
import random
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from drawn import SOLOS, timeline
from generated import solos
from hypothesis import given, settings
from practised import STYLES
from thoroughness import share

from tabtools.website.scripts import SOLO_PAGE, joined
from tabtools.website.solo_page.playback import score_of
from tabtools.website.solo_page.practice import controls
from tabtools.website.solo_page.tab import tab_html

PLUCK, HAMMER, PULL, TAP, MUTED, DEAD, HARMONIC = range(7)
JUMP, GLIDE, FRETS = range(3)
"""As the script reads them."""

MOST_BYTES = 200_000
MOST_SCRIPT = 40_000


def score(text: str, meter: str = "4/4") -> dict:
    return score_of(timeline(text, meter))


def voices(text: str) -> list[list]:
    return score(text)["voices"]


def triples(flat: list[int]) -> list[tuple[int, ...]]:
    return list(zip(flat[::3], flat[1::3], flat[2::3], strict=True))


def test_a_plucked_note_is_one_voice_of_one_strike() -> None:
    assert voices("bar 1\n1    3:7\n2-4  .\n") == [[0, 500, [0, PLUCK, 80], [0, 6200, JUMP]]]


def test_legato_goes_on_in_the_voice_it_comes_from() -> None:
    (voice,) = voices("bar 1\n1    3:5 h7\n2    p5 t12\n3-4  .\n")
    start, length, strikes, curve = voice
    assert (start, length) == (0, 1000)
    assert [kind for _, kind, _ in triples(strikes)] == [PLUCK, HAMMER, PULL, TAP]
    assert triples(curve) == [(0, 6000, JUMP), (250, 6200, JUMP), (500, 6000, JUMP), (750, 6700, JUMP)]


def test_a_bend_slot_arrives_when_it_begins() -> None:
    (voice,) = voices("bar 1\n1    3:7\n2    b9\n3    r7\n4    .\n")
    assert triples(voice[2]) == [(0, PLUCK, 80)]
    assert triples(voice[3]) == [
        (0, 6200, JUMP),
        (340, 6200, JUMP),
        (500, 6400, GLIDE),
        (840, 6400, JUMP),
        (1000, 6200, GLIDE),
    ]


def test_a_bend_of_a_string_that_was_damped_is_a_voice_of_its_own() -> None:
    found = voices("bar 1\n1    3:5 h3:x b7r5 -\n2-4  .\n")
    assert [[kind for _, kind, _ in triples(voice[2])] for voice in found] == [[PLUCK], [DEAD], [PLUCK]]


def test_a_slide_runs_over_the_frets_to_its_slot() -> None:
    (voice,) = voices("bar 1\n1    3:7\n2    /12\n3-4  .\n")
    assert triples(voice[2]) == [(0, PLUCK, 80)]
    assert triples(voice[3]) == [(0, 6200, JUMP), (380, 6200, JUMP), (500, 6700, FRETS)]


@pytest.mark.parametrize(
    ("note", "strike"),
    [
        ("3:x", (0, DEAD, 44)),
        ("3:5[pm]", (0, MUTED, 80)),
        ("4:<12>", (0, HARMONIC, 80)),
        ("h3:5", (0, HAMMER, 56)),
        ("t3:12", (0, TAP, 64)),
        ("3:5[ghost]", (0, PLUCK, 40)),
        ("3:5[accent]", (0, PLUCK, 104)),
    ],
)
def test_how_a_string_is_struck(note: str, strike: tuple[int, ...]) -> None:
    (voice,) = voices(f"bar 1\n1    {note}\n2-4  .\n")
    assert triples(voice[2]) == [strike]


def test_vibrato_swells_and_slides_away_have_their_span() -> None:
    (voice,) = voices("bar 1\n1-2  3:7~[swell]\n3-4  .\n")
    assert voice[4:] == [[150, 1000, 18], [0, 600]]
    (voice,) = voices("bar 1\n1-2  3:7~~\\\n3-4  .\n")
    assert voice[4:] == [[150, 1000, 45], None, 850]


def test_bars_have_their_counts_strokes_and_places_in_the_recording() -> None:
    text = (
        "bar 0\n4    3:5 3:7\n\nbar 1  at 0:10\n1    3:5\n2-4  .\n\nbar 2  free 3s\n1    3:5 3:7\n\n"
        "bar 3  meter 3/4  at 0:09\n1-3  3:5\n\nbar 4  at 0:20.5\n1-3  3:5\n"
    )
    assert score(text)["bars"] == [
        [0, 0, 4, 1, 4, [0, 250]],
        [1, 500, 1, 4, 4, [500], 10000],
        [2, 2500, 1, 0, 4, [2500, 4000]],
        [3, 5500, 1, 3, 3, [5500]],
        [4, 7000, 1, 3, 3, [7000], 20500],
    ]


def test_swing_tempo_and_repeats_are_those_of_the_timeline() -> None:
    header = "title: A\nrights: CC0-1.0\nmeter: 4/4\ntempo: 60\nfeel: swing 2:1\n\n"
    played = score(header + "bar 1\n1    3:5 3:7\n2-4  .\n\nbars 2-2 like 1-1\n")
    assert [bar[5] for bar in played["bars"]] == [[0, 667], [4000, 4667]]


@pytest.mark.parametrize("path", SOLOS, ids=lambda path: path.stem)
def test_every_stroke_of_the_demo_solos_is_played_when_it_is_written(path: Path) -> None:
    timed = timeline(path.read_text(encoding="utf-8"))
    played = score_of(timed)
    struck = {voice[0] + at for voice in played["voices"] for at in voice[2][::3]}
    glided = {voice[0] + at for voice in played["voices"] for at in voice[3][::3]}
    for note in timed.notes:
        moment = round(note.start * 1000)
        if any(mark.word == "roll" for mark in note.marks):
            continue
        arrives = note.via in ("b", "r", "w", "/", "\\") and note.origin is not None
        assert any(moment + off in (glided if arrives else struck) for off in (-1, 0, 1)), note.address


@settings(max_examples=share(40))
@given(solos())
def test_every_score_is_in_order_and_of_finite_numbers(text: str) -> None:
    timed = timeline(text)
    played = score_of(timed)
    json.dumps(played, allow_nan=False)
    assert [voice[0] for voice in played["voices"]] == sorted(voice[0] for voice in played["voices"])
    for start, length, strikes, curve, *more in played["voices"]:
        assert 0 <= start <= played["end"] + 100
        assert strikes
        assert length >= 0
        for flat in (strikes, curve):
            moments = flat[::3]
            assert moments == sorted(moments)
            assert all(0 <= moment <= length + 70 for moment in moments)
        assert all(0 < level <= 150 for level in strikes[2::3])
        assert all(0 < cents < 14_000 for cents in curve[1::3])
        assert not more or more[-1] is not None
    assert sum(len(bar[5]) for bar in played["bars"]) == len({note.address for note in timed.notes})


def test_long_trills_and_tremolos_stay_within_bounds() -> None:
    text = "bar 1  free 600s\n1    3:5[trem]\n2    3:5[trill 7]\n"
    assert len(json.dumps(score(text))) < 20_000


class _Labels(HTMLParser):
    """Fields that stand in no label, and what the elements are."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.unlabelled: list[str] = []
        self.texts: list[str] = []
        self.seen: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append(tag)
        if tag in ("input", "select") and "label" not in self.open and not dict(attrs).get("aria-label"):
            self.unlabelled.append(dict(attrs).get("name") or "")
        if tag != "input":
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


HOSTILE = "</script><script>alert(1)</script>\"'&<img src=x onerror=alert(2)>"


def test_names_arrive_as_text() -> None:
    page = controls(timeline(f"section A  {HOSTILE}\n\nbar 1\n1-4  3:5\n\npassage 1.1-1.4  {HOSTILE}\n"))
    parser = _Labels()
    parser.feed(page)
    parser.close()
    assert parser.open == []
    assert "img" not in parser.seen
    assert parser.seen.count("script") == 1
    assert any(HOSTILE in said for said in parser.texts)


def test_every_field_has_its_label_and_the_score_is_plain_json() -> None:
    page = controls(timeline("bar 1\n1-4  3:5\n"))
    parser = _Labels()
    parser.feed(page)
    assert parser.unlabelled == []
    inlined = re.search(r'<script type="application/json" class="tt-score">(.*?)</script>', page)
    assert inlined is not None
    assert json.loads(inlined[1]) == score("bar 1\n1-4  3:5\n")
    assert page.startswith('<section class="tt-practice" aria-label="Practice" data-search-exclude>')


def test_a_solo_without_bars_has_no_controls() -> None:
    assert controls(timeline("title: A\nrights: CC0-1.0\nmeter: 4/4\n")) == ""


def options(text: str) -> list[tuple[str, str]]:
    return re.findall(r'<option value="(\d[^"]*)">([^<]*)</option>', controls(timeline(text)))


def test_passages_and_sections_can_be_chosen() -> None:
    text = (
        "section A  Out\n\nbar 1\n1    3:5 3:7\n2-4  3:5\n\n"
        "section B\n\nbar 2\n1-2  3:5\n3-4  3:5\n\nbars 3-3 like 2-2\n\n"
        "passage 1.1-2.2  Over the line\npassage 1.1.2\npassage 2\npassage 9.1  Nowhere\npassage 3.3-3.4  Last\n"
    )
    assert options(text) == [
        ("0 3000", "Over the line, 1.1–2.2"),
        ("250 500", "1.1.2"),
        ("2000 4000", "2"),
        ("5000 6000", "Last, 3.3–3.4"),
        ("0 2000", "A Out"),
        ("2000 6000", "B"),
    ]


def test_a_page_of_64_bars_stays_small() -> None:
    chance = random.Random(5)
    ways = ("", "", "~", "b9", "h12", "[pm]")
    bars = []
    for number in range(1, 65):
        bars.append(f"bar {number}  Am7\n")
        for count in range(1, 5):
            slots = (f"{chance.randint(1, 6)}:{chance.randint(3, 8)}{chance.choice(ways)}" for _ in range(4))
            bars.append(f"{count}    {' '.join(slots)}\n")
        bars.append("\n")
    timed = timeline("".join(bars))
    assert len(timed.notes) == 1024
    parts = (controls(timed), tab_html(timed)[0], joined(SOLO_PAGE), STYLES)
    sizes = [len(gzip.compress(part.encode())) for part in parts]
    assert sum(sizes) < MOST_BYTES
    assert sizes[2] < MOST_SCRIPT


def test_the_script_asks_for_nothing_from_elsewhere() -> None:
    code = joined(SOLO_PAGE)
    for name in (
        "fetch(",
        "XMLHttpRequest",
        "import(",
        "http:",
        "https:",
        "innerHTML",
        "eval(",
        "WebSocket",
        "sendBeacon",
    ):
        assert name not in code
