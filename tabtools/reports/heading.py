"""What stands over a tab in the terminal: whose solo it is, and how it is tuned and counted."""

from __future__ import annotations

from tabtools.timeline import Timeline


def heading(timeline: Timeline) -> str:
    """The title with its player, and below it key, tuning, meter, tempo and feel."""
    header = timeline.solo.header
    instrument = header.instrument
    by = f", {header.player}" if header.player else ""
    capo = f", capo {instrument.capo}" if instrument.capo else ""
    facts = [f"tuning {instrument.tuning}{capo}", f"{header.meter}", f"tempo {float(header.tempo):g}"]
    if header.key:
        facts.insert(0, str(header.key))
    if header.feel.is_swung:
        facts.append(str(header.feel))
    return f"{header.title or timeline.solo.path}{by}\n{', '.join(facts)}"
