"""Prices of the limits, the bound they prove, and a choice close to it.

Each limit gets a price (Lagrange multiplier); at given prices every volume takes the option of greatest
benefit less price, alone, and the sum bounds every choice from above. The least bound is found by cutting
planes (Kelley): a small linear program over the prices gains one row per answer. For one-option-per-volume
choices this bound equals the bound of the linear relaxation, and takes tens of passes over the options
instead of a model with a column for each. Packs may be parted here, so the bound allows for less than is paid.
"""

from dataclasses import dataclass

import highspy
import numpy as np
from numpy.typing import NDArray

from pipeline.solve.choose.check import exceeded, needs, picked
from pipeline.solve.choose.problem import Option, Problem, Solution
from pipeline.solve.quiet import quiet_highs

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
MOST_PASSES = 300
RELATIVE_GAP = 1e-9
MOST_REPAIRS = 20


class Arrays:
    """The problem as arrays: one row per option, one column per limit, then one per shelf."""

    def __init__(self, problem: Problem) -> None:
        options = [option for volume in problem.volumes for option in volume.options]
        counts = [len(volume.options) for volume in problem.volumes]
        self.first: Ints = np.concatenate(([0], np.cumsum(counts)[:-1])).astype(np.int64)
        self.volume: Ints = np.repeat(np.arange(len(counts)), counts)
        self.benefit: Floats = np.array([option.benefit_millionths for option in options], dtype=np.float64)
        limits = problem.limits
        self.has_supplies = limits.supplies_hundredths is not None
        self.shelves = problem.shelves if self.has_supplies else ()
        rows = [_row(option, problem, len(self.shelves)) for option in options]
        self.need: Floats = np.array(rows, dtype=np.float64).reshape(len(options), -1)
        self.capacity: Floats = np.array(_capacities(problem), dtype=np.float64)
        self.shelf_count = len(self.shelves)
        self.cheaper_packs = _cheaper_packs(problem)
        self.scale: Floats = np.maximum(self.capacity, 1.0)

    def is_closed(self, shelf: int) -> bool:
        """Whether the budget pays for no pack of a shelf at all."""
        return bool(self.shelves[shelf].surcharge > self.capacity[-self.shelf_count - 1])

    def values(self, prices: Floats) -> Floats:
        """Benefit of each option less the price of what it takes; prices are per whole limit."""
        return np.asarray(self.benefit - self.need @ (prices / self.scale))

    def best(self, values: Floats) -> Ints:
        """Option of greatest value of each volume, the first of equals (the one of least benefit)."""
        top = np.maximum.reduceat(values, self.first)
        places = np.flatnonzero(values >= top[self.volume])
        _, index = np.unique(self.volume[places], return_index=True)
        return np.asarray(places[index])


@dataclass(frozen=True)
class Relaxation:
    """Least bound found (millionths), its prices, and each option's loss against its volume's best."""

    bound: int
    prices: Floats
    losses: Floats


def relax(arrays: Arrays) -> Relaxation:
    """Prices that make the bound least. Proven whatever the pass at which it stops."""
    master = _Master(arrays)
    best_bound, best_prices = np.inf, np.zeros(len(arrays.capacity))
    prices = best_prices
    for _ in range(MOST_PASSES):
        values = arrays.values(prices)
        chosen = arrays.best(values)
        slack = arrays.capacity - arrays.need[chosen].sum(axis=0)
        bound = float(values[chosen].sum() + prices @ (arrays.capacity / arrays.scale))
        if bound < best_bound:
            best_bound, best_prices = bound, prices
        master.add(float(arrays.benefit[chosen].sum()), slack / arrays.scale)
        least, prices = master.solve()
        if best_bound - least <= RELATIVE_GAP * abs(best_bound):
            break
    values = arrays.values(best_prices)
    top = np.maximum.reduceat(values, arrays.first)
    return Relaxation(int(np.ceil(best_bound)) + 1, best_prices, top[arrays.volume] - values)


def near_answer(problem: Problem, arrays: Arrays, relaxation: Relaxation) -> Solution | None:
    """The options best at the relaxation's prices, lowered at the least loss until every limit is kept.

    None when the lowering does not come to an end in its few passes.
    """
    chosen = arrays.best(-relaxation.losses)
    for _ in range(MOST_REPAIRS):
        over = arrays.need[chosen].sum(axis=0) - arrays.capacity
        over = _shelves_first(arrays, over)
        worst = int(np.argmax(over / arrays.scale))
        if over[worst] <= 0:
            break
        chosen = _relieve(arrays, relaxation.losses, chosen, worst, over[worst])
    solution = Solution(tuple(int(place) for place in chosen - arrays.first))
    if exceeded(problem, needs(problem, picked(problem, solution))):
        return None
    return solution


def _relieve(arrays: Arrays, losses: Floats, chosen: Ints, limit: int, over: float) -> Ints:
    """The choice with volumes moved to options that take less of one limit, least loss per relief first."""
    now = chosen[arrays.volume]
    relief = _share(arrays, limit)[now] - _share(arrays, limit)
    candidates = np.flatnonzero(relief > 0)
    cost = (losses[candidates] - losses[now[candidates]] + 1e-9) / relief[candidates]
    order = candidates[np.lexsort((candidates, cost))]
    moved = chosen.copy()
    done: set[int] = set()
    for place in order:
        if over <= 0:
            break
        volume = int(arrays.volume[place])
        if volume not in done:
            done.add(volume)
            moved[volume] = place
            over -= relief[place]
    return moved


def _share(arrays: Arrays, limit: int) -> Floats:
    """What each option takes of a limit; of the supplies, what stands on the shelves counts too."""
    if arrays.shelf_count and limit == len(arrays.capacity) - arrays.shelf_count - 1:
        return np.asarray(arrays.need[:, limit:].sum(axis=1))
    return np.asarray(arrays.need[:, limit])


def _shelves_first(arrays: Arrays, over: Floats) -> Floats:
    """Excess over each limit once what the shelves lack is bought in packs from the supplies budget.

    A shelf for which nothing can be bought is a limit of its own.
    """
    if not arrays.shelf_count:
        return over
    first = len(over) - arrays.shelf_count
    excess = over.copy()
    excess[first - 1] += arrays.cheaper_packs
    for number, shelf in enumerate(arrays.shelves, start=first):
        if not arrays.is_closed(number - first):
            excess[first - 1] += shelf.cost(int(over[number] + shelf.worth))
            excess[number] = 0
    return np.asarray(excess)


def _row(option: Option, problem: Problem, shelf_count: int) -> list[int]:
    limits = problem.limits
    row = list(option.minutes)
    if limits.staff_hundredths is not None:
        row.append(option.staff_hundredths)
    if limits.supplies_hundredths is not None:
        shelves = [0] * shelf_count
        for shelf, amount in option.shelf_uses:
            shelves[shelf] += amount
        row += [option.supplies_hundredths, *shelves]
    return row


def _capacities(problem: Problem) -> list[int]:
    limits = problem.limits
    row = list(limits.minutes)
    if limits.staff_hundredths is not None:
        row.append(limits.staff_hundredths)
    if limits.supplies_hundredths is not None:
        row.append(limits.supplies_hundredths + _cheaper_packs(problem))
        row += [shelf.worth for shelf in problem.shelves]
    return row


def _cheaper_packs(problem: Problem) -> int:
    """What packs may come cheaper than estimated, all together: the bound must allow for it."""
    return sum(max(0, -shelf.surcharge) for shelf in problem.shelves)


class _Master:
    """Least bound over the prices as far as the answers so far tell: a lower estimate of the true least."""

    def __init__(self, arrays: Arrays) -> None:
        self._highs = quiet_highs(0)
        self._count = len(arrays.capacity)
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = np.where(arrays.need > 0, arrays.benefit[:, None] / arrays.need, 0.0)
        dearest = ratio.max(axis=0, initial=0.0) * arrays.scale
        shelf_from = self._count - arrays.shelf_count
        if arrays.shelf_count:
            dearest[shelf_from - 1] = dearest[shelf_from:].max(initial=dearest[shelf_from - 1])
        self._highs.addVar(-highspy.kHighsInf, highspy.kHighsInf)
        self._highs.changeColCost(0, 1.0)
        for price in dearest:
            self._highs.addVar(0.0, float(price))
        for shelf in range(shelf_from, self._count):
            if arrays.is_closed(shelf - shelf_from):
                continue
            # a supply in the lab is worth at most what it costs to buy
            row = np.array([1.0 / arrays.scale[shelf], -1.0 / arrays.scale[shelf_from - 1]])
            index = np.array([1 + shelf, shelf_from], dtype=np.int32)
            self._highs.addRow(-highspy.kHighsInf, 0.0, 2, index, row)

    def add(self, benefit: float, slack: Floats) -> None:
        """One more answer: bound >= its benefit + prices x what it leaves of each limit."""
        index = np.arange(self._count + 1, dtype=np.int32)
        row = np.concatenate(([1.0], -slack))
        self._highs.addRow(benefit, highspy.kHighsInf, self._count + 1, index, row)

    def solve(self) -> tuple[float, Floats]:
        """Least bound and its prices."""
        self._highs.run()
        values = np.array(self._highs.getSolution().col_value)
        return float(values[0]), np.maximum(values[1:], 0.0)
