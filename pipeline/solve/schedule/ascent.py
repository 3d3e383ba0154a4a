"""The bound raised step by step: time asked for by too many becomes dearer, cuts waited for are lent more weight.

Subgradient steps of Polyak's length towards a little below the timetable in hand, each keeping most of the
last direction. Every step is a bound by itself and the best is kept. The finishes of the cheapest chains, averaged over
the steps, say in which order volumes would come if they could share people freely.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.solve.schedule.capacity import Floats, WorkerKind
from pipeline.solve.schedule.chains import Chains, Cheapest
from pipeline.solve.schedule.lots import Relaxed, cut_users, minutes_from_interleave, relax_with
from pipeline.solve.schedule.problem import Problem
from pipeline.units import HALF_HOUR_MINUTES

AIM = 0.99
"""What the bound is thought to reach at most, of the timetable in hand; judgement, it only sets the steps' length."""
LEAST_RISE = 0.003
"""The rise, of the timetable in hand, that a step is made for at least."""
LENGTH = 0.1
"""First steps, of Polyak's length."""
FINE_LENGTH = 0.05
"""Those of a climb that goes on from where another ended."""
LENT_LENGTH = 1.0
"""Steps of the weight lent, of those of the prices."""
KEPT = 0.8
"""Share of the last direction that is kept."""
PATIENCE = 12
"""Steps without a better bound after which steps go on from the best one at SHORTER times the length."""
SHORTER = 2 / 3
NEWEST = 0.1
"""Share of the newest step in the averaged finishes."""
MOST_LENT = 0.999
"""Most that a volume lends, of its weight."""

Job = tuple[tuple[int, ...], float, float]
"""Tasks in a row, the weight of their finish, and the clock they count from when left undone."""


@dataclass(frozen=True, kw_only=True)
class Stand:
    """Prices of a minute by kind of people and half-hour, the lots with what is lent, and the bound they give.

    `finishes`: clock at which each volume would be finished, averaged over all steps, by volume number.
    """

    prices: tuple[Floats, ...]
    relaxed: Relaxed
    bound: float
    finishes: Mapping[int, float]


@dataclass(frozen=True, kw_only=True)
class _Look:
    """A bound, the minutes asked for beyond those there are, by how much each lender waits less than its cut."""

    bound: float
    over: list[Floats]
    waits: Floats
    finishes: dict[int, float]


class Ascent:
    """One climb from what volumes lend in `relaxed`, on a grid of `step` minutes."""

    def __init__(self, problem: Problem, relaxed: Relaxed, kinds: Sequence[WorkerKind], *, step: int) -> None:
        self._problem = problem
        self._relaxed = relaxed
        self._kinds = kinds
        self._chains = Chains(problem, relaxed.clocks, kinds, step=step)
        users = cut_users(problem, relaxed.clocks)
        self._pairs = [(no, cut) for cut in sorted(users) for no in users[cut]]
        self._follow = np.array([minutes_from_interleave(problem, no) for no, _ in self._pairs], dtype=float)

    def climb(self, prices: Sequence[Floats], *, reached: float, steps: int, length: float = LENGTH) -> Stand:
        """The best of so many steps, at least one; `reached` is the weighted finish of the timetable in hand."""
        relaxed = self._relaxed
        lent = self._lent_now(relaxed)
        best = Stand(prices=(), relaxed=relaxed, bound=-np.inf, finishes={})
        now, averaged, direction = list(prices), dict[int, float](), list[Floats]()
        misses = 0
        for _ in range(max(1, steps)):
            lent_by_pair = dict(zip(self._pairs, lent.tolist(), strict=True))
            relaxed = relax_with(self._problem, relaxed.clocks, lent_by_pair)
            look = self._look(relaxed, now)
            for no, clock in look.finishes.items():
                averaged[no] = averaged.get(no, clock) * (1 - NEWEST) + NEWEST * clock
            misses += 1
            if look.bound > best.bound:
                best = Stand(prices=tuple(now), relaxed=relaxed, bound=look.bound, finishes=averaged)
                misses = 0
            if misses >= PATIENCE:
                now, lent, direction = list(best.prices), self._lent_now(best.relaxed), []
                length, misses = length * SHORTER, 0
                continue
            rise = max(AIM * reached - look.bound, LEAST_RISE * reached) * length
            direction = _kept(look.over, direction)
            now = _stepped(now, direction, rise)
            (lent,) = _stepped([lent], [look.waits], rise * LENT_LENGTH)
            lent = self._limited(lent)
        return best

    def _lent_now(self, relaxed: Relaxed) -> Floats:
        """What is lent, by pair."""
        return self._limited(np.array([relaxed.lent.get(pair, 0.0) for pair in self._pairs]))

    def _look(self, relaxed: Relaxed, prices: Sequence[Floats]) -> _Look:
        """Every volume and cut at its cheapest."""
        self._chains.price(prices)
        volumes = [self._chains.cheapest(*job) for job in volume_jobs(self._problem, relaxed)]
        cuts = [self._chains.cheapest(*job) for job in cut_jobs(self._problem, relaxed)]
        found = [*volumes, *cuts]
        costs = [cheapest.cost for cheapest in found]
        finishes = {
            lots.volume_no: cheapest.finish_clock
            for lots, cheapest in zip(relaxed.volumes, volumes, strict=True)
        }
        cut_finishes = {
            cut.task_no: cheapest.finish_clock for cut, cheapest in zip(relaxed.cuts, cuts, strict=True)
        }
        # a cut that nobody lends to any more might as well be left undone
        undone = self._problem.end_clock
        later = [cut_finishes.get(cut, undone) - finishes[no] for no, cut in self._pairs]
        return _Look(
            bound=bound_of(self._problem, relaxed, self._kinds, prices, costs),
            over=self._over(found),
            waits=np.array(later) + self._follow,
            finishes=finishes,
        )

    def _over(self, found: Sequence[Cheapest]) -> list[Floats]:
        """Minutes asked for in each half-hour beyond those there are, by kind."""
        asked = [np.zeros(len(kind.clocks) * HALF_HOUR_MINUTES + 1) for kind in self._kinds]
        for cheapest in found:
            for use in cheapest.uses:
                last = min(use.minute + use.minutes, len(asked[use.kind_no]) - 1)
                asked[use.kind_no][use.minute] += 1
                asked[use.kind_no][last] -= 1
        return [
            np.cumsum(minutes)[:-1].reshape(-1, HALF_HOUR_MINUTES).sum(axis=1)
            - HALF_HOUR_MINUTES * kind.people
            for minutes, kind in zip(asked, self._kinds, strict=True)
        ]

    def _limited(self, lent: Floats) -> Floats:
        """What is lent, no volume lending more than it has."""
        total: dict[int, float] = {}
        for (no, _), weight in zip(self._pairs, lent.tolist(), strict=True):
            total[no] = total.get(no, 0.0) + weight
        share = {
            no: min(1.0, MOST_LENT * self._problem.volumes[no].benefit_millionths / weight) if weight else 1.0
            for no, weight in total.items()
        }
        limited: Floats = lent * np.array([share[no] for no, _ in self._pairs])
        return limited


def volume_jobs(problem: Problem, relaxed: Relaxed) -> list[Job]:
    """Each volume's tasks, the weight it keeps, and what it counts from when left undone."""
    return [
        (problem.volumes[lots.volume_no].task_nos, lots.weight, float(problem.end_clock))
        for lots in relaxed.volumes
    ]


def cut_jobs(problem: Problem, relaxed: Relaxed) -> list[Job]:
    """Each cut with the weight lent to it, and what it counts from when left undone."""
    return [((cut.task_no,), cut.weight, cut.left_clock(problem.end_clock)) for cut in relaxed.cuts]


def bound_of(
    problem: Problem,
    relaxed: Relaxed,
    kinds: Sequence[WorkerKind],
    prices: Sequence[Floats],
    costs: Sequence[float],
) -> float:
    """The bound that the least costs of all volumes and cuts give at prices by kind of people and half-hour."""
    worth = sum(
        HALF_HOUR_MINUTES * kind.people * float(np.sum(price))
        for kind, price in zip(kinds, prices, strict=True)
    )
    after_cuts = sum(cut.after for cut in relaxed.cuts)
    total = relaxed.fixed - worth + after_cuts + sum(costs)
    return total - problem.total_benefit * problem.day_start_minute


def _kept(over: Sequence[Floats], direction: Sequence[Floats]) -> list[Floats]:
    """The new direction with a share of the last."""
    return [new + KEPT * old for new, old in zip(over, direction, strict=True)] if direction else list(over)


def _stepped(now: Sequence[Floats], direction: Sequence[Floats], rise: float) -> list[Floats]:
    """A step as long as would give the rise were the bound straight; what would fall below 0 stays there."""
    moving = [np.where((old <= 0) & (way < 0), 0.0, way) for old, way in zip(now, direction, strict=True)]
    squares = sum(float(np.sum(way**2)) for way in moving)
    if squares == 0:
        return list(now)
    return [np.maximum(0.0, old + rise / squares * way) for old, way in zip(now, direction, strict=True)]
