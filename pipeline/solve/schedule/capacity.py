"""Working minutes of all people by half-hour and by bucket of days, nested by skill: who may do grade g or more."""

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pipeline.solve.schedule.problem import Problem
from pipeline.units import DAYS_PER_WEEK, HALF_HOUR_MINUTES, MINUTES_PER_DAY

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
MOST_BUCKETS = 40
MOST_DELIVERIES = 12


@dataclass(frozen=True)
class Capacity:
    """`clocks`: start of each half-hour anyone works; `minutes[g]`: minutes in it of people of grade g or more;
    `buckets`: number of the bucket it lies in; `first_days`: first day of each bucket, and the day after the last.

    A bucket is a week, or several in a long campaign, and parted on days on which something is delivered.
    """

    clocks: Ints
    minutes: Floats
    buckets: Ints
    first_days: Ints

    @property
    def bucket_count(self) -> int:
        """Number of buckets."""
        return len(self.first_days) - 1

    def bucket_of(self, day_no: int) -> int:
        """Number of the bucket a day lies in."""
        return int(np.searchsorted(self.first_days, day_no, side="right")) - 1

    def bucket_minutes(self) -> Floats:
        """Minutes by grade and bucket."""
        return np.array(
            [np.bincount(self.buckets, weights=row, minlength=self.bucket_count) for row in self.minutes]
        )

    def bucket_means(self) -> Floats:
        """Mean clock of all people's minutes in each bucket; the bucket's middle where nobody works."""
        total = np.bincount(self.buckets, weights=self.minutes[0], minlength=self.bucket_count)
        centres = self.clocks + HALF_HOUR_MINUTES / 2
        moments = np.bincount(self.buckets, weights=self.minutes[0] * centres, minlength=self.bucket_count)
        middles = (self.first_days[:-1] + self.first_days[1:]) / 2 * MINUTES_PER_DAY
        return np.where(total > 0, moments / np.maximum(total, 1), middles)


@dataclass(frozen=True)
class TimePrices:
    """What a minute of work of each grade costs in each half-hour: `by_grade[g]` along `clocks`."""

    clocks: Ints
    by_grade: Floats

    def premium(self, clock: int, *, grade: int, least: int) -> float:
        """What a minute of a person of `grade` is worth above that of one of grade `least`."""
        clocks, prices = self._lists
        place = max(0, bisect_right(clocks, clock) - 1)
        return prices[grade][place] - prices[least][place]

    @cached_property
    def _lists(self) -> tuple[list[int], list[list[float]]]:
        """Clocks and prices as plain numbers, which are sooner looked up one by one."""
        return self.clocks.tolist(), self.by_grade.tolist()


@dataclass(frozen=True)
class WorkerKind:
    """People of one grade and calendar, who are the same as long as nothing is taken; starts of their half-hours."""

    grade: int
    people: int
    clocks: Ints


def worker_kinds(problem: Problem) -> tuple[WorkerKind, ...]:
    """The kinds of people there are, least skill first."""
    counted = Counter((person.grade, person.days) for person in problem.people)
    return tuple(
        WorkerKind(grade, people, _clocks(days, problem.day_start_minute))
        for (grade, days), people in sorted(counted.items())
    )


def kind_numbers(problem: Problem, kinds: Sequence[WorkerKind]) -> list[int]:
    """Which of the kinds each person is of, by person number."""
    numbers = {(kind.grade, kind.clocks.tobytes()): number for number, kind in enumerate(kinds)}
    return [
        numbers[person.grade, _clocks(person.days, problem.day_start_minute).tobytes()]
        for person in problem.people
    ]


def _clocks(days: Iterable[tuple[int, int]], day_start_minute: int) -> Ints:
    """Start of each half-hour of days worked as (day_no, half_hours)."""
    return np.array(
        [
            day_no * MINUTES_PER_DAY + day_start_minute + HALF_HOUR_MINUTES * half_hour
            for day_no, half_hours in days
            for half_hour in range(half_hours)
        ],
        dtype=np.int64,
    )


def capacity_of(problem: Problem) -> Capacity:
    """Capacity of a problem's people, for grades 0 to the greatest anyone has."""
    grades = 1 + max((person.grade for person in problem.people), default=0)
    slots: dict[int, list[int]] = {}
    for kind in worker_kinds(problem):
        for clock in kind.clocks.tolist():
            slot = slots.setdefault(clock, [0] * grades)
            for grade in range(kind.grade + 1):
                slot[grade] += kind.people * HALF_HOUR_MINUTES
    clocks = np.array(sorted(slots), dtype=np.int64)
    minutes = np.array([slots[int(clock)] for clock in clocks], dtype=np.float64).reshape(-1, grades).T
    first_days = _first_days(problem)
    return Capacity(
        clocks=clocks,
        minutes=minutes,
        buckets=np.searchsorted(first_days, clocks // MINUTES_PER_DAY, side="right") - 1,
        first_days=first_days,
    )


def _first_days(problem: Problem) -> Ints:
    """Even buckets, parted where most tasks are delivered: MOST_DELIVERIES days of them."""
    weeks = max(1, -(-problem.days // DAYS_PER_WEEK))
    step = DAYS_PER_WEEK * -(-weeks // MOST_BUCKETS)
    delivered = Counter(task.first_day_no for task in problem.tasks if 0 < task.first_day_no < problem.days)
    ranked = sorted(delivered, key=lambda day_no: (-delivered[day_no], day_no))[:MOST_DELIVERIES]
    return np.array(
        [*sorted({*range(0, problem.days, step), *ranked, 0}), max(1, problem.days)], dtype=np.int64
    )
