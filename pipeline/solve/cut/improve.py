"""Improvement of a plan: some of its parents are given up and their demand is planned anew, more cheaply.

Each neighbourhood is a small problem of its own: column generation, patterns at nearby prices, and a whole-number
search that only looks for something cheaper. Whether it can pay is known beforehand from the small problem's bound.
A search that finds nothing makes the next neighbourhoods smaller.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from pipeline.solve.cut.columns import Pool
from pipeline.solve.cut.complete import full_patterns
from pipeline.solve.cut.fill import TopUp
from pipeline.solve.cut.generate import (
    PRICE_STEPS,
    Generated,
    cost_step,
    generate,
    round_up,
    whole_prices,
)
from pipeline.solve.cut.model import SearchLimits, whole_cover, worth_keeping
from pipeline.solve.cut.neighbourhood import Small, give_up, related_runs, small_of
from pipeline.solve.cut.pricers import pricers_of
from pipeline.solve.cut.problem import Problem, Run, join_runs, total_cost

ROUNDS = 60
NUDGES, NUDGE, NUDGE_OFFERS = 6, 0.1, 10
"""Patterns at this many sets of nearby prices, each price moved by up to half of this share."""
MOST_COLUMNS = 300
MOST_SIZES_LISTED = 12
"""With more sizes than this the patterns are not listed: there are always too many."""
SMALLER, A_LITTLE_SMALLER, LEAST_PARENTS = 0.6, 0.9, 10


@dataclass(frozen=True, kw_only=True)
class Neighbourhoods:
    """How far improvement goes: neighbourhoods, parents given up in the first, and the limits of each search."""

    count: int
    parents: int
    limits: SearchLimits


class Found(NamedTuple):
    """Cheaper runs (empty: none found); did a limit end the search; or did it prove that there are none."""

    runs: list[Run]
    is_cut_short: bool = False
    is_proof: bool = False


@dataclass(kw_only=True)
class Improver:
    """Improves plans of one problem. `limits_hit` names the limits that ended searches.

    `is_proven` tells that the last plan is the cheapest: every pattern was listed and nothing cheaper exists.
    """

    problem: Problem
    pool: Pool
    effort: Neighbourhoods
    generator: np.random.Generator
    limits_hit: set[str] = field(default_factory=set)
    is_proven: bool = False

    def improve(self, runs: Sequence[Run], least: int) -> tuple[Run, ...]:
        """Runs that cost no more. Ends at a cost of `least` (the bound), or after the neighbourhoods."""
        runs = join_runs(self.problem, runs)
        parents = min(self.effort.parents, sum(run.sheets for run in runs))
        for _ in range(self.effort.count):
            if total_cost(self.problem, runs) <= least:
                break
            kept, old = give_up(runs, self._choose(runs, parents))
            found = self._replan(small_of(self.problem, kept), old)
            if found.runs:
                self.pool.add(run.pattern for run in found.runs)
                runs = join_runs(self.problem, [*kept, *found.runs])
            elif found.is_proof and not kept:
                self.is_proven = True
                break
            else:
                shrink = SMALLER if found.is_cut_short else A_LITTLE_SMALLER
                parents = max(LEAST_PARENTS, int(parents * shrink))
        return runs

    def _choose(self, runs: Sequence[Run], parents: int) -> dict[int, int]:
        """Related runs until there are enough parents: run to number of parents given up."""
        chosen: dict[int, int] = {}
        for index in related_runs(self.problem, runs, generator=self.generator):
            missing = parents - sum(chosen.values())
            if missing <= 0:
                break
            chosen[index] = min(runs[index].sheets, missing)
        return chosen

    def _replan(self, small: Small, old: Sequence[Run]) -> Found:
        """Cheaper runs for the small problem than `old`."""
        cost, step = total_cost(self.problem, old), cost_step(self.problem)
        complete = full_patterns(small.problem) if len(small.wanted) <= MOST_SIZES_LISTED else []
        if complete:
            columns = Pool(small.problem, complete)
            return self._search(small, columns=columns, below=cost - step / 2, is_complete=True)
        found = generate(
            small.problem,
            pricers_of(small.problem, for_bound=False),
            demand=small.wanted.tolist(),
            start=small.known_patterns(self.pool),
            max_rounds=ROUNDS,
        )
        if found.is_converged and round_up(found.bound, step) >= cost:
            return Found([])
        columns = self._with_nudges(small, found)
        return self._search(small, columns=columns, below=cost - step / 2, is_complete=False)

    def _with_nudges(self, small: Small, found: Generated) -> Pool:
        """The patterns found, clipped to the demand, and those that are best at nearby prices."""
        most, pricers = small.wanted.tolist(), pricers_of(small.problem, for_bound=False)
        columns, top_up = Pool(small.problem), TopUp(small.problem)
        columns.add(top_up.useful(column.pattern, most) for column in found.pool.columns)
        whole = whole_prices(found.prices)
        for _ in range(NUDGES):
            nudges = 1 + NUDGE * (self.generator.random(len(whole)) - 0.5)
            nudged = (whole * nudges).astype(np.int64)
            for pricer in pricers:
                offers = pricer.best(
                    nudged, extra=NUDGE_OFFERS, most=small.wanted, enough=PRICE_STEPS / found.scale
                )
                columns.add(top_up.useful(offer.pattern, most) for offer in offers)
        return columns

    def _search(self, small: Small, *, columns: Pool, below: float, is_complete: bool) -> Found:
        scale = float(columns.costs().max())
        counts, costs = np.minimum(columns.counts(), small.wanted), columns.costs() / scale
        kept = worth_keeping(counts, costs, small.wanted, most_cost=below / scale)
        is_whole = is_complete and len(kept) <= MOST_COLUMNS
        kept = kept[:MOST_COLUMNS]
        if not len(kept):
            return Found([], is_proof=is_whole)
        answer = whole_cover(
            counts[kept], costs[kept], small.wanted, below=below / scale, limits=self.effort.limits
        )
        if answer.limit_hit:
            self.limits_hit.add(answer.limit_hit)
        if answer.amounts is None:
            cut_short = bool(answer.limit_hit)
            return Found([], is_cut_short=cut_short, is_proof=is_whole and not cut_short)
        runs = [
            Run(columns.columns[int(kept[i])].pattern, int(answer.amounts[i]))
            for i in np.flatnonzero(answer.amounts)
        ]
        return Found(small.rename_back(runs))
