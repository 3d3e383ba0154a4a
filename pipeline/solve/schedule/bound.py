"""The proven bound: whatever time is said to cost, each volume at its cheapest less what all time is worth.

Any prices give a valid bound, so nothing rests on the solver they come from but how good the bound is.
"""

import numpy as np

from pipeline.solve.schedule.ascent import FINE_LENGTH, Ascent, Stand, bound_of, cut_jobs, volume_jobs
from pipeline.solve.schedule.baseline import SAFETY
from pipeline.solve.schedule.capacity import Capacity, Floats, TimePrices, worker_kinds
from pipeline.solve.schedule.chains import Chains, finest_grid, places
from pipeline.solve.schedule.lots import Relaxed
from pipeline.solve.schedule.prices import cuts_cost, kind_prices, lots_costs, price_curves, worth_of
from pipeline.solve.schedule.problem import Problem
from pipeline.solve.schedule.search import Effort


def has_chains(problem: Problem) -> bool:
    """Whether each volume's cheapest chain of tasks is weighed (not in large campaigns)."""
    return finest_grid(problem, worker_kinds(problem)) is not None


def proven_bound(problem: Problem, relaxed: Relaxed, capacity: Capacity, prices: Floats) -> float:
    """No timetable has a lower sum of benefit (millionths) x minutes to the finish, from the first day's start.

    `prices` by grade and bucket as the weekly relaxation gives them. A volume left undated counts from the last
    midnight. Each volume counts by what is best for the bound: a split of its weight over its lots, its critical
    path, or in campaigns of ordinary size its cheapest chain of tasks.
    """
    curves = price_curves(capacity, prices, problem.end_clock)
    total = relaxed.fixed - worth_of(capacity, curves)
    total += cuts_cost(problem, relaxed.cuts, capacity, curves)
    costs = lots_costs(problem, relaxed.volumes, capacity, curves)
    kinds = worker_kinds(problem)
    step = finest_grid(problem, kinds)
    if step is not None:
        chains = Chains(problem, relaxed.clocks, kinds, step=step)
        chains.price(kind_prices(TimePrices(capacity.clocks, curves), kinds))
        costs = np.maximum(costs, [chains.least_cost(*job) for job in volume_jobs(problem, relaxed)])
    total += float(np.sum(costs))
    total -= problem.total_benefit * problem.day_start_minute
    return total - SAFETY * abs(total)


def climbed_bound(problem: Problem, stand: Stand, *, reached: float, effort: Effort) -> float:
    """The bound of the best prices and lending that a climb found, each chain weighed on the finest grid.

    With effort to spend, the climb goes on there first, in short steps. `reached` is the weighted finish of the
    timetable in hand.
    """
    kinds = worker_kinds(problem)
    step = finest_grid(problem, kinds)
    if step is None:
        return stand.bound - SAFETY * abs(stand.bound)
    steps = effort.fine_climbs(places(problem, kinds, step))
    if steps:
        ascent = Ascent(problem, stand.relaxed, kinds, step=step)
        stand = ascent.climb(stand.prices, reached=reached, steps=steps, length=FINE_LENGTH)
    chains = Chains(problem, stand.relaxed.clocks, kinds, step=step)
    chains.price(stand.prices)
    jobs = [*volume_jobs(problem, stand.relaxed), *cut_jobs(problem, stand.relaxed)]
    total = bound_of(problem, stand.relaxed, kinds, stand.prices, [chains.least_cost(*job) for job in jobs])
    return total - SAFETY * abs(total)


def climb(
    problem: Problem, relaxed: Relaxed, prices: TimePrices, *, reached: float, effort: Effort
) -> Stand | None:
    """The best of the effort's steps up from the weekly relaxation's prices; None where it has none to spend.

    `reached` is the weighted finish of the timetable in hand.
    """
    kinds = worker_kinds(problem)
    step = finest_grid(problem, kinds, finest=effort.climb_grid)
    steps = 0 if step is None else effort.climbs(places(problem, kinds, step))
    if step is None or not steps or not kinds:
        return None
    start = kind_prices(prices, kinds)
    return Ascent(problem, relaxed, kinds, step=step).climb(start, reached=reached, steps=steps)
