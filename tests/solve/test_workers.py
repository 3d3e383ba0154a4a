"""Jobs side by side: answers in the order of the jobs, wherever they are solved, and whatever becomes of the helper."""

import os
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from typing import Any

import pytest

from pipeline.solve import workers
from pipeline.solve.workers import WORTHWHILE_WEIGHT, solve_all

MANY = list(range(WORTHWHILE_WEIGHT))


def square(number: int) -> int:
    return number * number


def refuse_seven(number: int) -> int:
    if number == 7:
        raise ValueError("seven")
    return number


def process_id(_job: int) -> int:
    return os.getpid()


def one(_job: int) -> int:
    return 1


class Lost:
    """A helper that is ready for work and ends with the first job."""

    def submit(self, run: Any, *given: Any) -> "Future[Any]":
        done: Future[Any] = Future()
        if run is len:
            done.set_result(len(*given))
        else:
            done.set_exception(BrokenProcessPool())
        return done


def refused_helper() -> Any:
    raise PermissionError


def test_answers_keep_the_order_of_the_jobs() -> None:
    assert solve_all(square, MANY, weigh=one) == [number * number for number in MANY]


def test_small_jobs_stay_in_this_process() -> None:
    assert set(solve_all(process_id, MANY[:-1], weigh=one)) == {os.getpid()}


@pytest.mark.parametrize("helper", [Lost, refused_helper])
def test_jobs_are_solved_here_where_the_helper_is_lost(helper: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workers, "_helper", helper)
    assert solve_all(square, MANY, weigh=one) == [number * number for number in MANY]


def test_a_job_that_fails_is_told() -> None:
    with pytest.raises(ValueError, match="seven"):
        solve_all(refuse_seven, MANY, weigh=one)
