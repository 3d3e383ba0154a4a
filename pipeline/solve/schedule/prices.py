"""The proven bound: whatever time is said to cost, each lot at its cheapest less what all time is worth.

Any prices give a valid bound, so nothing rests on the solver they come from but how good the bound is.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.solve.schedule.capacity import Capacity, Floats, Ints, TimePrices
from pipeline.solve.schedule.chains import Chains
from pipeline.solve.schedule.lots import AFTER, BENCH, EARLY, Lot, Relaxed, VolumeLots
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
SAFETY = 1e-9
"""Share taken off the bound for rounding in the arithmetic."""


@dataclass(frozen=True, kw_only=True)
class ProvenBound:
    """A bound, and whether each volume's cheapest chain of tasks was weighed (not in large campaigns)."""

    value: float
    has_chains: bool


def proven_bound(problem: Problem, relaxed: Relaxed, capacity: Capacity, prices: Floats) -> ProvenBound:
    """No timetable has a lower sum of benefit (millionths) x minutes to the finish, from the first day's start.

    `prices` by grade and bucket as the weekly relaxation gives them. A volume left undated counts from the last
    midnight. Each volume counts by what is best for the bound: a split of its weight over its lots, its critical
    path, or in campaigns of ordinary size its cheapest chain of tasks.
    """
    curves = price_curves(capacity, prices, problem.end_clock)
    total = relaxed.fixed - _worth(capacity, curves)
    if relaxed.cuts:
        lots = _Lots([cut.lot for cut in relaxed.cuts])
        weights = np.array([cut.weight for cut in relaxed.cuts])
        left = problem.end_clock - np.array([cut.longest_extra for cut in relaxed.cuts])
        cost = lots.cheapest(capacity, curves, weights / lots.minutes, left)
        total += float(np.sum(cost)) + sum(cut.extra for cut in relaxed.cuts)
    costs = _volume_costs(problem, relaxed.volumes, capacity, curves)
    chains = Chains(problem, relaxed.clocks, capacity, curves)
    if chains.is_small:
        volumes = [(problem.volumes[kept.volume_no], kept.weight) for kept in relaxed.volumes]
        costs = np.maximum(costs, [chains.least_cost(volume, weight) for volume, weight in volumes])
    total += float(np.sum(costs))
    total -= problem.total_benefit * problem.day_start_minute
    return ProvenBound(value=total - SAFETY * abs(total), has_chains=chains.is_small)


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


def _worth(capacity: Capacity, curves: Floats) -> float:
    """What all people's time is worth at the prices."""
    own = np.diff(curves, axis=0, prepend=0.0)
    return float(np.sum(own * capacity.minutes))


def _volume_costs(
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
