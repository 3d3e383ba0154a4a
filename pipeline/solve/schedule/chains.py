"""Each volume at its cheapest, task after task in real working hours, when people's time has a price.

What the lots leave out: tasks follow each other, run on over nights, and wait for people to be there; whoever clears
a volume goes on with it where skills allow. Times are rounded in the volume's favour to a grid of some minutes, so
the result is still below what any timetable costs.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, takewhile

import numpy as np

from pipeline.solve.schedule.baseline import EarliestClocks
from pipeline.solve.schedule.capacity import Floats, Ints, WorkerKind
from pipeline.solve.schedule.problem import SEGMENT_KINDS, Problem
from pipeline.units import HALF_HOUR_MINUTES

GRIDS_MINUTES = (2, 3, 5, 10, 15, 30)
"""Grids tried, finest first; each parts a half-hour evenly."""
MOST_PLACES = 450_000_000
"""Most places to weigh at once (tasks x kinds of people x grid)."""


@dataclass(frozen=True)
class _Worker:
    """People of one grade and calendar, and the grid places they are at work."""

    grade: int
    places: Ints


@dataclass(frozen=True)
class _Spans:
    """A task of some minutes by a worker, for each start on the grid: the worker's own next place, the next place of
    anyone, finish."""

    own_next: Ints
    next_places: Ints
    finishes: Floats


@dataclass(frozen=True)
class _Stage:
    """Tasks that stay in one hand where skills allow, by the place on the grid they start in.

    `onward`: least cost of these tasks and all after them from a place on; `best` and `who`: the same started in that
    very place, and by which worker; `runs`: by worker, cost of each task it does by its own places; `rests`: by the
    number of tasks done, the stage of those handed over.
    """

    task_nos: tuple[int, ...]
    onward: Floats
    best: Floats
    who: Ints
    runs: dict[int, list[Floats]]
    rests: dict[int, "_Stage"]


@dataclass(frozen=True)
class Use:
    """Minutes of a kind of people, from a place on the grid of their own working minutes on."""

    kind_no: int
    minute: int
    minutes: int


@dataclass(frozen=True)
class Cheapest:
    """A chain at its cheapest: weight x finish + price, the finish, and whose time it takes; none when left undone."""

    cost: float
    finish_clock: float
    uses: tuple[Use, ...]


class Chains:
    """Cheapest chains of tasks at prices of time by kind of people and half-hour they work; first time is free."""

    def __init__(
        self,
        problem: Problem,
        clocks: EarliestClocks,
        kinds: Sequence[WorkerKind],
        *,
        step: int,
    ) -> None:
        self._problem = problem
        self._step = step
        steps = step * np.arange(HALF_HOUR_MINUTES // step)
        opens = [(kind.clocks[:, None] + steps).ravel() for kind in kinds]
        self._grid: Ints = np.unique(np.concatenate(opens)) if opens else np.zeros(0, dtype=np.int64)
        self._workers = [
            _Worker(kind.grade, np.searchsorted(self._grid, own))
            for kind, own in zip(kinds, opens, strict=True)
        ]
        self._first_places = [
            [self._first_place(worker, start) for worker in self._workers] for start in clocks.starts
        ]
        self._spans: dict[tuple[int, int], _Spans] = {}
        self._span_prices: dict[tuple[int, int], Floats] = {}
        self.price([np.zeros(len(kind.clocks)) for kind in kinds])

    def price(self, prices: Sequence[Floats]) -> None:
        """Set what a minute costs, by kind and its half-hours."""
        places = HALF_HOUR_MINUTES // self._step
        self._paid = [
            np.concatenate([[0.0], np.cumsum(np.repeat(price, places) * self._step)]) for price in prices
        ]
        self._span_prices.clear()

    def least_cost(self, task_nos: Sequence[int], weight: float, left_clock: float) -> float:
        """Least of weight x finish + price of all the tasks' time; left undone they count from `left_clock`."""
        left = weight * left_clock
        stages = self._stages(task_nos, weight)
        return min(left, float(stages[0].onward[0])) if stages else left

    def cheapest(self, task_nos: Sequence[int], weight: float, left_clock: float) -> Cheapest:
        """The same with the finish and whose time is taken."""
        left = weight * left_clock
        stages = self._stages(task_nos, weight)
        if not stages or not stages[0].onward[0] < left:
            return Cheapest(left, left_clock, ())
        place, finish, uses = 0, 0.0, list[Use]()
        for stage in stages:
            place, finish = self._follow(stage, place, uses)
        return Cheapest(float(stages[0].onward[0]), finish, tuple(uses))

    def costs_from(self, task_nos: Sequence[int], weight: float, clocks: Ints) -> dict[int, Floats]:
        """Least cost of the tasks left after some, by how many those are, when started at each clock or later.

        Clocks are those of half-hours; one more place, infinite, stands for after the last.
        """
        places = np.append(np.searchsorted(self._grid, clocks), len(self._grid))
        costs: dict[int, Floats] = {}
        done = 0
        for stage in self._stages(task_nos, weight):
            costs[done] = stage.onward[places]
            done += len(stage.task_nos)
        return costs

    def _stages(self, task_nos: Sequence[int], weight: float) -> list[_Stage]:
        """The chain in stages from its first task on; each knows the least cost of all from it on."""
        stages: list[_Stage] = []
        onward: Floats | None = None
        for hand in reversed(self._hands(task_nos)):
            stages.append(self._stage(hand, onward, weight))
            onward = stages[-1].onward
        return stages[::-1]

    def _hands(self, task_nos: Sequence[int]) -> list[tuple[int, ...]]:
        """Tasks from remove to check together, every other task on its own."""
        hands: list[tuple[int, ...]] = []
        for is_segment, run in groupby(task_nos, lambda no: self._problem.tasks[no].kind in SEGMENT_KINDS):
            together = tuple(run)
            hands += [together] if is_segment else [(task_no,) for task_no in together]
        return hands

    def _stage(self, task_nos: tuple[int, ...], onward: Floats | None, weight: float) -> _Stage:
        """Least cost of a stage whose end is `onward`; the chain's last stage ends with weight x finish."""
        count = len(self._grid)
        best, who = np.full(count + 1, np.inf), np.full(count + 1, -1, dtype=np.int64)
        runs: dict[int, list[Floats]] = {}
        rests: dict[int, _Stage] = {}
        for worker_no, worker in enumerate(self._workers):
            own = self._able_to(worker, task_nos)
            if not own:
                continue
            after = onward
            if len(own) < len(task_nos):
                if len(own) not in rests:
                    rests[len(own)] = self._stage(task_nos[len(own) :], onward, weight)
                after = rests[len(own)].onward
            runs[worker_no] = self._run(worker_no, own, after, weight)
            cost = runs[worker_no][0]
            is_less = cost < best[worker.places]
            best[worker.places[is_less]] = cost[is_less]
            who[worker.places[is_less]] = worker_no
        return _Stage(task_nos, _least_from(best), best, who, runs, rests)

    def _able_to(self, worker: _Worker, task_nos: Sequence[int]) -> list[int]:
        """The first of the tasks that a worker can do before handing over; none for one who is never there."""
        grades = self._problem.least_grades
        return list(takewhile(lambda no: grades[no] <= worker.grade, task_nos)) if len(worker.places) else []

    def _run(
        self, worker_no: int, task_nos: Sequence[int], onward: Floats | None, weight: float
    ) -> list[Floats]:
        """Cost of each task and all after it by the place in the worker's own time it starts in."""
        costs: list[Floats] = []
        for task_no in reversed(task_nos):
            minutes = self._problem.tasks[task_no].minutes
            spans = self._span(worker_no, minutes)
            if costs:
                after = np.append(_least_from(costs[-1]), np.inf)[spans.own_next]
            else:
                after = weight * spans.finishes if onward is None else onward[spans.next_places]
            cost = self._span_price(worker_no, minutes) + after
            cost[: self._first_places[task_no][worker_no]] = np.inf
            costs.append(cost)
        return costs[::-1]

    def _first_place(self, worker: _Worker, start: int | None) -> int:
        """A worker's own place before which a task cannot start; past the last where it cannot at all."""
        if start is None:
            return len(worker.places)
        first = np.searchsorted(self._grid, start - self._step, side="right")
        return int(np.searchsorted(worker.places, first))

    def _follow(self, stage: _Stage, place: int, uses: list[Use]) -> tuple[int, float]:
        """Add whose time a stage takes when it may start from a place on; gives the place and clock after it."""
        start = place + int(np.argmax(stage.best[place:] <= stage.onward[place]))
        worker_no = int(stage.who[start])
        costs = stage.runs[worker_no]
        own, finish = int(np.searchsorted(self._workers[worker_no].places, start)), 0.0
        for task_no, cost in zip(stage.task_nos, costs, strict=False):
            own += int(np.argmin(cost[own:]))
            minutes = self._problem.tasks[task_no].minutes
            spans = self._span(worker_no, minutes)
            uses.append(Use(worker_no, own * self._step, minutes))
            place, finish, own = (
                int(spans.next_places[own]),
                float(spans.finishes[own]),
                int(spans.own_next[own]),
            )
        if len(costs) < len(stage.task_nos):
            return self._follow(stage.rests[len(costs)], place, uses)
        return place, finish

    def _span(self, worker_no: int, minutes: int) -> _Spans:
        key = worker_no, minutes
        if key not in self._spans:
            self._spans[key] = self._make_spans(self._workers[worker_no], minutes)
        return self._spans[key]

    def _span_price(self, worker_no: int, minutes: int) -> Floats:
        """Least price of a task for each start on the grid."""
        key = worker_no, minutes
        if key not in self._span_prices:
            self._span_prices[key] = _least_price(self._paid[worker_no], minutes, self._step)
        return self._span_prices[key]

    def _make_spans(self, worker: _Worker, minutes: int) -> _Spans:
        count, step = len(worker.places), self._step
        own = np.arange(count)
        if minutes == 0:
            return _Spans(own, worker.places, self._grid[worker.places].astype(np.float64))
        last = step * own + minutes
        # the place the last minute lies in; the next task starts in it, or in the one after when it is full
        place = np.minimum((last - 1) // step, count - 1)
        within = last - step * place
        is_full = within == step
        finishes = self._grid[worker.places[place]] + within
        return _Spans(place + is_full, worker.places[place] + is_full, finishes.astype(np.float64))


def finest_grid(problem: Problem, kinds: Sequence[WorkerKind], *, finest: int = 0) -> int | None:
    """Minutes of the finest grid, not finer than asked, whose places are few enough to weigh; None: none is."""
    fine = (step for step in GRIDS_MINUTES if step >= finest and places(problem, kinds, step) <= MOST_PLACES)
    return next(fine, None)


def places(problem: Problem, kinds: Sequence[WorkerKind], step: int) -> int:
    """Places to weigh on a grid of so many minutes."""
    return sum(len(kind.clocks) for kind in kinds) * (HALF_HOUR_MINUTES // step) * len(problem.tasks)


def _least_from(costs: Floats) -> Floats:
    """Least cost from each place on."""
    least: Floats = np.minimum.accumulate(costs[::-1])[::-1]
    return least


def _least_price(paid: Floats, minutes: int, step: int) -> Floats:
    """Least price of a task started in each place, at its beginning, its end, or so that it ends on the grid.

    `paid` is the price of all places before each, and of all.
    """
    rates = np.append(np.diff(paid) / step, np.inf)
    full, rest = divmod(minutes, step)
    count = len(rates) - 1
    least = np.full(count, np.inf)
    if full > count:
        return least
    # from the beginning: whole places, then the rest in the next one; there is none after the last
    from_start = paid[full:] - paid[: count + 1 - full] + (rest * rates[full:] if rest else 0.0)
    least[: count - full] = np.minimum(from_start[:-1], from_start[1:])
    if not rest:
        least[count - full : count + 1 - full] = from_start[-1]
    elif full < count:
        # to the end of a place: the rest in the first one, then whole places
        to_end = rest * rates[: count - full] + paid[full + 1 :] - paid[1 : count + 1 - full]
        least[: count - full] = np.minimum(least[: count - full], to_end)
    return least
