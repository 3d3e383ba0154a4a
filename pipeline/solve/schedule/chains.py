"""Each volume at its cheapest, task after task in real working hours, when time has a price.

What the lots leave out: tasks follow each other, run on over nights, and wait for people to be there. Times are
rounded in the volume's favour to a grid of two minutes, or of more in large campaigns, so the result is still below
what any timetable costs.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.solve.schedule.baseline import EarliestClocks
from pipeline.solve.schedule.capacity import Capacity, Floats, Ints
from pipeline.solve.schedule.problem import Problem, Volume
from pipeline.units import HALF_HOUR_MINUTES, MINUTES_PER_DAY

GRIDS_MINUTES = (2, 3, 5, 10, 15, 30)
"""Grids tried, finest first; each parts a half-hour evenly."""
MOST_PLACES = 70_000_000
"""Most places to weigh (volumes x tasks x people x grid); where the coarsest grid has more the chains are left out."""


@dataclass(frozen=True)
class _Worker:
    """People of one grade and calendar: grid places they are at work, and the price of their time up to each."""

    grade: int
    places: Ints
    paid: Floats


@dataclass(frozen=True)
class _Spans:
    """A task of some minutes by a worker, for each start on the grid: least price, least next place, finish."""

    prices: Floats
    next_places: Ints
    finishes: Floats


class Chains:
    """Cheapest chains at the given prices of time (`curves`: by grade and half-hour of `capacity`)."""

    def __init__(self, problem: Problem, clocks: EarliestClocks, capacity: Capacity, curves: Floats) -> None:
        self._problem = problem
        self._starts = clocks.starts
        self._step = self._finest_grid()
        self._steps = self._step * np.arange(HALF_HOUR_MINUTES // self._step)
        self._grid = (capacity.clocks[:, None] + self._steps).ravel()
        self._workers = self._make_workers(np.repeat(curves, len(self._steps), axis=1))
        self._spans: dict[tuple[int, int], _Spans] = {}

    @property
    def is_small(self) -> bool:
        """Whether weighing every place is worth the time."""
        return self._places(self._step) <= MOST_PLACES

    def _finest_grid(self) -> int:
        """Minutes of the finest grid whose places are few enough to weigh; the coarsest where none is."""
        fine = [minutes for minutes in GRIDS_MINUTES if self._places(minutes) <= MOST_PLACES]
        return fine[0] if fine else GRIDS_MINUTES[-1]

    def _places(self, step: int) -> int:
        """Places to weigh on a grid of so many minutes."""
        kinds = {(person.grade, person.days): person.minutes for person in self._problem.people}
        return sum(kinds.values()) // step * len(self._problem.tasks)

    def least_cost(self, volume: Volume, weight: float) -> float:
        """Least of weight x finish + price of all its tasks' time; undated it counts from the last midnight."""
        onward: Floats | None = None
        for task_no in reversed(volume.task_nos):
            onward = self._place(task_no, onward, weight)
        left = weight * self._problem.end_clock
        return left if onward is None else min(left, float(onward[0]))

    def _place(self, task_no: int, onward: Floats | None, weight: float) -> Floats:
        """Least cost of a task and all after it, by the first place on the grid it may start at."""
        task = self._problem.tasks[task_no]
        best = np.full(len(self._grid) + 1, np.inf)
        start = self._starts[task_no]
        if start is None:
            return best
        first = int(np.searchsorted(self._grid, start - self._step, side="right"))
        for worker_no, worker in enumerate(self._workers):
            if worker.grade >= self._problem.least_grades[task_no]:
                spans = self._span(worker_no, task.minutes)
                after = weight * spans.finishes if onward is None else onward[spans.next_places]
                cost = np.where(worker.places >= first, spans.prices + after, np.inf)
                best[worker.places] = np.minimum(best[worker.places], cost)
        least: Floats = np.minimum.accumulate(best[::-1])[::-1]
        return least

    def _make_workers(self, prices: Floats) -> list[_Worker]:
        workers = []
        for grade, days in sorted({(person.grade, person.days) for person in self._problem.people}):
            opens = [
                day_no * MINUTES_PER_DAY + self._problem.day_start_minute + HALF_HOUR_MINUTES * half_hour
                for day_no, half_hours in days
                for half_hour in range(half_hours)
            ]
            clocks = (np.array(opens, dtype=np.int64)[:, None] + self._steps).ravel()
            places = np.searchsorted(self._grid, clocks)
            paid = np.concatenate([[0.0], np.cumsum(prices[grade, places] * self._step)])
            if len(places):
                workers.append(_Worker(grade, places, paid))
        return workers

    def _span(self, worker_no: int, minutes: int) -> _Spans:
        key = worker_no, minutes
        if key not in self._spans:
            self._spans[key] = self._make_spans(self._workers[worker_no], minutes)
        return self._spans[key]

    def _make_spans(self, worker: _Worker, minutes: int) -> _Spans:
        count, step = len(worker.places), self._step
        first = step * np.arange(count)
        last = first + minutes
        if minutes == 0:
            return _Spans(np.zeros(count), worker.places, self._grid[worker.places].astype(np.float64))
        # the place the last minute lies in; the next task starts in it, or in the one after when it is full
        place = np.minimum((last - 1) // step, count - 1)
        within = last - step * place
        next_places = worker.places[place] + (within == step)
        finishes = self._grid[worker.places[place]] + within
        return _Spans(_least_price(worker, minutes, step), next_places, finishes.astype(np.float64))


def _least_price(worker: _Worker, minutes: int, step: int) -> Floats:
    """Least price of a task started in each place, at its beginning, its end, or so that it ends on the grid."""
    knots = step * np.arange(len(worker.places) + 1)
    total, first = knots[-1], knots[:-1]
    least = np.full(len(first), np.inf)
    for shift in (0, -minutes % step, step):
        start = first + shift
        price = np.interp(start + minutes, knots, worker.paid) - np.interp(start, knots, worker.paid)
        least = np.where(start + minutes <= total, np.minimum(least, price), least)
    return least
