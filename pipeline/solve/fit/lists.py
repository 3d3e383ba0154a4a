"""The best sheets of three or more papers, volume by volume: lists of undominated part answers.

Openings are added one by one. A part answer is kept while none is better for no more thickness, and while the
hull bound of the openings still to come says that it can reach the best answer known. Exact; slower than the
two-paper tables, and only used where the policy allows more than two papers.
"""

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from pipeline.solve.fit.answers import NO_PAPER, is_greater
from pipeline.solve.fit.baseline import greedy_papers, hull_bound, hull_steps
from pipeline.solve.fit.layout import Batch
from pipeline.solve.fit.problem import IntArray, Papers, Problem

_MOST_PAPERS_COMBINED = 12
_WORTH, _BUFFERED, _THICKNESS, _COST, _SHEETS, _RANKS = range(6)


@dataclass(frozen=True)
class Openings:
    """One volume: worth by opening and paper, order of the openings, headroom."""

    worth: IntArray
    rank: IntArray
    headroom_um: int


@dataclass(frozen=True)
class ListAnswer:
    """Sums by which answers are compared (greater is better, first entry first), and the paper of each
    opening.
    """

    keys: IntArray
    paper: IntArray


def improve_by_lists(problem: Problem, batch: Batch, known: tuple[IntArray, IntArray]) -> dict[int, IntArray]:
    """Paper of each opening, by row of the batch, where three or more papers beat the worth already reached.

    `known` is the worth of a sheet by group and paper, and the worth reached by row.
    """
    sheet_worth, reached = known
    found: dict[int, IntArray] = {}
    for row in np.flatnonzero(batch.is_active.sum(axis=1) >= 3).tolist():
        openings = Openings(sheet_worth[batch.group[row]], batch.rank[row], int(batch.headroom_um[row]))
        floor = int(reached[row])
        for subsets in _subsets(np.flatnonzero(batch.is_active[row]), problem.max_papers):
            best = _best_of(openings, problem.papers, (subsets, floor))
            if best is not None:
                found[row], floor = best.paper, int(best.keys[_WORTH])
    return found


def list_answer(openings: Openings, papers: Papers, at_least: int) -> ListAnswer | None:
    """The best answer with the papers given, in worth and then by the rules for ties; None if below
    `at_least`.
    """
    steps = hull_steps(openings.worth, papers.thickness_um)
    greedy = greedy_papers(steps, openings.headroom_um, len(papers))
    at_least = max(at_least, sum(int(openings.worth[opening, paper]) for opening, paper in greedy.items()))
    _, first = np.unique(steps.opening, return_index=True)
    order = steps.opening[np.sort(first)]
    place = np.full(len(openings.worth), -1)
    place[order] = np.arange(len(order))
    parts = np.zeros((6, 1), dtype=np.int64)
    trail: list[tuple[IntArray, IntArray]] = []
    for step, opening in enumerate(order.tolist()):
        parts, source, paper = _extend(parts, _sheet_keys(openings, papers, opening))
        left_um = openings.headroom_um + parts[_THICKNESS]
        still_to_come = steps.after(place, step)
        hoped = hull_bound(still_to_come, left_um) >= at_least - parts[_WORTH]
        kept = np.flatnonzero((left_um >= 0) & hoped)
        kept = kept[_undominated(parts[:, kept])]
        parts = parts[:, kept]
        trail.append((source[kept], paper[kept]))
    if not parts.shape[1] or parts[_WORTH].max() < at_least:
        return None
    return _traced(openings, parts, (order, trail))


def _subsets(active: IntArray, max_papers: int) -> list[list[IntArray]]:
    """Sets of papers to try, fewer papers first; all at once where the limit cuts none of too many."""
    if len(active) > _MOST_PAPERS_COMBINED and max_papers >= len(active):
        return [[active]]
    sizes = range(3, min(max_papers, len(active)) + 1)
    return [[np.array(papers) for papers in combinations(active.tolist(), size)] for size in sizes]


def _best_of(openings: Openings, papers: Papers, tried: tuple[list[IntArray], int]) -> ListAnswer | None:
    """The best answer over sets of papers of one size, if it is worth more than the floor."""
    subsets, floor = tried
    best: ListAnswer | None = None
    at_least = floor + 1
    for subset in subsets:
        part = Openings(openings.worth[:, subset], openings.rank, openings.headroom_um)
        bound = hull_bound(hull_steps(part.worth, papers.thickness_um[subset]), np.array([part.headroom_um]))
        if bound[0] < at_least:
            continue
        answer = list_answer(part, papers.some(subset), at_least)
        if answer is not None and (best is None or is_greater(answer.keys[:, None], best.keys[:, None])[0]):
            paper = np.where(answer.paper == NO_PAPER, NO_PAPER, subset[answer.paper])
            best = ListAnswer(answer.keys, paper)
            at_least = int(answer.keys[_WORTH])
    return best


def _sheet_keys(openings: Openings, papers: Papers, opening: int) -> IntArray:
    """What a sheet of each paper in the opening adds to the sums; the last row is the paper."""
    paper = np.flatnonzero(openings.worth[opening] > 0)
    same = np.ones_like(paper)
    return np.stack(
        [
            openings.worth[opening, paper],
            papers.is_buffered[paper].astype(np.int64),
            -papers.thickness_um[paper],
            -papers.price_ticks[paper],
            -same,
            -openings.rank[opening] * same,
            paper,
        ]
    )


def _extend(parts: IntArray, sheets: IntArray) -> tuple[IntArray, IntArray, IntArray]:
    """Every part answer without a sheet in the next opening, and with each of its papers."""
    count = parts.shape[1]
    columns = [parts] + [parts + sheet[:6, None] for sheet in sheets.T]
    source = np.tile(np.arange(count), len(columns))
    paper = np.repeat(np.concatenate([[NO_PAPER], sheets[6]]), count)
    return np.concatenate(columns, axis=1), source, paper


def _undominated(parts: IntArray) -> IntArray:
    """Part answers that no other matches in worth, buffering, thickness and all that follows."""
    falling = np.lexsort(-parts[::-1])
    place = np.empty(parts.shape[1], dtype=np.int64)
    place[falling] = np.arange(parts.shape[1])[::-1]
    thin_first: IntArray = np.lexsort((-place, -parts[_THICKNESS]))
    seen = np.maximum.accumulate(place[thin_first])
    is_new = np.concatenate([[True], seen[1:] > seen[:-1]])[: len(seen)]
    kept: IntArray = thin_first[is_new]
    return kept


def _traced(
    openings: Openings, parts: IntArray, followed: tuple[IntArray, list[tuple[IntArray, IntArray]]]
) -> ListAnswer:
    order, trail = followed
    best = int(np.lexsort(-parts[::-1])[0])
    keys = parts[:, best]
    papers = np.full(len(openings.worth), NO_PAPER, dtype=np.int64)
    for opening, (source, paper) in zip(order[::-1].tolist(), reversed(trail), strict=True):
        papers[opening] = paper[best]
        best = int(source[best])
    return ListAnswer(keys, papers)
