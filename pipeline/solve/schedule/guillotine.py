"""The one guillotine as what everyone waits for: a bound that knows nothing of people's hours, and an order.

A volume is finished no sooner than any of its cuts and what follows it, so any split of its weight over its cuts is
a bound: cuts in half-hours somebody may cut, the densest first as they are delivered, each in parts if need be. The
splits are moved step by step to the cuts that come last.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

import numpy as np

from pipeline.solve.schedule.baseline import SAFETY, EarliestClocks, earliest_finish
from pipeline.solve.schedule.capacity import Floats, Ints, worker_kinds
from pipeline.solve.schedule.lots import cut_users, minutes_from_interleave, weights_of
from pipeline.solve.schedule.problem import CUT, Problem
from pipeline.units import HALF_HOUR_MINUTES, MINUTES_PER_DAY

STEPS = 200
FIRST_STEPS = 5
"""Steps shrink as 1 / (these + steps made)."""
MOST_TURN = 2.0
"""Most that the logarithm of a share changes in a step."""


@dataclass(frozen=True, kw_only=True)
class Queued:
    """The bound (weight x minutes from the first day's start), and when each volume's cuts are done on average and
    all of them, by volume number; none for volumes that wait for no cut."""

    bound: float
    mean_clocks: Mapping[int, float]
    last_clocks: Mapping[int, float]


def queue_cuts(problem: Problem, clocks: EarliestClocks) -> Queued:
    """The best of STEPS splits of the volumes' weights over their cuts. Deterministic."""
    weights, users = weights_of(problem, clocks), cut_users(problem, clocks)
    line = _Line(problem, clocks, users)
    pairs = [(volume_no, place) for place, cut in enumerate(sorted(users)) for volume_no in users[cut]]
    volume_nos, places = np.array(pairs, dtype=np.int64).reshape(-1, 2).T
    own = np.array([weights[no] for no in volume_nos.tolist()])
    shares = _as_shares(line.minutes[places], volume_nos)
    best, best_finishes = 0.0, np.zeros(len(users))
    for step in range(STEPS):
        lent: Floats = np.bincount(places, weights=shares * own, minlength=len(users)).astype(np.float64)
        finishes = line.finishes(lent)
        reached = float(np.sum(lent * finishes))
        if reached >= best:
            best, best_finishes = reached, finishes
        mean = np.bincount(volume_nos, weights=shares * finishes[places])[volume_nos]
        turn = (finishes[places] - mean) / MINUTES_PER_DAY / (FIRST_STEPS + step)
        shares = _as_shares(shares * np.exp(np.clip(turn, -MOST_TURN, MOST_TURN)), volume_nos)
    total = best + _without_cuts(problem, clocks, set(volume_nos.tolist()))
    total += sum(weights[no] * minutes_from_interleave(problem, no) for no in set(volume_nos.tolist()))
    clocks_of: dict[int, list[float]] = {}
    for volume_no, place in pairs:
        clocks_of.setdefault(volume_no, []).append(float(best_finishes[place]))
    return Queued(
        bound=total * (1 - SAFETY) - problem.total_benefit * problem.day_start_minute,
        mean_clocks={no: sum(found) / len(found) for no, found in clocks_of.items()},
        last_clocks={no: max(found) for no, found in clocks_of.items()},
    )


def _without_cuts(problem: Problem, clocks: EarliestClocks, waiting: set[int]) -> float:
    """Weight x earliest finish of the volumes that wait for no cut, and of those nobody can finish."""
    return sum(
        volume.benefit_millionths * float(earliest_finish(problem, clocks, volume))
        for volume_no, volume in enumerate(problem.volumes)
        if volume_no not in waiting
    )


def _as_shares(values: Floats, volume_nos: Ints) -> Floats:
    """Values as shares of their volume's sum."""
    shares: Floats = values / np.bincount(volume_nos, weights=values)[volume_nos] if len(values) else values
    return shares


class _Line:
    """Cuts in a row on the guillotine, in parts of a half-hour."""

    def __init__(self, problem: Problem, clocks: EarliestClocks, users: Mapping[int, Sequence[int]]) -> None:
        cuts = sorted(users)
        self.minutes: Floats = np.array([problem.tasks[cut].minutes for cut in cuts], dtype=np.float64)
        starts = [clocks.starts[cut] or 0 for cut in cuts]
        self._starts = sorted((start, place) for place, start in enumerate(starts))
        self._opens = _open_clocks(problem)
        follow = [minutes_from_interleave(problem, no) for cut in cuts for no in users[cut]]
        behind = max(follow, default=0) + max(self.minutes.tolist(), default=0.0) / 2
        self._left_clock = problem.end_clock - behind

    def finishes(self, lent: Floats) -> Floats:
        """Mean moment of each cut's minutes and half of them, the densest first: least in sum, weighted by `lent`.

        No moment counts as later than that which leaves room behind it for half a cut and all that follows, and what
        finds no half-hour counts as done then.
        """
        densities, left = (lent / self.minutes).tolist(), self.minutes.tolist()
        moments, waiting, begun = [0.0] * len(left), list[tuple[float, int]](), 0
        for clock in self._opens:
            while begun < len(self._starts) and self._starts[begun][0] < clock + HALF_HOUR_MINUTES:
                place = self._starts[begun][1]
                heappush(waiting, (-densities[place], place))
                begun += 1
            used = 0.0
            while waiting and used < HALF_HOUR_MINUTES:
                place = waiting[0][1]
                worked = min(HALF_HOUR_MINUTES - used, left[place])
                is_early = clock + HALF_HOUR_MINUTES <= self._left_clock
                moment = clock + used + worked / 2 if is_early else min(clock + used, self._left_clock)
                moments[place] += worked * moment
                used += worked
                left[place] -= worked
                if not left[place]:
                    heappop(waiting)
        means = (np.array(moments) + np.array(left) * self._left_clock) / self.minutes
        finishes: Floats = means + self.minutes / 2
        return finishes


def _open_clocks(problem: Problem) -> list[int]:
    """Starts of the half-hours in which somebody works who may make some cut."""
    least = min((task.grade for task in problem.tasks if task.kind == CUT), default=0)
    kinds = (kind for kind in worker_kinds(problem) if kind.grade >= least)
    return sorted({clock for kind in kinds for clock in kind.clocks.tolist()})
