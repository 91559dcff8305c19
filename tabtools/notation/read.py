"""The importer of lark: a grammar file to a reader, lark's exceptions to one plain record.

Grammars are LALR, and rules are turned into records as they are reduced: no tree is ever built or walked.
"""

from __future__ import annotations

import io
import pickle
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import lark
from lark.exceptions import UnexpectedInput

from tabtools.cache.single import KeptFile
from tabtools.source import Span

if TYPE_CHECKING:

    class Token(lark.Token):
        """A token of a text that was read: unlike one made by hand it always has its place."""

        start_pos: int
        end_pos: int
else:
    Token = lark.Token

Children = list[Any]
"""What a rule was read from: tokens, and what the callbacks of the rules below it returned."""


class MisreadError(Exception):
    """Where reading stopped: the character offset, and the names of the terminals that could have stood there."""

    def __init__(self, offset: int, awaited: frozenset[str]):
        super().__init__(offset, awaited)
        self.offset = offset
        self.awaited = awaited


class RefusedError(MisreadError):
    """What fits the grammar and yet says nothing that can be played: a callback refuses it, in plain words."""

    def __init__(self, offset: int, message: str, advice: str):
        super().__init__(offset, frozenset())
        self.message = message
        self.advice = advice


class Grammar:
    """A grammar file of this folder, read into records by `callbacks`.

    What the grammar comes to is kept for the next start; parsers that lark generates begin from the same tables.
    `callbacks` has a method for each rule, given the list of the rule's children: tokens (str with `.type`,
    `.start_pos`, `.end_pos`) and what the methods of the rules below returned.
    """

    def __init__(self, file_name: str, starts: tuple[str, ...], callbacks: object):
        text = Path(__file__).with_name(file_name).read_text(encoding="utf-8")
        kept = KeptFile(f"grammar-{Path(file_name).stem}", text, " ".join(starts), lark.__version__, sys.version)
        tables = kept.known()
        if tables is None:
            self._lark = lark.Lark(
                text, parser="lalr", start=list(starts), maybe_placeholders=False, transformer=callbacks
            )
            kept.keep(_tables(self._lark))
        else:
            self._lark = lark.Lark._load_from_dict(**tables, transformer=callbacks)  # type: ignore[no-untyped-call]

    def read(self, text: str, start: str) -> Any:
        """What the callback of the rule `start` returns. Raises `MisreadError`, `RefusedError` among them."""
        try:
            return self._lark.parse(text, start=start)
        except UnexpectedInput as error:
            token = getattr(error, "token", None)
            at_end = token is not None and token.type == "$END"
            awaited = next(filter(None, (getattr(error, name, None) for name in _AWAITED)), ())
            offset = len(text) if at_end or error.pos_in_stream is None else error.pos_in_stream
            raise MisreadError(offset, frozenset(awaited)) from None


_AWAITED = ("accepts", "expected", "allowed")
"""Where lark's exceptions keep what could have come, the best told first."""


def span_of(token: Token) -> Span:
    """Where a token stands."""
    return Span(token.start_pos, token.end_pos)


def _tables(parser: lark.Lark) -> Any:
    """What a grammar comes to, in plain values: making it takes lark longer than reading a solo with it."""
    saved = io.BytesIO()
    parser.save(saved, exclude_options=["transformer"])
    return pickle.loads(saved.getvalue())
