"""Which volume to begin now so that few lie open over the nights and days off that follow.

A volume begun before and finished after days off waits all that time. Of all volumes a person could begin, some
together end just before: they are found by a knapsack over the person's minutes of the next days, the gain of a volume
being what it would cost more, at prices of time, to begin it after those days. A heuristic: others may take what is
planned.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from pipeline.solve.schedule.capacity import Floats, Ints
from pipeline.solve.schedule.outlook import Outlook
from pipeline.units import HALF_HOUR_MINUTES, MINUTES_PER_DAY

DAYS_AHEAD = 4
"""Working days of the person that are looked at, the day at hand among them."""
MOST_OFFERED = 25
"""Volumes weighed, those of greatest value."""


MOST_KNOWN = 20_000
"""Answers kept, since tries of one week ask the same again and again."""


class Offer(NamedTuple):
    """A volume that may be begun, and the minutes of it that the person would do without a break."""

    volume_no: int
    minutes: int


@dataclass(frozen=True)
class _Days:
    """A person's clock after each number of minutes worked, and the minutes worked by the end of each day."""

    clocks: Ints
    ends: list[int]


class Lookahead:
    """Plans of a few days for one person at a time."""

    def __init__(self, outlook: Outlook) -> None:
        problem = outlook.problem
        self._problem = problem
        self._outlook = outlook
        self._days = [_days(person.days, problem.day_start_minute) for person in problem.people]
        self._known: dict[tuple[int, int, tuple[Offer, ...]], int] = {}

    def first(self, person_no: int, position: int, offers: tuple[Offer, ...]) -> int:
        """Which of the offers, those of greatest value first, to begin at a working minute; the first if none gains."""
        key = person_no, position, offers
        if key not in self._known:
            if len(self._known) >= MOST_KNOWN:
                self._known.clear()
            self._known[key] = self._find_first(person_no, position, offers)
        return self._known[key]

    def _find_first(self, person_no: int, position: int, offers: Sequence[Offer]) -> int:
        days = self._days[person_no]
        day = bisect_right(days.ends, position)
        end = days.ends[min(day + DAYS_AHEAD, len(days.ends)) - 1]
        ends = days.clocks[position : end + 1]
        morning = (int(ends[-1]) // MINUTES_PER_DAY + 1) * MINUTES_PER_DAY
        later = [self._outlook.cost_from(offer.volume_no, morning) for offer in offers]
        best = np.full(len(ends), -np.inf)
        best[0] = 0.0
        taken: list[np.ndarray] = []
        for offer, cost in zip(offers, later, strict=True):
            gain = np.asarray(cost - self._benefit(offer) * ends, dtype=np.float64)
            taken.append(_add(best, offer.minutes, gain))
        over, across = self._run_over(person_no, position, end, list(zip(offers, later, strict=True)))
        place = int(np.argmax(best + over))
        first = int(across[place])
        for number in reversed(range(len(offers))):
            minutes = offers[number].minutes
            if minutes <= place and taken[number][place - minutes]:
                first, place = number, place - minutes
        return max(0, first)

    def _benefit(self, offer: Offer) -> float:
        return float(self._problem.volumes[offer.volume_no].benefit_millionths)

    def _run_over(
        self, person_no: int, position: int, end: int, offers: Sequence[tuple[Offer, float]]
    ) -> tuple[Floats, Ints]:
        """By the minutes planned, the gain of the volume that best runs on beyond the end, and which; -1: none does.

        Where none does, the minutes left are lost.
        """
        clocks, paid = self._days[person_no].clocks, self._outlook.paid(person_no)
        best, who = paid[position : end + 1] - paid[end], np.full(end - position + 1, -1)
        for number, (offer, later) in enumerate(offers):
            first = max(position, end - offer.minutes + 1)
            finishes = np.arange(first, end + 1) + offer.minutes
            finishes = finishes[finishes < len(clocks)]
            gain = later - self._benefit(offer) * clocks[finishes] - (paid[finishes] - paid[end])
            places = slice(first - position, first - position + len(finishes))
            is_better = gain > best[places]
            best[places] = np.where(is_better, gain, best[places])
            who[places] = np.where(is_better, number, who[places])
        return best, who


def _add(best: Floats, minutes: int, gain: Floats) -> np.ndarray:
    """Weigh one more volume: `best` gain by minutes planned is raised where it gains; says where."""
    count = len(best) - minutes
    if count <= 0:
        return np.zeros(0, dtype=bool)
    with_it = best[:count] + gain[minutes:]
    is_better = with_it > best[minutes:]
    best[minutes:] = np.where(is_better, with_it, best[minutes:])
    return is_better


def _days(worked: Sequence[tuple[int, int]], day_start_minute: int) -> _Days:
    minutes = [half_hours * HALF_HOUR_MINUTES for _, half_hours in worked]
    opens = [day_no * MINUTES_PER_DAY + day_start_minute for day_no, _ in worked]
    clocks = [np.arange(1, length + 1) + start for start, length in zip(opens, minutes, strict=True)]
    return _Days(np.concatenate([[0], *clocks]).astype(np.int64), np.cumsum(minutes).tolist())
