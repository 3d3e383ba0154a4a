"""Many problems on the same volumes, solved in one go: side by side, each volume once for every case."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from pipeline.solve.fit.problem import BoolArray, IntArray, Problem


def side_by_side(problems: Sequence[Problem]) -> Problem:
    """Problems with the same papers, floor and limit as one; volumes and groups follow each other case by case."""
    first = problems[0]
    before = np.cumsum([0, *(problem.volumes for problem in problems)])
    return replace(
        first,
        headroom_um=np.concatenate([problem.headroom_um for problem in problems]),
        group_volume=np.concatenate(
            [problem.group_volume + before[case] for case, problem in enumerate(problems)]
        ),
        group_count=np.concatenate([problem.group_count for problem in problems]),
        benefit_ticks=np.concatenate([problem.benefit_ticks for problem in problems]),
        opening_rank=np.concatenate([problem.opening_rank for problem in problems]),
        mark=np.concatenate([problem.mark for problem in problems]),
        only_paper=np.concatenate([problem.only_paper for problem in problems]),
    )


def some_volumes(problem: Problem, chosen: BoolArray) -> Problem:
    """The problem of the chosen volumes alone, in the same order."""
    number = np.cumsum(chosen) - 1
    groups = chosen[problem.group_volume]
    return replace(
        problem,
        headroom_um=problem.headroom_um[chosen],
        group_volume=number[problem.group_volume[groups]],
        group_count=problem.group_count[groups],
        benefit_ticks=problem.benefit_ticks[groups],
        opening_rank=problem.opening_rank[np.repeat(groups, problem.group_count)],
        mark=problem.mark[groups],
        only_paper=problem.only_paper[groups],
    )


def volume_sums(problem: Problem, of_group: IntArray) -> IntArray:
    """Sums over the groups of each volume."""
    sums = np.zeros(problem.volumes, dtype=np.int64)
    np.add.at(sums, problem.group_volume, of_group)
    return sums


def most_benefit(problem: Problem) -> IntArray:
    """Benefit of the best sheet in every opening, by volume, ticks: no choice can be worth more."""
    best = np.where(problem.allowed(), problem.benefit_ticks, 0).max(axis=1, initial=0)
    return volume_sums(problem, best * problem.group_count)
