"""Volumes laid side by side, opening by opening, so that a few hundred are worked on in one go.

Only openings that can matter are laid out: of a group no more than the headroom takes, and no paper that
another one replaces without loss.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import permutations
from typing import Self

import numpy as np

from pipeline.errors import ContractError
from pipeline.solve.fit.problem import BoolArray, IntArray, Mark, Papers, Problem

NEVER_WORTH = -(1 << 60)
"""Worth of a sheet that may not lie there; two of them still fit a 64-bit whole number."""
_MOST_PAPERS_COMPARED = 40
_OPENINGS_PER_BATCH = 1 << 16
_LIKE_OPENINGS = 8


@dataclass(frozen=True)
class Layout:
    """Openings of all volumes in order of volume and opening; `start[v]` is the first of volume v.

    `worth` has one row per group and one more, of nothing but NEVER_WORTH, for padding. `is_active` says by
    volume and paper which papers can be part of a best answer.
    """

    worth: IntArray
    group: IntArray
    rank: IntArray
    start: IntArray
    is_active: BoolArray


@dataclass(frozen=True)
class Batch:
    """Some volumes as a rectangle: a row per volume, a column per opening, padded at the end."""

    volume: IntArray
    headroom_um: IntArray
    group: IntArray
    rank: IntArray
    is_active: BoolArray

    def rows(self, chosen: IntArray | BoolArray) -> Self:
        """The chosen volumes alone."""
        return replace(
            self,
            volume=self.volume[chosen],
            headroom_um=self.headroom_um[chosen],
            group=self.group[chosen],
            rank=self.rank[chosen],
            is_active=self.is_active[chosen],
        )


def sheet_worth(problem: Problem) -> IntArray:
    """Worth in ticks of a sheet by group and paper, NEVER_WORTH where none may lie; a last row for padding.

    A MUST opening is worth more than all benefits of its volume together, so that as many as possible are
    served before any other benefit counts. Raises ContractError when a volume's sum leaves 64-bit whole
    numbers.
    """
    allowed = problem.allowed()
    ticks = np.where(allowed, problem.benefit_ticks, 0)
    greatest = ticks.max(axis=1, initial=0)
    is_must = problem.mark == Mark.MUST
    most_sheets = problem.headroom_um // problem.papers.thickness_um.min(initial=np.iinfo(np.int64).max)
    most_in_group = np.minimum(problem.group_count, most_sheets[problem.group_volume])
    in_volume = _volume_sums(problem, greatest * most_in_group)
    must_count = np.minimum(_volume_sums(problem, np.where(is_must, most_in_group, 0)), most_sheets)
    highest = in_volume.astype(np.float64) + (in_volume + 1.0) * must_count
    if highest.max(initial=0) >= -NEVER_WORTH:
        raise ContractError("benefits of a volume are too great for whole-number arithmetic")
    bonus = np.where(is_must, in_volume[problem.group_volume] + 1, 0)
    worth = np.where(allowed, ticks + bonus[:, None], NEVER_WORTH)
    padding = np.full((1, len(problem.papers)), NEVER_WORTH, dtype=np.int64)
    return np.concatenate([worth, padding])


def lay_out(problem: Problem) -> Layout:
    """Every opening that can matter, in order of volume and opening."""
    worth = sheet_worth(problem)
    is_active = _active_papers(problem, worth)
    thickness = np.where(is_active, problem.papers.thickness_um, np.iinfo(np.int64).max)
    most_sheets = problem.headroom_um // thickness.min(axis=1, initial=np.iinfo(np.int64).max)
    is_served = (is_active[problem.group_volume] & (worth[:-1] > 0)).any(axis=1)
    kept = np.where(is_served, np.minimum(problem.group_count, most_sheets[problem.group_volume]), 0)
    group = np.repeat(np.arange(problem.groups), kept)
    within = np.arange(len(group)) - np.repeat(np.cumsum(kept) - kept, kept)
    first = np.cumsum(problem.group_count) - problem.group_count
    rank = problem.opening_rank[first[group] + within]
    order = np.lexsort((rank, problem.group_volume[group]))
    openings = np.bincount(problem.group_volume[group], minlength=problem.volumes)
    start = np.concatenate([[0], np.cumsum(openings)]).astype(np.int64)
    return Layout(worth, group[order], rank[order], start, is_active)


def batches(problem: Problem, layout: Layout) -> Iterator[Batch]:
    """Volumes with something to choose, those of like size together, as rectangles of bounded size."""
    openings = np.diff(layout.start)
    chosen = np.flatnonzero(openings)
    for part in parts_of_like_size(openings[chosen]):
        yield _rectangle(problem, layout, chosen[part])


def parts_of_like_size(size: IntArray) -> Iterator[IntArray]:
    """Places of `size` in rising order, cut into parts that fill rectangles of bounded size well."""
    order = np.argsort(size, kind="stable")
    at = 0
    while at < len(order):
        sizes = size[order[at:]]
        alike = int(np.searchsorted(sizes, sizes[0] + sizes[0] // 4 + _LIKE_OPENINGS, side="right"))
        bounded = int(np.searchsorted(np.cumsum(sizes + 1), _OPENINGS_PER_BATCH))
        until = at + max(1, min(alike, bounded))
        yield order[at:until]
        at = until


def _volume_sums(problem: Problem, of_group: IntArray) -> IntArray:
    sums = np.zeros(problem.volumes, dtype=np.int64)
    np.add.at(sums, problem.group_volume, of_group)
    return sums


def _rectangle(problem: Problem, layout: Layout, volume: IntArray) -> Batch:
    first = layout.start[volume][:, None]
    openings = layout.start[volume + 1][:, None] - first
    column = np.arange(openings.max())
    is_real = column < openings
    at = np.where(is_real, first + column, 0)
    return Batch(
        volume,
        problem.headroom_um[volume],
        np.where(is_real, layout.group[at], problem.groups),
        np.where(is_real, layout.rank[at], 0),
        layout.is_active[volume],
    )


def _active_papers(problem: Problem, worth: IntArray) -> BoolArray:
    papers = len(problem.papers)
    active = np.zeros((problem.volumes, papers), dtype=np.bool_)
    for paper in range(papers):
        active[problem.group_volume[worth[:-1, paper] > 0], paper] = True
    active &= problem.papers.thickness_um <= problem.headroom_um[:, None]
    if papers > _MOST_PAPERS_COMPARED:
        return active
    for better, worse in permutations(range(papers), 2):
        if _is_never_dearer(problem.papers, better, worse):
            falls_short = worth[:-1, better] < worth[:-1, worse]
            is_replaced = np.ones(problem.volumes, dtype=np.bool_)
            is_replaced[problem.group_volume[falls_short]] = False
            active[:, worse] &= ~(is_replaced & active[:, better])
    return active


def _is_never_dearer(papers: Papers, better: int, worse: int) -> bool:
    """Whether `better` can stand for `worse` by the rules for ties: buffered, then thinner, then cheaper."""
    if papers.is_buffered[worse] and not papers.is_buffered[better]:
        return False
    if papers.thickness_um[better] != papers.thickness_um[worse]:
        return bool(papers.thickness_um[better] < papers.thickness_um[worse])
    prices = papers.price_ticks[better], papers.price_ticks[worse]
    if prices[0] != prices[1]:
        return bool(prices[0] < prices[1])
    return bool(papers.is_buffered[better] > papers.is_buffered[worse]) or better < worse
