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


def whole_cover(
    counts: Counts, costs: Floats, demand: Counts, *, below: float, limits: SearchLimits
) -> Whole:
    """A cover by whole patterns that costs less than `below`, the least found within the limits."""
    highs = quiet_highs(SEED)
    model = _cover_model(counts, costs, demand)
    model.integrality_ = [highspy.HighsVarType.kInteger] * len(costs)
    for option, value in (
        ("mip_max_nodes", limits.nodes),
        ("time_limit", limits.seconds),
        ("objective_bound", below),
    ):
        highs.setOptionValue(option, value)
    highs.passModel(model)
    highs.run()
    return read_whole(highs, costs, below)


def read_whole(highs: highspy.Highs, costs: Floats, below: float) -> Whole:
    """What a whole-number search found, if it costs less than `below`, and the limit that ended it."""
    status = highs.getModelStatus()
    limit_hit = {
        highspy.HighsModelStatus.kSolutionLimit: "nodes",
        highspy.HighsModelStatus.kTimeLimit: "emergency clock",
    }.get(status, "")
    values = np.array(highs.getSolution().col_value)
    if len(values) < len(costs):
        return Whole(None, limit_hit)
    amounts = np.floor(values[: len(costs)] + 0.5).astype(np.int64)
    return Whole(amounts if float(amounts @ costs) < below else None, limit_hit)


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
