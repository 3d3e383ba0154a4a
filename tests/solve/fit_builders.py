"""Small problems for the tests of the choice of sheets, and every answer of them, tried one by one."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import product

import numpy as np

from pipeline.solve.fit.problem import ANY_PAPER, NOT_PERMITTED, Mark, Papers, Problem, Solution

NO = NOT_PERMITTED


@dataclass(frozen=True)
class Paper:
    """A paper as a problem sees it."""

    um: int
    buffered: bool = True
    price: int = 1


@dataclass(frozen=True)
class Group:
    """Like openings: their numbers, the benefit of a sheet of each paper, a person's word."""

    openings: Sequence[int]
    benefit: Sequence[int]
    mark: Mark = Mark.FREE
    only: int = ANY_PAPER


@dataclass(frozen=True)
class Volume:
    """One volume."""

    headroom_um: int
    groups: Sequence[Group] = field(default_factory=list)


def problem(
    papers: Sequence[Paper], volumes: Sequence[Volume], *, floor: int = 1, max_papers: int = 2
) -> Problem:
    """A Problem of these papers and volumes."""
    groups = [(number, group) for number, volume in enumerate(volumes) for group in volume.groups]
    return Problem(
        papers=Papers(
            thickness_um=np.array([paper.um for paper in papers], dtype=np.int64),
            is_buffered=np.array([paper.buffered for paper in papers], dtype=np.bool_),
            price_ticks=np.array([paper.price for paper in papers], dtype=np.int64),
        ),
        headroom_um=np.array([volume.headroom_um for volume in volumes], dtype=np.int64),
        group_volume=np.array([number for number, _ in groups], dtype=np.int64),
        group_count=np.array([len(group.openings) for _, group in groups], dtype=np.int64),
        benefit_ticks=np.array([group.benefit for _, group in groups], dtype=np.int64).reshape(
            len(groups), len(papers)
        ),
        opening_rank=np.array([no for _, group in groups for no in sorted(group.openings)], dtype=np.int64),
        mark=np.array([group.mark for _, group in groups], dtype=np.int64),
        only_paper=np.array([group.only for _, group in groups], dtype=np.int64),
        floor_ticks=floor,
        max_papers=max_papers,
    )


@dataclass(frozen=True)
class Choice:
    """One answer for one volume: what it is compared by, and the openings it protects."""

    key: tuple[int, ...]
    counts: tuple[int, ...]
    protected: tuple[int, ...]


def best_by_trying(papers: Sequence[Paper], volume: Volume, *, floor: int = 1, max_papers: int = 2) -> Choice:
    """The best answer of a small volume: every paper in every opening is tried.

    Served MUST openings first, then benefit, fewer papers, more buffered sheets, less thickness, lower cost,
    fewer sheets; among those of the same papers in the same numbers, the lowest openings.
    """
    openings = [(no, group) for group in volume.groups for no in group.openings]
    best: list[Choice] = []
    for papers_of in product(range(-1, len(papers)), repeat=len(openings)):
        choice = _choice(papers, list(zip(openings, papers_of, strict=True)), floor)
        if choice is None or -choice.key[4] > volume.headroom_um or -choice.key[2] > max_papers:
            continue
        if not best or choice.key > best[0].key:
            best = [choice]
        elif choice.key == best[0].key:
            best.append(choice)
    return min(best, key=lambda choice: (choice.counts, choice.protected))


def all_best_by_trying(
    papers: Sequence[Paper], volume: Volume, *, floor: int = 1, max_papers: int = 2
) -> dict[tuple[int, ...], tuple[int, ...]]:
    """By numbers of sheets of each paper: the lowest openings among all answers that no rule tells apart."""
    top = best_by_trying(papers, volume, floor=floor, max_papers=max_papers).key
    openings = [(no, group) for group in volume.groups for no in group.openings]
    found: dict[tuple[int, ...], tuple[int, ...]] = {}
    for papers_of in product(range(-1, len(papers)), repeat=len(openings)):
        choice = _choice(papers, list(zip(openings, papers_of, strict=True)), floor)
        if choice is not None and choice.key == top:
            found[choice.counts] = min(found.get(choice.counts, choice.protected), choice.protected)
    return found


def _choice(
    papers: Sequence[Paper], placed: list[tuple[tuple[int, Group], int]], floor: int
) -> Choice | None:
    sheets = [(no, group, paper) for (no, group), paper in placed if paper >= 0]
    for _, group, paper in sheets:
        least = 0 if group.mark == Mark.MUST else max(floor, 1)
        if group.benefit[paper] < least or group.mark == Mark.NEVER or group.only not in (ANY_PAPER, paper):
            return None
    used = [paper for _, _, paper in sheets]
    key = (
        sum(group.mark == Mark.MUST for _, group, _ in sheets),
        sum(group.benefit[paper] for _, group, paper in sheets),
        -len(set(used)),
        sum(papers[paper].buffered for paper in used),
        -sum(papers[paper].um for paper in used),
        -sum(papers[paper].price for paper in used),
        -len(used),
    )
    counts = tuple(used.count(paper) for paper in range(len(papers)))
    return Choice(key, counts, tuple(sorted(no for no, _, _ in sheets)))


def choice_of(asked: Problem, volumes: Sequence[Volume], solution: Solution) -> list[Choice]:
    """The solution as choices, one a volume; a group's sheets lie in its lowest openings."""
    choices = []
    row = 0
    for volume in volumes:
        sheets = solution.sheets[row : row + len(volume.groups)]
        row += len(volume.groups)
        used = (
            sheets.sum(axis=0, dtype=np.int64) if len(sheets) else np.zeros(len(asked.papers), dtype=np.int64)
        )
        must = np.array([group.mark == Mark.MUST for group in volume.groups], dtype=np.int64)
        benefit = np.array([group.benefit for group in volume.groups]).reshape(-1, len(asked.papers))
        key = (
            int((sheets.sum(axis=1) * must).sum()),
            int((sheets * benefit).sum()),
            -int((used > 0).sum()),
            int((used * asked.papers.is_buffered).sum()),
            -int((used * asked.papers.thickness_um).sum()),
            -int((used * asked.papers.price_ticks).sum()),
            -int(used.sum()),
        )
        protected = [
            no
            for group, count in zip(volume.groups, sheets.sum(axis=1).tolist(), strict=True)
            for no in sorted(group.openings)[:count]
        ]
        choices.append(Choice(key, tuple(used.tolist()), tuple(sorted(protected))))
    return choices
