"""Improvement of a plan: some of its parents are given up and their demand is planned anew, more cheaply.

Each neighbourhood is a small problem of its own: column generation, patterns of nearby prices, and a whole-number
search that only looks for something cheaper. Whether it pays is known beforehand from the small problem's bound.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pipeline.solve.cut.baseline import single_patterns
from pipeline.solve.cut.columns import Counts, Pool, clip
from pipeline.solve.cut.generate import PRICE_STEPS, Generated, cost_step, generate, round_up, whole_prices
from pipeline.solve.cut.model import SearchLimits, whole_cover
from pipeline.solve.cut.pricers import pricers_of
from pipeline.solve.cut.problem import (
    Cells,
    Pattern,
    Problem,
    Run,
    join_runs,
    pattern_cost,
    piece_counts,
    total_cost,
)

ROUNDS = 40
NUDGES, NUDGE, NUDGE_OFFERS = 5, 0.1, 10
"""Patterns at this many sets of nearby prices, each price moved by up to half of this share."""
MOST_COLUMNS = 220


@dataclass(frozen=True, kw_only=True)
class Neighbourhoods:
    """How far improvement goes: how many neighbourhoods, and how many parents each gives up."""

    count: int
    parents: int
    limits: SearchLimits


def improve(
    problem: Problem, runs: Sequence[Run], *, pool: Pool, least: int, effort: Neighbourhoods, generator: np.random.Generator
) -> tuple[Run, ...]:
    """Runs that cost no more. Ends at a cost of `least` (the bound), or after the neighbourhoods."""
    runs = join_runs(problem, runs)
    for _ in range(effort.count):
        if total_cost(problem, runs) <= least:
            break
        given_up = _choose(problem, runs, effort.parents, generator)
        kept = [Run(run.pattern, run.sheets - given_up.get(i, 0)) for i, run in enumerate(runs)]
        old = [Run(runs[i].pattern, sheets) for i, sheets in given_up.items()]
        better = replan(problem, _rest(problem, kept), pool=pool, old=old, limits=effort.limits, generator=generator)
        if better:
            pool.add(run.pattern for run in better)
            runs = join_runs(problem, [*kept, *better])
    return tuple(runs)


def _rest(problem: Problem, kept: Sequence[Run]) -> Counts:
    """Demand that the kept runs leave."""
    rest = np.array([size.demand for size in problem.sizes], dtype=np.int64)
    for run in kept:
        rest -= np.array(piece_counts(problem, run.pattern), dtype=np.int64) * run.sheets
    return np.maximum(0, rest)


def _choose(
    problem: Problem, runs: Sequence[Run], parents: int, generator: np.random.Generator
) -> dict[int, int]:
    """Runs to give up and how many parents of each: a wasteful one first, then those that share its sizes."""
    counts = np.array([piece_counts(problem, run.pattern) for run in runs], dtype=np.int64)
    areas = np.array([size.width_ticks * size.height_ticks for size in problem.sizes], dtype=np.float64)
    used = counts @ areas / np.array([pattern_cost(problem, run.pattern) for run in runs], dtype=np.float64)
    waste = (used.max() - used) / used.max() + 0.05
    first = int(generator.choice(len(runs), p=waste / waste.sum()))
    chosen = {first: min(runs[first].sheets, parents)}
    sizes = counts[first] > 0
    while sum(chosen.values()) < parents and len(chosen) < len(runs):
        shared = (counts[:, sizes] > 0).sum(axis=1) / (counts > 0).sum(axis=1)
        liking = shared + 0.3 * generator.random(len(runs)) + 0.3 * waste
        liking[list(chosen)] = -1.0
        index = int(np.argmax(liking))
        chosen[index] = min(runs[index].sheets, parents)
        sizes = sizes | (counts[index] > 0)
    return chosen


def replan(
    problem: Problem,
    rest: Counts,
    *,
    pool: Pool,
    old: Sequence[Run],
    limits: SearchLimits,
    generator: np.random.Generator,
) -> list[Run]:
    """Runs that serve `rest` at a lower cost than `old`; empty when none are found."""
    indices = np.flatnonzero(rest)
    small = _small_problem(problem, rest, indices)
    cost, step = total_cost(problem, old), cost_step(problem)
    start = _known_patterns(small, pool, rest, indices)
    found = generate(
        small,
        pricers_of(small, for_bound=False),
        demand=rest[indices].tolist(),
        start=start,
        max_rounds=ROUNDS,
    )
    if found.is_converged and round_up(found.bound, step) >= cost:
        return []
    columns = _with_nudges(small, found, rest[indices], generator)
    amounts = _search(columns, found, rest[indices], below=cost - step / 2, limits=limits)
    back = {small_index: int(index) for small_index, index in enumerate(indices)}
    return [Run(_renamed(columns.columns[i].pattern, back), sheets) for i, sheets in amounts]


def _small_problem(problem: Problem, rest: Counts, indices: Counts) -> Problem:
    return replace(problem, sizes=tuple(replace(problem.sizes[i], demand=int(rest[i])) for i in indices))


def _known_patterns(small: Problem, pool: Pool, rest: Counts, indices: Counts) -> list[Pattern]:
    """Patterns of the pool as far as they serve the rest, and parents of one size."""
    names = {int(index): small_index for small_index, index in enumerate(indices)}
    most, wanted = rest.tolist(), rest[indices].tolist()
    patterns = [clip(small, pattern, wanted) for pattern in single_patterns(small)]
    useful = (pool.counts()[:, indices] > 0).any(axis=1)
    for index in np.flatnonzero(useful):
        pattern = clip(pool.problem, pool.columns[int(index)].pattern, most)
        patterns.append(_renamed(pattern, names))
    return list(dict.fromkeys(patterns))


def _renamed(pattern: Pattern, names: dict[int, int]) -> Pattern:
    strips = tuple(
        tuple(Cells(names[size], turned, count) for size, turned, count in strip) for strip in pattern.strips
    )
    return Pattern(pattern.panel, strips)


def _with_nudges(small: Problem, found: Generated, wanted: Counts, generator: np.random.Generator) -> Pool:
    """The patterns found, clipped to the demand, and those that are best at nearby prices."""
    most = wanted.tolist()
    columns = Pool(small, [clip(small, column.pattern, most) for column in found.pool.columns])
    whole = whole_prices(found.prices)
    for _ in range(NUDGES):
        nudged = (whole * (1 + NUDGE * (generator.random(len(whole)) - 0.5))).astype(np.int64)
        for pricer in pricers_of(small, for_bound=False):
            offers = pricer.best(nudged, extra=NUDGE_OFFERS, most=wanted, enough=PRICE_STEPS / found.scale)
            columns.add(clip(small, offer.pattern, most) for offer in offers)
    return columns


def _search(
    columns: Pool, found: Generated, wanted: Counts, *, below: float, limits: SearchLimits
) -> list[tuple[int, int]]:
    """Columns and whole amounts that cost less than `below`; empty when none are found."""
    counts, costs = np.minimum(columns.counts(), wanted), columns.costs() / found.scale
    losses = costs - counts @ found.prices
    spare = below / found.scale - float(wanted @ found.prices)
    kept = np.flatnonzero(losses <= spare + 1e-9)
    kept = kept[np.argsort(losses[kept], kind="stable")][:MOST_COLUMNS]
    if not len(kept):
        return []
    answer = whole_cover(counts[kept], costs[kept], wanted, below=below / found.scale, limits=limits)
    if answer.amounts is None:
        return []
    return [(int(kept[i]), int(answer.amounts[i])) for i in np.flatnonzero(answer.amounts)]
