"""The plan of one cutting problem: bound by column generation, plan by dives, improvement and merging.

The plan is a heuristic answer; the bound is proven, so the gap between them is known.
"""

from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np

from pipeline.solve.cut.baseline import single_patterns
from pipeline.solve.cut.columns import Pool
from pipeline.solve.cut.dive import Search, dive
from pipeline.solve.cut.fewer import Merger, Merges
from pipeline.solve.cut.fill import TopUp
from pipeline.solve.cut.generate import Generated, cost_step, generate, round_up
from pipeline.solve.cut.improve import Improver, Neighbourhoods
from pipeline.solve.cut.model import SearchLimits
from pipeline.solve.cut.pricers import is_limit_in_bound, keeps_limit, pricers_of
from pipeline.solve.cut.problem import Problem, Run, Solution, join_runs, total_cost
from pipeline.solve.cut.tidy import bought_cost, with_stock_on_hand, without_surplus

ROUNDS = 2000
EMERGENCY_SECONDS = 60.0


def _limits(nodes: int) -> SearchLimits:
    return SearchLimits(nodes=nodes, seconds=EMERGENCY_SECONDS)


@dataclass(frozen=True, kw_only=True)
class Effort:
    """How hard to look. Counts decide when the search ends; clocks are emergency stops, and reported."""

    dives: int = 1
    last_limits: SearchLimits = field(default_factory=lambda: _limits(50))
    neighbourhoods: Neighbourhoods = field(
        default_factory=lambda: Neighbourhoods(count=1, parents=60, limits=_limits(5))
    )
    merges: Merges = field(default_factory=lambda: Merges(tries=1, patterns=5, limits=_limits(2)))


USUAL_EFFORT = Effort()
CLOSE_ENOUGH = Fraction(1, 2000)
"""The search ends when the plan is within this share of the bound."""


def solve(problem: Problem, *, seed: int = 0, effort: Effort = USUAL_EFFORT) -> Solution:
    """Runs that serve the demand at the least cost found, then by the fewest patterns, and the proven least cost.

    Every size with a demand must fit some panel.
    """
    if not any(size.demand for size in problem.sizes):
        return Solution(runs=(), bound=Fraction(0), method="nothing to cut")
    found = _relax(problem)
    bound = round_up(found.bound, cost_step(problem))
    pool = Pool(problem, [c.pattern for c in found.pool.columns if keeps_limit(problem, c.counts)])
    runs, limits_hit = _plan(problem, found, pool=pool, seed=seed, effort=effort)
    return Solution(
        runs=runs,
        bound=min(bound, Fraction(total_cost(problem, runs))),
        method=_method(problem),
        limit_hit=", ".join(sorted(limits_hit)),
    )


def lower_bound(problem: Problem) -> Fraction:
    """Proven least cost of the demand, in units of cost."""
    return round_up(_relax(problem).bound, cost_step(problem))


def _relax(problem: Problem) -> Generated:
    return generate(
        problem,
        pricers_of(problem, for_bound=True),
        demand=[size.demand for size in problem.sizes],
        start=single_patterns(problem),
        max_rounds=ROUNDS,
    )


def _method(problem: Problem) -> str:
    text = "column generation with exact pricing for the bound; dives, neighbourhoods, merging for the plan"
    if not is_limit_in_bound(problem):
        text += "; the bound drops the limit of sizes on a parent where that cannot be priced"
    return text


def _plan(
    problem: Problem, found: Generated, *, pool: Pool, seed: int, effort: Effort
) -> tuple[tuple[Run, ...], set[str]]:
    """The plan, and the limits that ended searches."""
    bound = int(round_up(found.bound, cost_step(problem)) * (1 + CLOSE_ENOUGH))
    search = Search(
        problem=problem,
        pricers=pricers_of(problem, for_bound=False),
        pool=pool,
        scale=found.scale,
        last_limits=effort.last_limits,
        top_up=TopUp(problem),
    )
    best = _best_dive(search, bound, dives=effort.dives, seed=seed)
    generator = np.random.default_rng(seed)
    improver = Improver(problem=problem, pool=pool, effort=effort.neighbourhoods, generator=generator)
    best = improver.improve(best, bound)
    known = Pool(problem, [run.pattern for run in best])
    merger = Merger(problem=problem, pool=known, effort=effort.merges, generator=generator)
    best = with_stock_on_hand(problem, without_surplus(problem, merger.merge(best)))
    return best, improver.limits_hit | merger.limits_hit


def _best_dive(search: Search, bound: int, *, dives: int, seed: int) -> tuple[Run, ...]:
    """The cheapest plan of a few dives; of equal ones the one that buys less, then the one with fewer patterns."""
    problem = search.problem
    demand = [size.demand for size in problem.sizes]
    plans = []
    for number in range(dives):
        generator = np.random.default_rng((seed, number)) if number else None
        plans.append(join_runs(problem, dive(search, demand, generator=generator)))
        if total_cost(problem, plans[-1]) <= bound:
            break
    return min(plans, key=lambda p: (total_cost(problem, p), bought_cost(problem, p), len(p)))
