"""MusicXML notes in a line each, for tests to read."""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree.ElementTree import Element

GROUPS = ("ornaments", "technical", "articulations")
SHOWN = ("type", "smufl", "hand", "direction", "trill-step")


def in_words(measure: Element) -> Iterator[str]:
    """What a measure holds, attributes left out: a note, a direction, a chord symbol a line."""
    for element in measure:
        if element.tag == "note":
            yield " ".join(_note(element))
        elif element.tag == "direction":
            yield " ".join(("direction", *_direction(element)))
        elif element.tag == "harmony":
            yield " ".join(("chord", *_harmony(element)))
        elif element.tag in ("backup", "forward"):
            yield f"{element.tag} {element.findtext('duration')}"


def _note(note: Element) -> Iterator[str]:
    if note.find("grace") is not None:
        yield "grace"
    if note.find("chord") is not None:
        yield "+"
    yield _pitch(note)
    duration = note.findtext("duration")
    yield note.findtext("type", f"{duration}") + "." * len(note.findall("dot"))
    modification = note.find("time-modification")
    if modification is not None:
        yield ":".join(number.text for number in modification[:2])
    head = note.find("notehead")
    if head is not None:
        yield f"({head.text})" if head.get("parentheses") else head.text
    technical = note.find("notations/technical")
    if technical is not None and technical.find("string") is not None:
        yield f"{technical.findtext('string')}:{technical.findtext('fret', '')}"
    for notation in note.iterfind("notations/*"):
        for one in notation if notation.tag in GROUPS else (notation,):
            if one.tag not in ("string", "fret"):
                yield _sign(one)
    if note.findtext("stem") == "none" and note.findtext("type") not in ("whole", None):
        yield "stemless"
    for tag in ("footnote", "lyric/text", "play/mute"):
        if note.find(tag) is not None:
            yield f"{tag}={note.findtext(tag)}"


def _pitch(note: Element) -> str:
    if note.find("rest") is not None:
        return "bar-rest" if note.find("rest").get("measure") else "rest"
    pitch = note.find("pitch")
    if pitch is None:
        return "unpitched"
    alter = pitch.findtext("alter", "0")
    signs = {"0": "", "1": "#", "-1": "b"}.get(alter, f"({alter})")
    return f"{pitch.findtext('step')}{signs}{pitch.findtext('octave')}"


def _sign(one: Element) -> str:
    shown = [one.get(name) for name in SHOWN if one.get(name)]
    if one.tag == "bend":
        kind = "".join(f" {child.tag}" for child in one[1:])
        span = f"@{one.get('first-beat')}-{one.get('last-beat')}" if one.get("last-beat") else ""
        return f"bend{float(one[0].text):+g}{span}{kind}"
    shown += [child.tag for child in one if one.tag == "harmonic"]
    return one.tag + "".join(f":{text}" for text in shown) + (f"={one.text}" if (one.text or "").strip() else "")


def _direction(direction: Element) -> Iterator[str]:
    for kind in direction.iterfind("direction-type/*"):
        if kind.tag == "metronome":
            units = [unit.text for unit in kind.iter("beat-unit")]
            said = kind.findtext("per-minute")
            units = "+".join(units) if said or kind.find("beat-unit-tied") is not None else "=".join(units)
            yield units + "." * len(list(kind.iter("beat-unit-dot"))) + (f"={said}" if said else "")
        else:
            yield _sign(kind)
    sound = direction.find("sound")
    if sound is not None:
        yield f"tempo={sound.get('tempo')}"
        if sound.find("swing") is not None:
            yield "swing=" + ",".join(one.text for one in sound.find("swing"))


def _harmony(harmony: Element) -> Iterator[str]:
    root, kind = harmony.find("root"), harmony.find("kind")
    if root.find("root-step").get("text") is None:
        yield root.findtext("root-step") + {"1": "#", "-1": "b"}.get(root.findtext("root-alter", ""), "")
    yield kind.text
    if kind.get("text"):
        yield f"“{kind.get('text')}”"
    if harmony.find("bass") is not None:
        yield "/" + "".join(one.text for one in harmony.find("bass"))
    for degree in harmony.iterfind("degree"):
        yield f"{degree[2].text} {degree[0].text}{int(degree[1].text):+d}"
    if harmony.find("footnote") is not None:
        yield f"footnote={harmony.findtext('footnote')}"
    if harmony.find("offset") is not None:
        yield f"offset={harmony.findtext('offset')}"
