"""A solo's text with places written into it, and nothing else of it changed."""

from __future__ import annotations

from collections.abc import Mapping

from tabtools.model.solo import Note
from tabtools.notation.build import read_solo
from tabtools.notation.limits import MAX_LINE
from tabtools.notation.write import FormatError, note_text
from tabtools.placing.placed import with_places
from tabtools.source import SourceText, Span


def written(source: SourceText, placed: Mapping[Span, Note]) -> str:
    """The text of a solo, these notes written anew where they stand.

    Proves itself: the new text must read to the solo with these notes and otherwise the same. Raises `FormatError`
    where it does not.
    """
    parts: list[str] = []
    end = 0
    for span, note in sorted(placed.items()):
        parts += source.text[end : span.start], note_text(note)
        end = span.end
    text = "".join((*parts, source.text[end:]))
    if any(len(line) > MAX_LINE for line in text.splitlines()):
        raise FormatError(f"a line would have more than {MAX_LINE:,} characters", "place less of it at once")
    before = read_solo(source)
    after = read_solo(SourceText(source.path, text))
    if after.solo != with_places(before.solo, placed) or len(after.unreadable) != len(before.unreadable):
        raise FormatError("writing the places would change the music", "this is a fault in tabtools: please report it")
    return text
