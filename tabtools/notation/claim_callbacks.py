"""Grammar callbacks of claims: each statement of claim.lark to the record it stands for."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any, NamedTuple

from tabtools.model.claims import (
    SOUNDING,
    ApproachClaim,
    BeatClaim,
    BendClaim,
    ChordClaim,
    ChromaticClaim,
    CountClaim,
    DegreeClaim,
    DirectionClaim,
    ExtremeClaim,
    GoalClaim,
    GroupsClaim,
    GuideToneClaim,
    IntervalClaim,
    InversionClaim,
    LikeClaim,
    NamedClaim,
    NeckClaim,
    PitchClaim,
    PositionClaim,
    RhythmClaim,
    ScaleClaim,
    ToneClaim,
)
from tabtools.model.pitch import parse_pitch
from tabtools.model.solo import Address, AddressRange
from tabtools.notation.claim_words import bend_of, degree_of, interval_of, number_in, plain, rhythm_of, tone_of
from tabtools.notation.read import Children, RefusedError, Token
from tabtools.source import is_number

_INVERSIONS = {"root": 0, "first": 1, "1st": 1, "second": 2, "2nd": 2, "third": 3, "3rd": 3}
_MOST_IN_GROUP, _FEWEST_IN_GROUP = 32, 2
_TRIADS = {"major": "", "minor": "m", "diminished": "dim", "augmented": "aug"}
_DOWN = re.compile(r"down|lower|below|descend|fall")


class PassageName(NamedTuple):
    """The name of a passage in place of an address, and where it stands."""

    text: str
    offset: int


class LastShort(NamedTuple):
    """`last one short`, until it is joined to the groups it speaks of."""

    offset: int
    text: str = ""


class ClaimCallbacks:
    """One method a rule of claim.lark; the text of each statement is filled in where the claim is put together."""

    def claim(self, children: Children) -> tuple[AddressRange | PassageName, tuple[Any, ...]]:
        _, place, *rest = children
        statements: list[Any] = []
        for one in rest:
            if not isinstance(one, Token):
                _join(statements, one)
        return place, tuple(statements)

    def address(self, children: list[Token]) -> AddressRange:
        addresses = [Address(*map(int, token.split("."))) for token in children]
        return AddressRange(addresses[0], addresses[-1])

    point = address

    def passage(self, children: list[Token]) -> PassageName:
        return PassageName(children[0][1:-1].strip(), children[0].start_pos)

    def statement(self, children: Children) -> Any:
        return children[0]

    # ---- notes

    def pitch(self, children: list[Token]) -> PitchClaim:
        return PitchClaim(parse_pitch(plain(children[0])), plain(children[0]))

    def tone(self, children: list[Token]) -> ToneClaim:
        return ToneClaim(tone_of(children[0]), plain(children[0]))

    def degrees(self, children: list[Token]) -> DegreeClaim:
        over = children[-1] if children[-1].type in ("CHORD", "KEY", "THE_CHORD") else None
        steps = [token for token in children if token is not over and token.type in ("FIGURE", "DEGREE_WORD")]
        chord = None if over is not None and over.type == "KEY" else SOUNDING
        if over is not None and over.type == "CHORD":
            chord = str(over)
        text = " > ".join(plain(step) for step in steps)
        if over is None:
            _refuse_bare(steps)
            if "tonic" in text or "leading" in text:
                chord = None
        else:
            text += f" of {plain(over)}"
        return DegreeClaim(tuple(_degree(step) for step in steps), chord, text)

    def neck(self, children: list[Token]) -> NeckClaim:
        text = plain(" ".join(children))
        kinds = {token.type: token for token in children}
        if "PLACE" in kinds:
            string, _, fret = children[0].partition(":")
            return NeckClaim(int(string), int(fret), text)
        if "OPEN" in kinds:
            return NeckClaim(None, 0, text)
        numbers = [_number(token) for token in children if token.type in ("NUMBER", "NTH_STRING", "NTH_FRET")]
        if "STRING" in kinds or "NTH_STRING" in kinds:
            return NeckClaim(numbers[0], numbers[1] if len(numbers) > 1 else None, text)
        return NeckClaim(None, numbers[0], text)

    def bend(self, children: list[Token]) -> BendClaim:
        return BendClaim(bend_of(children[-1]), plain(" of a ".join(children)))

    # ---- stretches

    def chord(self, children: list[Token]) -> Any:
        symbol = str(children[0])
        claim = ChordClaim(symbol, f"{symbol} {children[1]}")
        if len(children) > 2:
            return claim, InversionClaim(
                _inversion(children[2]), symbol, f"{plain(children[2])} of {symbol}".removeprefix("in ")
            )
        return claim

    def scale(self, children: list[Token]) -> ScaleClaim | ChordClaim:
        tonic, name = plain(children[0]), plain(children[1])
        if found := re.fullmatch(r"(major|minor|diminished|augmented) (triad|arpeggio|chord)", name):
            return ChordClaim(tonic + _TRIADS[found[1]], f"{tonic} {name}")
        if name.lower().removesuffix(" scale") == "chromatic":
            message = f"every note is in {tonic} chromatic, so the claim says nothing"
            raise RefusedError(children[0].start_pos, message, "write chromatic for a run by semitones")
        text = f"{tonic} {name}"
        if tonic.endswith("m"):
            tonic, name = tonic[:-1], f"minor {name}"
        return ScaleClaim(tone_of(tonic), name, text)

    def chromatic(self, children: list[Token]) -> ChromaticClaim:
        return ChromaticClaim(plain(children[0]))

    def count(self, children: list[Token]) -> CountClaim:
        number = number_in(children[0])
        return CountClaim(number, f"{children[0]} {'note' if number == 1 else 'notes'}")

    def position(self, children: list[Token]) -> PositionClaim:
        last = children[-1]
        fret = _roman(last) if last.type == "ROMAN" else _number(last)
        return PositionClaim(fret, plain(" ".join(children)).removeprefix("in "))

    def guide_tones(self, children: list[Token]) -> GuideToneClaim:
        return GuideToneClaim(_over(children), plain(" of ".join(children)))

    def inversion(self, children: list[Token]) -> InversionClaim:
        return InversionClaim(
            _inversion(children[0]), _over(children), plain(" of ".join(children)).removeprefix("in ")
        )

    def direction(self, children: list[Token]) -> DirectionClaim | NamedClaim:
        is_up = not _DOWN.match(children[0])
        if len(children) > 1:
            return NamedClaim(plain(children[1]), None, is_up, plain(" ".join(children)))
        return DirectionClaim(is_up, str(children[0]))

    def extreme(self, children: Children) -> ExtremeClaim:
        extent: Any = children[1] if len(children) > 1 else "solo"
        text = str(children[0])
        if isinstance(extent, Token):
            extent = extent.split()[-1].replace("piece", "solo")
            text += f" of the {extent}"
        elif len(children) > 1:
            text += f" of {extent.text if isinstance(extent, PassageName) else extent}"
        return ExtremeClaim(children[0].startswith(("highest", "top")), extent, text)

    # ---- time

    def beat(self, children: list[Token]) -> BeatClaim:
        text = plain(children[0])
        is_on = text.startswith(("on beat", "on count")) or text in ("on the beat", "on the downbeat", "on beat")
        count = 1 if "downbeat" in text else max(0, number_in(text))
        return BeatClaim(is_on, count, text)

    def rhythm(self, children: list[Token]) -> RhythmClaim:
        tuplet, value = rhythm_of(children[0]) if not children[0].startswith("sync") else (0, Fraction(0))
        return RhythmClaim(tuplet, value, plain(children[0]))

    def groups(self, children: list[Token]) -> GroupsClaim:
        size = number_in(children[0])
        if not _FEWEST_IN_GROUP <= size <= _MOST_IN_GROUP:
            message = f"groups are of {_FEWEST_IN_GROUP} to {_MOST_IN_GROUP} notes"
            raise RefusedError(children[0].start_pos, message, "write it like groups of seven")
        return GroupsClaim(size, False, plain(children[0]).removeprefix("in "))

    def last_short(self, children: list[Token]) -> LastShort:
        return LastShort(children[0].start_pos)

    # ---- what a stretch is to another

    def interval(self, children: list[Token]) -> IntervalClaim:
        is_down = any(_DOWN.match(token) for token in children if token.type in ("MOVE", "SIDE"))
        (size,) = (token for token in children if token.type in ("INTERVAL", "INTERVAL_BEFORE"))
        semitones = interval_of(size)
        way = "down" if is_down else "up"
        article = "" if size.startswith("two") else "an " if size.startswith("octave") else "a "
        return IntervalClaim(tuple(-one if is_down else one for one in semitones), f"{way} {article}{plain(size)}")

    def like(self, children: Children) -> LikeClaim:
        tokens = [child for child in children if isinstance(child, Token)]
        place: Any = next(child for child in children if isinstance(child, AddressRange | PassageName))
        called = f"“{place.text}”" if isinstance(place, PassageName) else str(place)
        if tokens[0].type == "SAME":
            interval = next((child for child in children if isinstance(child, IntervalClaim)), None)
            word = str(tokens[0])
            text = f"{'the ' if word.startswith('same') else ''}{word} {called}"
            like = LikeClaim(place, (0,), "rhythm" not in word, not re.search("notes|pitches", word), text)
            return like if interval is None else _shifted(like, interval)
        semitones = interval_of(tokens[0])
        is_down = any(_DOWN.match(token) for token in tokens[1:])
        text = f"as {called} {'down' if is_down else 'up'} {plain(tokens[0])}"
        return LikeClaim(place, tuple(-one if is_down else one for one in semitones), True, False, text)

    def goal(self, children: Children) -> GoalClaim:
        word, aim = children[0], children[-1]
        return GoalClaim(aim, word.startswith("resolv"), f"{plain(word)} {_aim_text(aim)}")

    def approach(self, children: list[Token]) -> ApproachClaim:
        text = plain(" ".join(children))
        side: Any = "below" if "below" in text else "above" if "above" in text else ""
        return ApproachClaim("chromatic" in text, side, "approached" in text, text)

    def named(self, children: Children) -> NamedClaim:
        name = "enclosure" if children[0].type == "ENCLOSES" else plain(children[0])
        aim = children[-1] if len(children) > 1 else None
        return NamedClaim(name, aim, None, name if aim is None else f"{name} of {_aim_text(aim)}")


def _join(statements: list[Any], one: Any) -> None:
    """Put a statement behind those before it; some only say more of the last of them."""
    last = statements[-1] if statements else None
    if isinstance(one, tuple) and type(one) is tuple:
        statements.extend(one)
    elif isinstance(one, LastShort):
        if not isinstance(last, GroupsClaim):
            raise RefusedError(
                one.offset, "it is not said of what the last one is short", "write groups of 7, last one short"
            )
        statements[-1] = last._replace(is_last_short=True, text=f"{last.text}, last one short")
    elif isinstance(one, IntervalClaim) and isinstance(last, LikeClaim) and last.semitones == (0,):
        statements[-1] = _shifted(last, one)
    elif isinstance(one, InversionClaim) and isinstance(last, ChordClaim) and one.chord == SOUNDING:
        statements.append(one._replace(chord=last.symbol))
    else:
        statements.append(one)


def _shifted(like: LikeClaim, interval: IntervalClaim) -> LikeClaim:
    return like._replace(semitones=interval.semitones, text=f"{like.text} {interval.text}")


def _degree(token: Token) -> Any:
    try:
        return degree_of(token)
    except ValueError:
        message = f"“{plain(token)}” is a degree there is none of"
        raise RefusedError(token.start_pos, message, "degrees are 1 to 13, like b3 or #11") from None


def _refuse_bare(steps: list[Token]) -> None:
    if len(steps) == 1 and is_number(steps[0]):
        number = steps[0]
        message = f"“{number}” alone can be read in several ways"
        raise RefusedError(number.start_pos, message, f"write {number} of G7, {number} of the key, or {number} notes")


def _number(token: Token) -> int:
    number = number_in(token.removesuffix("string").removesuffix("fret").removesuffix("position"))
    if number < 0:
        raise RefusedError(
            token.start_pos, f"“{plain(token)}” has no number", "write it like string 3, fret 7, position 5"
        )
    return number


def _roman(token: Token) -> int:
    values = [{"X": 10, "V": 5, "I": 1}[numeral] for numeral in token]
    after = [*values[1:], 0]
    return sum(-value if value < behind else value for value, behind in zip(values, after, strict=True))


def _over(children: list[Token]) -> str:
    over = children[1] if len(children) > 1 else None
    return SOUNDING if over is None or over.type == "THE_CHORD" else str(over)


def _inversion(token: Token) -> int:
    return _INVERSIONS[token.removeprefix("in ").split()[0]]


def _aim_text(aim: Any) -> str:
    if isinstance(aim, PassageName):
        return f"“{aim.text}”"
    return str(aim) if isinstance(aim, AddressRange) else str(aim.text)
