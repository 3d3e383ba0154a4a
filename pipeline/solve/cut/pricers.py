"""Which pricing serves which panel."""

from collections.abc import Sequence

from pipeline.solve.cut.limited import FewSizes, Groups, group_count
from pipeline.solve.cut.pricing import Knapsacks, Pricer
from pipeline.solve.cut.problem import Problem

MOST_GROUPS = 90_000
"""More groups of sizes than this are not listed."""
MOST_GROUPS_TURNED = 4_000
"""The same where pieces may be turned: a group then has twice the places."""


def pricers_of(problem: Problem, *, for_bound: bool) -> tuple[Pricer, ...]:
    """A pricer per panel. For the bound every best offer must be proven, so where the limit of sizes on a parent
    cannot be priced exactly it is dropped there; for plans the limit holds everywhere."""
    pricers: list[Pricer] = []
    for panel in range(len(problem.panels)):
        if problem.max_sizes is None or problem.max_sizes >= len(problem.sizes):
            pricers.append(Knapsacks(problem, panel))
        elif is_limit_priced(problem, panel):
            pricers.append(Groups(problem, panel, problem.max_sizes))
        elif for_bound:
            pricers.append(Knapsacks(problem, panel))
        else:
            pricers.append(FewSizes(problem, panel, problem.max_sizes))
    return tuple(pricers)


def is_limit_priced(problem: Problem, panel: int) -> bool:
    """Whether the limit of sizes on a parent is priced exactly: not along the free length of a roll, nor where
    there are too many groups of sizes."""
    if problem.max_sizes is None:
        return True
    turns = any(size.may_turn for size in problem.sizes)
    most = MOST_GROUPS_TURNED if turns else MOST_GROUPS
    return problem.panels[panel].free != "strip" and group_count(problem, panel, problem.max_sizes) <= most


def is_limit_in_bound(problem: Problem) -> bool:
    """Whether the bound keeps the limit of sizes on a parent on every panel."""
    return all(is_limit_priced(problem, panel) for panel in range(len(problem.panels)))


def keeps_limit(problem: Problem, kinds: Sequence[int]) -> bool:
    """Whether a pattern with these counts of sizes keeps the limit of sizes on a parent."""
    return problem.max_sizes is None or sum(count > 0 for count in kinds) <= problem.max_sizes
