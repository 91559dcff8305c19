"""Every document is valid by the published schema, whatever the solo; its text is text."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from exported import DEMO, MADE, demo, made, made_open, timeline
from hypothesis import given, settings
from schema import faults
from strategies import solos
from thoroughness import share

from tabtools.exchange import musicxml
from tabtools.model.solo import Solo
from tabtools.timeline import timeline_of


def test_the_schema_finds_faults() -> None:
    document = musicxml(demo(DEMO[0]))
    assert faults(document.replace("<duration>", "<duration>x", 1))
    assert faults(document.replace('type="start"', 'type="begin"', 1))
    assert faults(document.replace("<voice>1</voice>", "", 1)) == []


@pytest.mark.parametrize("name", DEMO)
def test_demo(name: str) -> None:
    assert faults(musicxml(demo(name), "extended")) == []


@pytest.mark.parametrize("first", MADE[::10])
def test_generated(first: int) -> None:
    for seed in range(first, first + 10):
        assert faults(musicxml(made(seed))) == [], seed
        assert faults(musicxml(made_open(seed), "plain")) == [], seed
        assert faults(musicxml(made(seed), "plain", "both")) == [], seed
        assert faults(musicxml(made_open(seed), None, "standard")) == [], seed


@settings(max_examples=share(60))
@given(solos(with_comments=False))
def test_drafts_that_make_no_sense(solo: Solo) -> None:
    assert faults(musicxml(timeline_of(solo), "plain")) == []


HOSTILE = (
    "<script>alert(1)</script>",
    "]]><x/><!-- & --> &amp; &#0;",
    "\"><note/><a b='",
    "%xxe; <!DOCTYPE a [<!ENTITY b SYSTEM 'file:///etc/hosts'>]> &b;",
    "\ufffe\uffff é 漢 🎸",
)


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_arrives_as_text(text: str) -> None:
    fields = "".join(f"{name}: {text}\n" for name in ("title", "player", "composer", "recording", "rights", "summary"))
    document = musicxml(timeline(f"{fields}tags: {text}\nmeter: 4/4\n\nsection A  {text}\n\nbar 1\n1-4  3:7\n"))
    assert faults(document) == []
    root = ElementTree.fromstring(document)
    shown = text.replace("\ufffe\uffff", "\ufffd\ufffd")
    for place in ("work/work-title", "identification/creator", "identification/rights", "identification/source"):
        assert root.findtext(place) == shown
    assert root.findtext(".//direction-type/words") == shown
    assert len(root.findall(".//note")) == 1
    plain = musicxml(timeline("title: a\nmeter: 4/4\n\nsection A  a\n\nbar 1\n1-4  3:7\n"))
    assert {one.tag for one in root.iter()} - {one.tag for one in ElementTree.fromstring(plain).iter()} == {
        *("creator", "rights", "source", "miscellaneous", "miscellaneous-field")
    }


@pytest.mark.parametrize("symbol", ["A<b>7", "C&D", 'E"x"', "Hx", "G7\ufffe"])
def test_chord_symbols_that_are_none(symbol: str) -> None:
    document = musicxml(timeline(f"meter: 4/4\n\nbar 1  {symbol}\n1-4  3:7\n"))
    assert faults(document) == []
    kind = ElementTree.fromstring(document).find(".//kind")
    assert (kind.text, kind.get("text")) == ("other", symbol.replace("\ufffe", "\ufffd"))


def test_a_solo_without_bars() -> None:
    assert faults(musicxml(timeline("title: a\n"))) == []
