"""The whole-number program of using off-cuts, in HiGHS: which parents to spare, which off-cuts to cut, and how."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import highspy
import numpy as np

from pipeline.solve.quiet import quiet_highs

SEED = 0
MOST_NODES = 50
EMERGENCY_SECONDS = 10.0
ALMOST = 1e-6


class WayTerms(NamedTuple):
    """A way of cutting an off-cut: pieces of each size, index of the off-cut's kind, how many lie in a lift."""

    counts: Sequence[int]
    offcut: int
    sheets_a_lift: int


@dataclass(frozen=True, kw_only=True)
class Question:
    """Runs of which parents may be spared, and what off-cuts can give. Costs are currency.

    `run_costs` is the work saved where all parents of a run are spared, `ticket_cost` that of a lift of off-cuts.
    `offcuts`: how many of a kind there are, how many one parent leaves, and the place of that run (None: it stays).
    """

    sheets: Sequence[int]
    parent_counts: Sequence[Sequence[int]]
    parent_costs: Sequence[float]
    run_costs: Sequence[float]
    surplus: Sequence[int]
    ways: Sequence[WayTerms]
    ticket_cost: float
    offcuts: Sequence[tuple[int, int, int | None]]


class Choice(NamedTuple):
    """Parents spared of each run, how often each way is cut, what that saves, and what could be saved at most."""

    spared: tuple[int, ...]
    times: tuple[int, ...]
    saved: float
    most_saved: float
    limit_hit: str


def choose(question: Question) -> Choice | None:
    """The choice that saves most, work included; None when none saves anything."""
    highs = _Program(question).solved()
    values = np.array(highs.getSolution().col_value)
    info, runs, ways = highs.getInfo(), len(question.sheets), len(question.ways)
    is_found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    if not is_found or -info.objective_function_value <= ALMOST:
        return None
    whole = [int(value) for value in np.floor(values + 0.5)]
    is_ended = highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
    spared, times = tuple(whole[:runs]), tuple(whole[2 * runs : 2 * runs + ways])
    saved = saved_by(question, spared, times)
    return Choice(
        spared=spared,
        times=times,
        saved=saved,
        most_saved=saved if is_ended else -float(info.mip_dual_bound),
        limit_hit="" if is_ended else "nodes or emergency clock",
    )


def saved_by(question: Question, spared: Sequence[int], times: Sequence[int]) -> float:
    """Currency that a choice saves, work included."""
    runs = zip(spared, question.sheets, question.parent_costs, question.run_costs, strict=True)
    saved = sum(count * cost + (work if count == sheets else 0.0) for count, sheets, cost, work in runs)
    lifts = sum(-(-count // way.sheets_a_lift) for count, way in zip(times, question.ways, strict=True))
    return saved - lifts * question.ticket_cost


class _Program:
    """Columns in order: parents spared, runs spared whole, times a way is cut, its lifts."""

    def __init__(self, question: Question) -> None:
        self.question = question
        self.highs: highspy._core._Highs = quiet_highs(SEED)
        self.runs, self.ways = len(question.sheets), len(question.ways)
        self._columns()
        self._demand_is_met()
        self._offcuts_are_there()
        self._a_run_is_spared_whole()
        self._ways_are_cut_in_lifts()

    def solved(self) -> highspy._core._Highs:
        """The solver after its search."""
        for option, value in (
            ("mip_max_nodes", MOST_NODES),
            ("time_limit", EMERGENCY_SECONDS),
            ("mip_rel_gap", 0.0),
            ("presolve", "off"),  # with it HiGHS 1.16 called some of these programs infeasible, which none is
        ):
            self.highs.setOptionValue(option, value)
        self.highs.run()
        return self.highs

    def _columns(self) -> None:
        asked = self.question
        for sheets, cost in zip(asked.sheets, asked.parent_costs, strict=True):
            self._column(-cost, sheets)
        for cost in asked.run_costs:
            self._column(-cost, 1)
        for way in asked.ways:
            self._column(0.0, asked.offcuts[way.offcut][0])
        for way in asked.ways:
            self._column(asked.ticket_cost, -(-asked.offcuts[way.offcut][0] // way.sheets_a_lift))

    def _column(self, cost: float, most: int) -> None:
        none = np.array([], dtype=np.int32)
        self.highs.addCol(cost, 0.0, float(most), 0, none, np.array([]))
        self.highs.changeColIntegrality(self.highs.getNumCol() - 1, highspy.HighsVarType.kInteger)

    def _row(self, most: float, terms: Sequence[tuple[int, float]]) -> None:
        kept = [(column, factor) for column, factor in terms if factor]
        columns = np.array([column for column, _ in kept], dtype=np.int32)
        factors = np.array([factor for _, factor in kept], dtype=np.float64)
        self.highs.addRow(-highspy.kHighsInf, most, len(kept), columns, factors)

    def _way(self, number: int) -> int:
        return 2 * self.runs + number

    def _demand_is_met(self) -> None:
        """Pieces spared of a size are surplus, or come from off-cuts."""
        for size, extra in enumerate(self.question.surplus):
            spared = [(run, float(counts[size])) for run, counts in enumerate(self.question.parent_counts)]
            given = [
                (self._way(number), -float(way.counts[size])) for number, way in enumerate(self.question.ways)
            ]
            self._row(float(extra), [*spared, *given])

    def _offcuts_are_there(self) -> None:
        """No more off-cuts of a kind are cut than the parents that stay leave."""
        for kind, (count, each, run) in enumerate(self.question.offcuts):
            used = [
                (self._way(number), 1.0)
                for number, way in enumerate(self.question.ways)
                if way.offcut == kind
            ]
            self._row(float(count), used if run is None else [*used, (run, float(each))])

    def _a_run_is_spared_whole(self) -> None:
        """The work of a run is saved only where all its parents are spared."""
        for run, sheets in enumerate(self.question.sheets):
            self._row(0.0, [(self.runs + run, float(sheets)), (run, -1.0)])

    def _ways_are_cut_in_lifts(self) -> None:
        """Every lift of off-cuts costs its work."""
        for number, way in enumerate(self.question.ways):
            lift = self._way(number) + self.ways
            most = min(way.sheets_a_lift, self.question.offcuts[way.offcut][0])
            self._row(0.0, [(self._way(number), 1.0), (lift, -float(most))])
