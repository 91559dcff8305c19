"""Elements and the text in them: what a solo says arrives as text, whatever it looks like."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement, indent, tostring

OCTAVES = range(10)
"""The octaves MusicXML can write; 4 begins at middle C."""

INDENT = " "

_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def clean(text: str) -> str:
    """Text without the characters that XML 1.0 cannot hold (its production 2)."""
    if text.isascii() and text.isprintable():
        return text
    return _NOT_XML.sub("\N{REPLACEMENT CHARACTER}", text)


def sub(parent: Element, tag: str, text: str | int = "", attributes: Mapping[str, str] | None = None) -> Element:
    """A new element at the end of `parent`."""
    element = SubElement(parent, tag)
    if attributes:
        for name, value in attributes.items():
            element.set(name, clean(value))
    if text != "":
        element.text = clean(str(text))
    return element


def decimal(value: Fraction | float) -> str:
    """A number as XML writes it, to six places."""
    text = f"{float(value):.6f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def lines_of(element: Element, level: int) -> str:
    """An element as indented lines, `level` deep."""
    indent(element, INDENT, level)
    return INDENT * level + tostring(element, encoding="unicode").rstrip() + "\n"
