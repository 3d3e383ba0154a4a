"""Feasibility and benefit again, from Problem and Solution alone. Imports no solver."""

import numpy as np

from pipeline.solve.fit.problem import ANY_PAPER, NOT_PERMITTED, BoolArray, IntArray, Mark, Problem, Solution


def broken_rules(problem: Problem, solution: Solution) -> list[str]:
    """One line per rule that the solution breaks, with the first place; none when all hold."""
    sheets = solution.sheets
    is_used = sheets > 0
    by_group = sheets.sum(axis=1)
    is_must = problem.mark == Mark.MUST
    too_little = (problem.benefit_ticks < problem.floor_ticks) & ~is_must[:, None]
    is_limited = problem.only_paper != ANY_PAPER
    other = np.arange(sheets.shape[1]) != problem.only_paper[:, None]
    rules = (
        ("a negative number of sheets in group", (sheets < 0).any(axis=1)),
        ("more sheets than openings in group", by_group > problem.group_count),
        (
            "a paper that is not permitted in group",
            (is_used & (problem.benefit_ticks == NOT_PERMITTED)).any(axis=1),
        ),
        ("a sheet below the benefit floor in group", (is_used & too_little).any(axis=1)),
        ("sheets against the word `never` in group", (by_group > 0) & (problem.mark == Mark.NEVER)),
        (
            "another paper than the one asked for in group",
            (is_used & is_limited[:, None] & other).any(axis=1),
        ),
        ("a wrong count of missing sheets in group", solution.must_short != _must_short(problem, by_group)),
        ("more thickness than headroom in volume", added_um(problem, solution) > problem.headroom_um),
        ("more papers than the limit in volume", papers_used(problem, solution) > problem.max_papers),
        ("a wrong benefit in volume", solution.benefit_ticks != benefit_ticks(problem, solution)),
        ("a bound below the benefit in volume", solution.bound_ticks < solution.benefit_ticks),
    )
    return [f"{text} {int(np.flatnonzero(is_broken)[0])}" for text, is_broken in rules if is_broken.any()]


def added_um(problem: Problem, solution: Solution) -> IntArray:
    """Thickness of all sheets, um, by volume."""
    return _by_volume(problem, solution.sheets @ problem.papers.thickness_um)


def benefit_ticks(problem: Problem, solution: Solution) -> IntArray:
    """Benefit of all sheets, ticks, by volume."""
    return _by_volume(problem, (solution.sheets * np.maximum(problem.benefit_ticks, 0)).sum(axis=1))


def papers_used(problem: Problem, solution: Solution) -> IntArray:
    """Number of different papers, by volume."""
    used = np.zeros((problem.volumes, solution.sheets.shape[1]), dtype=np.int64)
    np.add.at(used, problem.group_volume, solution.sheets)
    result: IntArray = (used > 0).sum(axis=1)
    return result


def must_short(problem: Problem, solution: Solution) -> IntArray:
    """Openings that a person asked a sheet for and that get none, by volume."""
    return _by_volume(problem, solution.must_short)


def _must_short(problem: Problem, by_group: IntArray) -> IntArray:
    is_must: BoolArray = problem.mark == Mark.MUST
    return np.where(is_must, problem.group_count - by_group, 0)


def _by_volume(problem: Problem, of_group: IntArray) -> IntArray:
    sums = np.zeros(problem.volumes, dtype=np.int64)
    np.add.at(sums, problem.group_volume, of_group)
    return sums
