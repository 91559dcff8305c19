"""Work spread over processes."""

from __future__ import annotations

import os
import threading

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
