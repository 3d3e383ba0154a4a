"""The choice as a mixed-integer model for HiGHS: one option per volume, one row per limit, whole packs.

Either everything is whole, or only the packs are and volumes may be parted between options: then the model is small to
search, proves a bound and says which packs to buy.
"""

from dataclasses import dataclass, field

import highspy
import numpy as np

from pipeline.solve.choose.check import needs, picked
from pipeline.solve.choose.problem import Option, Problem, Solution
from pipeline.solve.quiet import quiet_highs
from pipeline.units import BENEFIT_PARTS, nearest_millionths

EMERGENCY_SECONDS = 600.0


@dataclass(frozen=True, slots=True)
class Search:
    """How a search ends: once answer and bound are within `gap` millionths, or at so many nodes."""

    gap: float
    most_nodes: int
    seed: int
    are_volumes_whole: bool = True


@dataclass(frozen=True, slots=True)
class ModelAnswer:
    """The best option of each volume (the greatest part), the packs, the proven bound, the limit that stopped it."""

    solution: Solution
    packs: tuple[int, ...]
    bound: int
    limit_hit: str


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


class ChoiceModel:
    """Columns: one per volume and option, then per shelf the packs bought, then whether any are."""

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
        self._most_packs = self._count_most_packs()
        self._buy_what_the_shelves_lack()
        self._pay_a_surcharge_where_packs_are_bought()
        self._keep_to_the_supplies_budget()

    def run(self, start: Solution, search: Search) -> ModelAnswer:
        """Search from an answer in hand, the same way each time."""
        highs = quiet_highs(search.seed)
        options: dict[str, int | float] = {
            "mip_rel_gap": 0.0,
            "mip_abs_gap": search.gap / BENEFIT_PARTS,
            "mip_max_nodes": search.most_nodes,
            "time_limit": EMERGENCY_SECONDS,
        }
        for name, value in options.items():
            highs.setOptionValue(name, value)
        highs.passModel(self._model(are_volumes_whole=search.are_volumes_whole))
        highs.setSolution(self._as_highs(start))
        highs.run()
        limits = {
            highspy.HighsModelStatus.kSolutionLimit: "nodes",
            highspy.HighsModelStatus.kTimeLimit: "emergency clock",
        }
        bound = nearest_millionths(highs.getInfo().mip_dual_bound)
        values = highs.getSolution().col_value
        shelves = len(self._problem.shelves)
        packs = tuple(int(value + 0.5) for value in values[self._packs(0) : self._packs(shelves)])
        return ModelAnswer(self._read(values), packs, bound, limits.get(highs.getModelStatus(), ""))

    def _count_most_packs(self) -> list[int]:
        """Packs of each shelf when every volume takes the most it can."""
        uses = [0] * len(self._problem.shelves)
        for volume in self._problem.volumes:
            most: dict[int, int] = {}
            for option in volume.options:
                for shelf, amount in option.shelf_uses:
                    most[shelf] = max(most.get(shelf, 0), amount)
            for shelf, amount in most.items():
                uses[shelf] += amount
        return [shelf.packs(use) for shelf, use in zip(self._problem.shelves, uses, strict=True)]

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
        """Uses of a shelf are at most its worth and whole packs."""
        rows = [_Row(upper=shelf.worth) for shelf in self._problem.shelves]
        for column, option in enumerate(self._options):
            for number, amount in option.shelf_uses:
                rows[number].add(column, amount)
        for number, shelf in enumerate(self._problem.shelves):
            rows[number].add(self._packs(number), -shelf.pack)
        self._rows += rows

    def _pay_a_surcharge_where_packs_are_bought(self) -> None:
        """Bought is 1 where there are packs, 0 where there are none."""
        for number, most in enumerate(self._most_packs):
            packs, bought = self._packs(number), self._bought(number)
            self._rows.append(_Row([packs, bought], [1.0, -float(most)], upper=0.0))
            self._rows.append(_Row([bought, packs], [1.0, -1.0], upper=0.0))

    def _keep_to_the_supplies_budget(self) -> None:
        limit = self._problem.limits.supplies_hundredths
        if limit is None:
            return
        row = _Row(upper=limit)
        for column, option in enumerate(self._options):
            row.add(column, option.supplies_hundredths)
        for number, shelf in enumerate(self._problem.shelves):
            row.add(self._packs(number), shelf.pack)
            row.add(self._bought(number), shelf.surcharge)
        self._rows.append(row)

    def _packs(self, shelf: int) -> int:
        """Column of the packs bought for a shelf."""
        return len(self._options) + shelf

    def _bought(self, shelf: int) -> int:
        """Column that says whether any are."""
        return len(self._options) + len(self._problem.shelves) + shelf

    def _model(self, *, are_volumes_whole: bool) -> highspy.HighsLp:
        columns = len(self._options) + 2 * len(self._problem.shelves)
        lp = highspy.HighsLp()
        choices = len(self._options)
        lp.num_col_, lp.num_row_ = columns, len(self._rows)
        lp.sense_ = highspy.ObjSense.kMaximize
        cost = np.zeros(columns)
        cost[:choices] = [option.benefit_millionths / BENEFIT_PARTS for option in self._options]
        lp.col_cost_ = cost
        lp.col_lower_ = np.zeros(columns)
        shelves = len(self._problem.shelves)
        lp.col_upper_ = np.array(
            [1.0] * choices + [float(most) for most in self._most_packs] + [1.0] * shelves
        )
        lp.row_lower_ = np.array([row.lower for row in self._rows])
        lp.row_upper_ = np.array([row.upper for row in self._rows])
        whole, parted = highspy.HighsVarType.kInteger, highspy.HighsVarType.kContinuous
        lp.integrality_ = [whole if are_volumes_whole else parted] * choices + [whole] * (2 * shelves)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.cumsum([0, *(len(row.columns) for row in self._rows)])
        lp.a_matrix_.index_ = np.array([column for row in self._rows for column in row.columns])
        lp.a_matrix_.value_ = np.array([value for row in self._rows for value in row.values])
        return lp

    def _as_highs(self, solution: Solution) -> highspy.HighsSolution:
        values = np.zeros(len(self._options) + 2 * len(self._problem.shelves))
        for first, pick in zip(self._first, solution.picks, strict=True):
            values[first + pick] = 1
        uses = needs(self._problem, picked(self._problem, solution)).shelf_uses
        for number, (use, shelf) in enumerate(zip(uses, self._problem.shelves, strict=True)):
            values[self._packs(number)] = shelf.packs(use)
            values[self._bought(number)] = min(1, shelf.packs(use))
        answer = highspy.HighsSolution()
        answer.col_value = list(values)
        return answer

    def _read(self, values: list[float]) -> Solution:
        picks = []
        for first, volume in zip(self._first, self._problem.volumes, strict=True):
            share = values[first : first + len(volume.options)]
            picks.append(max(range(len(share)), key=lambda place: (share[place], -place)))
        return Solution(tuple(picks))
