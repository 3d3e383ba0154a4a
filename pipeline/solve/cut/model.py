"""The linear and whole-number programs of cutting, in HiGHS: which patterns how often.

One row per size (demand met or exceeded), one column per pattern; cost is divided by `scale` so that the
solver sees figures near one.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import highspy
import numpy as np
from numpy.typing import NDArray

from pipeline.solve.cut.problem import Pattern, Problem, pattern_cost, piece_counts

INFINITY = highspy.kHighsInf


@dataclass
class Column:
    """A pattern, what one parent of it gives, and its cost."""

    pattern: Pattern
    counts: tuple[int, ...]
    cost: int


def column_of(problem: Problem, pattern: Pattern) -> Column:
    """The pattern as a column of the programs."""
    return Column(pattern, piece_counts(problem, pattern), pattern_cost(problem, pattern))


def quiet_highs(seed: int = 0) -> highspy.Highs:
    """A silent solver on one thread."""
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("random_seed", seed)
    return highs


@dataclass
class Master:
    """Linear program over the patterns known so far, for one demand."""

    demand: tuple[int, ...]
    scale: float
    columns: list[Column] = field(default_factory=list)
    known: set[Pattern] = field(default_factory=set)

    def __post_init__(self) -> None:
        self._highs = quiet_highs()
        for wanted in self.demand:
            self._highs.addRow(float(wanted), INFINITY, 0, np.array([], dtype=np.int32), np.array([]))

    def add(self, columns: Sequence[Column]) -> int:
        """Add the columns that are new; how many they are."""
        new = 0
        for column in columns:
            if column.pattern in self.known:
                continue
            self.known.add(column.pattern)
            self.columns.append(column)
            rows = np.array([i for i, count in enumerate(column.counts) if count], dtype=np.int32)
            counts = np.array([column.counts[i] for i in rows], dtype=np.float64)
            self._highs.addCol(column.cost / self.scale, 0.0, INFINITY, len(rows), rows, counts)
            new += 1
        return new

    def solve(self) -> tuple[float, NDArray[np.float64], NDArray[np.float64]]:
        """Least cost (over `scale`), how often each pattern, and the price of a piece of each size."""
        self._highs.run()
        solution = self._highs.getSolution()
        value = self._highs.getInfo().objective_function_value
        return value, np.array(solution.col_value), np.array(solution.row_dual)
