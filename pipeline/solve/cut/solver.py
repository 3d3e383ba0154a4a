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
from pipeline.solve.cut.pricing import Pricer
from pipeline.solve.cut.problem import Problem, Run, Solution, join_runs, total_cost
from pipeline.solve.cut.tidy import bought_cost, with_stock_on_hand, without_surplus

ROUNDS = 2000
EMERGENCY_SECONDS = 60.0
LISTED = "; every pattern listed, the whole-number search proves that none cost less"


def _limits(nodes: int) -> SearchLimits:
    return SearchLimits(nodes=nodes, seconds=EMERGENCY_SECONDS)


@dataclass(frozen=True, kw_only=True)
class Effort:
    """How hard to look. Counts decide when the search ends; clocks are emergency stops, and reported.

    `close_enough` is the share above the bound at which the search ends; `dive_pricings` is how often a dive prices
    anew before it fixes patterns.
    """

    close_enough: Fraction = Fraction(1, 2000)
    dives: int = 1
    dive_pricings: int = 3
    last_limits: SearchLimits = field(default_factory=lambda: _limits(50))
    neighbourhoods: Neighbourhoods = field(
        default_factory=lambda: Neighbourhoods(count=1, parents=60, limits=_limits(5))
    )
    merges: Merges = field(default_factory=lambda: Merges(tries=1, patterns=5, limits=_limits(2)))


USUAL_EFFORT = Effort()
QUICK_EFFORT = Effort(
    close_enough=Fraction(1, 50),
    dive_pricings=1,
    last_limits=_limits(5),
    neighbourhoods=Neighbourhoods(count=0, parents=0, limits=_limits(0)),
    merges=Merges(tries=0, patterns=0, limits=_limits(0)),
)
"""One dive and no improvement: for comparing many ways of cutting."""
THOROUGH_EFFORT = Effort(
    close_enough=Fraction(0),
    dives=4,
    neighbourhoods=Neighbourhoods(count=30, parents=400, limits=_limits(400)),
    merges=Merges(tries=2, patterns=5, limits=_limits(5)),
)
"""For benchmarks, and for a lab that has minutes to spare."""


@dataclass(frozen=True, kw_only=True)
class Priced:
    """A problem with its proven bound, the patterns found on the way, and the pricing that plans use."""

    problem: Problem
    found: Generated
    pricers: tuple[Pricer, ...]

    @property
    def bound(self) -> Fraction:
        """Proven least cost of the demand, in units of cost."""
        return round_up(self.found.bound, cost_step(self.problem))


def solve(problem: Problem, *, seed: int = 0, effort: Effort = USUAL_EFFORT) -> Solution:
    """Runs that serve the demand at the least cost found, then by the fewest patterns, and the proven least cost.

    Every size with a demand must fit some panel.
    """
    if not any(size.demand for size in problem.sizes):
        return Solution(runs=(), bound=Fraction(0), method="nothing to cut")
    return plan_priced(price(problem), seed=seed, effort=effort)


def price(problem: Problem) -> Priced:
    """The problem with its bound. Every size must fit some panel, and some must be wanted."""
    pricers = pricers_of(problem, for_bound=True)
    found = generate(
        problem,
        pricers,
        demand=[size.demand for size in problem.sizes],
        start=single_patterns(problem),
        max_rounds=ROUNDS,
    )
    for_plan = pricers if is_limit_in_bound(problem) else pricers_of(problem, for_bound=False)
    return Priced(problem=problem, found=found, pricers=for_plan)


def lower_bound(problem: Problem) -> Fraction:
    """Proven least cost of the demand, in units of cost."""
    return price(problem).bound


def plan_priced(priced: Priced, *, seed: int = 0, effort: Effort = USUAL_EFFORT) -> Solution:
    """The plan of a problem whose bound is known."""
    problem = priced.problem
    runs, is_proven, limits_hit = _plan(priced, seed=seed, effort=effort)
    cost = Fraction(total_cost(problem, runs))
    return Solution(
        runs=runs,
        bound=cost if is_proven else min(priced.bound, cost),
        method=_method(problem) + (LISTED if is_proven else ""),
        limit_hit=", ".join(sorted(limits_hit)),
    )


def _method(problem: Problem) -> str:
    text = "column generation with exact pricing for the bound; dives, neighbourhoods, merging for the plan"
    if not is_limit_in_bound(problem):
        text += "; the bound drops the limit of sizes on a parent where that cannot be priced"
    return text


def _plan(priced: Priced, *, seed: int, effort: Effort) -> tuple[tuple[Run, ...], bool, set[str]]:
    """The plan, whether no cheaper one exists, and the limits that ended searches."""
    problem, columns = priced.problem, priced.found.pool.columns
    enough = int(priced.bound * (1 + effort.close_enough))
    pool = Pool(problem, [c.pattern for c in columns if keeps_limit(problem, c.counts)])
    search = Search(
        problem=problem,
        pricers=priced.pricers,
        pool=pool,
        scale=priced.found.scale,
        pricings=effort.dive_pricings,
        last_limits=effort.last_limits,
        top_up=TopUp(problem),
    )
    best = _best_dive(search, enough, dives=effort.dives, seed=seed)
    generator = np.random.default_rng(seed)
    improver = Improver(problem=problem, pool=pool, effort=effort.neighbourhoods, generator=generator)
    best = improver.improve(best, enough)
    known = Pool(problem, [run.pattern for run in best])
    merger = Merger(problem=problem, pool=known, effort=effort.merges, generator=generator)
    best = with_stock_on_hand(problem, without_surplus(problem, merger.merge(best)))
    return best, improver.is_proven, improver.limits_hit | merger.limits_hit


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
