"""Word of changes, for the pages that are open: a stream of server-sent events.

Source: HTML Living Standard, “Server-sent events”.
"""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Iterator

MOST_KEPT = 100


class News:
    """What changed, in order. Each change has a number, higher than those of any server before; every page is first
    told the last one."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._number = time.time_ns() // 1_000_000
        self._kept: list[tuple[int, str]] = []
        self._is_closed = False

    @property
    def number(self) -> int:
        """The number of the last change."""
        with self._changed:
            return self._number

    def tell(self, **said: object) -> None:
        """Tell all open pages of a change."""
        with self._changed:
            self._number += 1
            text = json.dumps({"number": self._number, **said}, ensure_ascii=False, allow_nan=False)
            self._kept = [*self._kept, (self._number, text)][-MOST_KEPT:]
            self._changed.notify_all()

    def close(self) -> None:
        """End all streams."""
        with self._changed:
            self._is_closed = True
            self._changed.notify_all()

    def told(self, patience: float) -> Iterator[str]:
        """The stream that one page reads; after so many seconds of silence, a sign of life."""
        with self._changed:
            seen = self._number
        yield f"retry: 500\nevent: hello\ndata: {seen}\n\n"
        while True:
            with self._changed:
                if self._number == seen and not self._is_closed:
                    self._changed.wait(patience)
                if self._is_closed:
                    return
                fresh = [text for number, text in self._kept if number > seen]
                seen = self._number
            yield "".join(f"data: {text}\n\n" for text in fresh) or ": still here\n\n"
