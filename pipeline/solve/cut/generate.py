"""Column generation: prices from the linear program, patterns from exact pricing, and a certified bound.

Prices are rounded down to whole numbers, so the bound is exact arithmetic: whatever the prices, no pattern is
worth more than `ratio` times its cost, hence no plan costs less than (prices times demand) / ratio.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import gcd

import numpy as np
from numpy.typing import NDArray

from pipeline.solve.cut.columns import Pool
from pipeline.solve.cut.model import Master
from pipeline.solve.cut.pricing import Offer, Pricer, Prices
from pipeline.solve.cut.problem import Pattern, Problem

PRICE_STEPS = 1 << 30
"""Whole-number prices are the dearest parent's cost cut in this many steps, rounded down."""
IMPROVES = 1 + 1e-9
CLOSE_ENOUGH, CLOSE_ENOUGH_OFF_ROLLS = 1 - 2e-6, 1 - 3e-4
"""Column generation ends when the bound is this close to the linear program's value."""
FAR_FROM_DONE = 1.005
"""Patterns worth so much more than they cost need not be proven the best: there will be other rounds."""
EXTRA_OFFERS = 6
ROUNDING = 1 + Fraction(1, 1 << 48)


@dataclass(frozen=True, kw_only=True)
class Generated:
    """Patterns found, prices of the sizes over `scale`, and the proven bound in units of cost."""

    pool: Pool
    scale: float
    prices: NDArray[np.float64]
    bound: Fraction
    is_converged: bool


def whole_prices(prices: NDArray[np.float64]) -> Prices:
    """Prices over scale as whole numbers, rounded down."""
    whole: Prices = np.floor(np.maximum(prices, 0.0) * PRICE_STEPS).astype(np.int64)
    return whole


def improving(offers: Sequence[Offer], scale: float) -> list[Pattern]:
    """Patterns worth more than they cost at whole prices over `scale`."""
    return [o.pattern for o in offers if o.value * scale > o.cost * PRICE_STEPS * IMPROVES]


def cost_step(problem: Problem) -> int:
    """Greatest number that divides every possible cost of a plan."""
    return gcd(*(panel.cost for panel in problem.panels))


def round_up(bound: Fraction, step: int) -> Fraction:
    """The bound raised to the next cost a plan can have."""
    return Fraction(-(-bound // step) * step)


def generate(
    problem: Problem,
    pricers: Sequence[Pricer],
    *,
    demand: Sequence[int],
    start: Sequence[Pattern],
    max_rounds: int,
) -> Generated:
    """Column generation from `start` until no pattern improves, the bound is close enough, or `max_rounds`."""
    pool, bound = Pool(problem, start), Fraction(0)
    scale = float(max(column.cost for column in pool.columns))
    master, step, added = Master(demand, scale), cost_step(problem), 0
    prices, is_converged = np.zeros(len(demand)), False
    has_rolls = any(panel.free != "none" for panel in problem.panels)
    close = CLOSE_ENOUGH_OFF_ROLLS if has_rolls else CLOSE_ENOUGH
    for _ in range(max_rounds):
        master.add(pool.columns[added:])
        added = len(pool)
        answer = master.solve()
        prices, whole = answer.prices, whole_prices(answer.prices)
        value = Fraction(answer.cost) * Fraction(scale)
        enough = PRICE_STEPS / scale * (1 / close if has_rolls else FAR_FROM_DONE)
        offers = _offers(pricers, whole, enough=enough)
        if all(offer.value <= enough * offer.cost for offer in offers):
            bound = max(bound, proven_bound(whole, demand, offers))
        is_converged = bound >= value * Fraction(close) or round_up(bound, step) >= value
        if is_converged or not pool.add(improving(offers, scale)):
            break
    return Generated(pool=pool, scale=scale, prices=prices, bound=bound, is_converged=is_converged)


def proven_bound(whole: Prices, demand: Sequence[int], offers: Sequence[Offer]) -> Fraction:
    """No plan costs less: prices times demand, divided by the best worth per cost of any pattern.

    The ratio is taken a little higher, since lengths off a roll are compared in floating point.
    """
    ratio = max((Fraction(o.value, o.cost) for o in offers), default=Fraction(0)) * ROUNDING
    if ratio == 0:
        return Fraction(0)
    return sum((int(p) * d for p, d in zip(whole, demand, strict=True)), Fraction(0)) / ratio


def _offers(pricers: Sequence[Pricer], whole: Prices, *, enough: float) -> list[Offer]:
    return [o for pricer in pricers for o in pricer.best(whole, extra=EXTRA_OFFERS, enough=enough)]
