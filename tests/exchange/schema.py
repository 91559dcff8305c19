"""The schema of MusicXML 4.0, as the W3C Music Notation Community Group published it, from the package `musicxml`."""

from __future__ import annotations

import re
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from xml.etree import ElementTree

import xmlschema

FILE = Path(find_spec("musicxml").origin).parent / "generate_classes" / "musicxml_4_0.xsd"


@lru_cache(maxsize=1)
def schema() -> xmlschema.XMLSchema:
    """The schema; those it would take from the net for links and languages come with `xmlschema`."""
    text = re.sub(r' schemaLocation="http://[^"]*"', "", FILE.read_text(encoding="utf-8"))
    return xmlschema.XMLSchema(text, allow="local")


def faults(document: str) -> list[str]:
    """What is wrong with a document by the schema."""
    errors = schema().iter_errors(ElementTree.fromstring(document))
    return [f"{error.path}: {error.reason}" for error in errors]
