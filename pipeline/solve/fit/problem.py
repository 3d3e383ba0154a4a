"""What is asked of the choice of sheets, and what comes back: whole numbers only, no solver, no tables.

One Problem holds many volumes that share a list of papers. Per volume it is a multiple-choice knapsack: each
opening gets no sheet or one permitted paper, the thicknesses keep within the headroom, at most `max_papers`
different papers are used, and the benefit is the greatest possible (trade model, section 5).
"""

from dataclasses import dataclass, replace
from enum import IntEnum
from typing import Self

import numpy as np
import numpy.typing as npt

IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

NOT_PERMITTED = -1
"""Benefit that stands for a paper that may not lie in a group's openings."""
ANY_PAPER = -1
"""Entry of `only_paper` that leaves the paper open."""


class Mark(IntEnum):
    """A person's word on a group of openings."""

    FREE = 0
    MUST = 1
    NEVER = 2


class Method(IntEnum):
    """How a volume's best sheets were found and proven."""

    NOTHING = 0
    ONE_PAPER = 1
    TWO_PAPERS = 2
    MORE_PAPERS = 3


@dataclass(frozen=True, kw_only=True)
class Papers:
    """The papers, one entry each: whole um a sheet takes up, alkaline reserve, price of a square metre."""

    thickness_um: IntArray
    is_buffered: BoolArray
    price_ticks: IntArray

    def __len__(self) -> int:
        return len(self.thickness_um)

    def some(self, chosen: IntArray) -> Self:
        """The chosen papers alone, in that order."""
        return replace(
            self,
            thickness_um=self.thickness_um[chosen],
            is_buffered=self.is_buffered[chosen],
            price_ticks=self.price_ticks[chosen],
        )


@dataclass(frozen=True, kw_only=True)
class Problem:
    """Volumes with their groups of like openings.

    `group_volume` rises; `benefit_ticks` has a row per group and a column per paper, NOT_PERMITTED where the
    paper may not lie; `opening_rank` holds, group after group, the order of each of its openings within the
    volume, rising within a group. A sheet must reach `floor_ticks`, but where the group is marked MUST.
    """

    papers: Papers
    headroom_um: IntArray
    group_volume: IntArray
    group_count: IntArray
    benefit_ticks: IntArray
    opening_rank: IntArray
    mark: IntArray
    only_paper: IntArray
    floor_ticks: int
    max_papers: int

    @property
    def volumes(self) -> int:
        """Number of volumes."""
        return len(self.headroom_um)

    @property
    def groups(self) -> int:
        """Number of groups of openings."""
        return len(self.group_volume)

    def allowed(self) -> BoolArray:
        """Group and paper pairs that may get sheets: permitted, worth the floor, and not against a mark."""
        is_must = self.mark == Mark.MUST
        allowed = self.benefit_ticks >= max(self.floor_ticks, 1)
        allowed |= is_must[:, None] & (self.benefit_ticks >= 0)
        allowed &= (self.mark != Mark.NEVER)[:, None]
        is_limited = self.only_paper != ANY_PAPER
        allowed &= ~is_limited[:, None] | (np.arange(len(self.papers)) == self.only_paper[:, None])
        result: BoolArray = allowed
        return result

    def with_only(self, paper_of_volume: IntArray) -> Self:
        """The same problem with one paper a volume."""
        others = np.arange(len(self.papers)) != paper_of_volume[self.group_volume][:, None]
        return replace(self, benefit_ticks=np.where(others, NOT_PERMITTED, self.benefit_ticks), max_papers=1)


@dataclass(frozen=True, kw_only=True)
class Solution:
    """Sheets by group and paper; per volume the benefit, a proven bound on it, and how it was found.

    `must_short` counts, per group marked MUST, the openings that could not get a sheet.
    """

    sheets: IntArray
    benefit_ticks: IntArray
    bound_ticks: IntArray
    must_short: IntArray
    method: IntArray
