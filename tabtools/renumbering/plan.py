"""What is done to the bars of a solo, and the number that each of them has afterwards."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from tabtools.model.solo import Address, AddressRange


class PlanError(Exception):
    """What cannot be done to these bars; the text says why and what to do."""


@dataclass(frozen=True, slots=True)
class Plan:
    """Bars that are taken from their place, and where they, or new ones, are put.

    `taken` are numbers of bars, `new` is how many are made. `beside` is the bar before or behind which they are put,
    None where bars are only taken out. `numbers` has the number that each old bar has afterwards; what is gone is not
    in it.
    """

    taken: range
    new: int
    side: Literal["before", "after"]
    beside: int | None
    numbers: Mapping[int, int]

    @property
    def made(self) -> range:
        """The numbers of the new bars."""
        if not self.new or self.beside is None:
            return range(0)
        now = self.numbers[self.beside]
        return range(now - self.new, now) if self.side == "before" else range(now + 1, now + 1 + self.new)

    def address(self, old: Address) -> Address | None:
        """The address that a place has now; None where its bar is gone."""
        number = self.numbers.get(old.bar)
        return None if number is None else old._replace(bar=number)

    def stretch(self, old: AddressRange) -> AddressRange | None:
        """The stretch as it is now, as far as its bars are still there and together; None where they are not.

        What is put in between its bars belongs to it.
        """
        bars = [bar for bar in self.numbers if old.first.bar <= bar <= old.last.bar]
        if not bars:
            return None
        now = [self.numbers[bar] for bar in bars]
        if now != sorted(now) or sum(now[0] <= number <= now[-1] for number in self.numbers.values()) > len(now):
            return None
        first = self.address(old.first) or Address(now[0])
        last = self.address(old.last) or Address(now[-1])
        return AddressRange(first, last)


def put_in(bars: Sequence[int], new: int, side: Literal["before", "after"], beside: int) -> Plan:
    """New bars before or behind one of `bars`, the numbers there are. Raises `PlanError`."""
    _check_there(bars, beside)
    if side == "before" and beside == 0:
        raise PlanError("bar 0 is the pickup, and nothing stands before it; put bars in --after 0")
    numbers = {bar: bar + new if bar > beside or (bar == beside and side == "before") else bar for bar in bars}
    return Plan(range(0), new, side, beside, numbers)


def take_out(bars: Sequence[int], taken: range) -> Plan:
    """Bars taken out. Raises `PlanError`."""
    _check_stretch(bars, taken)
    if len(taken) >= len(bars):
        raise PlanError("that would be all bars of the solo; delete the file instead")
    shift = sum(bar in taken for bar in bars if bar != 0)
    numbers = {bar: bar - shift if bar >= taken.stop else bar for bar in bars if bar not in taken}
    return Plan(taken, 0, "before", None, numbers)


def move(bars: Sequence[int], taken: range, side: Literal["before", "after"], beside: int) -> Plan:
    """Bars moved before or behind another one. Raises `PlanError`."""
    _check_stretch(bars, taken)
    _check_there(bars, beside)
    if beside in taken:
        raise PlanError(f"bar {beside} is among the bars that are moved; name one beside which they go")
    if taken.start == 0 or (beside == 0 and side == "before"):
        raise PlanError("bar 0 is the pickup, and stays in front")
    staying = [bar for bar in bars if bar not in taken]
    at = staying.index(beside) + (side == "after")
    order = [*staying[:at], *taken, *staying[at:]]
    return Plan(taken, 0, side, beside, dict(sorted(zip(order, bars, strict=True))))


def _check_there(bars: Sequence[int], wanted: int) -> None:
    if wanted not in bars:
        raise PlanError(f"there is no bar {wanted}: the solo has {_all_of(bars)}")


def _check_stretch(bars: Sequence[int], wanted: range) -> None:
    if not wanted:
        raise PlanError(f"bars {wanted.start}-{wanted.stop - 1} run backwards")
    for bar in (wanted.start, wanted.stop - 1):
        _check_there(bars, bar)


def _all_of(bars: Sequence[int]) -> str:
    return f"only bar {bars[0]}" if len(bars) == 1 else f"bars {bars[0]} to {bars[-1]}"
