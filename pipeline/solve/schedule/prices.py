"""Prices of time from the weekly relaxation, and what lots of work cost at them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.solve.schedule.capacity import Capacity, Floats, Ints, TimePrices, WorkerKind
from pipeline.solve.schedule.lots import AFTER, BENCH, EARLY, CutLot, Lot, VolumeLots
from pipeline.solve.schedule.problem import Problem
from pipeline.units import MINUTES_PER_DAY

MIXES = (
    (1.0, 0.0, 0.0),
    (0.75, 0.25, 0.0),
    (0.5, 0.5, 0.0),
    (0.25, 0.75, 0.0),
    (0.0, 1.0, 0.0),
    (0.0, 0.75, 0.25),
    (0.0, 0.5, 0.5),
    (0.0, 0.25, 0.75),
    (0.0, 0.0, 1.0),
    (0.25, 0.5, 0.25),
)
"""Splits of a volume's weight over all its minutes, those from interleaving on, and those after the check."""
MOST_THINNINGS = 12


def kind_prices(prices: TimePrices, kinds: Sequence[WorkerKind]) -> list[Floats]:
    """Price of a minute by kind of people and their half-hours, from prices by grade and everyone's half-hours."""
    return [prices.by_grade[kind.grade, np.searchsorted(prices.clocks, kind.clocks)] for kind in kinds]


def time_prices(problem: Problem, capacity: Capacity, prices: Floats) -> TimePrices:
    """The same prices for whoever has to choose."""
    return TimePrices(capacity.clocks, price_curves(capacity, prices, problem.end_clock))


def price_curves(capacity: Capacity, prices: Floats, end_clock: int) -> Floats:
    """Price of a minute in each half-hour, for work of each grade (what lower grades cost is in it).

    Straight lines through the buckets' means, falling to nothing at the last midnight. Where a price rises from one
    bucket to the next (a delivery came), the line goes on at the slope of the other side instead.
    """
    cumulated = np.cumsum(prices, axis=0)
    means, clocks = capacity.bucket_means(), capacity.clocks
    used = np.unique(capacity.buckets)
    curves = np.zeros((len(prices), len(clocks)))
    if len(used) == 0:
        return curves
    knots = np.append(means[used], end_clock)
    place = np.searchsorted(used, capacity.buckets)
    for grade, row in enumerate(cumulated):
        values = np.append(row[used], 0.0)
        slopes = np.diff(values) / np.maximum(np.diff(knots), 1.0)
        after = np.where(slopes > 0, 0.0, slopes)
        before = np.concatenate([after[:1], after[:-1]])
        after = np.where(slopes > 0, before, after)
        before = np.where(np.concatenate([[1.0], slopes[:-1]]) > 0, after, before)
        distance = clocks - knots[place]
        curves[grade] = values[place] + np.where(distance < 0, before[place], after[place]) * distance
    nested: Floats = np.maximum.accumulate(np.maximum(curves, 0.0), axis=0)
    return nested


def worth_of(capacity: Capacity, curves: Floats) -> float:
    """What all people's time is worth at the prices."""
    own = np.diff(curves, axis=0, prepend=0.0)
    return float(np.sum(own * capacity.minutes))


def cuts_cost(problem: Problem, cuts: Sequence[CutLot], capacity: Capacity, curves: Floats) -> float:
    """Least weight x clock of all cuts and what follows them, with the price of the cuts' time."""
    if not cuts:
        return 0.0
    lots = _Lots([cut.lot for cut in cuts])
    weights = np.array([cut.weight for cut in cuts])
    left = problem.end_clock - np.array([cut.longest_extra for cut in cuts])
    cost = lots.cheapest(capacity, curves, weights / lots.minutes, left)
    return float(np.sum(cost)) + sum(cut.extra for cut in cuts)


def lots_costs(
    problem: Problem, volumes: tuple[VolumeLots, ...], capacity: Capacity, curves: Floats
) -> Floats:
    """Least weight x clock of each volume."""
    weights = np.array([volume.weight for volume in volumes])
    best: Floats = weights * np.array([volume.path_clock for volume in volumes])
    counted = [(number, lot) for number, volume in enumerate(volumes) for lot in volume.lots]
    if not counted:
        return best
    owner = np.array([number for number, _ in counted])
    lots = _Lots([lot for _, lot in counted])
    minutes = np.array(
        [[volume.minutes(part) for part in (EARLY, BENCH, AFTER)] for volume in volumes], float
    )
    left = problem.end_clock - minutes[:, EARLY] / 2
    for mix in MIXES:
        shares = np.where(minutes > 0, np.array(mix), 0.0)
        shares[:, EARLY] += 1.0 - shares.sum(axis=1)
        by_minute = shares / np.maximum(minutes, 1.0)
        reached = np.cumsum(by_minute, axis=1)[owner, lots.parts]
        cost = lots.cheapest(capacity, curves, weights[owner] * reached, left[owner])
        total = np.bincount(owner, weights=cost, minlength=len(volumes))
        total += weights * (shares * minutes).sum(axis=1) / 2
        best = np.where(minutes[:, EARLY] > 0, np.maximum(best, total), best)
    return best


@dataclass(frozen=True)
class _Envelope:
    """Lower hull of the points (clock, price): finds the least of density x clock + price for any density."""

    clocks: Floats
    prices: Floats
    turns: Floats

    def least(self, densities: Floats) -> Floats:
        place = np.searchsorted(self.turns, -densities)
        least: Floats = densities * self.clocks[place] + self.prices[place]
        return least


def _envelope(clocks: Ints, prices: Floats) -> _Envelope:
    hull: list[tuple[float, float]] = []
    kept = _possible_corners(clocks.astype(np.float64), prices)
    for x, y in zip(clocks[kept].tolist(), prices[kept].tolist(), strict=True):
        while len(hull) > 1:
            (x1, y1), (x2, y2) = hull[-2:]
            if (y2 - y1) * (x - x2) < (y - y2) * (x2 - x1):
                break
            hull.pop()
        hull.append((x, y))
    xs, ys = np.array(hull, dtype=np.float64).T
    return _Envelope(xs, ys, np.diff(ys) / np.diff(xs))


def _possible_corners(clocks: Floats, prices: Floats) -> Ints:
    """Places of points that may be corners of the lower hull: a point on or above its neighbours' line is none."""
    kept = np.arange(len(clocks))
    for _ in range(MOST_THINNINGS):
        x, y = clocks[kept], prices[kept]
        is_below = (y[1:-1] - y[:-2]) * (x[2:] - x[:-2]) < (y[2:] - y[:-2]) * (x[1:-1] - x[:-2])
        if is_below.all():
            break
        kept = kept[np.concatenate([[True], is_below, [True]])]
    return kept


class _Lots:
    """Lots as arrays."""

    def __init__(self, lots: list[Lot]) -> None:
        self.parts = np.array([lot.part for lot in lots])
        self.minutes = np.array([lot.minutes for lot in lots], dtype=np.float64)
        self._places: dict[tuple[int, int], list[int]] = {}
        for number, lot in enumerate(lots):
            self._places.setdefault((lot.grade, lot.first_day_no), []).append(number)

    def cheapest(self, capacity: Capacity, curves: Floats, densities: Floats, left_clocks: Floats) -> Floats:
        """Least of weight x clock + price over each lot's minutes, in hours worked or left until `left_clocks`."""
        cost = densities * left_clocks
        for (grade, day_no), numbers in self._places.items():
            first = int(np.searchsorted(capacity.clocks, day_no * MINUTES_PER_DAY))
            if first < len(capacity.clocks):
                envelope = _envelope(capacity.clocks[first:], curves[grade, first:])
                cost[numbers] = np.minimum(cost[numbers], envelope.least(densities[numbers]))
        least: Floats = cost * self.minutes
        return least
