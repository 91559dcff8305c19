"""What is done to the bars of a solo, and the number that each of them has afterwards."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

from tabtools.model.solo import Address, AddressRange


class PlanError(Exception):
    """What cannot be done to these bars; the text says why and what to do."""


class Beside(NamedTuple):
    """Before or behind which bar something is put, by its old number."""

    side: Literal["before", "after"]
    bar: int


@dataclass(frozen=True, slots=True)
class Plan:
    """What becomes of the bars: `numbers` has the number that each old bar has afterwards; what is gone is not in it.

    `taken` are old bars that leave their place, `made` are the numbers of bars that were not there, and `spot` is
    where either is put: None where bars are only taken out, or where they stand in their new order already.
    """

    taken: frozenset[int]
    made: tuple[int, ...]
    numbers: Mapping[int, int]
    spot: Beside | None = None

    def knows(self, old: AddressRange) -> bool:
        """Whether both ends of a stretch were there."""
        return all(end.bar in self.numbers or end.bar in self.taken for end in old)

    def changes(self, bar: int) -> bool:
        """Whether an old bar has another number now, or none."""
        return (bar in self.numbers or bar in self.taken) and self.numbers.get(bar) != bar

    def loses(self, old: AddressRange) -> bool:
        """Whether bars of a stretch are gone."""
        return any(old.first.bar <= bar <= old.last.bar and bar not in self.numbers for bar in self.taken)

    def address(self, old: Address) -> Address | None:
        """The address that a place has now; None where its bar is gone."""
        number = self.numbers.get(old.bar)
        return None if number is None else old._replace(bar=number)

    def stretch(self, old: AddressRange) -> AddressRange | None:
        """The stretch as it is now, as far as its bars are still there; None where they are not together any more.

        New bars that were put in between its bars belong to it.
        """
        now = [self.numbers[bar] for bar in self.numbers if old.first.bar <= bar <= old.last.bar]
        if not now or now != sorted(now):
            return None
        if sum(now[0] <= number <= now[-1] for number in self.numbers.values()) > len(now):
            return None
        return self._between(old, now)

    def passage(self, old: AddressRange) -> AddressRange | None:
        """A passage as it is now: without bars moved out of it, with those moved in; None where all are gone."""
        bars = [bar for bar in self.numbers if old.first.bar <= bar <= old.last.bar]
        staying = [bar for bar in bars if bar not in self.taken] or bars
        return self._between(old, [self.numbers[bar] for bar in staying]) if staying else None

    def _between(self, old: AddressRange, now: Sequence[int]) -> AddressRange:
        """From the first to the last of these bars; within a bar only where the end that says so is still the end."""
        first, last = self.address(old.first), self.address(old.last)
        if first is None or first.bar != now[0]:
            first = Address(now[0])
        if last is None or last.bar != now[-1]:
            last = Address(now[-1])
        return AddressRange(first, last)


def put_in(bars: Sequence[int], new: int, spot: Beside) -> Plan:
    """So many new bars beside one of `bars`, the numbers there are. Raises `PlanError`."""
    _check_there(bars, spot.bar)
    if spot == Beside("before", 0):
        raise PlanError("bar 0 is the pickup, and nothing stands before it; put bars in --after 0")
    first = spot.bar if spot.side == "before" else spot.bar + 1
    numbers = {bar: bar + new if bar >= first else bar for bar in bars}
    return Plan(frozenset(), tuple(range(first, first + new)), numbers, spot)


def take_out(bars: Sequence[int], taken: range) -> Plan:
    """Bars taken out. Raises `PlanError`."""
    _check_stretch(bars, taken)
    if len(taken) >= len(bars):
        raise PlanError("that would be all bars of the solo; delete the file instead")
    shift = sum(bar in taken for bar in bars if bar != 0)
    numbers = {bar: bar - shift if bar >= taken.stop else bar for bar in bars if bar not in taken}
    return Plan(frozenset(taken), (), numbers)


def move(bars: Sequence[int], taken: range, spot: Beside) -> Plan:
    """Bars moved beside another one. Raises `PlanError`."""
    _check_stretch(bars, taken)
    _check_there(bars, spot.bar)
    if spot.bar in taken:
        raise PlanError(f"bar {spot.bar} is among the bars that are moved; name one beside which they go")
    if taken.start == 0 or spot == Beside("before", 0):
        raise PlanError("bar 0 is the pickup, and stays in front")
    staying = [bar for bar in bars if bar not in taken]
    at = staying.index(spot.bar) + (spot.side == "after")
    order = [*staying[:at], *taken, *staying[at:]]
    return Plan(frozenset(taken), (), dict(sorted(zip(order, bars, strict=True))), spot)


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
