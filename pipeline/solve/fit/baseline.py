"""Yardsticks for one volume: greedy along the convex hull, and the bound its fractional form proves.

Each opening's useful papers lie on the upper hull of worth over thickness. Taking the steps of all hulls in
falling order of worth per um, the last one in part, gives the linear relaxation without the limit on papers:
an upper bound.
"""

from dataclasses import dataclass, replace
from typing import Self

import numpy as np
import numpy.typing as npt

from pipeline.solve.fit.problem import IntArray

FloatArray = npt.NDArray[np.float64]
BOUND_GUARD_FRAC = 1e-9
"""Share by which a bound is raised, so that floating sums never cut off an exact answer."""


@dataclass(frozen=True)
class Steps:
    """Steps of all hulls in falling order of worth per um: from what a step leads away is the one before
    it.
    """

    opening: IntArray
    paper: IntArray
    worth: IntArray
    thickness_um: IntArray

    def after(self, place: IntArray, step: int) -> Self:
        """The steps of openings whose place in some order comes after `step`."""
        later = place[self.opening] > step
        return replace(
            self,
            opening=self.opening[later],
            paper=self.paper[later],
            worth=self.worth[later],
            thickness_um=self.thickness_um[later],
        )


def hull_steps(worth: IntArray, thickness_um: IntArray) -> Steps:
    """Steps of the openings' hulls. `worth` by opening and paper; only what is above 0 is looked at."""
    openings = np.arange(len(worth))
    reached_worth = np.zeros(len(worth), dtype=np.int64)
    reached_um = np.zeros(len(worth), dtype=np.int64)
    parts: list[tuple[IntArray, IntArray, IntArray, IntArray]] = []
    while len(openings):
        gain = worth[openings] - reached_worth[openings, None]
        extra_um = thickness_um - reached_um[openings, None]
        slope = np.where((gain > 0) & (extra_um > 0), gain / np.maximum(extra_um, 1), -1.0)
        paper = slope.argmax(axis=1)
        every = np.arange(len(openings))
        is_step = slope[every, paper] > 0
        openings, paper, every = openings[is_step], paper[is_step], every[is_step]
        parts.append((openings, paper, gain[every, paper], extra_um[every, paper]))
        reached_worth[openings] = worth[openings, paper]
        reached_um[openings] = thickness_um[paper]
    if not parts:
        empty = np.zeros(0, dtype=np.int64)
        return Steps(empty, empty, empty, empty)
    opening, taken, gains, extra = (np.concatenate(column) for column in zip(*parts, strict=True))
    order = np.argsort(-(gains / extra), kind="stable")
    return Steps(opening[order], taken[order], gains[order], extra[order])


def hull_bound(steps: Steps, headroom_um: IntArray) -> FloatArray:
    """Upper bound of the worth for each headroom, the linear relaxation without a limit on papers."""
    used_um = np.concatenate([[0], np.cumsum(steps.thickness_um)])
    worth = np.concatenate([[0.0], np.cumsum(steps.worth.astype(np.float64))])
    result: FloatArray = np.interp(headroom_um, used_um, worth) * (1 + BOUND_GUARD_FRAC)
    return result


def greedy_papers(steps: Steps, headroom_um: int, max_papers: int) -> dict[int, int]:
    """Paper by opening: every step in turn that fits and keeps to `max_papers` papers.

    No proof of being best.
    """
    paper_of: dict[int, int] = {}
    used: set[int] = set()
    left_um = headroom_um
    is_stuck = set()
    for opening, paper, extra_um in zip(
        steps.opening.tolist(), steps.paper.tolist(), steps.thickness_um.tolist(), strict=True
    ):
        fits = extra_um <= left_um and (paper in used or len(used) < max_papers)
        if opening in is_stuck or not fits:
            is_stuck.add(opening)
            continue
        paper_of[opening] = paper
        used.add(paper)
        left_um -= extra_um
    return paper_of
