"""Bounds that need no solver: the critical path, and hours over capacity."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.solve.schedule.capacity import worker_kinds
from pipeline.solve.schedule.problem import Problem, Volume
from pipeline.solve.schedule.timeline import Timeline
from pipeline.units import HALF_HOUR_MINUTES, MINUTES_PER_DAY

SAFETY = 1e-9
"""Share taken off a bound for rounding in the arithmetic."""


@dataclass(frozen=True, kw_only=True)
class EarliestClocks:
    """By task: when it could start and be finished if nobody had anything else to do; None: not in the campaign."""

    starts: tuple[int | None, ...]
    finishes: tuple[int | None, ...]


def earliest_clocks(problem: Problem) -> EarliestClocks:
    """Critical path through deliveries, order, skills and calendars, each task with whoever is finished first."""
    timelines = _timelines(problem)
    starts: list[int | None] = [None] * len(problem.tasks)
    finishes: list[int | None] = [None] * len(problem.tasks)
    for task_no in _in_order(problem):
        task = problem.tasks[task_no]
        before = [finishes[other] for other in task.before]
        known = [clock for clock in before if clock is not None]
        if len(known) == len(before):
            ready = max([task.first_day_no * MINUTES_PER_DAY, *known])
            spans = _alone(timelines, ready, task.minutes, problem.least_grades[task_no])
            starts[task_no] = min((start for start, _ in spans), default=None)
            finishes[task_no] = min((finish for _, finish in spans), default=None)
    return EarliestClocks(starts=tuple(starts), finishes=tuple(finishes))


def _in_order(problem: Problem) -> list[int]:
    """Task numbers, each after all it waits for."""
    waits = [len(task.before) for task in problem.tasks]
    followers: dict[int, list[int]] = {}
    for task_no, task in enumerate(problem.tasks):
        for other in task.before:
            followers.setdefault(other, []).append(task_no)
    order = [task_no for task_no, count in enumerate(waits) if count == 0]
    for task_no in order:
        for follower in followers.get(task_no, ()):
            waits[follower] -= 1
            if waits[follower] == 0:
                order.append(follower)
    return order


def _timelines(problem: Problem) -> list[Timeline]:
    """Free time of each kind of person: people of one grade and calendar are the same as long as nothing is taken."""
    kinds = {(person.grade, person.days): person for person in problem.people}
    return [Timeline(person, day_start_minute=problem.day_start_minute) for person in kinds.values()]


def _alone(
    timelines: Sequence[Timeline], ready_clock: int, minutes: int, grade: int
) -> list[tuple[int, int]]:
    """Start and finish of a task with each kind of person who may do it and has nothing else to do."""
    spans = []
    for timeline in timelines:
        position = timeline.find(ready_clock, minutes) if timeline.person.grade >= grade else None
        if position is not None:
            spans.append(timeline.span(position, minutes))
    return spans


def earliest_finish(problem: Problem, clocks: EarliestClocks, volume: Volume) -> int:
    """Clock before which a volume cannot be finished: the last midnight if not inside the campaign."""
    clock = clocks.finishes[volume.task_nos[-1]]
    return problem.end_clock if clock is None else clock


def critical_path_bound(problem: Problem, known: EarliestClocks | None = None) -> int:
    """Least weighted finish (millionths x minutes) if no volume ever waited for another."""
    clocks = known or earliest_clocks(problem)
    return sum(
        volume.benefit_millionths * (earliest_finish(problem, clocks, volume) - problem.day_start_minute)
        for volume in problem.volumes
    )


def hours_over_capacity_bound(problem: Problem) -> float:
    """Least weighted finish if everyone could do everything and share any task, deliveries being no matter.

    Then the densest volume is worked on first by everyone at once; a volume counts from the mean moment of
    its work, which no timetable beats. What exceeds the capacity counts from the campaign's last midnight.
    """
    pool = Pool(problem)
    done, total = 0, 0.0
    for volume_no in order_by_own_density(problem):
        volume = problem.volumes[volume_no]
        minutes = sum(problem.tasks[task_no].minutes for task_no in volume.task_nos)
        clock = pool.mean_clock(done, done + minutes) if minutes else problem.day_start_minute
        total += volume.benefit_millionths * (clock - problem.day_start_minute)
        done += minutes
    return total


def order_by_own_density(problem: Problem) -> list[int]:
    """Volume numbers, greatest benefit per minute of their own tasks first."""

    def rank(volume_no: int) -> tuple[float, str]:
        volume = problem.volumes[volume_no]
        minutes = sum(problem.tasks[task_no].minutes for task_no in volume.task_nos)
        return -volume.benefit_millionths / max(minutes, 1), volume.volume_id

    return sorted(range(len(problem.volumes)), key=rank)


class Pool:
    """The working minutes of all people as one flow."""

    def __init__(self, problem: Problem) -> None:
        self._end_clock = problem.end_clock
        rates: dict[int, int] = {}
        for kind in worker_kinds(problem):
            for clock in kind.clocks.tolist():
                rates[clock] = rates.get(clock, 0) + kind.people
        self._clocks = np.array(sorted(rates), dtype=np.int64)
        self._rates = np.array([rates[clock] for clock in sorted(rates)], dtype=np.int64)
        self._worked = np.concatenate([[0], np.cumsum(self._rates * HALF_HOUR_MINUTES)])
        moments = self._rates * HALF_HOUR_MINUTES * (self._clocks + HALF_HOUR_MINUTES / 2)
        self._moments = np.concatenate([[0.0], np.cumsum(moments)])

    def mean_clock(self, first: int, last: int) -> float:
        """Mean clock of the pooled minutes from `first` to `last`; beyond the capacity the last midnight."""
        return (self._moment(last) - self._moment(first)) / (last - first)

    def _moment(self, minutes: int) -> float:
        capacity = int(self._worked[-1])
        beyond = max(0, minutes - capacity)
        inside = minutes - beyond
        slot = int(np.searchsorted(self._worked, inside, side="right")) - 1
        moment = float(self._moments[slot])
        if inside > self._worked[slot]:
            part = (inside - int(self._worked[slot])) / int(self._rates[slot])
            moment += part * int(self._rates[slot]) * (int(self._clocks[slot]) + part / 2)
        return moment + beyond * self._end_clock
