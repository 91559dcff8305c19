"""A harmonic where the string has none.

A string only rings in parts where it is touched at a node: at 12, near 7 and 19, near 5, and so on, counted from
the nut (or from the stopping finger: `4:5<17>`). Players write the nearest fret (`<4>` for 3.86), so anything
within 0.35 fret of a node is taken for it. The nodes follow from the string's length: -12·log2(1 - n/m) frets for
the m-th harmonic, up to the eighth; the tolerance covers the numbers the trade writes (common practice).

Passes:

    bar 1  Am
    1    4:<12>
    2    4:<4>
    3    4:<3.9>
    4    4:5<17>

Fails:

    bar 1  Am
    1-4  4:<11>
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import fret_text
from tabtools.model.instrument import NODES, node_at
from tabtools.model.solo import Fret
from tabtools.problem import Severity

NAME = "harmonic-node"
SEVERITY = Severity.ERROR


def check(subject: Subject) -> Iterator[Finding]:
    """Each touched fret against the nodes of its string."""
    for timed in subject.written_notes:
        note = timed.note
        stopped = note.fret or 0
        if note.touch is not None and node_at(note.touch - stopped) is None:
            yield Finding(note.span, *_explained(stopped, note.touch), timed.address)


def _explained(stopped: Fret, touch: Fret) -> tuple[str, str]:
    if touch <= stopped:
        behind = f"behind the finger at {fret_text(stopped)}" if stopped else "on the nut"
        return f"the touch at {fret_text(touch)} lies {behind}", "touch above it, like 4:5<17>"
    nodes = sorted({round(stopped + fret, 2) for fret, _ in NODES})
    below = [node for node in nodes if node < touch][-1:]
    near = below + [node for node in nodes if node > touch][:1]
    advice = f"the nearest nodes are {' and '.join(fret_text(node) for node in near)}"
    return f"there is no harmonic at fret {fret_text(touch)}", advice if len(near) > 1 else advice.replace(
        "nodes are", "node is"
    )
