"""Plan of one cutting problem: first a simple one."""

from pipeline.solve.cut.baseline import area_bound, first_fit
from pipeline.solve.cut.problem import Problem, Solution


def solve(problem: Problem) -> Solution:
    """Runs that serve the demand with the least cost found, and a proven bound."""
    return Solution(runs=first_fit(problem), bound=area_bound(problem), method="first fit in strips, bound by area")
