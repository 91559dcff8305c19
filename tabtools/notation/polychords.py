"""Two chords over each other, `C/D7`, as one symbol that keeps the tones of both."""

from __future__ import annotations

from tabtools.model.harmony import ChordSymbol, tone_above

_OVER_ROOT = {1: "b9", 2: "9", 3: "#9", 5: "11", 6: "#11", 8: "b13", 9: "13", 11: "maj7"}
_MINOR_SEVENTH = 10


def one_symbol(upper: ChordSymbol, lower: ChordSymbol) -> str:
    """The symbol that comes nearest to all tones of both chords over the root of the lower one."""
    own = _above(lower, lower)
    added = sorted(_above(upper, lower) - own)
    head = lower.text
    if _MINOR_SEVENTH in added and not lower.has_seventh:
        head += "7"
    tones = [_OVER_ROOT[semitones] for semitones in added if semitones in _OVER_ROOT]
    tones.sort(key=lambda tone: (not tone.startswith("maj"), int(tone.lstrip("bmaj#"))))
    return f"{head}({','.join(tones)})" if tones else head


def has_tones_of_both(one: ChordSymbol, upper: ChordSymbol, lower: ChordSymbol) -> bool:
    """Whether a chord on the lower one's root has the tones of both, and no others."""
    return _above(one, lower) == _above(upper, lower) | _above(lower, lower)


def tones_of_both(upper: ChordSymbol, lower: ChordSymbol) -> list[str]:
    """The names of all tones, the lower chord's first."""
    tones: dict[int, str] = {}
    for chord in (lower, upper):
        for degree in chord.degrees:
            tone = tone_above(chord.root, degree)
            tones.setdefault(tone.pitch_class, str(tone))
    return list(tones.values())


def _above(chord: ChordSymbol, lower: ChordSymbol) -> set[int]:
    root = chord.root.pitch_class - lower.root.pitch_class
    return {(root + degree.semitones) % 12 for degree in chord.degrees}
