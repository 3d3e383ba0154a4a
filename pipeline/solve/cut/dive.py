"""Rounding dive: patterns are fixed a few at a time, the rest of the demand is priced anew after each.

Patterns are judged by what they give of the demand that is left, so that few pieces demanded once do not look
like many. The last parents are settled together by a whole-number search.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.solve.cut.columns import Counts, Pool, clip
from pipeline.solve.cut.fill import TopUp
from pipeline.solve.cut.generate import improving, whole_prices
from pipeline.solve.cut.model import Floats, Relaxed, SearchLimits, relaxed_cover, whole_cover
from pipeline.solve.cut.pricing import Pricer
from pipeline.solve.cut.problem import Problem, Run

OFFERS = 4
ANY_WILL_DO = 0.0
"""Pricing need not prove here that nothing is worth more."""
LAST_PARENTS = 6.0
"""When the parents left are fewer than this, they are settled by a whole-number search."""
WHOLE = 1e-6
JITTER = 0.15
LAST_COLUMNS = 80


@dataclass(frozen=True, kw_only=True)
class Search:
    """What the searches of one problem share. The pool grows; `scale` is the cost of the dearest parent.

    `pricings` is how often the rest is priced anew before patterns are fixed.
    """

    problem: Problem
    pricers: Sequence[Pricer]
    pool: Pool
    scale: float
    pricings: int
    last_limits: SearchLimits
    top_up: TopUp


@dataclass(frozen=True, kw_only=True)
class _Rest:
    """The demand that is left, and the columns that give some of it: `counts` are clipped to it."""

    demand: Counts
    rows: Counts
    columns: Counts
    counts: Counts
    costs: Floats

    def relax(self) -> Relaxed:
        """Linear program of the rest."""
        return relaxed_cover(self.counts[:, self.rows], self.costs, self.demand[self.rows])

    def settle(self, answer: Relaxed, limits: SearchLimits) -> list[tuple[int, int]]:
        """Whole numbers of the columns that lose least at the prices; empty when none are found."""
        losses = self.costs - self.counts[:, self.rows] @ answer.prices
        kept = np.argsort(losses, kind="stable")[:LAST_COLUMNS]
        counts = self.counts[np.ix_(kept, self.rows)]
        found = whole_cover(counts, self.costs[kept], self.demand[self.rows], below=np.inf, limits=limits)
        if found.amounts is None:
            return []
        return [(int(kept[i]), int(found.amounts[i])) for i in np.flatnonzero(found.amounts)]


def dive(search: Search, demand: Sequence[int], *, generator: np.random.Generator | None = None) -> list[Run]:
    """Runs that serve the demand. With a generator the choice among like patterns is jittered."""
    left, runs = np.array(demand, dtype=np.int64), []
    while left.any():
        rest, answer = _price(search, left)
        fixed = rest.settle(answer, search.last_limits) if answer.cost <= LAST_PARENTS else []
        fixed = fixed or _rounded_down(answer, rest) or [_largest(answer, generator)]
        taken, left = _take(search, rest, fixed, left)
        runs += taken
    return runs


def _price(search: Search, left: Counts) -> tuple[_Rest, Relaxed]:
    """Linear program of the rest after a few rounds of pricing."""
    for _ in range(search.pricings):
        rest = _rest(search, left)
        answer = rest.relax()
        prices = np.zeros(len(left))
        prices[rest.rows] = answer.prices
        whole = whole_prices(prices)
        offers = [
            offer
            for pricer in search.pricers
            for offer in pricer.best(whole, extra=OFFERS, most=left, enough=ANY_WILL_DO)
        ]
        wanted = left.tolist()
        useful = [search.top_up.useful(pattern, wanted) for pattern in improving(offers, search.scale)]
        if not search.pool.add(useful):
            return rest, answer
    rest = _rest(search, left)
    return rest, rest.relax()


def _rest(search: Search, left: Counts) -> _Rest:
    counts = np.minimum(search.pool.counts(), left)
    columns = np.flatnonzero(counts.any(axis=1))
    return _Rest(
        demand=left,
        rows=np.flatnonzero(left),
        columns=columns,
        counts=counts[columns],
        costs=search.pool.costs()[columns] / search.scale,
    )


def _rounded_down(answer: Relaxed, rest: _Rest) -> list[tuple[int, int]]:
    """Whole parts of the amounts, patterns used most first, as long as nothing is cut beyond the demand."""
    whole = np.floor(answer.amounts + WHOLE).astype(np.int64)
    left, fixed = rest.demand.copy(), []
    for index in np.argsort(-answer.amounts, kind="stable"):
        counts = rest.counts[index]
        used = counts > 0
        times = min(int(whole[index]), int((left[used] // counts[used]).min()))
        if times > 0:
            left = left - counts * times
            fixed.append((int(index), times))
        if whole[index] < 1:
            break
    return fixed


def _largest(answer: Relaxed, generator: np.random.Generator | None) -> tuple[int, int]:
    amounts = answer.amounts
    if generator is not None:
        amounts = amounts + JITTER * generator.random(len(amounts)) * (amounts > WHOLE)
    return int(np.argmax(amounts)), 1


def _take(
    search: Search, rest: _Rest, fixed: Sequence[tuple[int, int]], left: Counts
) -> tuple[list[Run], Counts]:
    """Runs of the fixed columns, without pieces beyond what is left, and what is left then."""
    runs = []
    for index, times in fixed:
        column = search.pool.columns[int(rest.columns[index])]
        for _ in range(times):
            pattern = clip(search.problem, column.pattern, left.tolist())
            if pattern.strips:
                runs.append(Run(pattern, 1))
            left = np.maximum(0, left - np.array(column.counts))
    return runs, left
