"""What each leaf costs each window: its distance from the ideal, or the paper it takes.

A window's costs are a table of whole numbers, for all of its sheets together: widths down, heights across, from
the least of its rectangle. The methods of this folder take any such tables; a later step may bring its own prices.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pipeline import units
from pipeline.solve.size.parents import paper_mm2
from pipeline.solve.size.problem import Leaf, Rectangle, SizeProblem, Window

Table = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Costs:
    """The cost tables of windows, by window number."""

    rectangles: tuple[Rectangle, ...]
    tables: tuple[Table, ...]

    def at(self, number: int, leaf: Leaf) -> int:
        """Cost of a leaf that lies in the window."""
        rectangle = self.rectangles[number]
        row = leaf.width_ticks - rectangle.least_width_ticks
        return int(self.tables[number][row, leaf.height_ticks - rectangle.least_height_ticks])

    def over(self, numbers: Sequence[int], part: Rectangle) -> Table:
        """Costs of the leaves of a part that lies in all of the windows, over all of them."""
        total = np.zeros(part.shape, dtype=np.int64)
        for number in numbers:
            whole = self.rectangles[number]
            row = part.least_width_ticks - whole.least_width_ticks
            column = part.least_height_ticks - whole.least_height_ticks
            total += self.tables[number][row : row + part.shape[0], column : column + part.shape[1]]
        return total

    def least(self, number: int) -> int:
        """Cost of the leaf the window likes best."""
        return int(self.tables[number].min())


def off_ideal_um(problem: SizeProblem) -> Costs:
    """Distance from the ideal, both sides together, um."""
    return _costs(problem, lambda window: _off_um(window, problem.length_unit))


def taken_paper_mm2(problem: SizeProblem) -> Costs:
    """Paper taken, mm2, when each parent is cut into leaves of one size."""
    return _costs(problem, lambda window: paper_mm2(problem.parents, *_sides(window)))


def in_view_mm2(problem: SizeProblem) -> Costs:
    """Paper taken, mm2, and the distance from the ideal at what the policy says it is worth in paper."""

    def one_sheet(window: Window) -> Table:
        off_um = _off_um(window, problem.length_unit)
        off_ideal_mm2 = off_um * window.off_ideal_mm2_per_mm // int(units.UM_PER_MM)
        return off_ideal_mm2 + paper_mm2(problem.parents, *_sides(window))

    return _costs(problem, one_sheet)


def _costs(problem: SizeProblem, one_sheet: Callable[[Window], Table]) -> Costs:
    return Costs(
        rectangles=tuple(window.rectangle for window in problem.windows),
        tables=tuple(window.sheets * one_sheet(window) for window in problem.windows),
    )


def _sides(window: Window) -> tuple[Table, Table]:
    """Widths (a column) and heights (a row) of the window's leaves, ticks."""
    rectangle = window.rectangle
    widths = np.arange(rectangle.least_width_ticks, rectangle.most_width_ticks + 1, dtype=np.int64)
    heights = np.arange(rectangle.least_height_ticks, rectangle.most_height_ticks + 1, dtype=np.int64)
    return widths[:, None], heights[None, :]


def _off_um(window: Window, length_unit: str) -> Table:
    rectangle = window.rectangle
    widths = range(rectangle.least_width_ticks, rectangle.most_width_ticks + 1)
    heights = range(rectangle.least_height_ticks, rectangle.most_height_ticks + 1)
    off_width = [abs(units.ticks_to_um(ticks, length_unit) - window.ideal_width_um) for ticks in widths]
    off_height = [abs(units.ticks_to_um(ticks, length_unit) - window.ideal_height_um) for ticks in heights]
    return np.array(off_width, dtype=np.int64)[:, None] + np.array(off_height, dtype=np.int64)[None, :]
