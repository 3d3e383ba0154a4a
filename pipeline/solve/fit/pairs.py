"""The best sheets of two papers, proven for many volumes in one go, whatever their thicknesses.

Sort the openings by what the second paper brings over the first. In some best answer every opening with the
second paper then stands before every opening with the first (swapping two that stand the other way loses
nothing). So a best answer is: the best n2 openings for the second paper in front of some place, and the best
n1 for the first behind it. Tables of those bests grow opening by opening; no step depends on the unit of
thickness, so papers whose thicknesses share no divisor cost nothing extra. Buffering, bulk and cost follow
from (n1, n2) alone, which settles the ties exactly.

Arrays have the volumes along the last axis; `step` is a place in the sorted order.
"""

from dataclasses import dataclass, replace
from typing import Self

import numpy as np

from pipeline.solve.fit.cores import FIRST, NO_SHEET, SECOND, Core, Worths
from pipeline.solve.fit.layout import NEVER_WORTH, Batch
from pipeline.solve.fit.problem import BoolArray, IntArray


@dataclass(frozen=True)
class Settled:
    """By volume: worth of the settled openings, and their sheets of the first and of the second paper."""

    worth: IntArray
    first: IntArray
    second: IntArray

    def columns(self, volumes: IntArray) -> Self:
        """The given volumes alone, in that order."""
        return replace(
            self, worth=self.worth[volumes], first=self.first[volumes], second=self.second[volumes]
        )


@dataclass(frozen=True)
class Pair:
    """Open openings by step and volume, beside the settled ones.

    `most_first[n2]` is the most first-paper sheets beside n2 second ones, -1 where n2 are too many.
    """

    first: IntArray
    second: IntArray
    rank: IntArray
    group: IntArray
    most_first: IntArray
    settled: Settled

    def columns(self, volumes: IntArray) -> Self:
        """The given volumes alone, in that order; one may come twice."""
        return replace(
            self,
            first=self.first[:, volumes],
            second=self.second[:, volumes],
            rank=self.rank[:, volumes],
            group=self.group[:, volumes],
            most_first=self.most_first[:, volumes],
            settled=self.settled.columns(volumes),
        )


def make_pair(batch: Batch, worths: Worths, core: Core) -> Pair:
    """The open openings of a batch, in falling order of what the second paper brings over the first."""
    papers = worths.papers
    first = np.where(core.is_open, worths.first, NEVER_WORTH)
    second = np.where(core.is_open, worths.second, NEVER_WORTH)
    order = np.lexsort((first - second, ~core.is_open), axis=1)[:, : core.is_open.sum(axis=1).max(initial=0)]
    first, second, rank, group = (
        np.ascontiguousarray(np.take_along_axis(column, order, axis=1).T)
        for column in (first, second, batch.rank, batch.group)
    )
    settled_first = (core.settled == FIRST).sum(axis=1)
    settled_second = (core.settled == SECOND).sum(axis=1)
    room_um = batch.headroom_um - settled_first * papers.first_um - settled_second * papers.second_um
    most_second = max(0, min(len(first), int(room_um.max()) // papers.second_um))
    left_um = room_um - np.arange(most_second + 1)[:, None] * papers.second_um
    most_first = np.where(left_um >= 0, np.minimum(left_um // papers.first_um, len(first)), -1)
    settled_worth = np.where(core.settled == FIRST, worths.first, 0).sum(axis=1)
    settled_worth += np.where(core.settled == SECOND, worths.second, 0).sum(axis=1)
    settled = Settled(settled_worth, settled_first, settled_second)
    return Pair(first, second, rank, group, most_first, settled)


def worth_by_second(pair: Pair) -> IntArray:
    """Greatest worth by exact number of open second-paper sheets (row), the settled worth included.

    Below 0 where so many do not fit.
    """
    steps, volumes = pair.first.shape
    cell = np.maximum(pair.most_first, 0) * volumes + np.arange(volumes)
    behind = np.zeros((steps + 1, *cell.shape), dtype=np.int64)
    table = np.zeros((int(pair.most_first.max(initial=0)) + 1, volumes), dtype=np.int64)
    for step in reversed(range(steps)):
        _add_opening(table, pair.first[step])
        np.take(table.reshape(-1), cell, out=behind[step], mode="clip")
    front = _no_sheets(len(cell), volumes)
    best: IntArray = front + behind[0]
    for step in range(steps):
        _add_opening(front, pair.second[step])
        np.maximum(best, front + behind[step + 1], out=best)
    best[pair.most_first < 0] = NEVER_WORTH
    best += pair.settled.worth
    return best


def first_counts(pair: Pair, second_count: IntArray, worth: IntArray) -> BoolArray:
    """Which numbers of open first-paper sheets (row) reach `worth` beside `second_count` open ones, by
    volume.
    """
    steps, volumes = pair.first.shape
    every = np.arange(volumes)
    front = _no_sheets(int(second_count.max(initial=0)) + 1, volumes)
    in_front = np.empty((steps + 1, volumes), dtype=np.int64)
    in_front[0] = front[second_count, every]
    for step in range(steps):
        _add_opening(front, pair.second[step])
        in_front[step + 1] = front[second_count, every]
    most_first = pair.most_first[second_count, every]
    table = _no_sheets(int(most_first.max(initial=0)) + 1, volumes)
    best = table + in_front[steps]
    for step in reversed(range(steps)):
        _add_opening(table, pair.first[step])
        np.maximum(best, table + in_front[step], out=best)
    is_reached: BoolArray = (best + pair.settled.worth == worth) & (
        np.arange(len(best))[:, None] <= most_first
    )
    return is_reached


def place_sheets(pair: Pair, first_count: IntArray, second_count: IntArray) -> IntArray:
    """FIRST, SECOND or NO_SHEET by step and volume: the greatest worth, then the lowest openings."""
    in_front, front_ranks = _best_so_far(pair.second, pair.rank, second_count)
    behind, behind_ranks = _best_so_far(pair.first[::-1], pair.rank[::-1], first_count)
    worth = in_front + behind[::-1]
    ranks = front_ranks + behind_ranks[::-1]
    ranks[worth < worth.max(axis=0)] = np.iinfo(np.int64).max
    border = ranks.argmin(axis=0)
    is_in_front = np.arange(len(pair.first))[:, None] < border
    second = best_openings(np.where(is_in_front, pair.second, NEVER_WORTH), pair.rank, second_count)
    first = best_openings(np.where(is_in_front, NEVER_WORTH, pair.first), pair.rank, first_count)
    return np.where(second, SECOND, np.where(first, FIRST, NO_SHEET))


def _no_sheets(rows: int, volumes: int) -> IntArray:
    """Table of greatest worth by exact number of sheets (row) before any opening is looked at."""
    table = np.full((rows, volumes), NEVER_WORTH, dtype=np.int64)
    table[0] = 0
    return table


def _add_opening(table: IntArray, worth: IntArray) -> None:
    np.maximum(table[1:], table[:-1] + worth, out=table[1:])


def _best_so_far(worth: IntArray, rank: IntArray, count: IntArray) -> tuple[IntArray, IntArray]:
    """Greatest worth of `count` openings among the first so many (row), and the least sum of their ranks."""
    steps, volumes = worth.shape
    every = np.arange(volumes)
    table = _no_sheets(int(count.max(initial=0)) + 1, volumes)
    ranks = np.zeros_like(table)
    best = np.empty((2, steps + 1, volumes), dtype=np.int64)
    best[:, 0] = table[count, every], ranks[count, every]
    for step in range(steps):
        new_worth = table[:-1] + worth[step]
        new_ranks = ranks[:-1] + rank[step]
        is_better = new_worth > table[1:]
        is_better |= (new_worth == table[1:]) & (new_ranks < ranks[1:])
        np.copyto(table[1:], new_worth, where=is_better)
        np.copyto(ranks[1:], new_ranks, where=is_better)
        best[:, step + 1] = table[count, every], ranks[count, every]
    return best[0], best[1]


def best_openings(worth: IntArray, rank: IntArray, count: IntArray) -> BoolArray:
    """The `count` openings of greatest worth, then of lowest rank."""
    order = np.lexsort((rank.T, -worth.T), axis=-1)
    chosen = np.zeros(order.shape, dtype=np.bool_)
    np.put_along_axis(chosen, order, np.arange(len(worth)) < count[:, None], axis=1)
    return chosen.T
