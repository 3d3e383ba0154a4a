"""The greatest benefit each volume can take, proven for every volume.

One paper: greatest benefit first is optimal. Two papers: exact tables (pairs.py). Three or more: exact lists
(lists.py). A pair is looked at only where a simple bound says that it could win. Ties as the trade model,
section 5.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations
from typing import NamedTuple, Self

import numpy as np

from pipeline.solve.fit.answers import NO_PAPER, Best, pair_counts
from pipeline.solve.fit.cores import (
    FIRST,
    SECOND,
    Core,
    PaperPair,
    Price,
    Worths,
    find_core,
    find_price,
    pair_worths,
)
from pipeline.solve.fit.layout import Batch, batches, lay_out, parts_of_like_size
from pipeline.solve.fit.lists import improve_by_lists
from pipeline.solve.fit.many import volume_sums
from pipeline.solve.fit.pairs import (
    Pair,
    best_openings,
    first_counts,
    make_pair,
    place_sheets,
    worth_by_second,
)
from pipeline.solve.fit.problem import BoolArray, IntArray, Mark, Method, Problem, Solution

_MOST_PAPERS_IN_PAIRS = 12


@dataclass(frozen=True)
class Beyond:
    """Asks for answers that beat these sheets, by group and paper, and that hold some paper from `first_paper` on.

    For a problem to which papers were added at the end: the sheets are its best without them, so what beats them
    holds one.
    """

    sheets: IntArray
    first_paper: int = 0


class _Goal(NamedTuple):
    """Worth by volume that an answer must exceed, and the first of the papers of which it must hold one."""

    floor: IntArray
    first_paper: int


def solve(problem: Problem, beyond: Beyond | None = None) -> Solution:
    """The best sheets of every volume; with `beyond` no sheets where nothing beats those given.

    Raises ContractError when benefits are too great for whole numbers.
    """
    beyond = beyond or Beyond(np.zeros((problem.groups, 0), dtype=np.int64))
    layout = lay_out(problem)
    known = (beyond.sheets * layout.worth[:-1, : beyond.sheets.shape[1]]).sum(axis=1)
    goal = _Goal(volume_sums(problem, known), beyond.first_paper)
    sheets = np.zeros((problem.groups, len(problem.papers)), dtype=np.int64)
    method = np.full(problem.volumes, Method.NOTHING, dtype=np.int64)
    for batch in batches(problem, layout):
        is_long = _needs_lists_alone(problem, batch)
        for part, is_in_pairs in ((batch.rows(~is_long), True), (batch.rows(is_long), False)):
            if len(part.volume):
                solver = _BatchSolver(problem, part, layout.worth, goal)
                solver.run(in_pairs=is_in_pairs)
                solver.write(sheets, method)
    return _solution(problem, sheets, method)


def _solution(problem: Problem, sheets: IntArray, method: IntArray) -> Solution:
    benefit = np.zeros(problem.volumes, dtype=np.int64)
    np.add.at(benefit, problem.group_volume, (sheets * np.maximum(problem.benefit_ticks, 0)).sum(axis=1))
    must_short = np.where(problem.mark == Mark.MUST, problem.group_count - sheets.sum(axis=1), 0)
    return Solution(
        sheets=sheets, benefit_ticks=benefit, bound_ticks=benefit.copy(), must_short=must_short, method=method
    )


def _needs_lists_alone(problem: Problem, batch: Batch) -> BoolArray:
    """Volumes whose papers the limit cannot cut, and which are too many to be taken two by two."""
    active = batch.is_active.sum(axis=1)
    result: BoolArray = (active > _MOST_PAPERS_IN_PAIRS) & (problem.max_papers >= active)
    return result


@dataclass(frozen=True)
class _Tried:
    """Two papers tried on some rows of a batch, and the worth reached by number of second-paper sheets."""

    papers: PaperPair
    rows: IntArray
    pair: Pair
    by_second: IntArray


@dataclass(frozen=True)
class _Priced:
    """Two papers on some rows of a batch, with the bounds they cannot pass."""

    papers: PaperPair
    rows: IntArray
    price: Price

    def some(self, chosen: BoolArray) -> Self:
        """The chosen rows alone."""
        return replace(self, rows=self.rows[chosen], price=self.price.rows(chosen))


class _BatchSolver:
    """Best answers of one batch of volumes."""

    def __init__(self, problem: Problem, batch: Batch, worth: IntArray, goal: _Goal) -> None:
        self._problem = problem
        self._floor = goal.floor[batch.volume]
        self._first_paper = goal.first_paper
        self._batch = batch
        self._worth = worth
        self._best = Best(len(batch.volume), problem.papers)
        self._more: dict[int, IntArray] = {}

    def run(self, *, in_pairs: bool) -> None:
        """Find the best answers: one paper, two, then more where the limit allows."""
        if in_pairs and self._problem.max_papers >= 1:
            self._try_single_papers()
            if self._problem.max_papers >= 2:
                self._try_pairs()
        if self._problem.max_papers >= 3:
            self._more = improve_by_lists(self._problem, self._batch, (self._worth, self._reached()))

    def _reached(self) -> IntArray:
        """Worth by volume that an answer must exceed."""
        return np.maximum(self._best.worth, self._floor)

    def write(self, sheets: IntArray, method: IntArray) -> None:
        """Put the answers into sheets by group and paper, and say how each was found."""
        counts = self._best.counts
        is_open = counts.worth > self._floor
        is_open[list(self._more)] = False
        for first, second in sorted(set(zip(*counts.paper[:, is_open].tolist(), strict=True))):
            rows = np.flatnonzero(is_open & (counts.paper[0] == first) & (counts.paper[1] == second))
            if second == NO_PAPER:
                self._write_single(sheets, rows, first)
            else:
                self._write_pair(sheets, rows, self._pair_of(first, second))
            method[self._batch.volume[rows]] = Method.ONE_PAPER if second == NO_PAPER else Method.TWO_PAPERS
        for row, paper in self._more.items():
            is_placed = paper != NO_PAPER
            np.add.at(sheets, (self._batch.group[row][is_placed], paper[is_placed]), 1)
            method[self._batch.volume[row]] = Method.MORE_PAPERS

    def _write_single(self, sheets: IntArray, rows: IntArray, paper: int) -> None:
        group = self._batch.group[rows]
        chosen = best_openings(
            self._worth[group, paper].T, self._batch.rank[rows].T, self._best.counts.sheets[0, rows]
        )
        np.add.at(sheets[:, paper], group.T[chosen], 1)

    def _write_pair(self, sheets: IntArray, rows: IntArray, papers: PaperPair) -> None:
        counts = self._best.counts
        for part, worths, core in self._cores(self._priced(papers, rows), counts.worth):
            batch = self._batch.rows(part)
            pair = make_pair(batch, worths, core)
            first = counts.sheets[0, part] - pair.settled.first
            second = counts.sheets[1, part] - pair.settled.second
            place = place_sheets(pair, first, second)
            for choice, paper in ((FIRST, papers.first), (SECOND, papers.second)):
                np.add.at(sheets, (pair.group[place == choice], paper), 1)
                np.add.at(sheets, (batch.group[core.settled == choice], paper), 1)

    def _pair_of(self, first: int, second: int) -> PaperPair:
        thickness = self._problem.papers.thickness_um
        return PaperPair(first, second, int(thickness[first]), int(thickness[second]))

    def _try_single_papers(self) -> None:
        for paper in range(self._first_paper, len(self._problem.papers)):
            rows = np.flatnonzero(self._batch.is_active[:, paper])
            if not len(rows):
                continue
            most = self._batch.headroom_um[rows] // self._problem.papers.thickness_um[paper]
            worth, sheets = _greatest_first(self._worth[self._batch.group[rows], paper], most)
            none = np.zeros_like(sheets)
            self._best.improve(rows, pair_counts(worth, (paper, NO_PAPER), (sheets, none)))

    def _try_pairs(self) -> None:
        """Price every pair of papers, then prove those that could be worth more than a single paper."""
        single_worth = self._reached()
        top = single_worth.copy()
        tried: list[_Tried] = []
        for priced in self._priced_pairs(top):
            worth_more = (priced.price.bound >= top[priced.rows]) & (
                priced.price.bound > single_worth[priced.rows]
            )
            for part, worths, core in self._cores(priced.some(worth_more), top):
                pair = make_pair(self._batch.rows(part), worths, core)
                by_second = worth_by_second(pair)
                top[part] = np.maximum(top[part], by_second.max(axis=0))
                tried.append(_Tried(priced.papers, part, pair, by_second))
        for attempt in tried:
            self._settle_ties(attempt, np.where(top > single_worth, top, -1)[attempt.rows])

    def _priced_pairs(self, top: IntArray) -> list[_Priced]:
        """Each pair of papers with its bounds; raises `top` to the worths that are reached on the way."""
        found = []
        for papers in self._pairs():
            rows = np.flatnonzero(
                self._batch.is_active[:, papers.first] & self._batch.is_active[:, papers.second]
            )
            if len(rows):
                found.append(self._priced(papers, rows))
                top[rows] = np.maximum(top[rows], found[-1].price.reached)
        return found

    def _priced(self, papers: PaperPair, rows: IntArray) -> _Priced:
        return _Priced(papers, rows, find_price(pair_worths(self._batch.rows(rows), self._worth, papers)))

    def _cores(self, priced: _Priced, reached: IntArray) -> Iterator[tuple[IntArray, Worths, Core]]:
        """The rows in parts with cores of like size."""
        rows = priced.rows
        worths = pair_worths(self._batch.rows(rows), self._worth, priced.papers)
        core = find_core(worths, priced.price, reached[rows])
        for part in parts_of_like_size(core.is_open.sum(axis=1)):
            yield rows[part], worths.rows(part), core.rows(part)

    def _pairs(self) -> list[PaperPair]:
        thickness = self._problem.papers.thickness_um
        order = np.lexsort((np.arange(len(thickness)), thickness))
        used = [int(paper) for paper in order if self._batch.is_active[:, paper].any()]
        pairs = (pair for pair in combinations(used, 2) if max(pair) >= self._first_paper)
        return [self._pair_of(first, second) for first, second in pairs]

    def _settle_ties(self, tried: "_Tried", worth: IntArray) -> None:
        """Among the numbers of sheets that reach the greatest worth, keep what the rules for ties prefer."""
        wins = tried.by_second == worth
        is_buffered = self._problem.papers.is_buffered[tried.papers.first]
        turn = np.cumsum(wins, axis=0)
        for nth in range(1, int(turn.max(initial=0)) + 1):
            second, at = np.nonzero(wins & (turn == nth))
            reached = first_counts(tried.pair.columns(at), second, worth[at])
            least = reached.argmax(axis=0)
            most = len(reached) - 1 - reached[::-1].argmax(axis=0)
            first = most if is_buffered else least
            settled = tried.pair.settled.columns(at)
            papers = (tried.papers.first, tried.papers.second)
            sheets = (first + settled.first, second + settled.second)
            self._best.improve(tried.rows[at], pair_counts(worth[at], papers, sheets))


def _greatest_first(worth: IntArray, most: IntArray) -> tuple[IntArray, IntArray]:
    """Worth and number of the best openings, no more than `most` of each row."""
    falling = -np.sort(-worth, axis=1)
    sheets = np.minimum((falling > 0).sum(axis=1), most)
    sums = np.cumsum(np.maximum(falling, 0), axis=1)
    reached = np.where(sheets > 0, sums[np.arange(len(sums)), np.maximum(sheets, 1) - 1], 0)
    return reached, sheets
