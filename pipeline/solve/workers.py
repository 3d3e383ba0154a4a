"""Independent problems solved side by side in two processes: the same answers in the same order as one by one.

Only worth its start for large jobs. A worker ends with the process that started it, also when that one is killed.
"""

import os
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from functools import cache
from multiprocessing import connection, get_context, parent_process
from typing import TypeVar

Job = TypeVar("Job")
Answer = TypeVar("Answer")
MOST_WORKERS = 2
"""Each holds solvers and tables of its own; a laptop has two cores to spare."""
WORTHWHILE_WEIGHT = 60


def solve_all(
    solve: Callable[[Job], Answer], jobs: Sequence[Job], *, weigh: Callable[[Job], int]
) -> list[Answer]:
    """Answers of the jobs in their order. `weigh` says about how many pieces of work a job is: heavy ones start first.

    `solve` and the jobs must be plain data, so that another process can have them. Small or single jobs, and
    machines that give no second process, are solved here.
    """
    weights = [weigh(job) for job in jobs]
    if sum(weights) < WORTHWHILE_WEIGHT or len(jobs) < 2 or (os.cpu_count() or 1) < 2:
        return [solve(job) for job in jobs]
    heavy_first = sorted(range(len(jobs)), key=lambda number: (-weights[number], number))
    try:
        begun = {number: _workers().submit(solve, jobs[number]) for number in heavy_first}
        return [begun[number].result() for number in range(len(jobs))]
    except (BrokenProcessPool, PermissionError):
        return [solve(job) for job in jobs]


@cache
def _workers() -> Executor:
    """The processes, started once and kept: they hold no part of any plan."""
    return ProcessPoolExecutor(MOST_WORKERS, mp_context=get_context("spawn"), initializer=_end_with_parent)


def _end_with_parent() -> None:
    """Watch the process that started this one, and end when it does."""
    parent = parent_process()
    if parent is not None:
        threading.Thread(target=_watch, args=(parent.sentinel,), daemon=True).start()


def _watch(sentinel: int) -> None:
    connection.wait([sentinel])
    os._exit(1)
