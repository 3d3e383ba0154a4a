"""Independent problems solved side by side by this process and a second one: the same answers as one by one.

Only worth its start for large jobs. The second process ends with the one that started it, also when that is killed.
"""

import os
import threading
from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from functools import cache
from multiprocessing import connection, get_context, parent_process
from typing import TypeVar

Job = TypeVar("Job")
Answer = TypeVar("Answer")
PROCESSES = 2
"""This one and the helper. Each holds solvers and tables of its own; a laptop has two cores to spare."""
WORTHWHILE_WEIGHT = 60


def get_ready(functions: Sequence[Callable[..., object]], *, weight: int) -> None:
    """Start the helper ahead of jobs of this weight, where they are worth it; it loads what the functions stand in."""
    if weight >= WORTHWHILE_WEIGHT and (os.cpu_count() or 1) >= PROCESSES:
        with suppress(PermissionError):
            _helper().submit(len, functions)


def solve_all(
    solve: Callable[[Job], Answer], jobs: Sequence[Job], *, weigh: Callable[[Job], int]
) -> list[Answer]:
    """Answers of the jobs in their order. `weigh` says about how many pieces of work a job is: heavy ones start first.

    `solve` and the jobs must be plain data, so that another process can have them. Small or single jobs, and
    machines that give no second process, are solved here.
    """
    weights = [weigh(job) for job in jobs]
    if sum(weights) < WORTHWHILE_WEIGHT or len(jobs) < 2 or (os.cpu_count() or 1) < PROCESSES:
        return [solve(job) for job in jobs]
    heavy_first = sorted(range(len(jobs)), key=lambda number: (-weights[number], number))
    waiting, elsewhere = _Waiting(heavy_first), dict[int, Future[Answer]]()
    feeder = threading.Thread(target=_feed, args=(solve, jobs, waiting, elsewhere), daemon=True)
    feeder.start()
    here = dict[int, Answer]()
    try:
        while (number := waiting.take()) is not None:
            here[number] = solve(jobs[number])
    finally:
        waiting.drop()  # after a failure nothing more is begun
    if waiting.is_helped:
        feeder.join()
    left = [number for number in heavy_first if number not in here and number not in elsewhere]
    here |= {number: solve(jobs[number]) for number in left}
    return [here[number] if number in here else elsewhere[number].result() for number in range(len(jobs))]


class _Waiting:
    """Numbers of the jobs that wait; this process and the thread that feeds the helper take them one by one."""

    def __init__(self, numbers: Sequence[int]) -> None:
        self._numbers = deque(numbers)
        self._lock = threading.Lock()
        self.is_helped = False
        """Whether the helper ever took one. Does not change any more once none is left."""

    def take(self, *, for_helper: bool = False) -> int | None:
        """The next number, None when none is left."""
        with self._lock:
            if not self._numbers:
                return None
            self.is_helped |= for_helper
            return self._numbers.popleft()

    def drop(self) -> None:
        """Let nobody take any more."""
        with self._lock:
            self._numbers.clear()


def _feed(
    solve: Callable[[Job], Answer],
    jobs: Sequence[Job],
    waiting: _Waiting,
    elsewhere: dict[int, "Future[Answer]"],
) -> None:
    """Have one job after the other solved by the helper, from when it is ready for them on.

    A job is left over where the helper has ended meanwhile.
    """
    try:
        _helper().submit(len, (solve,)).result()
        while (number := waiting.take(for_helper=True)) is not None:
            found = _helper().submit(solve, jobs[number])
            if isinstance(found.exception(), BrokenProcessPool):
                return
            elsewhere[number] = found
    except (BrokenProcessPool, PermissionError):
        return


@cache
def _helper() -> Executor:
    """The second process, started once and kept: it holds no part of any plan."""
    return ProcessPoolExecutor(1, mp_context=get_context("spawn"), initializer=_end_with_parent)


def _end_with_parent() -> None:
    """Watch the process that started this one, and end when it does."""
    parent = parent_process()
    if parent is not None:
        threading.Thread(target=_watch, args=(parent.sentinel,), daemon=True).start()


def _watch(sentinel: int) -> None:
    connection.wait([sentinel])
    os._exit(1)
