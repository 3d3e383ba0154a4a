"""Fewer set-ups at the same cost: a few patterns are given up, and fewer are looked for that do their work.

Patterns to choose from are those known, and the best ones for cutting several parents in a row: then no more of
a size is of use on a parent than its demand divided by the parents.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from pipeline.solve.cut.columns import Pool, clip
from pipeline.solve.cut.generate import PRICE_STEPS, whole_prices
from pipeline.solve.cut.model import FewTerms, SearchLimits, few_patterns, relaxed_cover, worth_keeping
from pipeline.solve.cut.neighbourhood import Small, give_up, related_runs, small_of
from pipeline.solve.cut.pricers import pricers_of
from pipeline.solve.cut.problem import Problem, Run, join_runs, total_cost

MOST_COLUMNS = 120
MOST_IN_A_ROW = 12
OFFERS = 8


@dataclass(frozen=True, kw_only=True)
class Merges:
    """How far merging goes: tries without success before it ends, patterns given up in a try, limits of each."""

    tries: int
    patterns: int
    limits: SearchLimits


@dataclass(kw_only=True)
class Merger:
    """Lowers the number of patterns of plans of one problem. `limits_hit` names the limits that ended searches."""

    problem: Problem
    pool: Pool
    effort: Merges
    generator: np.random.Generator
    limits_hit: set[str] = field(default_factory=set)

    def merge(self, runs: Sequence[Run]) -> tuple[Run, ...]:
        """Runs of no more patterns that cost no more."""
        runs, failures = join_runs(self.problem, runs), 0
        while failures < self.effort.tries and len(runs) > 1:
            chosen = self._choose(runs)
            kept, old = give_up(runs, {i: runs[i].sheets for i in chosen})
            fewer = self._replan(small_of(self.problem, kept), old)
            if fewer:
                runs, failures = join_runs(self.problem, [*kept, *fewer]), 0
            else:
                failures += 1
        return runs

    def _choose(self, runs: Sequence[Run]) -> list[int]:
        return related_runs(self.problem, runs, generator=self.generator)[: self.effort.patterns]

    def _replan(self, small: Small, old: Sequence[Run]) -> list[Run]:
        """Fewer runs than `old` for the small problem at no higher cost; empty when none are found."""
        if not len(small.wanted):
            return []
        cost, columns = total_cost(self.problem, old), self._columns(small, old)
        scale = float(columns.costs().max())
        counts = np.minimum(columns.counts(), small.wanted)
        kept = worth_keeping(counts, columns.costs() / scale, small.wanted, most_cost=cost / scale)
        kept = kept[:MOST_COLUMNS]
        if not len(kept):
            return []
        answer = few_patterns(
            columns.counts()[kept],
            columns.costs()[kept] / scale,
            small.wanted,
            terms=FewTerms(cost / scale, len(old)),
            limits=self.effort.limits,
        )
        if answer.limit_hit:
            self.limits_hit.add(answer.limit_hit)
        if answer.amounts is None:
            return []
        runs = [
            Run(columns.columns[int(kept[i])].pattern, int(answer.amounts[i]))
            for i in np.flatnonzero(answer.amounts)
        ]
        return small.rename_back(runs) if total_cost(small.problem, runs) <= cost else []

    def _columns(self, small: Small, old: Sequence[Run]) -> Pool:
        """Patterns known, and those that are best for cutting several parents in a row."""
        columns = Pool(small.problem, small.known_patterns(self.pool))
        scale = float(columns.costs().max())
        counts = np.minimum(columns.counts(), small.wanted)
        whole = whole_prices(relaxed_cover(counts, columns.costs() / scale, small.wanted).prices)
        pricers = pricers_of(small.problem, for_bound=False)
        for times in range(1, min(MOST_IN_A_ROW, sum(run.sheets for run in old)) + 1):
            most = -(-small.wanted // times)
            for pricer in pricers:
                offers = pricer.best(whole, extra=OFFERS, most=most, enough=PRICE_STEPS / scale)
                columns.add(clip(small.problem, offer.pattern, most.tolist()) for offer in offers)
        return columns
