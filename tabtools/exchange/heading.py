"""What a solo is, in the lines above a plain tab."""

from __future__ import annotations

from tabtools.model.solo import Header
from tabtools.timeline import Timeline


def heading(timeline: Timeline) -> str:
    """Title and player, then what a reader of the tab has to know: a line each, those without a value left out."""
    header = timeline.solo.header
    first = " – ".join(filter(None, (header.title, header.player)))
    rest = {
        "composer": header.composer,
        "recording": header.recording,
        "rights": header.rights,
        "tuning": _tuning(header),
        "key": str(header.key or ""),
        "meter": f"{header.meter}, tempo {float(header.tempo):g}"
        + (f", {header.feel}" if header.feel.is_swung else ""),
    }
    return "\n".join([first or "untitled", *(f"{name}: {value}" for name, value in rest.items() if value)])


def _tuning(header: Header) -> str:
    instrument = header.instrument
    pitches = " ".join(instrument.tuning.names)
    name = f" ({instrument.tuning.name})" if instrument.tuning.name else ""
    capo = f", capo at fret {instrument.capo}" if instrument.capo else ""
    return pitches + name + capo
