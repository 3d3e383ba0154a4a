"""The solver's part of the choice of cut sizes: the fewest leaves, then the leaves that cost their windows least.

Both searches are mixed-integer programmes solved by HiGHS on one thread with a fixed seed; nodes decide when a
search stops, the clock only in an emergency. What is too large to be searched whole is searched block by block.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import chain, pairwise
from typing import NamedTuple

import highspy
import numpy as np
import numpy.typing as npt
from highspy._core import _Highs as QuietHighs

from pipeline.solve.quiet import quiet_highs
from pipeline.solve.size.cliques import Clique
from pipeline.solve.size.costs import Costs
from pipeline.solve.size.problem import Leaf, Rectangle

DUAL_PARTS = 2**20
"""Prices of the relaxed cover are cut down to whole parts of so many, so that its bound is exact arithmetic."""
NO_GAP = 0.5
"""Objectives are whole numbers: a bound within half of one proves the optimum."""


@dataclass(frozen=True, kw_only=True)
class Limits:
    """When a search stops, and what is too large to be searched whole."""

    seed: int
    cover_windows: int = 400
    cover_nodes: int = 300
    place_windows: int = 120
    place_pairs: int = 3_000
    place_nodes: int = 50
    block_cliques: int = 40
    mending_rounds: int = 2
    block_leaves: int = 4
    blocks: int = 80
    emergency_seconds: float = 60.0


def quick_limits(seed: int) -> Limits:
    """Fewer blocks bettered: for drafts, and for comparing many ways. Parts searched whole are as good as ever."""
    return Limits(seed=seed, blocks=20)


class Answer(NamedTuple):
    """Values of the columns (empty when none were found), proven bound, and the limit that stopped the search."""

    values: tuple[float, ...]
    bound: float
    limit_hit: str


@dataclass
class Programme:
    """A minimisation over columns from 0 to 1, put together row by row."""

    costs: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)
    indices: list[int] = field(default_factory=list)
    factors: list[float] = field(default_factory=list)

    def column(self, cost: float, *, whole: bool) -> int:
        """A new column's number."""
        self.costs.append(cost)
        self.whole.append(whole)
        return len(self.costs) - 1

    def row(self, columns: Sequence[int], factors: Sequence[float], lower: float, upper: float) -> None:
        """Sum of factors times columns between lower and upper."""
        self.starts.append(len(self.indices))
        self.indices += columns
        self.factors += factors
        self.lower.append(lower)
        self.upper.append(upper)

    def at_least(self, columns: Sequence[int], least: float) -> None:
        """Sum of columns not below `least`."""
        self.row(columns, [1.0] * len(columns), least, highspy.kHighsInf)

    def exactly(self, columns: Sequence[int], number: float) -> None:
        """Sum of columns equal to `number`."""
        self.row(columns, [1.0] * len(columns), number, number)

    def search(self, *, nodes: int, limits: Limits) -> Answer:
        """The best whole-number answer that the nodes allow."""
        solver = self._solver(limits, relaxed=False)
        solver.setOptionValue("mip_max_nodes", nodes)
        solver.run()
        info = solver.getInfo()
        is_proven = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
        timed_out = solver.getModelStatus() == highspy.HighsModelStatus.kTimeLimit
        found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
        values = tuple(solver.getSolution().col_value) if found else ()
        limit_hit = "" if is_proven else "emergency clock" if timed_out else "nodes"
        return Answer(values, float(info.mip_dual_bound), limit_hit)

    def relax(self, limits: Limits) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Column values and row prices of the programme without whole numbers, columns not held to 1."""
        solver = self._solver(limits, relaxed=True)
        solver.run()
        solution = solver.getSolution()
        return tuple(solution.col_value), tuple(solution.row_dual)

    def _solver(self, limits: Limits, *, relaxed: bool) -> QuietHighs:
        solver = quiet_highs(limits.seed)
        for option, value in (
            ("time_limit", limits.emergency_seconds),
            ("mip_rel_gap", 0.0),
            ("mip_abs_gap", NO_GAP),
        ):
            solver.setOptionValue(option, value)
        solver.passModel(self._lp(relaxed=relaxed))
        return solver

    def _lp(self, *, relaxed: bool) -> highspy.HighsLp:
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(self.costs), len(self.lower)
        lp.col_cost_ = np.array(self.costs)
        most = highspy.kHighsInf if relaxed else 1.0
        lp.col_lower_, lp.col_upper_ = np.zeros(lp.num_col_), np.full(lp.num_col_, most)
        lp.row_lower_, lp.row_upper_ = np.array(self.lower), np.array(self.upper)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.array([*self.starts, len(self.indices)], dtype=np.int32)
        lp.a_matrix_.index_ = np.array(self.indices, dtype=np.int32)
        lp.a_matrix_.value_ = np.array(self.factors)
        if not relaxed:
            kinds = {True: highspy.HighsVarType.kInteger, False: highspy.HighsVarType.kContinuous}
            lp.integrality_ = [kinds[whole] for whole in self.whole]
        return lp


class CoverModel:
    """The fewest of the given cliques that serve the given windows."""

    def __init__(self, windows: Iterable[int], cliques: Sequence[Clique]) -> None:
        self._windows = sorted(windows)
        self._cliques = cliques
        self._programme = Programme()
        self._columns = [self._programme.column(1.0, whole=True) for _ in cliques]
        self._every_window_is_served()

    def _every_window_is_served(self) -> None:
        around: dict[int, list[int]] = {window: [] for window in self._windows}
        for column, clique in zip(self._columns, self._cliques, strict=True):
            for window in clique:
                around[window].append(column)
        for window in self._windows:
            self._programme.at_least(around[window], 1)

    def search(self, limits: Limits) -> tuple[list[Clique], int, str]:
        """Cliques chosen (none when none were found), least number proven, limit hit."""
        answer = self._programme.search(nodes=limits.cover_nodes, limits=limits)
        chosen = [c for c, value in zip(self._cliques, answer.values, strict=False) if value > NO_GAP]
        bound = 1 if math.isinf(answer.bound) else math.ceil(answer.bound - 1e-6)
        return chosen, bound, answer.limit_hit

    def relaxed(self, limits: Limits) -> tuple[list[float], int]:
        """How much of each clique the relaxation takes, and the least number its prices prove.

        Prices are cut down to whole parts and divided by the dearest clique, so no rounding can overstate it.
        """
        values, prices = self._programme.relax(limits)
        parts = {
            window: max(0, math.floor(price * DUAL_PARTS))
            for window, price in zip(self._windows, prices, strict=True)
        }
        dearest = max(sum(parts[window] for window in clique) for clique in self._cliques)
        total = sum(parts.values())
        return list(values), -(-total // max(dearest, 1)) if dearest else 1


class Candidate(NamedTuple):
    """A leaf, the windows (by number) that accept it, and what it would cost each of them."""

    leaf: Leaf
    members: tuple[int, ...]
    costs: tuple[int, ...]


class PlaceModel:
    """So many leaves as are given, each window served by one, at the least cost."""

    def __init__(self, candidates: Sequence[Candidate], window_count: int, leaf_count: int) -> None:
        self._candidates = candidates
        self._programme = Programme()
        self._cut = [self._programme.column(0.0, whole=True) for _ in candidates]
        self._takes: list[list[int]] = [[] for _ in range(window_count)]
        self._least = _least_costs(candidates, window_count)
        self._windows_may_take_leaves()
        self._every_window_takes_one_leaf()
        self._so_many_leaves_are_cut(leaf_count)

    def _windows_may_take_leaves(self) -> None:
        """A window takes a leaf only if it is cut. Costs are counted above the least a window can have."""
        for column, candidate in zip(self._cut, self._candidates, strict=True):
            for member, cost in zip(candidate.members, candidate.costs, strict=True):
                takes = self._programme.column(float(cost - self._least[member]), whole=False)
                self._takes[member].append(takes)
                self._programme.row([takes, column], [1.0, -1.0], -highspy.kHighsInf, 0.0)

    def _every_window_takes_one_leaf(self) -> None:
        for takes in self._takes:
            self._programme.exactly(takes, 1)

    def _so_many_leaves_are_cut(self, leaf_count: int) -> None:
        self._programme.exactly(self._cut, leaf_count)

    def search(self, limits: Limits) -> tuple[list[Leaf], int, str]:
        """Leaves cut (none when none were found), least cost proven, limit hit."""
        answer = self._programme.search(nodes=limits.place_nodes, limits=limits)
        cut = answer.values[: len(self._candidates)]
        leaves = [c.leaf for c, value in zip(self._candidates, cut, strict=False) if value > NO_GAP]
        above = 0 if math.isinf(answer.bound) else max(0, math.ceil(answer.bound - 1e-6))
        return leaves, sum(self._least) + above, answer.limit_hit


def _least_costs(candidates: Iterable[Candidate], window_count: int) -> list[int]:
    """What each window's cheapest candidate costs it."""
    offers: list[list[int]] = [[] for _ in range(window_count)]
    for candidate in candidates:
        for member, cost in zip(candidate.members, candidate.costs, strict=True):
            offers[member].append(cost)
    return [min(costs) for costs in offers]


def candidate_leaves(numbers: Sequence[int], costs: Costs) -> list[Candidate]:
    """Leaves worth considering: none that another leaf equals or beats for each window that accepts it.

    Members are counted from 0 in the order of `numbers`.
    """
    found: list[Candidate] = []
    for members, part in _cells([costs.rectangles[number] for number in numbers]):
        table = np.column_stack([costs.over([numbers[member]], part).ravel() for member in members])
        for row in _unbeaten(table):
            along_width, along_height = divmod(row, part.shape[1])
            leaf = Leaf(part.least_width_ticks + along_width, part.least_height_ticks + along_height)
            found.append(Candidate(leaf, members, tuple(table[row].tolist())))
    return _unbeaten_by_wider(sorted(found), len(numbers))


def _cells(rectangles: Sequence[Rectangle]) -> Iterator[tuple[tuple[int, ...], Rectangle]]:
    """The pieces that the rectangles' edges cut the plane into, each with the rectangles that hold it."""
    widths = {(r.least_width_ticks, r.most_width_ticks + 1) for r in rectangles}
    for left, right in pairwise(sorted(set(chain(*widths)))):
        slab = [
            (number, rectangle)
            for number, rectangle in enumerate(rectangles)
            if rectangle.least_width_ticks <= left <= rectangle.most_width_ticks
        ]
        heights = {(r.least_height_ticks, r.most_height_ticks + 1) for _, r in slab}
        for low, high in pairwise(sorted(set(chain(*heights)))):
            members = tuple(
                number for number, r in slab if r.least_height_ticks <= low <= r.most_height_ticks
            )
            if members:
                yield members, Rectangle(left, right - 1, low, high - 1)


def _unbeaten(table: npt.NDArray[np.int64]) -> list[int]:
    """Rows that no other row equals or beats in every column; of equal rows the first."""
    is_best = (table == table.min(axis=0)).all(axis=1)
    if is_best.any():
        return [int(is_best.argmax())]
    kept: list[int] = []
    for row in np.argsort(table.sum(axis=1), kind="stable"):
        if not (table[kept] <= table[row]).all(axis=1).any():
            kept.append(int(row))
    return kept


def _unbeaten_by_wider(candidates: list[Candidate], window_count: int) -> list[Candidate]:
    """Candidates that no other equals or beats for each window they serve; of equals the first."""
    table = np.full((len(candidates), window_count), np.inf)
    for row, candidate in enumerate(candidates):
        table[row, candidate.members] = candidate.costs
    serving = [np.flatnonzero(np.isfinite(table[:, member])) for member in range(window_count)]
    kept = []
    for row, candidate in enumerate(candidates):
        rivals = min((serving[member] for member in candidate.members), key=len)
        no_worse = rivals[(table[rivals] <= table[row]).all(axis=1)]
        is_better = (table[no_worse] < table[row]).any(axis=1)
        if not (is_better | (no_worse < row)).any():
            kept.append(candidate)
    return kept
