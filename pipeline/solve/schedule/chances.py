"""What the tries say of the dates: when the work ends with which chance, and what moves the end."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pipeline.solve.schedule.replay import Finishes
from pipeline.solve.schedule.times import Floats, TaskTimes
from pipeline.units import MINUTES_PER_DAY, PCT_OF_WHOLE

EVEN_CHANCE = 0.5
NINE_IN_TEN = 0.9


@dataclass(frozen=True, kw_only=True)
class Chance:
    """Days (numbers from the campaign's first) on which work ends; None where none of the days looked at is late
    enough. For a person `even_day_no` and `nine_day_no` are of their own work, low and high of all work.
    """

    in_time_pct: float
    planned_day_no: int | None
    even_day_no: int | None
    nine_day_no: int | None
    low_day_no: int | None
    high_day_no: int | None
    last_pct: float | None = None

    @property
    def moved_days(self) -> int | None:
        """Days between the end of all work at low and at high minutes."""
        if self.low_day_no is None or self.high_day_no is None:
            return None
        return max(0, self.high_day_no - self.low_day_no)


def campaign_chance(finishes: Finishes, times: TaskTimes, *, last_day_no: int) -> Chance:
    """Of all dated work, against the campaign's last day."""
    return _chance(_tried(finishes.all_work, times, last_day_no), finishes, (1, 2))


def rate_chances(finishes: Finishes, times: TaskTimes, *, rates: int, last_day_no: int) -> list[Chance]:
    """For each rate: the end of all work when it alone takes its low, its high minutes throughout."""
    tried = _tried(finishes.all_work, times, last_day_no)
    return [_chance(tried, finishes, times.rate_cases(rate_no)) for rate_no in range(rates)]


def person_chances(finishes: Finishes, times: TaskTimes, last_day_nos: Sequence[int]) -> list[Chance]:
    """For each person: of their own work, against their own last day, and how often theirs is the last work."""
    found = []
    for person_no, last_day_no in enumerate(last_day_nos):
        own = finishes.by_person[person_no]
        is_last = (own == finishes.all_work)[times.first_try :]
        last_pct = PCT_OF_WHOLE * float(np.count_nonzero(is_last)) / times.tries
        tried = _tried(own, times, last_day_no)
        found.append(replace(_chance(tried, finishes, times.person_cases(person_no)), last_pct=last_pct))
    return found


@dataclass(frozen=True)
class _Tried:
    """The end of some work: share of the tries in time, days as planned, with an even chance, 9 in 10."""

    in_time_pct: float
    day_nos: tuple[int | None, int | None, int | None]


def _tried(clocks: Floats, times: TaskTimes, last_day_no: int) -> _Tried:
    tries = np.sort(clocks[times.first_try :])
    in_time = np.count_nonzero(tries <= (last_day_no + 1) * MINUTES_PER_DAY)
    met = (clocks[0], _met(tries, EVEN_CHANCE), _met(tries, NINE_IN_TEN))
    return _Tried(
        PCT_OF_WHOLE * float(in_time) / times.tries, (_day_no(met[0]), _day_no(met[1]), _day_no(met[2]))
    )


def _chance(tried: _Tried, finishes: Finishes, cases: tuple[int, int]) -> Chance:
    planned, even, nine = tried.day_nos
    return Chance(
        in_time_pct=tried.in_time_pct,
        planned_day_no=planned,
        even_day_no=even,
        nine_day_no=nine,
        low_day_no=_day_no(finishes.all_work[cases[0]]),
        high_day_no=_day_no(finishes.all_work[cases[1]]),
    )


def _met(tries: Floats, chance: float) -> float:
    """The clock that so many of the tries, in order, do not pass."""
    return float(tries[math.ceil(chance * len(tries)) - 1])


def _day_no(clock: float) -> int | None:
    """Day on which a clock lies; midnight belongs to the day it ends."""
    return None if math.isinf(clock) else max(0, math.ceil(clock / MINUTES_PER_DAY) - 1)
