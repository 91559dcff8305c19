"""Texts as solos that are searched."""

from __future__ import annotations

from made_music import subject

from tabtools.search.collection import Searched
from tabtools.search.reading import strokes_of


def searched(text: str, slug: str = "solo", is_damaged: bool = False) -> Searched:
    """The solo of this text as it is searched."""
    return Searched(f"{slug}.solo", slug, strokes_of(subject(text, is_damaged)))
