"""One piece of work done for many things, over all cores where that pays."""

from __future__ import annotations

import gc
import os
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import TypeVar

Thing = TypeVar("Thing")
Result = TypeVar("Result")

TOGETHER = 8


@contextmanager
def spread(work: Callable[[Thing], Result], things: Sequence[Thing], fewest: int) -> Iterator[Iterable[Result]]:
    """The results in the order of the things. From `fewest` things on other processes help: `work`, the things and
    the results are then sent between them. Beside other threads no process is started: they might hold locks."""
    workers = min(len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else 1, len(things))
    if len(things) < fewest or workers < 2 or threading.active_count() > 1:
        yield map(work, things)
        return
    from concurrent.futures import ProcessPoolExecutor  # costs every small lint a tenth of its start

    with ProcessPoolExecutor(workers, initializer=gc.disable) as pool:
        yield pool.map(work, things, chunksize=min(TOGETHER, -(-len(things) // workers)))
