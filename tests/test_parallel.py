"""Work spread over processes."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from time import sleep

import pytest

from tabtools.parallel import spread


def squared(number: int) -> tuple[int, int]:
    """The square, and the process that worked it out."""
    return number * number, os.getpid()


def spread_over(count: int, fewest: int) -> tuple[list[int], set[int]]:
    with spread(squared, range(count), fewest) as made:
        results = list(made)
    return [square for square, _ in results], {process for _, process in results}


@pytest.fixture
def two_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1}, raising=False)


@pytest.mark.usefixtures("two_cores")
def test_much_work_is_done_elsewhere_and_comes_back_in_order(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(threading, "active_count", lambda: 1)
    squares, processes = spread_over(100, 10)
    assert squares == [number * number for number in range(100)]
    assert os.getpid() not in processes


@pytest.mark.usefixtures("two_cores")
@pytest.mark.parametrize("count", [0, 1, 9])
def test_little_work_stays_here(count: int) -> None:
    squares, processes = spread_over(count, 10)
    assert squares == [number * number for number in range(count)]
    assert processes <= {os.getpid()}


@pytest.mark.usefixtures("two_cores")
def test_beside_other_threads_no_process_is_started() -> None:
    done = threading.Event()
    other = threading.Thread(target=done.wait)
    other.start()
    try:
        assert spread_over(20, 10)[1] == {os.getpid()}
    finally:
        done.set()
        other.join()


def test_on_one_core_all_stays_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0}, raising=False)
    assert spread_over(20, 10)[1] == {os.getpid()}


# ---- what ends it


MANY_SLOW = """\
import os, sys, time
from tabtools import parallel
os.sched_getaffinity = lambda _: {0, 1}

def slow(number):
    time.sleep(0.005)
    return os.getpid()

if __name__ == "__main__":
    with parallel.spread(slow, range(100_000), 2) as made:
        for process in made:
            print(process, flush=True)
"""


@pytest.fixture
def working(tmp_path: Path) -> Iterator[tuple[subprocess.Popen[str], set[int]]]:
    """A process that has others work for it, and which these are."""
    (tmp_path / "many_slow.py").write_text(MANY_SLOW, encoding="utf-8")
    with subprocess.Popen(
        [sys.executable, tmp_path / "many_slow.py"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONPATH": str(Path(__file__).parents[1])},
        start_new_session=True,
    ) as process:
        workers: set[int] = set()
        while len(workers) < 2:
            workers.add(int(process.stdout.readline()))
        yield process, workers
        process.kill()


def wait_until_gone(process: int) -> None:
    for _ in range(600):
        try:
            os.kill(process, 0)
        except ProcessLookupError:
            return
        sleep(0.1)
    raise AssertionError("it still works")


@pytest.mark.parametrize("end", [signal.SIGKILL, signal.SIGTERM])
def test_who_works_for_a_process_ends_with_it(
    working: tuple[subprocess.Popen[str], set[int]], end: signal.Signals
) -> None:
    process, workers = working
    process.send_signal(end)
    process.wait(timeout=60)
    for worker in workers:
        wait_until_gone(worker)


def test_an_interruption_is_for_the_one_who_started_the_work(
    working: tuple[subprocess.Popen[str], set[int]],
) -> None:
    """Ctrl-C reaches all of them at once."""
    process, workers = working
    for worker in workers:
        os.kill(worker, signal.SIGINT)
    for _ in range(400):
        workers -= {int(process.stdout.readline())}
    assert workers == set()
    os.killpg(process.pid, signal.SIGINT)
    _, said = process.communicate(timeout=60)
    assert said.count("Traceback") == 1 and said.endswith("KeyboardInterrupt\n")
