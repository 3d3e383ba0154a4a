"""Column generation: prices from the linear program, patterns from exact pricing, and a certified bound.

Prices are rounded down to whole numbers, so the bound is exact arithmetic: whatever the prices, no pattern is
worth more than `ratio` of its cost, hence no plan costs less than (prices x demand) / ratio.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import gcd
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from pipeline.solve.cut.model import Column, Master, column_of
from pipeline.solve.cut.pricing import Offer, Prices
from pipeline.solve.cut.problem import Problem

PRICE_STEPS = 1 << 30
"""Whole-number prices are a parent's cost cut in this many steps, rounded down."""


class Pricer(Protocol):
    """What prices the patterns of one panel; the first offer is the best one, proven."""

    def best(self, prices: Prices, *, extra: int = 0, most: Prices | None = None) -> list[Offer]:
        """Offers at the prices, best worth per cost first."""


@dataclass(frozen=True)
class Relaxed:
    """Linear program solved: its value, patterns and prices, and the proven bound in units of cost."""

    master: Master
    value: float
    amounts: NDArray[np.float64]
    prices: NDArray[np.float64]
    bound: Fraction
    rounds: int


def whole_prices(prices: NDArray[np.float64]) -> Prices:
    """Prices over scale as whole numbers, rounded down."""
    return np.floor(np.maximum(prices, 0.0) * PRICE_STEPS).astype(np.int64)


def cost_step(problem: Problem) -> int:
    """Greatest number that divides every possible cost of a plan."""
    return gcd(*(panel.cost for panel in problem.panels))


def round_up(bound: Fraction, step: int) -> Fraction:
    """The bound raised to the next cost a plan can have."""
    return Fraction(-(-bound // step) * step)


def relax(
    problem: Problem,
    pricers: Sequence[Pricer],
    *,
    demand: tuple[int, ...],
    start: Sequence[Column],
    max_rounds: int,
) -> Relaxed:
    """Column generation until no pattern improves, the rounded bound is reached, or `max_rounds`."""
    scale = float(max(column.cost for column in start))
    master, bound, step = Master(demand, scale), Fraction(0), cost_step(problem)
    master.add(start)
    for rounds in range(1, max_rounds + 1):
        value, amounts, prices = master.solve()
        whole = whole_prices(prices)
        offers = [offer for pricer in pricers for offer in pricer.best(whole, extra=EXTRA)]
        bound = max(bound, _bound(whole, demand, offers))
        good = [o for o in offers if o.value * scale > o.cost * PRICE_STEPS * (1 + 1e-9)]
        proven = round_up(bound, step) >= round_up(Fraction(value * scale * (1 - 1e-9)), step)
        if proven or not master.add([column_of(problem, o.pattern) for o in good]):
            break
    return Relaxed(master, value, amounts, prices, bound, rounds)


EXTRA = 6


def _bound(whole: Prices, demand: tuple[int, ...], offers: Sequence[Offer]) -> Fraction:
    ratio = max((Fraction(o.value, o.cost) for o in offers), default=Fraction(0))
    if ratio == 0:
        return Fraction(0)
    return sum(int(p) * d for p, d in zip(whole, demand, strict=True)) / ratio
