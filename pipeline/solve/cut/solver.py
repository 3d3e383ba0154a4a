"""The plan of one cutting problem: bound by column generation, plan by dives and improvement.

The plan is a heuristic answer; the bound is proven, so the gap between them is known.
"""

from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np

from pipeline.solve.cut.baseline import first_fit, single_patterns
from pipeline.solve.cut.columns import Pool
from pipeline.solve.cut.dive import Search, dive
from pipeline.solve.cut.generate import cost_step, generate, round_up
from pipeline.solve.cut.improve import Improver, Neighbourhoods
from pipeline.solve.cut.model import SearchLimits
from pipeline.solve.cut.pricers import is_limit_in_bound, keeps_limit, pricers_of
from pipeline.solve.cut.problem import Problem, Run, Solution, join_runs, total_cost

ROUNDS = 2000
PLAN_ROUNDS = 200


@dataclass(frozen=True, kw_only=True)
class Effort:
    """How hard to look. Counts decide when the search ends; clocks are emergency stops."""

    dives: int = 2
    last_limits: SearchLimits = field(default_factory=lambda: SearchLimits(nodes=50, seconds=30))
    neighbourhoods: Neighbourhoods = field(
        default_factory=lambda: Neighbourhoods(count=12, parents=100, limits=SearchLimits(nodes=150, seconds=60))
    )


USUAL_EFFORT = Effort()


def solve(problem: Problem, *, seed: int = 0, effort: Effort = USUAL_EFFORT) -> Solution:
    """Runs that serve the demand at the least cost found, and the proven least cost.

    Every size must fit some panel. Sizes without a demand are not cut.
    """
    demand = [size.demand for size in problem.sizes]
    if not any(demand):
        return Solution(runs=(), bound=Fraction(0), method="nothing to cut")
    start = single_patterns(problem)
    found = generate(
        problem, pricers_of(problem, for_bound=True), demand=demand, start=start, max_rounds=ROUNDS
    )
    bound = round_up(found.bound, cost_step(problem))
    pool = Pool(problem, [c.pattern for c in found.pool.columns if keeps_limit(problem, c.counts)])
    runs = _plan(problem, pool, scale=found.scale, bound=bound, seed=seed, effort=effort)
    return Solution(runs=runs, bound=min(bound, Fraction(total_cost(problem, runs))), method=method(problem))


def method(problem: Problem) -> str:
    """How plan and bound were found, and what the bound leaves out."""
    text = "column generation with exact pricing; rounding dives, neighbourhood search"
    if not is_limit_in_bound(problem):
        text += "; bound without the limit of sizes on a parent where it cannot be priced"
    return text


def _plan(
    problem: Problem, pool: Pool, *, scale: float, bound: Fraction, seed: int, effort: Effort
) -> tuple[Run, ...]:
    demand, pricers = [size.demand for size in problem.sizes], pricers_of(problem, for_bound=False)
    search = Search(
        problem=problem, pricers=pricers, pool=pool, scale=scale, last_limits=effort.last_limits
    )
    best = join_runs(problem, first_fit(problem))
    for number in range(effort.dives):
        if total_cost(problem, best) <= bound:
            return best
        generator = np.random.default_rng((seed, number)) if number else None
        runs = join_runs(problem, dive(search, demand, generator=generator))
        best = min(best, runs, key=lambda r: total_cost(problem, r))
    improver = Improver(
        problem=problem, pool=pool, effort=effort.neighbourhoods, generator=np.random.default_rng(seed)
    )
    return improver.improve(best, int(bound))
