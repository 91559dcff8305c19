"""Solos for other programs: MusicXML 4.0 and Standard MIDI Files, by open standards alone."""

from tabtools.exchange.compressed import compressed
from tabtools.exchange.heading import heading
from tabtools.exchange.midi import midi
from tabtools.exchange.musicxml import musicxml

__all__ = ["compressed", "heading", "midi", "musicxml"]
