"""Two solo files whose names are the same but for case, accents or ending.

The name of a file, without its ending, is the solo's address on the site, whatever folder it lies in. `dusk.solo` and
`Dusk.solo`, or `café.solo` and `cafe.solo`, would meet at one address, and on some disks they are one file.

Passes:

    # dusk.solo
    bar 1  Am
    1-4  3:7
    # dawn.solo
    bar 1  Am
    1-4  3:7

Fails:

    # Dusk.solo
    bar 1  Am
    1-4  3:7
    # dusk.solo
    bar 1  Am
    1-4  3:7
"""

import re
import unicodedata
from collections.abc import Iterator, Sequence
from pathlib import PurePath

from tabtools.checks.subject import Finding, Subject
from tabtools.problem import Severity
from tabtools.source import Span

NAME = "slug-clash"
SEVERITY = Severity.ERROR


def fact(subject: Subject) -> str:
    """The solo's path."""
    return subject.source.path


def check_collection(facts: Sequence[tuple[str, str]]) -> Iterator[tuple[str, Finding]]:
    """Each file whose slug an earlier one has taken."""
    taken: dict[str, PurePath] = {}
    for name, own in facts:
        path = PurePath(own)
        first = taken.setdefault(_plain(path.stem), path)
        if first != path:
            message = f"the file would share its page with {first.name if first.parent == path.parent else first}"
            yield name, Finding(Span(0, 0), message, "give one of them another name")


def _plain(slug: str) -> str:
    """A slug without case and accents, anything but letters and figures as one hyphen."""
    letters = unicodedata.normalize("NFKD", slug)
    plain = "".join(letter for letter in letters if not unicodedata.combining(letter)).casefold()
    return re.sub(r"[\W_]+", "-", plain).strip("-")
