"""Which accidentals are shown, rule by rule (Elaine Gould, Behind Bars, 2011, chapter 3, from memory)."""

from __future__ import annotations

import pytest

from tabtools.model.harmony import Key
from tabtools.model.pitch import Tone, parse_tone
from tabtools.score.accidentals import Accidentals, signed_tones
from tabtools.score.staff_places import StaffPlace

C, A_MINOR, E_FLAT, D = (
    Key(Tone("C"), "major"),
    Key(Tone("A"), "minor"),
    Key(Tone("E", -1), "major"),
    Key(Tone("D"), "major"),
)

CASES = [
    ("what the signature says is not said again", D, "F#4 C#5 F4", "F#4 C#5 F4!"),
    ("a sign holds to the end of the bar", C, "F#4 F#4 G4 F#4", "F#4! F#4 G4 F#4"),
    ("a sign is taken back where it no longer holds", C, "F#4 F4 F4", "F#4! F4! F4"),
    ("a sign holds for its own line alone", C, "F#4 F#5", "F#4! F#5!"),
    ("a tone altered in another octave is reminded of", C, "F#4 F5 F5", "F#4! F5! F5"),
    ("the bar line ends a sign", C, "F#4 | F#4", "F#4! | F#4!"),
    ("what the bar before has altered is reminded of once", C, "F#4 | F4 F4", "F#4! | F4! F4"),
    ("two bars later nothing is reminded of", C, "F#4 | G4 | F4", "F#4! | G4 | F4"),
    ("a tied note takes its sign over the bar line", C, "F#4 | ~F#4", "F#4! | ~F#4"),
    ("after a tie over the bar line the sign is shown again", C, "F#4 | ~F#4 F#4 F#4", "F#4! | ~F#4 F#4! F#4"),
    ("after a tie over the bar line the natural is shown", C, "F#4 | ~F#4 F4", "F#4! | ~F#4 F4!"),
    ("a tie within the bar says nothing", C, "F#4 ~F#4 F#4", "F#4! ~F#4 F#4"),
    ("both of two tones on one line show their signs", C, "F4+F#4 F4", "F4!+F#4! F4!"),
    ("a natural against the signature", E_FLAT, "E4 Eb4 Bb4", "E4! Eb4! Bb4"),
    ("double signs", A_MINOR, "F##4 F#4", "F##4! F#4!"),
]


def place(text: str) -> StaffPlace:
    return StaffPlace(parse_tone(text[:-1]), int(text[-1]), 0.0, True)


def shown(key: Key | None, music: str) -> str:
    """The music with a `!` behind each tone that shows its sign."""
    reader, bars = Accidentals(key), []
    for bar in music.split(" | "):
        reader.open_bar()
        columns = []
        for column in bar.split():
            tones = column.split("+")
            signs = reader.shown([(place(tone.strip("~")), tone.startswith("~")) for tone in tones])
            columns.append("+".join(tone + "!" * sign for tone, sign in zip(tones, signs, strict=True)))
        bars.append(" ".join(columns))
    return " | ".join(bars)


@pytest.mark.parametrize(("key", "music", "expected"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_accidentals(key: Key, music: str, expected: str) -> None:
    assert shown(key, music) == expected


def test_without_a_key_every_altered_tone_shows_its_sign() -> None:
    assert shown(None, "Bb3 F#4 G4") == "Bb3! F#4! G4"


@pytest.mark.parametrize(
    ("key", "signed"),
    [
        (Key(Tone("A"), "major"), "F# C# G#"),
        (Key(Tone("A"), "blues"), ""),
        (Key(Tone("F"), "minor"), "Bb Eb Ab Db"),
        (Key(Tone("E"), "dorian"), "F# C#"),
        (Key(Tone("C", 1), "major"), "F# C# G# D# A# E# B#"),
        (Key(Tone("G", 1), "major"), "F## C# G# D# A# E# B#"),
    ],
)
def test_a_signature_is_written_in_its_order(key: Key, signed: str) -> None:
    assert " ".join(map(str, signed_tones(key))) == signed
