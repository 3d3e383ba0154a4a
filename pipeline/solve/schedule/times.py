"""How long tasks may take: three figures a rate, drawn with luck that is partly shared.

Each task's minutes follow a triangle over the low, likely and high minutes of its rates: three figures are all a
lab can give. Tasks of one rate share a part of their luck (a one-factor normal copula): a rate that is misjudged is
misjudged for every volume. Were each task's luck its own, hundreds of tasks would even out and promise a date far
surer than it is. A task of two rates (per volume and per sheet) has one luck of its own and the two rates' shares.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

MOST_LUCK = 6.0
LUCK_STEPS = 512
"""The score of luck is looked up between -6 and 6 in steps of 1/512: no figure moves by a thousandth."""
MINUTE_PARTS = 64
"""Minutes are kept in 64ths, exact in binary, so that a day's end is met exactly."""


@dataclass(frozen=True, kw_only=True)
class Rate:
    """A rate's minutes when it goes well and when it goes badly, as shares of the likely: at most and at least 1."""

    low: float
    high: float

    def share(self, chance: float) -> float:
        """Share of the likely minutes that is not passed with this chance: the triangle's quantile."""
        width = self.high - self.low
        if width == 0:
            return 1.0
        if chance * width < 1 - self.low:
            return self.low + math.sqrt(chance * width * (1 - self.low))
        return self.high - math.sqrt((1 - chance) * width * (self.high - 1))


class TaskTimes:
    """Minutes of a task in every case: as likely, some rates or a person low or high, then tries drawn by luck.

    The cases in order: 0 likely; 1 and 2 everything low, high; two for each rate, low and high; two for each
    person; the tries.
    """

    def __init__(self, rates: Sequence[Rate], *, people: int, tries: int, shared: float, seed: int) -> None:
        self._rates = rates
        self._people = people
        self.tries = tries
        self._random = np.random.default_rng(seed)
        self._own = math.sqrt(1 - shared)
        self._shared = [math.sqrt(shared) * self._random.standard_normal(tries) for _ in rates]
        self._tables = [_table(rate) for rate in rates]

    @property
    def cases(self) -> int:
        """Number of cases."""
        return self.first_try + self.tries

    @property
    def first_try(self) -> int:
        """Number of the first case that is drawn."""
        return 3 + 2 * (len(self._rates) + self._people)

    def rate_cases(self, rate_no: int) -> tuple[int, int]:
        """Cases in which one rate takes its low, its high minutes throughout."""
        return 3 + 2 * rate_no, 4 + 2 * rate_no

    def person_cases(self, person_no: int) -> tuple[int, int]:
        """Cases in which all of one person's tasks take their low, their high minutes."""
        return self.rate_cases(len(self._rates) + person_no)

    def minutes(self, planned: int, parts: Sequence[tuple[int, float]], person_no: int) -> Floats:
        """Minutes of the next task by case. `parts`: its rates and the share of the planned minutes each makes."""
        own = self._own * self._random.standard_normal(self.tries)
        shares = np.ones(self.cases)
        drawn = shares[self.first_try :]
        drawn[:] = 1 - sum(part for _, part in parts)  # nothing, but for a task whose rates are 0
        for rate_no, part in parts:
            rate = self._rates[rate_no]
            low, high = part * (rate.low - 1), part * (rate.high - 1)
            for first in (1, 3 + 2 * rate_no, 3 + 2 * (len(self._rates) + person_no)):
                shares[first] += low
                shares[first + 1] += high
            drawn += part * _looked_up(self._tables[rate_no], self._shared[rate_no] + own)
        return np.rint(shares * (planned * MINUTE_PARTS)) / MINUTE_PARTS


def _table(rate: Rate) -> Floats:
    """Share of the likely minutes by score of luck, from the best to the worst."""
    scores = np.arange(-MOST_LUCK, MOST_LUCK + 0.5 / LUCK_STEPS, 1 / LUCK_STEPS)
    return np.array([rate.share(0.5 * math.erfc(-score / math.sqrt(2))) for score in scores])


def _looked_up(table: Floats, scores: Floats) -> Floats:
    places = np.clip((scores + MOST_LUCK) * LUCK_STEPS + 0.5, 0, len(table) - 1)
    found: Floats = table[places.astype(np.int64)]
    return found
