"""Carry figures over from published sources into the JSON files of this folder.

The tests read the JSON files only. This script is how the figures got there and how a newer release of a source
would be taken in; no test runs it. It reads local folders, never the network:

    python extract.py chords FOLDER     the unpacked npm package @tombatossals/chords-db 0.5.1
    python extract.py theory FOLDER     the unpacked npm package tonal 6.5.1
    python extract.py scores FOLDER     the folder `musicxml` of an installed music21 10.5.1

How each figure is carried over:

- chords: every guitar voicing of `lib/guitar.json`, values unchanged.
- theory: the two lists of chord types and scales, found in the sources embedded in the package's source map.
  Nothing of the package is run. Semitones are worked out here from the interval names. Names of persons are left out.
- scores, tab: string, fret and written pitch of each note, read from the XML with the standard library.
- scores, bars: each measure as music21 reads it, one row for each staff. The sum music21 gives is compared with the
  durations written in the XML, added up here; a row where the two differ says so.

Sentences and code of the sources are not carried over. `published_figures.json` was written by hand.
"""

import json
import re
import sys
import xml.etree.ElementTree as ET
import zipfile
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

Row = dict[str, Any]

HERE = Path(__file__).parent
STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
MAJOR_SCALE = (0, 2, 4, 5, 7, 9, 11)

# Row of the scale list -> which of its names (0 is the name, 1 the first alias) are names of persons.
PERSONS = {32: {0}, 45: {1}, 46: {0}, 49: {3}, 76: {0}, 85: {2}, 87: {0}, 89: {0}, 90: {0}}


def write(name: str, head: Row, lists: dict[str, list[Row]]) -> None:
    """Write one JSON file with one record a line, so that a change shows as changed lines."""
    parts = ['"head": ' + json.dumps(head, ensure_ascii=False, indent=1)]
    for key, rows in lists.items():
        lines = ",\n".join(json.dumps(row, ensure_ascii=False, separators=(",", ":")) for row in rows)
        parts.append(f'"{key}": [\n{lines}\n]')
    (HERE / name).write_text("{\n" + ",\n".join(parts) + "\n}\n", encoding="utf-8")
    print(name, {key: len(rows) for key, rows in lists.items()})


# Chord voicings


def chords(folder: Path) -> None:
    """Write chord_voicings.json; frets stay relative to baseFret, as in the source."""
    data = json.loads((folder / "lib/guitar.json").read_text(encoding="utf-8"))
    fields = ("frets", "fingers", "barres", "baseFret", "capo", "midi")
    voicings = [
        {"key": chord["key"], "suffix": chord["suffix"]} | {name: place[name] for name in fields if name in place}
        for group in data["chords"].values()
        for chord in group
        for place in chord["positions"]
    ]
    head = {
        "source": "@tombatossals/chords-db (npm package), instrument guitar",
        "version": "0.5.1",
        "licence": "MIT",
        "carried_over": "figures only: key, suffix, frets, fingers, barres, baseFret, capo, midi, tuning",
        "tuning": data["tunings"]["standard"],
        "reading": "lists run from the lowest string to the highest; fret -1 is not played, 0 open, above 0 the "
        "fret counted from baseFret (1 is baseFret itself); barres count like frets; midi lists the played strings",
    }
    write("chord_voicings.json", head, {"voicings": voicings})


# Chord types and scales


def semitones(interval: str) -> int:
    """Width of an interval written like `9M`, `5d`, `4P`."""
    number, quality = int(interval[:-1]), interval[-1]
    octaves, degree = divmod(number - 1, 7)
    perfect = degree in (0, 3, 4)
    shift = {"P": 0, "M": 0, "A": 1, "m": -1, "d": -1 if perfect else -2}[quality]
    return 12 * octaves + MAJOR_SCALE[degree] + shift


def listed(sources: dict[str, str], module: str) -> list[list[str]]:
    """The list of rows in the module's data file, read as JSON once comments and trailing commas are gone."""
    text = sources[f"../../{module}/data.ts"]
    text = text[text.index("= [") + 2 :]
    text = re.sub(r"^\s*//.*$", "", text[: text.index("];") + 1], flags=re.MULTILINE)
    return json.loads(re.sub(r",(\s*\])", r"\1", text))


def spelled(names: list[str | None], intervals: str) -> Row:
    widths = [semitones(interval) for interval in intervals.split()]
    return {
        "name": names[0] or None,
        "aliases": [name for name in names[1:] if name is not None],
        "intervals": intervals,
        "semitones": widths,
        "pitch_classes": sorted({width % 12 for width in widths}),
    }


def theory(folder: Path) -> None:
    """Write chord_types.json and scale_types.json."""
    bundle = json.loads((folder / "browser/tonal.min.js.map").read_text(encoding="utf-8"))
    sources = dict(zip(bundle["sources"], bundle["sourcesContent"], strict=True))
    types = [
        spelled([name, *aliases.split(" ")], spelling) for spelling, name, aliases in listed(sources, "chord-type")
    ]
    scales = []
    for number, (spelling, *names) in enumerate(listed(sources, "scale-type")):
        dropped = PERSONS.get(number, set())
        scales.append(spelled([None if i in dropped else name for i, name in enumerate(names)], spelling))
    head = {
        "source": "tonal (npm package)",
        "version": "6.5.1",
        "licence": "MIT",
        "reading": "intervals as in the source: number, then P perfect, M major, m minor, A augmented, d diminished; "
        "semitones (above the root, in the order of intervals) and pitch_classes worked out by extract.py",
    }
    carried = "figures and terms only: name (null where there is none), aliases, intervals"
    plain = "; an empty alias means the root letter alone"
    write("chord_types.json", head | {"carried_over": carried + plain}, {"chord_types": types})
    person = "; names of persons left out (6 names, 3 aliases)"
    write("scale_types.json", head | {"carried_over": carried + person}, {"scales": scales})


# Scores: tab staves


def midi_of(element: ET.Element, prefix: str = "") -> int:
    step, octave = element.findtext(f"{prefix}step", ""), int(element.findtext(f"{prefix}octave", ""))
    return 12 * (octave + 1) + STEPS[step] + int(element.findtext(f"{prefix}alter", "0"))


def tab_staves(code: str, root: ET.Element) -> Iterator[tuple[Row, list[Row]]]:
    """Each part's staff, its tunings from the top string down, and its fretted notes."""
    for part in root.iter("part"):
        lines = {int(t.get("line", "")): midi_of(t, "tuning-") for t in part.iter("staff-tuning")}
        tuning = [lines[line] for line in sorted(lines, reverse=True)] or None
        yield (
            {"file": code, "part": part.get("id"), "tuning_midi": tuning},
            [
                {
                    "file": code,
                    "part": part.get("id"),
                    "measure": measure.get("number"),
                    "string": int(note.findtext(".//technical/string", "")),
                    "fret": int(note.findtext(".//technical/fret", "")),
                    "midi": midi_of(pitch) if (pitch := note.find("pitch")) is not None else None,
                }
                for measure in part.iter("measure")
                for note in measure.iter("note")
                if note.find(".//technical/fret") is not None
            ],
        )


# Scores: bars


def written(measure: ET.Element, divisions: int) -> tuple[Fraction, int]:
    """Length of a measure by the durations in the XML, in quarter notes, and the divisions in force after it."""
    now = longest = Fraction(0)
    for element in measure:
        divisions = int(element.findtext("divisions", str(divisions)))
        if element.tag not in ("note", "backup", "forward") or element.find("chord") is not None:
            continue
        length = Fraction(element.findtext("duration", "0")) / divisions
        now += -length if element.tag == "backup" else length
        longest = max(longest, now)
    return longest, divisions


def event(element: Any, onset: Fraction) -> list[Any]:
    """[onset, duration, notes struck (0 for a rest), tie, tuplets outermost first]"""
    size = 0 if element.isRest else len(element.notes) if element.isChord else 1
    tuplets = "*".join(f"{t.numberNotesActual}/{t.numberNotesNormal}" for t in element.duration.tuplets)
    length = Fraction(element.duration.quarterLength)
    return [str(onset), str(length), size, element.tie.type if element.tie else None, tuplets or None]


def one_voice(measure: Any) -> tuple[str | None, list[list[Any]], int]:
    """Why the measure does not fit one voice on one staff (None if it does), its events, its number of grace notes."""
    if len(measure.voices) > 1:
        return "two voices sound together", [], 0
    elements = [e for e in measure.recurse().notesAndRests if "Harmony" not in e.classes]
    timed = [e for e in elements if not e.duration.isGrace]
    events, now = [], Fraction(0)
    for element in timed:
        onset = Fraction(element.getOffsetInHierarchy(measure))
        if onset != now:
            return "the line goes over to another staff and leaves a gap", [], 0
        events.append(event(element, onset))
        now += Fraction(element.duration.quarterLength)
    return None if events else "nothing is written on this staff", events, len(elements) - len(timed)


def measures(code: str, path: Path, root: ET.Element) -> Iterator[Row]:
    from music21 import converter

    score = converter.parse(path, forceSource=True)
    parts = root.findall("part")
    staves = [re.search(r"-Staff(\d+)$", str(part.id)) for part in score.parts]
    number = -1
    for part, staff in zip(score.parts, staves, strict=True):
        if staff is None or staff[1] == "1":
            number += 1
        meter, divisions = None, 1
        for source, measure in zip(parts[number].findall("measure"), part.getElementsByClass("Measure"), strict=True):
            for sign in measure.getElementsByClass("TimeSignatureBase"):
                meter = sign if "TimeSignature" in sign.classes else None
            xml_sum, divisions = written(source, divisions)
            reason, events, graces = one_voice(measure)
            total = sum((Fraction(e[1]) for e in events), Fraction(0))
            differs = reason is None and staff is None and total != xml_sum
            yield {
                "file": code,
                "part": number + 1,
                "staff": int(staff[1]) if staff else None,
                "measure": source.get("number"),
                "implicit": source.get("implicit") == "yes",
                "meter": meter.ratioString if meter else None,
                "bar": str(Fraction(meter.barDuration.quarterLength)) if meter else None,
                "sum": None if reason else str(total),
                "xml_sum": str(xml_sum) if differs else None,
                "graces": graces,
                "reason": reason,
                "events": None if reason else events,
            }


def root_of(path: Path) -> ET.Element:
    if path.suffix != ".mxl":
        return ET.parse(path).getroot()
    with zipfile.ZipFile(path) as archive:
        name = next(n for n in archive.namelist() if not n.startswith("META-INF") and n.endswith("xml"))
        return ET.fromstring(archive.read(name))


def scores(folder: Path) -> None:
    """Write tab_staff.json and bar_sums.json."""
    suite = sorted(p for p in folder.glob("*TestSuite/*") if p.suffix in (".xml", ".mxl"))
    files = {re.match(r"\d+[a-z]*", path.name)[0]: path for path in suite}
    roots = {code: root_of(path) for code, path in files.items()}
    found = [*tab_staves("71e", roots["71e"]), *tab_staves("testTab", root_of(folder / "testTab.xml"))]
    rows = [row for code, path in files.items() for row in measures(code, path, roots[code])]
    head = {
        "source": "MusicXML test files that come with music21: the folder musicxml/*TestSuite, and testTab.xml; "
        "`file` is the code the file's name starts with",
        "version": "music21 10.5.1",
        "licence": "test suite MIT (stated in its folder); music21 and testTab.xml BSD-3-Clause",
    }
    tab = {
        "carried_over": "figures only: tuning, string, fret, pitch as MIDI number",
        "reading": "string 1 is the top line; tuning_midi runs from string 1 down; the source numbers tuning lines "
        "from the bottom. testTab.xml has neither tuning nor pitch (null)",
    }
    write("tab_staff.json", head | tab, {"staves": [s for s, _ in found], "notes": [n for _, ns in found for n in ns]})
    bars = {
        "carried_over": "figures only, as music21 reads them: "
        f"{sum(len(r.findall('.//measure')) for r in roots.values())}"
        " measures of the XML, one row for each staff",
        "reading": "times in quarter notes; event: [onset, duration, notes struck (0 is a rest), tie, tuplets]; "
        "bar is the length the meter asks for; xml_sum is given where the durations in the XML add up otherwise",
    }
    write("bar_sums.json", head | bars, {"measures": rows})


if __name__ == "__main__":
    {"chords": chords, "theory": theory, "scores": scores}[sys.argv[1]](Path(sys.argv[2]))
