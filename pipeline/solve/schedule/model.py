"""The weekly relaxation: lots shared out over weeks by linear programming, for prices of time and for an order.

Columns are the hours of a lot worked in a bucket of days, and the mean finish of each group of like volumes. Work in
a bucket counts from its mean moment, so the optimum is an estimate; the proven bound is made from its prices alone.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import highspy
import numpy as np
from highspy._core import _Highs as Highs

from pipeline.solve.quiet import quiet_highs
from pipeline.solve.schedule.capacity import Capacity, Floats
from pipeline.solve.schedule.lots import AFTER, BENCH, CutLot, Lot, Relaxed, VolumeLots
from pipeline.solve.schedule.problem import Problem
from pipeline.units import MINUTES_PER_DAY, MINUTES_PER_HOUR

MOST_GROUPS = 800
MOST_ITERATIONS = 60_000
EMERGENCY_SECONDS = 120.0
OBJECTIVE_SCALE = 10_000.0
"""The weights add up to this, so that the solver's tolerances are small against them."""

Terms = list[tuple[int, float]]


@dataclass(frozen=True, kw_only=True)
class WeeklyAnswer:
    """`prices[g, b]`: weight x minutes by which one more minute of people of grade g or more in bucket b would lower
    the weighted finish; `moments`: mean clock of the work on each volume from interleaving on, by volume number."""

    prices: Floats
    moments: dict[int, float]
    limit_hit: str


@dataclass(frozen=True)
class _Group:
    """Volumes alike in parts, skills and deliveries and next to each other in density."""

    volumes: tuple[VolumeLots, ...]

    @property
    def weight(self) -> float:
        return sum(volume.weight for volume in self.volumes)

    def lots(self) -> list[Lot]:
        """The volumes' lots added up."""
        rows = zip(*(volume.lots for volume in self.volumes), strict=True)
        return [
            Lot(
                part=row[0].part,
                grade=row[0].grade,
                first_day_no=min(lot.first_day_no for lot in row),
                minutes=sum(lot.minutes for lot in row),
            )
            for row in rows
        ]


def solve_weekly(problem: Problem, relaxed: Relaxed, capacity: Capacity, *, seed: int) -> WeeklyAnswer:
    """Prices of time by skill and bucket, and when each volume would be worked on, were all work divisible."""
    model = WeeklyModel(problem, capacity)
    groups = _groups(relaxed.volumes, capacity)
    scale = OBJECTIVE_SCALE / max(1.0, sum(group.weight for group in groups))
    for cut in relaxed.cuts:
        model.add_cut(cut, scale)
    late = [model.add_group(group.lots(), group.weight * scale) for group in groups]
    model.keep_hours()
    return model.solve(
        [(group.volumes, terms) for group, terms in zip(groups, late, strict=True)], scale, seed
    )


def _groups(volumes: Sequence[VolumeLots], capacity: Capacity) -> list[_Group]:
    """Volumes in groups, so many that about MOST_GROUPS remain."""
    size = -(-len(volumes) // MOST_GROUPS)
    alike: dict[tuple[tuple[int, int, int], ...], list[VolumeLots]] = {}
    for volume in volumes:
        key = tuple((lot.part, lot.grade, capacity.bucket_of(lot.first_day_no)) for lot in volume.lots)
        if key:
            alike.setdefault(key, []).append(volume)
    groups = []
    for key in sorted(alike):
        ranked = sorted(alike[key], key=lambda volume: (-volume.weight / volume.minutes(0), volume.volume_no))
        groups += [_Group(tuple(ranked[first : first + size])) for first in range(0, len(ranked), size)]
    return groups


class WeeklyModel:
    """Columns and rows of the weekly relaxation, each kind of row by its own method."""

    def __init__(self, problem: Problem, capacity: Capacity) -> None:
        self._end_clock = problem.end_clock
        self._bucket_of = capacity.bucket_of
        self._minutes = capacity.bucket_minutes()
        self._means = capacity.bucket_means()
        self._costs: list[float] = []
        self._uppers: list[float] = []
        self._rows: list[tuple[float, float, Terms]] = []
        self._users: dict[tuple[int, int], list[int]] = {}
        self._capacity_rows: dict[tuple[int, int], int] = {}

    def add_cut(self, cut: CutLot, scale: float) -> None:
        """A cut counts by the weight lent to it, at the mean moment of its minutes."""
        for column, clock in self._work_is_done_or_left(cut.lot):
            self._costs[column] = cut.weight * scale * clock

    def add_group(self, lots: Sequence[Lot], weight: float) -> Terms:
        """A group counts by its mean finish; gives the terms of the mean moment from interleaving on."""
        finish = self._column(weight, highspy.kHighsInf)
        moments = [(lot, self._work_is_done_or_left(lot)) for lot in lots]
        self._finish_follows(finish, moments)
        late = [(lot, terms) for lot, terms in moments if lot.part >= BENCH]
        self._finish_follows(finish, late)
        self._finish_follows(finish, [(lot, terms) for lot, terms in moments if lot.part == AFTER])
        return _mean(late or moments)

    def keep_hours(self) -> None:
        """In no bucket more work of a skill and above than the hours of people of that skill and above."""
        grades, buckets = self._minutes.shape
        for grade in range(grades):
            for bucket in range(buckets):
                users = [x for above in range(grade, grades) for x in self._users.get((above, bucket), ())]
                if users:
                    self._capacity_rows[grade, bucket] = len(self._rows)
                    hours = self._minutes[grade, bucket] / MINUTES_PER_HOUR
                    self._rows.append((-highspy.kHighsInf, hours, [(x, 1.0) for x in users]))

    def solve(
        self, late: Iterable[tuple[tuple[VolumeLots, ...], Terms]], scale: float, seed: int
    ) -> WeeklyAnswer:
        """Run the solver and read prices and moments from its answer."""
        duals, values, limit_hit = self._run(seed) if self._rows else (np.zeros(0), np.zeros(0), "")
        prices = np.zeros(self._minutes.shape)
        for (grade, bucket), row in self._capacity_rows.items():
            prices[grade, bucket] = max(0.0, -float(duals[row])) / scale
        moments = {
            volume.volume_no: sum(share * float(values[x]) for x, share in terms) * MINUTES_PER_HOUR
            for volumes, terms in late
            for volume in volumes
        }
        return WeeklyAnswer(prices=prices, moments=moments, limit_hit=limit_hit)

    def _run(self, seed: int) -> tuple[Floats, Floats, str]:
        """Dual of each row, value of each column, and the limit that stopped the solver if one did."""
        highs = _solver(seed)
        highs.passModel(self._lp())
        highs.run()
        answer = highs.getSolution()
        return np.asarray(answer.row_dual), np.asarray(answer.col_value), _limit_hit(highs)

    def _column(self, cost: float, upper: float) -> int:
        self._costs.append(cost)
        self._uppers.append(upper)
        return len(self._costs) - 1

    def _work_is_done_or_left(self, lot: Lot) -> Terms:
        """A lot's hours are worked in buckets from its first day on, or left and counted from the last midnight.

        Gives for each column the share of a mean moment (hours) one hour in it has.
        """
        hours = lot.minutes / MINUTES_PER_HOUR
        opens = lot.first_day_no * MINUTES_PER_DAY
        terms: Terms = []
        for bucket in range(self._bucket_of(lot.first_day_no), len(self._means)):
            if self._minutes[lot.grade, bucket] > 0:
                column = self._column(0.0, hours)
                self._users.setdefault((lot.grade, bucket), []).append(column)
                terms.append((column, max(float(self._means[bucket]), opens) / lot.minutes))
        terms.append((self._column(0.0, hours), self._end_clock / lot.minutes))
        self._rows.append((hours, hours, [(column, 1.0) for column, _ in terms]))
        return terms

    def _finish_follows(self, finish: int, moments: Sequence[tuple[Lot, Terms]]) -> None:
        """The mean finish is not before the mean moment of the lots' minutes."""
        if moments:
            terms = [(column, -share) for column, share in _mean(moments)]
            self._rows.append((0.0, highspy.kHighsInf, [(finish, 1.0), *terms]))

    def _lp(self) -> highspy.HighsLp:
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(self._costs), len(self._rows)
        lp.col_cost_ = np.array(self._costs)
        lp.col_lower_ = np.zeros(len(self._costs))
        lp.col_upper_ = np.array(self._uppers)
        lp.row_lower_ = np.array([lower for lower, _, _ in self._rows])
        lp.row_upper_ = np.array([upper for _, upper, _ in self._rows])
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        starts = np.cumsum([0, *(len(terms) for _, _, terms in self._rows)])
        lp.a_matrix_.start_ = starts.astype(np.int32)
        lp.a_matrix_.index_ = np.array([x for _, _, terms in self._rows for x, _ in terms])
        lp.a_matrix_.value_ = np.array([value for _, _, terms in self._rows for _, value in terms])
        return lp


def _mean(moments: Sequence[tuple[Lot, Terms]]) -> Terms:
    """Terms of the mean moment of several lots, each counting by its minutes."""
    total = sum(lot.minutes for lot, _ in moments)
    return [(column, share * lot.minutes / total) for lot, terms in moments for column, share in terms]


def _solver(seed: int) -> Highs:
    highs = quiet_highs(seed)
    for option, value in (
        ("solver", "simplex"),
        ("simplex_iteration_limit", MOST_ITERATIONS),
        ("time_limit", EMERGENCY_SECONDS),
    ):
        if highs.setOptionValue(option, value) != highspy.HighsStatus.kOk:
            raise ValueError(f"the solver does not know the option {option}")
    return highs


def _limit_hit(highs: Highs) -> str:
    status = highs.getModelStatus()
    if status == highspy.HighsModelStatus.kIterationLimit:
        return "iterations"
    if status == highspy.HighsModelStatus.kTimeLimit:
        return "emergency clock"
    if status != highspy.HighsModelStatus.kOptimal:
        raise RuntimeError(f"the weekly relaxation ended with {status}")
    return ""
