"""Tab as SVG, drawn from a timeline: pure, without mkdocs.

Each bar is a drawing of its own that stretches without distortion: places along the bar are percentages of its
width, everything else is in pixels. So a page lays bars out like words, breaks systems at bars and justifies them. A
wide bar comes in pieces that a narrow page lays out like words too.
"""

from tabtools.engraving.glyphs import GLYPHS
from tabtools.engraving.scene import NoteText
from tabtools.engraving.solo import BarDrawing, PieceDrawing, SectionDrawing, SoloDrawing, draw_solo, systems_of

__all__ = [
    "GLYPHS",
    "BarDrawing",
    "NoteText",
    "PieceDrawing",
    "SectionDrawing",
    "SoloDrawing",
    "draw_solo",
    "systems_of",
]
