"""Where the addresses stand in the text of a claim, so that they can be written anew and all else left as it is."""

from __future__ import annotations

from typing import NamedTuple

from tabtools.model.solo import AddressRange
from tabtools.notation.claim_callbacks import ClaimCallbacks
from tabtools.notation.read import Grammar, MisreadError, Token
from tabtools.source import Span


class WrittenAddress(NamedTuple):
    """An address or a range, and where it stands in its text, in characters."""

    span: Span
    range: AddressRange


class ClaimAddresses:
    """Finds the addresses of claims, that of the place first, then those of other stretches and goals."""

    def __init__(self) -> None:
        self._noting = _Noting()
        self._grammar = Grammar("claim.lark", ("claim",), self._noting)

    def of(self, text: str) -> tuple[WrittenAddress, ...] | None:
        """The addresses in a claim's text, which begins with `@`; None where it cannot be read."""
        self._noting.found.clear()
        try:
            self._grammar.read(text, "claim")
        except MisreadError:
            return None
        return tuple(sorted(self._noting.found))


class _Noting(ClaimCallbacks):
    """The callbacks of claims, noting the addresses they come by."""

    def __init__(self) -> None:
        self.found: list[WrittenAddress] = []

    def address(self, children: list[Token]) -> AddressRange:
        found = super().address(children)
        self.found.append(WrittenAddress(Span(children[0].start_pos, children[-1].end_pos), found))
        return found

    point = address
