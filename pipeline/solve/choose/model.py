"""The greatest benefit within the limits: prices of the limits, then an exact model of what they leave open.

The relaxation proves a bound and, with a good answer, that most volumes' options are settled: an option
whose loss exceeds the distance between the two is in no better answer. What is left, the core, goes to
HiGHS as a mixed-integer model: one option per volume, one row per limit; a supply of which some stands in
the lab has a row and a variable of its own, what must be bought beyond it.
"""

import time
from dataclasses import dataclass, field

import highspy
import numpy as np

from pipeline.solve.choose.baseline import greedy, raise_where_room
from pipeline.solve.choose.check import benefit_millionths, exceeded, needs, picked
from pipeline.solve.choose.core import Core, find_core
from pipeline.solve.choose.problem import Option, Problem, Solution
from pipeline.solve.choose.relaxation import Arrays, near_answer, relax
from pipeline.solve.quiet import quiet_highs
from pipeline.units import BENEFIT_PARTS, nearest_millionths

RELATIVE_GAP = 1e-6
MOST_NODES = 500
EMERGENCY_SECONDS = 120.0


@dataclass(frozen=True, slots=True)
class Result:
    """Answer and proof: objective and bound in millionths ; `limit_hit` as in log.solve."""

    solution: Solution
    objective: int
    bound: int
    method: str
    seconds: float
    limit_hit: str = ""


@dataclass
class _Row:
    """One row of the model: columns, their coefficients and the bounds of the sum."""

    columns: list[int] = field(default_factory=list)
    values: list[float] = field(default_factory=list)
    lower: float = -highspy.kHighsInf
    upper: float = highspy.kHighsInf

    def add(self, column: int, value: float) -> None:
        if value:
            self.columns.append(column)
            self.values.append(value)


def solve(problem: Problem, *, seed: int) -> Result:
    """Greatest benefit within the limits, with its proven bound; no solver runs where all of it fits.

    The first option of every volume takes nothing, so there is always an answer.
    """
    started = time.perf_counter()
    everything = Solution(tuple(len(volume.options) - 1 for volume in problem.volumes))
    if not exceeded(problem, needs(problem, picked(problem, everything))):
        benefit = benefit_millionths(problem, everything)
        return Result(everything, benefit, benefit, "everything fits", time.perf_counter() - started)
    arrays = Arrays(problem)
    relaxation = relax(arrays)
    near = near_answer(problem, arrays, relaxation)
    best = greedy(problem) if near is None else raise_where_room(problem, near)
    objective = benefit_millionths(problem, best)
    bound = max(objective, relaxation.bound)
    if bound - objective <= RELATIVE_GAP * bound:
        return Result(best, objective, bound, "prices of the limits", time.perf_counter() - started)
    core = find_core(problem, arrays, relaxation, best)
    gap = RELATIVE_GAP * bound
    found, core_bound, limit_hit = ChoiceModel(core.problem).run(core.start, gap=gap, seed=seed)
    whole = core.widen(found)
    if not exceeded(problem, needs(problem, picked(problem, whole))):
        best = better(problem, raise_where_room(problem, whole), best)
    objective = benefit_millionths(problem, best)
    bound = max(objective, _proven(core, core_bound, bound))
    return Result(best, objective, bound, "prices, then model", time.perf_counter() - started, limit_hit)


def better(problem: Problem, one: Solution, other: Solution) -> Solution:
    """The answer of greater benefit, the first of equals."""
    return max((one, other), key=lambda solution: benefit_millionths(problem, solution))


def _proven(core: Core, core_bound: int, relaxed_bound: int) -> int:
    """Bound of the whole: the core's own only where the core holds every option that is still open."""
    if not core.is_complete:
        return relaxed_bound
    return min(relaxed_bound, core.fixed_benefit_millionths + core_bound)


class ChoiceModel:
    """Columns: one per volume and option, then one per shelf for what is bought beyond it."""

    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        self._options: list[Option] = [option for volume in problem.volumes for option in volume.options]
        self._first: list[int] = []
        column = 0
        for volume in problem.volumes:
            self._first.append(column)
            column += len(volume.options)
        self._rows: list[_Row] = []
        self._take_one_option_of_each_volume()
        self._keep_to_the_hours_of_each_skill()
        self._keep_to_the_staff_budget()
        self._buy_what_the_shelves_lack()
        self._keep_to_the_supplies_budget()

    def run(self, start: Solution, *, gap: float, seed: int) -> tuple[Solution, int, str]:
        """Best answer found, proven bound in millionths, and the limit that stopped the search (or blank).

        It ends once answer and bound are within `gap` millionths.
        """
        highs = quiet_highs(seed)
        columns = len(self._options) + len(self._problem.shelves)
        options: dict[str, int | float] = {
            "mip_rel_gap": 0.0,
            "mip_abs_gap": gap / BENEFIT_PARTS,
            "mip_max_nodes": MOST_NODES,
            "time_limit": EMERGENCY_SECONDS,
        }
        for name, value in options.items():
            highs.setOptionValue(name, value)
        highs.passModel(self._model(columns))
        highs.setSolution(self._as_highs(start, columns))
        highs.run()
        status = highs.getModelStatus()
        limits = {
            highspy.HighsModelStatus.kSolutionLimit: "nodes",
            highspy.HighsModelStatus.kTimeLimit: "emergency clock",
        }
        bound = nearest_millionths(highs.getInfo().mip_dual_bound)
        return self._read(highs.getSolution().col_value), bound, limits.get(status, "")

    def _take_one_option_of_each_volume(self) -> None:
        for first, volume in zip(self._first, self._problem.volumes, strict=True):
            count = len(volume.options)
            self._rows.append(_Row(list(range(first, first + count)), [1.0] * count, 1.0, 1.0))

    def _keep_to_the_hours_of_each_skill(self) -> None:
        for rank in range(3):
            row = _Row(upper=self._problem.limits.minutes[rank])
            for column, option in enumerate(self._options):
                row.add(column, option.minutes[rank])
            self._rows.append(row)

    def _keep_to_the_staff_budget(self) -> None:
        limit = self._problem.limits.staff_hundredths
        if limit is None:
            return
        row = _Row(upper=limit)
        for column, option in enumerate(self._options):
            row.add(column, option.staff_hundredths)
        self._rows.append(row)

    def _buy_what_the_shelves_lack(self) -> None:
        rows = [_Row(upper=worth) for worth in self._problem.shelves]
        for column, option in enumerate(self._options):
            for shelf, amount in option.shelf_uses:
                rows[shelf].add(column, amount)
        for shelf, row in enumerate(rows):
            row.add(len(self._options) + shelf, -1.0)
        self._rows += rows

    def _keep_to_the_supplies_budget(self) -> None:
        limit = self._problem.limits.supplies_hundredths
        if limit is None:
            return
        row = _Row(upper=limit)
        for column, option in enumerate(self._options):
            row.add(column, option.supplies_hundredths)
        for shelf in range(len(self._problem.shelves)):
            row.add(len(self._options) + shelf, 1.0)
        self._rows.append(row)

    def _model(self, columns: int) -> highspy.HighsLp:
        lp = highspy.HighsLp()
        choices = len(self._options)
        lp.num_col_, lp.num_row_ = columns, len(self._rows)
        lp.sense_ = highspy.ObjSense.kMaximize
        cost = np.zeros(columns)
        cost[:choices] = [option.benefit_millionths / BENEFIT_PARTS for option in self._options]
        lp.col_cost_ = cost
        lp.col_lower_ = np.zeros(columns)
        upper = np.full(columns, highspy.kHighsInf)
        upper[:choices] = 1
        lp.col_upper_ = upper
        lp.row_lower_ = np.array([row.lower for row in self._rows])
        lp.row_upper_ = np.array([row.upper for row in self._rows])
        kinds = [highspy.HighsVarType.kInteger] * choices
        lp.integrality_ = kinds + [highspy.HighsVarType.kContinuous] * (columns - choices)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.cumsum([0, *(len(row.columns) for row in self._rows)])
        lp.a_matrix_.index_ = np.array([column for row in self._rows for column in row.columns])
        lp.a_matrix_.value_ = np.array([value for row in self._rows for value in row.values])
        return lp

    def _as_highs(self, solution: Solution, columns: int) -> highspy.HighsSolution:
        values = np.zeros(columns)
        for first, pick in zip(self._first, solution.picks, strict=True):
            values[first + pick] = 1
        uses = needs(self._problem, picked(self._problem, solution)).shelf_uses
        for shelf, (use, worth) in enumerate(zip(uses, self._problem.shelves, strict=True)):
            values[len(self._options) + shelf] = max(0, use - worth)
        answer = highspy.HighsSolution()
        answer.col_value = list(values)
        return answer

    def _read(self, values: list[float]) -> Solution:
        picks = []
        for first, volume in zip(self._first, self._problem.volumes, strict=True):
            share = values[first : first + len(volume.options)]
            picks.append(max(range(len(share)), key=lambda place: (share[place], -place)))
        return Solution(tuple(picks))
