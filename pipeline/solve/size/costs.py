"""What a leaf costs a window: its distance from the ideal, or the paper it takes.

A cost is a whole number for all sheets of a window. Any function of a window and a leaf will do for the methods of
this folder; a later step may bring prices of its own.
"""

from collections.abc import Callable

from pipeline import units
from pipeline.solve.size.problem import Leaf, SizeProblem, Window

Cost = Callable[[Window, Leaf], int]


class LeafCosts:
    """The costs of one paper's leaves, remembered once computed."""

    def __init__(self, problem: SizeProblem) -> None:
        self._unit = problem.length_unit
        self._parents = problem.parents
        self._um_of_ticks: dict[int, int] = {}
        self._paper_mm2: dict[Leaf, int] = {}

    def off_ideal_um(self, window: Window, leaf: Leaf) -> int:
        """Distance from the ideal, both sides together, um, over all sheets of the window."""
        return window.sheets * self._off_um(window, leaf)

    def in_view_mm2(self, window: Window, leaf: Leaf) -> int:
        """Paper taken, mm2, and the distance from the ideal at what the policy says it is worth in paper."""
        off_ideal_mm2 = units.per_mm(window.off_ideal_mm2_per_mm, self._off_um(window, leaf))
        return window.sheets * (self.leaf_paper_mm2(leaf) + off_ideal_mm2)

    def paper_mm2(self, window: Window, leaf: Leaf) -> int:
        """Paper taken by all sheets of the window, mm2, each parent cut into leaves of one size."""
        return window.sheets * self.leaf_paper_mm2(leaf)

    def leaf_paper_mm2(self, leaf: Leaf) -> int:
        """Paper one leaf takes off the best parent, mm2. Without stocks 0; off none, two of the largest parents."""
        if leaf not in self._paper_mm2:
            offers = [parent.paper_mm2(*leaf) for parent in self._parents if parent.fits(*leaf)]
            unfit = 2 * max((parent.worth_mm2 for parent in self._parents), default=0)
            self._paper_mm2[leaf] = min(offers, default=unfit)
        return self._paper_mm2[leaf]

    def _off_um(self, window: Window, leaf: Leaf) -> int:
        return abs(self._um(leaf.width_ticks) - window.ideal_width_um) + abs(
            self._um(leaf.height_ticks) - window.ideal_height_um
        )

    def _um(self, ticks: int) -> int:
        if ticks not in self._um_of_ticks:
            self._um_of_ticks[ticks] = units.ticks_to_um(ticks, self._unit)
        return self._um_of_ticks[ticks]
