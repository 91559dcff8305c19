"""A solo as MusicXML 4.0: one part on a tab, a standard staff or both, bars as they are played, repeats written out.

Source: MusicXML 4.0 (W3C Music Notation Community Group, 2021), score-partwise. A tab has the
pitch of the place where a string is stopped; what bends it follows as `bend`. "Negative values indicate pre-bends or
releases", so both are. A standard staff has every pitch that sounds: where a bend begins is a grace note, slurred to
what it leads to. Two voices follow each other in a measure, on two staves both again.

What is not known yet stays so: a pitch without a place has neither string nor fret, a note without a pitch is
unpitched with a slash for its head, a stretch that is not heard unpitched with a block, without a stem; each says so in
its footnote. Under a doubtful count notes have their durations and no values, under words and dashes. A doubtful chord
has a question mark behind it.
"""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree.ElementTree import Element

from tabtools import __version__
from tabtools.exchange.markup import lines_of, sub
from tabtools.exchange.measures import measure_elements
from tabtools.exchange.programs import Program, program_of
from tabtools.exchange.signatures import Staves
from tabtools.harmony.degrees import DegreeStyle
from tabtools.model.solo import Header
from tabtools.timeline import Timeline


def musicxml(timeline: Timeline, degrees: DegreeStyle | None = None, staves: Staves = "tab") -> str:
    """The whole document. `degrees` writes the degree of each note under it, as lyrics, in that style."""
    return "".join(_document(timeline, degrees, staves))


def _document(timeline: Timeline, degrees: DegreeStyle | None, staves: Staves) -> Iterator[str]:
    header = timeline.solo.header
    yield '<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0">\n'
    for element in _front(header, staves):
        yield lines_of(element, 1)
    yield ' <part id="P1">\n'
    for measure in measure_elements(timeline, degrees, staves):
        yield lines_of(measure, 2)
    yield " </part>\n</score-partwise>\n"


def _front(header: Header, staves: Staves) -> Iterator[Element]:
    if header.title:
        work = Element("work")
        sub(work, "work-title", header.title)
        yield work
    identification = Element("identification")
    for kind, name in (("composer", header.composer), ("performer", header.player)):
        if name:
            sub(identification, "creator", name, {"type": kind})
    if header.rights:
        sub(identification, "rights", header.rights)
    encoding = sub(identification, "encoding")
    sub(encoding, "software", f"tabtools {__version__}")
    for name, kind in (("accidental", "no"), ("beam", "yes"), ("stem", "yes" if staves == "tab" else "no")):
        sub(encoding, "supports", attributes={"element": name, "type": kind})
    if header.recording:
        sub(identification, "source", header.recording)
    instrument = header.instrument
    more = {
        "summary": header.summary,
        "tags": ", ".join(header.tags),
        "concert pitch": f"A4 = {instrument.reference:g} Hz" if instrument.reference != 440 else "",
    }
    if any(more.values()):
        miscellaneous = sub(identification, "miscellaneous")
        for name, value in more.items():
            if value:
                sub(miscellaneous, "miscellaneous-field", value, {"name": name})
    yield identification
    yield _part_list(program_of(instrument))


def _part_list(program: Program) -> Element:
    parts = Element("part-list")
    part = sub(parts, "score-part", attributes={"id": "P1"})
    sub(part, "part-name", program.name)
    instrument = sub(part, "score-instrument", attributes={"id": "P1-I1"})
    sub(instrument, "instrument-name", program.name)
    sub(instrument, "instrument-sound", program.sound)
    midi = sub(part, "midi-instrument", attributes={"id": "P1-I1"})
    sub(midi, "midi-channel", 1)
    sub(midi, "midi-program", program.number)
    return parts
