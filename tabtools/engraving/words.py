"""What stands over the start of a bar: its number, tempo, capo and the like."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from tabtools.engraving.glyphs import use
from tabtools.engraving.lanes import Skyline, text_at
from tabtools.engraving.metrics import NUMBER_SIZE, WORD_SIZE, number, shown, text_width
from tabtools.engraving.scene import Scene

BETWEEN_WORDS = 12
NUMBER_CLEAR = 9.0
"""Between the number of a bar and a finger or a letter on its line."""


def draw_bar_number(scene: Scene, skyline: Skyline) -> str:
    """The number over the first line of a bar; a pickup has none. It stands over what would be read with it.

    A piece that goes on with a bar has it in brackets, seen only where a system begins there on the page.
    """
    if scene.bar.number == 0:
        return ""
    text = str(scene.bar.number) if scene.opens else f"({scene.bar.number})"
    kind = "number" if scene.opens else "number again"
    width = text_width(text, NUMBER_SIZE)
    at, left = scene.at(scene.staff), scene.staff - NUMBER_CLEAR
    drawn = skyline.place(left, left + width + 2 * NUMBER_CLEAR, 8, lambda foot: text_at(at, foot + 1, text, kind, 1))
    return f'<g class="corner">{drawn}</g>'


def draw_words(scene: Scene, foot: float) -> str:
    """Tempo and the like over the start of the bar, one behind the other, on one line at this height."""
    if not (scene.words and scene.opens):
        return ""
    drawn, x = "", 1.0
    for word, one in scene.words:
        drawn += f'<svg x="{number(x)}" y="{number(foot)}">{word}</svg>'
        x += one + BETWEEN_WORDS
    return f'<svg x="{scene.at(scene.words_left)}">{drawn}</svg>'


def words_width(words: Sequence[tuple[str, float]]) -> float:
    """The room that words over the start of a bar take together."""
    return sum(width + BETWEEN_WORDS for _, width in words)


def tempo_words(tempo: Fraction, beat: Fraction) -> tuple[str, float]:
    """`♩ = 96` with the note that is counted, and its width."""
    head = {Fraction(2): "head1", Fraction(1, 2): "head3"}.get(beat, "head2")
    dot = '<circle class="tt-ink" cx="10.5" cy="-5" r="1.3"/>' if beat.numerator == 3 else ""
    figure = f"{float(tempo):g}"
    x = 15 if dot or head == "head3" else 11
    text = f'<text class="tempo" x="{x}">= {figure}</text>'
    return f"{use(head, '4', -3)}{dot}{text}", x + text_width(f"= {figure}", WORD_SIZE + 1)


def equal_words() -> tuple[str, float]:
    """`(♪ = ♪)`: an eighth lasts as long as before, and its width."""
    size = WORD_SIZE + 1
    first, sign = text_width("(", size) + 5, text_width("= ", size)
    middle, second = first + 13, first + 13 + sign + 6
    drawn = "".join(use("head3", number(x), -3) for x in (first, second))
    texts = ((0.0, "("), (middle, "="), (second + 11, ")"))
    words = "".join(f'<text class="tempo" x="{number(x)}">{text}</text>' for x, text in texts)
    return drawn + words, second + 11 + text_width(")", size)


def plain_words(text: str, kind: str) -> tuple[str, float]:
    """A word over the start of a bar, and its width."""
    return f'<text class="{kind} from">{shown(text)}</text>', text_width(text, WORD_SIZE)
