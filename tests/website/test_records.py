"""Records that Python writes and scripts read: both sides have the same fields, and read back is what was written."""

from __future__ import annotations

import json
import re
from html import unescape
from typing import Any

import pytest
from corrections import page_html
from drawn import SOLOS, timeline
from node import ROOT, node

from tabtools.checks.subject import subject_of
from tabtools.engraving.metrics import with_accidentals
from tabtools.performance import Attack, CurveShape
from tabtools.problem import Problem, Severity
from tabtools.source import SourceText, Span
from tabtools.study import study_of
from tabtools.website import records, scripts
from tabtools.website.facets import Facets, facets_of
from tabtools.website.figure_index import TAKEN_BY, figure_index
from tabtools.website.index_page import COLUMNS, NUMBERS, solos_index
from tabtools.website.links import Links, runs
from tabtools.website.records import FACTS, SHAPES, STRIKE_KINDS, NoteRecord
from tabtools.website.scripts import module
from tabtools.website.serving.bench import OnTheBench
from tabtools.website.serving.on_the_way_out import bench_html
from tabtools.website.solo_page.correction_form import correction_form_html, written_bars
from tabtools.website.solo_page.lesson import claim_link
from tabtools.website.solo_page.note_records import known_html, label_switch
from tabtools.website.solo_page.playback import score_of

READER = (scripts.ASSETS / "records.js").read_text(encoding="utf-8")
RECORDS = {
    "BAR": records.BarRecord,
    "CHORD": records.ChordRecord,
    "VOICE": records.VoiceRecord,
    "STRIKE": records.StrikeRecord,
    "POINT": records.PointRecord,
    "VIBRATO": records.VibratoRecord,
    "SWELL": records.SwellRecord,
    "NOTE": records.NoteRecord,
    "FIGURE_BLOCKS": records.FigureBlocks,
    "FIGURES": records.FiguresRecord,
    "WRITTEN_BAR": records.WrittenBar,
}
LINKS = Links(directory_urls=False)
MUSIC = """\
title: Dusk
player: B
recording: C
rights: CC0-1.0
meter: 4/4
key: A minor

bar 1  Am7  at 0:10
1    3:5 3:7~
2    3:7b9[swell]
3    2:5/8 -
4    1:5\\ .

bar 2  at 0:12.5
1-2  3:x
3-4  3:7[ghost]

bars 3-4 like 1-2
"""


def camel(field: str) -> str:
    """`first_count` as `firstCount`, `from_` as `from`."""
    return re.sub(r"_(\w)", lambda found: found[1].upper(), field.rstrip("_"))


def lists_of_the_reader() -> dict[str, tuple[str, ...]]:
    found = re.findall(r"^export const ([A-Z_]+) = (\[[^\]]*\]);$", READER, re.MULTILINE)
    return {name: tuple(json.loads(fields)) for name, fields in found}


def read(function: str, written: Any) -> Any:
    """What the script makes of what Python wrote."""
    code = (
        f"import {{ {function} }} from './{(scripts.ASSETS / 'records.js').relative_to(ROOT).as_posix()}';"
        f"console.log(JSON.stringify({function}({json.dumps(written)})));"
    )
    return json.loads(node("--input-type=module", "--eval", code))


def named(record: Any) -> dict[str, Any]:
    """A record by the names that a script knows; what is None at its end is left out."""
    return dict(zip(map(camel, record._fields), records.listed(record), strict=False))


def embedded(html: str, name: str) -> Any:
    (found,) = re.findall(rf'class="{name}">(.*?)</script>', html)
    return json.loads(found)


def facets() -> Facets:
    return facets_of("dusk", subject_of(SourceText("dusk.solo", MUSIC)))


def test_both_sides_have_the_same_fields() -> None:
    own = {name: tuple(map(camel, record._fields)) for name, record in RECORDS.items()}
    assert lists_of_the_reader() == {**own, "STRIKE_KINDS": STRIKE_KINDS, "SHAPES": SHAPES}


def test_every_record_is_read() -> None:
    here = {one for one in vars(records).values() if isinstance(one, type) and hasattr(one, "_fields")}
    assert here == set(RECORDS.values())


def test_both_sides_know_the_same_facts_of_a_solo() -> None:
    (table,) = re.findall(r"^export const FACTS = \{(.*?)^\};$", READER, re.MULTILINE | re.DOTALL)
    assert dict(re.findall(r'^  (\w+): "(\w+)",$', table, re.MULTILINE)) == FACTS
    html = solos_index([facets()], LINKS)
    (row,) = re.findall(r"<tr (data-[^>]*)>", html)
    assert dict.fromkeys(re.findall(r'data-(\w+)="', row)) == dict.fromkeys(FACTS)
    assert {name for name, *_ in COLUMNS} <= set(FACTS)
    assert {name for name, *_ in NUMBERS} <= {name for name, kind in FACTS.items() if kind == "number"}
    fields = set(re.findall(r' name="([\w-]+)"', html.partition("tt-figure-search")[0])) - {"words", "sort"}
    assert {field.removesuffix("-from").removesuffix("-to") for field in fields} <= set(FACTS)


def test_kinds_of_strokes_and_shapes_have_their_names() -> None:
    *kinds, slide = Attack
    assert [STRIKE_KINDS[kind] for kind in kinds] == list(STRIKE_KINDS)
    assert all(kind.name.lower()[:3] == STRIKE_KINDS[kind][:3] for kind in kinds)
    assert slide is Attack.SLIDE, "which no page is told"
    assert [SHAPES[shape] for shape in CurveShape] == [shape.name.lower() for shape in CurveShape] == list(SHAPES)


def test_a_score_is_read_by_its_names() -> None:
    written = score_of(timeline(MUSIC))
    seen = read("readScore", written)
    assert (seen["a4"], seen["end"]) == (440, written["end"])
    for bar, packed, after in zip(seen["bars"], written["bars"], [*written["bars"][1:], None], strict=True):
        end = bar.pop("end")
        assert bar == named(records.BarRecord(*packed))
        assert end == (after[1] if after else written["end"])
    for voice, packed in zip(seen["voices"], written["voices"], strict=True):
        own = records.VoiceRecord(*packed)
        assert voice.get("fadesFrom") == own.fades_from
        assert [(one["at"], STRIKE_KINDS.index(one["kind"]), one["level"]) for one in voice["strikes"]] == list(
            zip(own.strikes[::3], own.strikes[1::3], own.strikes[2::3], strict=True)
        )
        assert [(one["at"], one["cents"], SHAPES.index(one["shape"])) for one in voice["curve"]] == list(
            zip(own.curve[::3], own.curve[1::3], own.curve[2::3], strict=True)
        )
        assert [list(one.values()) for one in voice["vibrato"]] == ([own.vibrato] if own.vibrato else [])
        assert [list(one.values()) for one in voice["swells"]] == ([own.swells] if own.swells else [])
    assert any(voice["vibrato"] for voice in seen["voices"]) and any(voice["swells"] for voice in seen["voices"])
    assert any("fadesFrom" in voice for voice in seen["voices"])
    assert [bar.get("recordedAt") for bar in seen["bars"]] == [10_000, 12_500, None, None]


def test_what_is_known_of_the_notes_is_read_by_its_names() -> None:
    subject = subject_of(SourceText("dusk.solo", MUSIC))
    study = study_of(subject.timeline, "plain")
    written = embedded(known_html(study, subject.hand), "tt-records")
    seen = read("readNotes", written)
    assert seen == [named(NoteRecord(*note)) for note in written]
    first = seen[0]
    assert (first["chord"], first["key"], first["name"], first["finger"]) == ("♭3", "♭3", "C", "finger 1")
    assert first["sentence"] == with_accidentals(study.roles[0].sentence)
    choices = re.findall(r'<option value="(\w+)"', label_switch(study).partition("staff")[0])
    assert set(choices) - {"fret"} <= set(NoteRecord._fields)
    assert '"fret"' in (scripts.ASSETS / "study" / "labels.js").read_text(encoding="utf-8")


def test_the_index_of_figures_is_read_by_its_names() -> None:
    called, _, rest = figure_index([facets()], LINKS)["figures-0.js"].partition("(")
    _, (written,) = json.loads(rest.removesuffix(");\n"))
    (solo,) = read("readFigures", [written])
    assert solo == named(records.FiguresRecord(*written))
    assert (solo["address"], solo["title"]) == ("dusk.html", "Dusk")
    assert len(read("readPlaces", solo["places"])) == len(solo["steps"]) == len(solo["degrees"])
    assert read("readPlaces", solo["places"])[:3] == ["1.1.1", "1.1.2", "1.2.1"]
    assert called == TAKEN_BY
    assert f"globalThis.{TAKEN_BY} = " in (scripts.ASSETS / "index" / "figure_search.js").read_text(encoding="utf-8")


def test_the_places_of_bars_are_read_by_their_names() -> None:
    source = SourceText("dusk.solo", MUSIC)
    written = written_bars(source, subject_of(source).timeline)
    facts = embedded(correction_form_html(written, MUSIC.encode(), "Dusk", "dusk.solo"), "tt-written")
    seen = read("readWritten", facts)
    assert seen["bars"] == [named(bar) for bar in written.bars]
    assert seen["bars"][2] == {"number": 3, "start": 17, "end": 18, "repeats": 1, "first": 3, "last": 4}
    used = set(re.findall(r"\bdata\.(\w+)", "".join(script_texts("correction_form"))))
    assert used <= set(facts) and set(facts) - used == set()


@pytest.mark.parametrize("numbers", [[0], [1, 2, 3, 7], [4, 6, 8], list(range(50))])
def test_runs_of_notes_are_read_back(numbers: list[int]) -> None:
    assert read("readRuns", runs(numbers)) == numbers


def script_texts(folder: str) -> list[str]:
    return [path.read_text(encoding="utf-8") for path in sorted((scripts.ASSETS / folder).glob("*.js"))]


STRING = re.compile(r"\"([^\"\n]*)\"|'([^'\n]*)'|`([^`\n]*)`")
SELECTOR = re.compile(r"[\w, -]*[.\[][a-z][^.]*\S$|.*, \.tt-")
CLASS = re.compile(r"\.([a-z][\w-]*)")
ATTRIBUTE = re.compile(r"\[([a-z][\w-]*)(?:=\"([\w-]+)\")?\]")


def looked_for() -> tuple[set[str], set[str]]:
    """The classes, the theme's apart, and the attributes with their values that scripts look for; files are none."""
    texts = [module(path.relative_to(scripts.ASSETS).as_posix()).text for path in scripts.ASSETS.rglob("*.js")]
    strings = [one for text in texts for group in STRING.findall(text) for one in group if SELECTOR.match(one)]
    classes = {name for one in strings for name in CLASS.findall(one) if not name.startswith(("md-", "xml", "js"))}
    return classes, {f"{name}={value}" if value else name for one in strings for name, value in ATTRIBUTE.findall(one)}


PROBLEM = Problem("bar-duration", Severity.ERROR, "dusk.solo", Span(0, 1), "a count is missing", address="1")
MADE = (
    "tt-return",
    "tt-goes-on",
    "tt-cursor",
    "tt-span",
    "tt-now",
    "tt-chosen",
    "tt-lit",
    "tt-print",
    "tt-paged",
    "degree",
)
"""What scripts put into the page themselves, or what only some notes, or long lists, have."""


def test_scripts_look_for_what_pages_have() -> None:
    html = page_html(SOLOS[0].read_bytes(), SOLOS[0].name, "mailto:a@club.example")
    html += str(solos_index([facets()], LINKS) + claim_link("b1", "bar 1", "the root", "0"))
    html += str(bench_html("/", 1, OnTheBench((PROBLEM,)), ""))
    html = re.sub(r"<script>.*?</script>|<style>.*?</style>", "", html, flags=re.DOTALL)
    own = {name for group in re.findall(r'class="([^"]*)"', html) for name in unescape(group).split()}
    attributes = set(re.findall(r' ([a-z][\w-]*)="', html))
    values = {f"{name}={value}" for name, value in re.findall(r' ([a-z][\w-]*)="([^"]*)"', html)}
    classes, asked = looked_for()
    assert len(classes) > 25
    assert {"tt-bar", "tt-piece", "tt-score", "stroke", "note", "count", "fret", "number"} <= classes
    assert {one for one in classes - own - {*MADE} if not any(name.startswith(one) for name in own)} == set()
    assert asked - attributes - values == {"data-score", "data-to"}  # of a review, of the page for a wrong address
