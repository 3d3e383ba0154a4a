"""The greatest benefit within the limits and its proven bound.

The relaxation proves a bound and, with a good answer, that most volumes' options are settled: an option whose loss
exceeds the distance between the two is in no better answer. What is left, the core, goes to the model. Where supplies
come in packs, the model first says which packs to buy (volumes may be parted, so it is small to search and its bound
stands for the whole); then the options are chosen for those packs.
"""

import time
from dataclasses import dataclass, replace

from pipeline.solve.choose.asked import asked_first, in_all_options
from pipeline.solve.choose.baseline import greedy, raise_where_room
from pipeline.solve.choose.check import benefit_millionths, exceeded, needs, picked
from pipeline.solve.choose.core import Core, Start, find_core
from pipeline.solve.choose.model import ChoiceModel, ModelAnswer, Search
from pipeline.solve.choose.problem import Problem, Shelf, Solution
from pipeline.solve.choose.relaxation import Arrays, near_answer, relax

RELATIVE_GAP = 1e-6
SMALL_CORE_OPTIONS = 150
"""Options of a core that is searched to the end even where packs are to be bought."""
SMALL_NODES = 5000


@dataclass(frozen=True, slots=True)
class _Effort:
    """How far the options are searched: distance from the bound, nodes, volumes in the core."""

    gap: float
    most_nodes: int
    most_volumes: int


ALONE = _Effort(RELATIVE_GAP, 200, 400)
PACKS_CORE_VOLUMES = 2500


@dataclass(frozen=True, slots=True)
class PackSearch:
    """How far packs are searched, and then the options for them: distance from the bound, nodes."""

    gap: float
    nodes: int
    settled: _Effort


FOR_A_PLAN = PackSearch(gap=3e-4, nodes=60, settled=_Effort(1e-4, 20, 80))
FOR_AN_ESTIMATE = PackSearch(gap=5e-3, nodes=4, settled=_Effort(2e-3, 2, 80))
"""For a point of the frontier, whose costs are estimates."""


@dataclass(frozen=True, slots=True)
class Result:
    """Answer and proof: objective and bound in millionths; `limit_hit` as in log.solve."""

    solution: Solution
    objective: int
    bound: int
    method: str
    seconds: float
    limit_hit: str = ""


@dataclass(frozen=True, slots=True)
class _Stand:
    """The best answer so far, the least bound so far, and the limit that stopped a search."""

    best: Solution
    objective: int
    bound: int
    limit_hit: str = ""

    def is_within(self, gap: float) -> bool:
        return self.bound - self.objective <= gap * self.bound


def solve(problem: Problem, *, seed: int, packs: PackSearch = FOR_A_PLAN) -> Result:
    """Greatest benefit within the limits, with its proven bound; no solver runs where all of it fits.

    What a person asked for comes first as far as the limits reach, and the bound is that of the choices that
    follow it. The first option of every volume takes nothing, so there is always an answer.
    """
    started = time.perf_counter()
    everything = Solution(tuple(len(volume.options) - 1 for volume in problem.volumes))
    if not exceeded(problem, needs(problem, picked(problem, everything))):
        benefit = benefit_millionths(problem, everything)
        return Result(everything, benefit, benefit, "everything fits", time.perf_counter() - started)
    narrowed = asked_first(problem)
    stand = (
        _with_packs(narrowed, packs, seed) if _has_packs(narrowed) else _with_options(narrowed, ALONE, seed)
    )
    return Result(
        in_all_options(problem, narrowed, stand.best),
        stand.objective,
        stand.bound,
        "prices of the limits, then model of the core",
        time.perf_counter() - started,
        "" if stand.is_within(RELATIVE_GAP) else stand.limit_hit,
    )


def _has_packs(problem: Problem) -> bool:
    """Whether supplies are bought in packs that matter."""
    is_limited = problem.limits.supplies_hundredths is not None
    return is_limited and any(shelf.pack > 1 or shelf.surcharge for shelf in problem.shelves)


def _with_options(problem: Problem, effort: _Effort, seed: int) -> _Stand:
    """The options where nothing is bought in packs, or the packs are settled."""
    start, stand = _start(problem)
    if stand.is_within(effort.gap):
        return stand
    core = find_core(start, effort.most_volumes)
    search = Search(gap=effort.gap * stand.bound, most_nodes=effort.most_nodes, seed=seed)
    return _improved(problem, stand, core, ChoiceModel(core.problem).run(core.start, search))


def _with_packs(problem: Problem, packs: PackSearch, seed: int) -> _Stand:
    """The packs first, then the options for them; a small core is searched whole to the end."""
    start, stand = _start(problem)
    if stand.is_within(RELATIVE_GAP):
        return stand
    core = find_core(start, PACKS_CORE_VOLUMES)
    model = ChoiceModel(core.problem)
    if sum(len(volume.options) for volume in core.problem.volumes) <= SMALL_CORE_OPTIONS:
        search = Search(gap=RELATIVE_GAP * stand.bound, most_nodes=SMALL_NODES, seed=seed)
        return _improved(problem, stand, core, model.run(core.start, search))
    search = Search(gap=packs.gap * stand.bound, most_nodes=packs.nodes, seed=seed, are_volumes_whole=False)
    answer = model.run(core.start, search)
    bound = _proven(core, answer.bound, stand.bound)
    inner = _with_options(_with_settled_packs(problem, core, answer.packs), packs.settled, seed)
    best = better(problem, raise_where_room(problem, inner.best), stand.best)
    objective = benefit_millionths(problem, best)
    return _Stand(best, objective, max(objective, bound), answer.limit_hit or inner.limit_hit)


def _start(problem: Problem) -> tuple[Start, _Stand]:
    """What the relaxation says, a first answer and where it stands."""
    arrays = Arrays(problem)
    relaxation = relax(arrays)
    near = near_answer(problem, arrays, relaxation)
    best = greedy(problem) if near is None else raise_where_room(problem, near)
    objective = benefit_millionths(problem, best)
    stand = _Stand(best, objective, max(objective, relaxation.bound))
    return Start(problem, arrays, relaxation, best), stand


def _improved(problem: Problem, stand: _Stand, core: Core, answer: ModelAnswer) -> _Stand:
    """What the whole model of a core makes of the stand."""
    best, whole = stand.best, core.widen(answer.solution)
    if not exceeded(problem, needs(problem, picked(problem, whole))):
        best = better(problem, raise_where_room(problem, whole), best)
    objective = benefit_millionths(problem, best)
    return _Stand(best, objective, max(objective, _proven(core, answer.bound, stand.bound)), answer.limit_hit)


def _with_settled_packs(problem: Problem, core: Core, packs: tuple[int, ...]) -> Problem:
    """The problem once so many packs are bought for the core, beside those for the settled volumes.

    Buying more is priced out of the budget.
    """
    money = problem.limits.supplies_hundredths or 0
    settled = needs(problem, core.settled_options(problem)).shelf_uses
    shelves = []
    for shelf, use, more in zip(problem.shelves, settled, packs, strict=True):
        count = shelf.packs(use) + more
        money -= count * shelf.pack + (shelf.surcharge if count else 0)
        shelves.append(Shelf(shelf.worth + count * shelf.pack))
    closed = max(0, money) + 1
    return replace(
        problem,
        limits=replace(problem.limits, supplies_hundredths=max(0, money)),
        shelves=tuple(replace(shelf, surcharge=closed) for shelf in shelves),
    )


def better(problem: Problem, one: Solution, other: Solution) -> Solution:
    """The answer of greater benefit, the first of equals."""
    return max((one, other), key=lambda solution: benefit_millionths(problem, solution))


def _proven(core: Core, core_bound: int, relaxed_bound: int) -> int:
    """Bound of the whole: the core's own only where the core holds every option that is still open."""
    if not core.is_complete:
        return relaxed_bound
    return min(relaxed_bound, core.fixed_benefit_millionths + core_bound)
