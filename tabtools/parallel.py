"""One piece of work done for many things, over all cores where that pays."""

from __future__ import annotations

import gc
import os
import signal
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from multiprocessing.process import BaseProcess

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

    with ProcessPoolExecutor(workers, initializer=_start_working) as pool:
        with _uninterrupted():
            made = pool.map(work, things, chunksize=min(TOGETHER, -(-len(things) // workers)))
        try:
            yield made
        except BaseException:
            pool.shutdown(cancel_futures=True)
            raise


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """Let Ctrl-C wait while processes are started, so that it never finds one that does not know what to do with it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _start_working() -> None:
    """Make this process one that works for another: Ctrl-C is that one's business, and when it ends this one does."""
    from multiprocessing import parent_process

    gc.disable()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    starter = parent_process()
    if starter is not None:
        threading.Thread(target=_end_with, args=(starter,), daemon=True).start()


def _end_with(starter: BaseProcess) -> None:
    starter.join()
    os._exit(1)
