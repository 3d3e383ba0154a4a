"""Working minutes of all people by half-hour and by bucket of days, nested by skill: who may do grade g or more."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipeline.solve.schedule.problem import Problem
from pipeline.units import DAYS_PER_WEEK, HALF_HOUR_MINUTES, MINUTES_PER_DAY

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
MOST_BUCKETS = 40


@dataclass(frozen=True)
class Capacity:
    """`clocks`: start of each half-hour anyone works; `minutes[g]`: minutes in it of people of grade g or more;
    `buckets`: number of the bucket it lies in. A bucket is a week, or several in a long campaign."""

    clocks: Ints
    minutes: Floats
    buckets: Ints
    bucket_days: int
    bucket_count: int

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
        middles = (np.arange(self.bucket_count) + 0.5) * self.bucket_days * MINUTES_PER_DAY
        return np.where(total > 0, moments / np.maximum(total, 1), middles)


@dataclass(frozen=True)
class TimePrices:
    """What a minute of work of each grade costs in each half-hour: `by_grade[g]` along `clocks`."""

    clocks: Ints
    by_grade: Floats

    def premium(self, clock: int, *, grade: int, least: int) -> float:
        """What a minute of a person of `grade` is worth above that of one of grade `least`."""
        place = max(0, int(np.searchsorted(self.clocks, clock, side="right")) - 1)
        return float(self.by_grade[grade, place] - self.by_grade[least, place])


def capacity_of(problem: Problem) -> Capacity:
    """Capacity of a problem's people, for grades 0 to the greatest anyone has."""
    grades = 1 + max((person.grade for person in problem.people), default=0)
    slots: dict[int, list[int]] = {}
    for person in problem.people:
        for day_no, half_hours in person.days:
            opens = day_no * MINUTES_PER_DAY + problem.day_start_minute
            for half_hour in range(half_hours):
                slot = slots.setdefault(opens + half_hour * HALF_HOUR_MINUTES, [0] * grades)
                for grade in range(person.grade + 1):
                    slot[grade] += HALF_HOUR_MINUTES
    clocks = np.array(sorted(slots), dtype=np.int64)
    minutes = np.array([slots[int(clock)] for clock in clocks], dtype=np.float64).reshape(-1, grades).T
    weeks = max(1, -(-problem.days // DAYS_PER_WEEK))
    bucket_days = DAYS_PER_WEEK * -(-weeks // MOST_BUCKETS)
    return Capacity(
        clocks=clocks,
        minutes=minutes,
        buckets=clocks // (bucket_days * MINUTES_PER_DAY),
        bucket_days=bucket_days,
        bucket_count=max(1, -(-problem.days // bucket_days)),
    )
