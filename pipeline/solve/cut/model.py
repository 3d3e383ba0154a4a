"""The linear and whole-number programs of cutting, in HiGHS: which patterns how often.

One row per size (demand met or exceeded), one column per pattern. Costs are divided by a scale so that the
solver sees figures near one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import highspy
import numpy as np
from numpy.typing import NDArray

from pipeline.solve.cut.columns import Column, Counts
from pipeline.solve.quiet import quiet_highs

INFINITY = highspy.kHighsInf
Floats = NDArray[np.float64]
SEED = 0


class Relaxed(NamedTuple):
    """Answer of a linear program: least cost, how often each pattern, price of a piece of each size."""

    cost: float
    amounts: Floats
    prices: Floats


@dataclass(frozen=True, kw_only=True)
class SearchLimits:
    """When a whole-number search ends. Nodes decide; the clock is an emergency stop."""

    nodes: int
    seconds: float


class Whole(NamedTuple):
    """Answer of a whole-number program: how often each pattern (None: nothing found), and what ended it."""

    amounts: Counts | None
    limit_hit: str


class FewTerms(NamedTuple):
    """What a cover by few patterns must keep."""

    most_cost: float
    fewer_than: int


class Master:
    """Linear program that grows: patterns are added, the last basis is the start of the next solve."""

    def __init__(self, demand: Sequence[int], scale: float) -> None:
        self.scale = scale
        self._highs = quiet_highs(SEED)
        none = np.array([], dtype=np.int32)
        for wanted in demand:
            self._highs.addRow(float(wanted), INFINITY, 0, none, np.array([]))

    def add(self, columns: Sequence[Column]) -> None:
        """Add columns."""
        for column in columns:
            rows = np.flatnonzero(column.counts).astype(np.int32)
            counts = np.array(column.counts, dtype=np.float64)[rows]
            self._highs.addCol(column.cost / self.scale, 0.0, INFINITY, len(rows), rows, counts)

    def solve(self) -> Relaxed:
        """Least cost over `scale` with the columns so far."""
        self._highs.run()
        solution = self._highs.getSolution()
        return Relaxed(
            self._highs.getInfo().objective_function_value,
            np.array(solution.col_value),
            np.array(solution.row_dual),
        )


def relaxed_cover(counts: Counts, costs: Floats, demand: Counts) -> Relaxed:
    """Least cost of covering the demand by fractions of patterns (rows of `counts`)."""
    highs = quiet_highs(SEED)
    highs.passModel(_cover_model(counts, costs, demand))
    highs.run()
    solution = highs.getSolution()
    return Relaxed(
        highs.getInfo().objective_function_value, np.array(solution.col_value), np.array(solution.row_dual)
    )


def worth_keeping(counts: Counts, costs: Floats, demand: Counts, *, most_cost: float) -> Counts:
    """Indices of the patterns that a cover of at most `most_cost` can hold, those that lose least first.

    At the prices of the linear program no pattern gains; a cover costs the program's value and its losses.
    """
    prices = relaxed_cover(counts, costs, demand).prices
    losses = costs - counts @ prices
    kept = np.flatnonzero(losses <= most_cost - float(demand @ prices) + 1e-9)
    return np.asarray(kept[np.argsort(losses[kept], kind="stable")], dtype=np.int64)


def whole_cover(
    counts: Counts, costs: Floats, demand: Counts, *, below: float, limits: SearchLimits
) -> Whole:
    """A cover by whole patterns that costs less than `below`, the least found within the limits."""
    model = _cover_model(counts, costs, demand)
    model.integrality_ = [highspy.HighsVarType.kInteger] * len(costs)
    highs = _searching(model, below=below, limits=limits)
    amounts = _whole_values(highs, len(costs))
    is_better = amounts is not None and float(amounts @ costs) < below
    return Whole(amounts if is_better else None, _limit_hit(highs))


def few_patterns(
    counts: Counts, costs: Floats, demand: Counts, *, terms: FewTerms, limits: SearchLimits
) -> Whole:
    """A cover by fewer patterns than `terms.fewer_than`, at no more than `terms.most_cost`.

    Besides how often each pattern is cut there is a yes or no for each: whether it is set up at all.
    """
    patterns = len(costs)
    most = _most_times(counts, costs, demand, terms.most_cost)
    model = _cover_model(
        np.vstack([counts, np.zeros_like(counts)]), np.concatenate([costs, np.zeros(patterns)]), demand
    )
    model.col_cost_ = np.concatenate([np.zeros(patterns), np.ones(patterns)])
    model.col_upper_ = np.concatenate([most, np.ones(patterns)])
    model.integrality_ = [highspy.HighsVarType.kInteger] * (2 * patterns)
    highs = _searching(model, below=terms.fewer_than - 0.5, limits=limits, rows=_few_rows(costs, most, terms))
    values = _whole_values(highs, 2 * patterns)
    amounts = None if values is None else values[:patterns]
    is_fewer = amounts is not None and np.count_nonzero(amounts) < terms.fewer_than
    return Whole(amounts if is_fewer else None, _limit_hit(highs))


def _most_times(counts: Counts, costs: Floats, demand: Counts, most_cost: float) -> Floats:
    """Most parents of each pattern that can be of use."""
    useful = np.where(counts > 0, -(-demand // np.maximum(counts, 1)), 0).max(axis=1)
    most: Floats = np.minimum(useful, np.floor(most_cost / costs + 1e-9))
    return most


Row = tuple[float, Counts, Floats]


def _few_rows(costs: Floats, most: Floats, terms: FewTerms) -> list[Row]:
    """(upper bound, columns, factors) of the rows beyond the demand: the cost, and no cutting without a set-up."""
    patterns = len(costs)
    rows: list[Row] = [(terms.most_cost * (1 + 1e-9), np.arange(patterns), costs)]
    rows += [
        (0.0, np.array([index, patterns + index]), np.array([1.0, -most[index]])) for index in range(patterns)
    ]
    return rows


def _searching(
    model: highspy.HighsLp, *, below: float, limits: SearchLimits, rows: Sequence[Row] = ()
) -> highspy._core._Highs:
    """The solver after its search for something below `below`."""
    highs = quiet_highs(SEED)
    for option, value in (
        ("mip_max_nodes", limits.nodes),
        ("time_limit", limits.seconds),
        ("objective_bound", below),
    ):
        highs.setOptionValue(option, value)
    highs.passModel(model)
    for upper, columns, factors in rows:
        highs.addRow(-INFINITY, upper, len(columns), columns.astype(np.int32), factors)
    highs.run()
    return highs


def _whole_values(highs: highspy._core._Highs, count: int) -> Counts | None:
    values = np.array(highs.getSolution().col_value)
    if len(values) < count:
        return None
    return np.floor(values[:count] + 0.5).astype(np.int64)


def _limit_hit(highs: highspy._core._Highs) -> str:
    status = highs.getModelStatus()
    if status == highspy.HighsModelStatus.kTimeLimit:
        return "emergency clock"
    return "nodes" if status == highspy.HighsModelStatus.kSolutionLimit else ""


def _cover_model(counts: Counts, costs: Floats, demand: Counts) -> highspy.HighsLp:
    patterns, sizes = counts.shape
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = patterns, sizes
    model.col_cost_ = np.asarray(costs, dtype=np.float64)
    model.col_lower_, model.col_upper_ = np.zeros(patterns), np.full(patterns, INFINITY)
    model.row_lower_, model.row_upper_ = demand.astype(np.float64), np.full(sizes, INFINITY)
    columns, rows = np.nonzero(counts)
    model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    model.a_matrix_.start_ = np.concatenate([[0], np.cumsum((counts != 0).sum(axis=1))]).astype(np.int32)
    model.a_matrix_.index_ = rows.astype(np.int32)
    model.a_matrix_.value_ = counts[columns, rows].astype(np.float64)
    return model
