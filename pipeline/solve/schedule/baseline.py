"""List scheduling: volumes one after the other, each at its earliest; and the bound that needs no solver.

A heuristic: the timetable is feasible, not proven best. Its distance to a proven bound is reported with it.
"""

from collections.abc import Sequence

import numpy as np

from pipeline.solve.schedule.bench import Bench
from pipeline.solve.schedule.problem import Problem, Solution
from pipeline.solve.schedule.timeline import Timeline
from pipeline.units import HALF_HOUR_MINUTES, MINUTES_PER_DAY


def schedule_in_order(problem: Problem, order: Sequence[int]) -> Solution:
    """Timetable in which the volumes (numbers into Problem.volumes) choose their places in that order.

    A volume is placed with all its tasks and the cutting it waits for, each task with whoever may do it and is
    finished first, or not at all. Cut tasks no volume waits for come last.
    """
    bench = Bench(problem)
    for volume_no in order:
        bench.place_volume(volume_no)
    bench.place_idle_cuts()
    return bench.solution()


def order_by_density(problem: Problem) -> list[int]:
    """Volume numbers, greatest benefit per minute first; without sheets last, the shortest first.

    The minutes of a cut task are shared evenly by the volumes that wait for it.
    """
    shares = _cut_shares(problem)

    def rank(volume_no: int) -> tuple[float, int, str]:
        volume = problem.volumes[volume_no]
        minutes = sum(problem.tasks[task_no].minutes for task_no in volume.task_nos)
        all_minutes = minutes + sum(shares[task_no] for task_no in problem.volume_cuts[volume_no])
        density = volume.benefit_millionths / max(all_minutes, 1)
        return -density, minutes, volume.volume_id

    return sorted(range(len(problem.volumes)), key=rank)


def _cut_shares(problem: Problem) -> dict[int, float]:
    waiting: dict[int, int] = {}
    for cuts in problem.volume_cuts:
        for task_no in cuts:
            waiting[task_no] = waiting.get(task_no, 0) + 1
    return {task_no: problem.tasks[task_no].minutes / count for task_no, count in waiting.items()}


def earliest_finishes(problem: Problem) -> list[int]:
    """Critical path: the earliest clock each volume could be finished at if nobody had anything else to do.

    The campaign's last midnight where it cannot be finished inside the campaign.
    """
    timelines = [Timeline(person, day_start_minute=problem.day_start_minute) for person in problem.people]
    finished: dict[int, int | None] = {}

    def finish(task_no: int) -> int | None:
        if task_no not in finished:
            finished[task_no] = _alone(
                problem, timelines, task_no, [finish(b) for b in problem.tasks[task_no].before]
            )
        return finished[task_no]

    clocks = [finish(volume.task_nos[-1]) for volume in problem.volumes]
    return [problem.end_clock if clock is None else clock for clock in clocks]


def _alone(
    problem: Problem, timelines: Sequence[Timeline], task_no: int, before: Sequence[int | None]
) -> int | None:
    task = problem.tasks[task_no]
    ready = task.first_day_no * MINUTES_PER_DAY
    for clock in before:
        if clock is None:
            return None
        ready = max(ready, clock)
    finishes = []
    for person, timeline in zip(problem.people, timelines, strict=True):
        position = timeline.find(ready, task.minutes) if person.grade >= task.grade else None
        if position is not None:
            finishes.append(timeline.span(position, task.minutes)[1])
    return min(finishes, default=None)


def critical_path_bound(problem: Problem) -> int:
    """Least weighted finish (millionths x minutes) if no volume ever waited for another."""
    return sum(
        volume.benefit_millionths * (clock - problem.day_start_minute)
        for volume, clock in zip(problem.volumes, earliest_finishes(problem), strict=True)
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
        for person in problem.people:
            for day_no, half_hours in person.days:
                opens = day_no * MINUTES_PER_DAY + problem.day_start_minute
                for half_hour in range(half_hours):
                    clock = opens + half_hour * HALF_HOUR_MINUTES
                    rates[clock] = rates.get(clock, 0) + 1
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
