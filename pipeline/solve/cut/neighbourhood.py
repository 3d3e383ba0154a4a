"""Part of a plan given up: which runs, the demand they leave, and that demand as a small problem of its own."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pipeline.solve.cut.baseline import single_patterns
from pipeline.solve.cut.columns import Counts, Pool, clip
from pipeline.solve.cut.problem import Cells, Pattern, Problem, Run, pattern_cost, piece_counts

LIKING_BY_CHANCE, LIKING_OF_WASTE, LEAST_WASTE = 0.3, 0.3, 0.05


@dataclass(frozen=True, kw_only=True)
class Small:
    """The demand some runs leave, as a problem; `indices` are its sizes in the whole problem."""

    problem: Problem
    indices: Counts
    wanted: Counts

    def rename_back(self, runs: Sequence[Run]) -> list[Run]:
        """Runs of the small problem as runs of the whole one."""
        names = {small: int(index) for small, index in enumerate(self.indices)}
        return [Run(renamed(run.pattern, names), run.sheets) for run in runs]

    def known_patterns(self, pool: Pool) -> list[Pattern]:
        """Parents of one size, and the patterns of a pool as far as they serve the demand."""
        names = {int(index): small for small, index in enumerate(self.indices)}
        most = np.zeros(len(pool.problem.sizes), dtype=np.int64)
        most[self.indices] = self.wanted
        wanted = self.wanted.tolist()
        patterns = [clip(self.problem, pattern, wanted) for pattern in single_patterns(self.problem)]
        useful = (pool.counts()[:, self.indices] > 0).any(axis=1)
        for index in np.flatnonzero(useful):
            pattern = clip(pool.problem, pool.columns[int(index)].pattern, most.tolist())
            patterns.append(renamed(pattern, names))
        return list(dict.fromkeys(patterns))


def small_of(problem: Problem, kept: Sequence[Run]) -> Small:
    """What the kept runs leave to be cut."""
    rest = np.array([size.demand for size in problem.sizes], dtype=np.int64)
    for run in kept:
        rest -= np.array(piece_counts(problem, run.pattern), dtype=np.int64) * run.sheets
    indices = np.flatnonzero(rest > 0)
    sizes = tuple(replace(problem.sizes[i], demand=int(rest[i])) for i in indices)
    return Small(problem=replace(problem, sizes=sizes), indices=indices, wanted=rest[indices])


def renamed(pattern: Pattern, names: dict[int, int]) -> Pattern:
    """The pattern with its sizes numbered anew."""
    strips = tuple(
        tuple(Cells(names[size], turned, count) for size, turned, count in strip) for strip in pattern.strips
    )
    return Pattern(pattern.panel, strips)


def give_up(runs: Sequence[Run], chosen: dict[int, int]) -> tuple[list[Run], list[Run]]:
    """(kept, given up) when `chosen` parents of each run are given up."""
    kept = [Run(run.pattern, run.sheets - chosen.get(i, 0)) for i, run in enumerate(runs)]
    return [run for run in kept if run.sheets], [Run(runs[i].pattern, sheets) for i, sheets in chosen.items()]


def related_runs(problem: Problem, runs: Sequence[Run], *, generator: np.random.Generator) -> list[int]:
    """Indices of all runs: a wasteful one first, then those that share sizes with what stands before."""
    counts = np.array([piece_counts(problem, run.pattern) for run in runs], dtype=np.int64)
    areas = np.array([size.width_ticks * size.height_ticks for size in problem.sizes], dtype=np.float64)
    costs = np.array([pattern_cost(problem, run.pattern) for run in runs], dtype=np.float64)
    used = counts @ areas / costs
    waste = 1 - used / used.max() + LEAST_WASTE
    order = [int(generator.choice(len(runs), p=waste / waste.sum()))]
    sizes = counts[order[0]] > 0
    while len(order) < len(runs):
        shared = (counts[:, sizes] > 0).sum(axis=1) / (counts > 0).sum(axis=1)
        liking = shared + LIKING_BY_CHANCE * generator.random(len(runs)) + LIKING_OF_WASTE * waste
        liking[order] = -1.0
        order.append(int(np.argmax(liking)))
        sizes = sizes | (counts[order[-1]] > 0)
    return order
