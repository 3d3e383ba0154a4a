"""The parent sheets a paper offers, as far as the choice of cut sizes needs to know them.

One leaf size alone on a parent, in rows and columns: what a parent gives of it, and so how much paper a leaf takes.
Patterns that mix sizes come later; a side that divides the sheet well serves them too. Trade model, section 7.
"""

import math
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import polars as pl

from pipeline import units
from pipeline.frames import Frames, figures

Ticks = npt.NDArray[np.int64]
UNFIT = np.iinfo(np.int64).max
"""Stands for the paper of a leaf that does not come off a parent."""


@dataclass(frozen=True, kw_only=True)
class Parent:
    """A parent sheet as it lies under the leaf: inside the trim, in whole ticks.

    Where `free_side` is width or height, the parent is a length off a roll: that side of it is cut as short
    as the leaves allow, and `free_trim_ticks` come off it besides. `worth_mm2` is the untrimmed parent's area,
    dearer paper counted as more of the cheapest.
    """

    stock_id: str
    along_leaf_width_ticks: int
    along_leaf_height_ticks: int
    worth_mm2: int
    free_side: str = ""
    free_trim_ticks: int = 0

    def fits(self, width_ticks: int, height_ticks: int) -> bool:
        """Whether one leaf of these sides comes off the parent."""
        return width_ticks <= self.along_leaf_width_ticks and height_ticks <= self.along_leaf_height_ticks

    def paper_mm2(self, widths_ticks: Ticks, heights_ticks: Ticks) -> Ticks:
        """Paper that one leaf takes when the parent is cut into such leaves, mm2, rounded up; UNFIT where none fits.

        Widths and heights are arrays that broadcast against each other.
        """
        columns = self.along_leaf_width_ticks // widths_ticks
        rows = self.along_leaf_height_ticks // heights_ticks
        worth, parts = self._worth_used(columns * widths_ticks, rows * heights_ticks)
        pieces = columns * rows * parts
        return np.where(pieces > 0, -(-worth // np.maximum(pieces, 1)), UNFIT)

    def _worth_used(self, used_width: Ticks, used_height: Ticks) -> tuple[Ticks, int]:
        """Worth of the parent, or of the part of it that is cut off the roll, and what it is to be divided by."""
        if not self.free_side:
            return np.full_like(used_width * used_height, self.worth_mm2), 1
        is_width = self.free_side == "width"
        whole = self.along_leaf_width_ticks if is_width else self.along_leaf_height_ticks
        used = (used_width + 0 * used_height) if is_width else (used_height + 0 * used_width)
        return self.worth_mm2 * (used + self.free_trim_ticks), whole + self.free_trim_ticks


def paper_mm2(parents: tuple[Parent, ...], widths_ticks: Ticks, heights_ticks: Ticks) -> Ticks:
    """Paper one leaf takes off the best parent, mm2. Without parents 0; off none, two of the largest parents."""
    paper = np.full(np.broadcast_shapes(widths_ticks.shape, heights_ticks.shape), UNFIT, dtype=np.int64)
    for parent in parents:
        paper = np.minimum(paper, parent.paper_mm2(widths_ticks, heights_ticks))
    return np.where(paper == UNFIT, 2 * max((parent.worth_mm2 for parent in parents), default=0), paper)


def reached_sides(parents: tuple[Parent, ...]) -> list[tuple[int, int]]:
    """Greatest width and height of a leaf, ticks, for each way a parent can lie."""
    return sorted({(parent.along_leaf_width_ticks, parent.along_leaf_height_ticks) for parent in parents})


def stock_parents(frames: Frames, paper_id: str) -> tuple[Parent, ...]:
    """Parents of a paper's stocks, each with its grain along the leaf's height; turned too where the rule allows.

    Where grain is only preferred, a turned parent counts as so much dearer that it is taken only for the saving
    the policy names. A stock too large for the guillotine both ways is left out.
    """
    stocks = frames["clean.stock"].filter(pl.col("paper_id") == paper_id).sort("stock_id")
    grain_rule = frames["clean.papers"].filter(pl.col("paper_id") == paper_id)["grain_rule"].item()
    campaign = frames["clean.campaign"].row(0, named=True)
    policy = figures(frames)
    turned_factor = 1 + policy["cut.turn_grain_saving_frac"] if grain_rule == "prefer" else 1.0
    dearness = _dearness(stocks)
    parents: list[Parent] = []
    for stock in stocks.iter_rows(named=True):
        length_mm = _parent_length_mm(stock, campaign["guillotine_max_cut_mm"], policy)
        if length_mm <= 0:
            continue
        factor = dearness[stock["stock_id"]]
        is_long = stock["grain"] == "long"
        parents.append(_parent(stock, length_mm, campaign["length_unit"], _Lie(is_long, factor)))
        if grain_rule != "require":
            parents.append(
                _parent(stock, length_mm, campaign["length_unit"], _Lie(not is_long, factor * turned_factor))
            )
    return tuple(parent for parent in parents if parent.fits(1, 1))


class _Lie(NamedTuple):
    """How a parent lies: with its length along the leaf's height or not, and how dear its paper counts."""

    is_length_along_height: bool
    dearness: float


def _dearness(stocks: pl.DataFrame) -> dict[str, float]:
    """Price of each stock's paper by area as a multiple of the cheapest; 1 for all where one is free."""
    price_per_m2 = {
        stock["stock_id"]: stock["pack_price"]
        / (stock["pack_quantity"] * units.area_m2(stock["width_mm"], stock["length_mm"]))
        for stock in stocks.iter_rows(named=True)
    }
    least = min(price_per_m2.values(), default=0.0)
    return {stock_id: price / least if least > 0 else 1.0 for stock_id, price in price_per_m2.items()}


def _parent_length_mm(stock: dict[str, Any], max_cut_mm: float, policy: dict[str, float]) -> float:
    """Length of a parent, of a roll the longest cut off; 0 where the guillotine cannot cut it either way."""
    length_mm = float(stock["length_mm"])
    if stock["form"] == "roll":
        length_mm = min(length_mm, policy["cut.roll_parent_max_length_mm"])
        return length_mm if stock["width_mm"] <= max_cut_mm else min(length_mm, max_cut_mm)
    return length_mm if min(stock["width_mm"], length_mm) <= max_cut_mm else 0.0


def _parent(stock: dict[str, Any], length_mm: float, unit: str, lie: _Lie) -> Parent:
    trims_mm = 2 * stock["trim_mm"]
    across = units.ticks_down(stock["width_mm"] - trims_mm, unit)
    along = units.ticks_down(length_mm - trims_mm, unit)
    is_roll = stock["form"] == "roll"
    free_side = "height" if lie.is_length_along_height else "width"
    return Parent(
        stock_id=stock["stock_id"],
        along_leaf_width_ticks=across if lie.is_length_along_height else along,
        along_leaf_height_ticks=along if lie.is_length_along_height else across,
        worth_mm2=math.floor(stock["width_mm"] * length_mm * lie.dearness),
        free_side=free_side if is_roll else "",
        free_trim_ticks=units.ticks_up(trims_mm, unit) if is_roll else 0,
    )
