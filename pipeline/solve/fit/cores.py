"""What is left to choose between two papers once a bound has settled the clear openings.

Put a price on each um of headroom. An opening's score for a paper is the worth of the sheet less the price of
its thickness; the headroom at its price plus every opening's best score is an upper bound of the worth, least
at the right price (Lagrange). An opening whose second-best choice would pull that bound below a worth already
reached is settled; the few others are the core. Every best answer agrees on the settled openings, so nothing
is lost, ties included.

Arrays have a row per volume and a column per opening.
"""

from dataclasses import dataclass, replace
from typing import Self

import numpy as np

from pipeline.solve.fit.baseline import BOUND_GUARD_FRAC, FloatArray
from pipeline.solve.fit.layout import Batch
from pipeline.solve.fit.problem import BoolArray, IntArray

NO_SHEET, FIRST, SECOND = -1, 0, 1
_PRICE_STEPS = 8
_FILL_STEPS = 2


@dataclass(frozen=True)
class PaperPair:
    """Two papers of the list by index, and their thickness in um; the first is not the thicker one."""

    first: int
    second: int
    first_um: int
    second_um: int


@dataclass(frozen=True)
class Worths:
    """Worth of a sheet of either paper by volume and opening, and the headroom of the volumes."""

    papers: PaperPair
    first: IntArray
    second: IntArray
    headroom_um: IntArray

    def rows(self, chosen: IntArray) -> Self:
        """The chosen volumes alone."""
        return replace(
            self,
            first=self.first[chosen],
            second=self.second[chosen],
            headroom_um=self.headroom_um[chosen],
        )


@dataclass(frozen=True)
class Price:
    """By volume: price of a um, the bound it proves, and a worth that some answer reaches."""

    per_um: FloatArray
    bound: FloatArray
    reached: IntArray

    def rows(self, chosen: BoolArray) -> Self:
        """The chosen volumes alone."""
        return replace(
            self, per_um=self.per_um[chosen], bound=self.bound[chosen], reached=self.reached[chosen]
        )


@dataclass(frozen=True)
class Core:
    """By volume and opening: what is still open, and the settled choice of the others."""

    is_open: BoolArray
    settled: IntArray

    def rows(self, chosen: IntArray) -> Self:
        """The chosen volumes alone."""
        return replace(self, is_open=self.is_open[chosen], settled=self.settled[chosen])


def pair_worths(batch: Batch, worth: IntArray, papers: PaperPair) -> Worths:
    """Worths of the two papers in the openings of a batch."""
    return Worths(
        papers, worth[batch.group, papers.first], worth[batch.group, papers.second], batch.headroom_um
    )


def find_price(worths: Worths) -> Price:
    """The price with the least bound, found where the tangents from both sides meet."""
    top = _Tangents(worths)
    for _ in range(_PRICE_STEPS):
        if not top.step():
            break
    choice = _best_choice(worths, top.high)
    return Price(top.best, top.bound * (1 + BOUND_GUARD_FRAC), _filled_worth(worths, choice))


def find_core(worths: Worths, price: Price, reached: IntArray) -> Core:
    """Openings with more than one choice that may still lead to the worth `reached` or more."""
    to_spare = (price.bound - reached)[:, None]
    first, second = _scores(worths, price.per_um)
    best = np.maximum(np.maximum(first, second), 0)
    is_open = [best - score <= to_spare for score in (np.zeros_like(first), first, second)]
    settled = np.where(is_open[1], FIRST, np.where(is_open[2], SECOND, NO_SHEET))
    choices = is_open[0].astype(np.int8) + is_open[1] + is_open[2]
    return Core(choices > 1, np.where(choices > 1, NO_SHEET, settled))


class _Tangents:
    """Two prices, one too low and one too high, drawn together until their tangents meet on the bound."""

    def __init__(self, worths: Worths) -> None:
        self._worths = worths
        papers = worths.papers
        most = np.maximum(worths.first / papers.first_um, worths.second / papers.second_um)
        self._low = np.zeros(len(worths.headroom_um))
        self.high = np.maximum(most.max(axis=1, initial=0.0), 0.0)
        self._low_bound, self._low_slope = self._bound(self._low)
        self._high_bound, self._high_slope = self._bound(self.high)
        self.best = np.where(self._low_bound <= self._high_bound, self._low, self.high)
        self.bound = np.minimum(self._low_bound, self._high_bound)
        fits = self._low_slope >= 0
        self.high[fits] = 0.0

    def step(self) -> bool:
        """Look at the price where the tangents meet; whether any bound has come down."""
        turn = self._low_slope - self._high_slope
        is_moving = (self._low_slope < 0) & (turn < 0)
        rise = self._high_bound - self._low_bound
        rise += self._low_slope * self._low - self._high_slope * self.high
        price = np.where(is_moving, rise / np.where(is_moving, turn, 1.0), self.high)
        price = np.clip(price, self._low, self.high)
        bound, slope = self._bound(price)
        is_low = is_moving & (slope < 0)
        is_high = is_moving & (slope >= 0)
        for target, source in ((self._low, price), (self._low_bound, bound), (self._low_slope, slope)):
            target[is_low] = source[is_low]
        for target, source in ((self.high, price), (self._high_bound, bound), (self._high_slope, slope)):
            target[is_high] = source[is_high]
        is_less = bound < self.bound
        self.best = np.where(is_less, price, self.best)
        self.bound = np.where(is_less, bound, self.bound)
        return bool(is_less.any())

    def _bound(self, price: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The bound at a price, and its slope: the headroom that the best choices leave."""
        worths = self._worths
        first, second = _scores(worths, price)
        is_second = second > first
        best = np.maximum(first, second)
        thickness = np.where(is_second, worths.papers.second_um, worths.papers.first_um)
        used_um = (thickness * (best > 0)).sum(axis=1)
        bound = price * worths.headroom_um + np.maximum(best, 0.0).sum(axis=1)
        return bound, (worths.headroom_um - used_um).astype(np.float64)


def _scores(worths: Worths, per_um: FloatArray) -> tuple[FloatArray, FloatArray]:
    papers = worths.papers
    first = worths.first - (per_um * papers.first_um)[:, None]
    second = worths.second - (per_um * papers.second_um)[:, None]
    return first, second


def _best_choice(worths: Worths, per_um: FloatArray) -> IntArray:
    first, second = _scores(worths, per_um)
    choice = np.where(second > first, SECOND, FIRST)
    return np.where(np.maximum(first, second) > 0, choice, NO_SHEET)


def _filled_worth(worths: Worths, choice: IntArray) -> IntArray:
    """Worth of the choices where they fit, with a few more sheets in the room they leave; else 0."""
    papers = worths.papers
    every = np.arange(len(choice))
    thickness = np.array([papers.first_um, papers.second_um, 0])
    worth = np.where(choice == SECOND, worths.second, np.where(choice == FIRST, worths.first, 0))
    left_um = worths.headroom_um - thickness[choice].sum(axis=1)
    total = worth.sum(axis=1)
    fits = left_um >= 0
    for _ in range(_FILL_STEPS):
        first_fits = (choice == NO_SHEET) & (left_um >= papers.first_um)[:, None]
        second_fits = papers.second_um - thickness[choice] <= left_um[:, None]
        gain_first = np.where(first_fits, worths.first, 0)
        gain_second = np.where(second_fits & (choice != SECOND), worths.second - worth, 0)
        gain = np.maximum(np.maximum(gain_first, gain_second), 0)
        at = gain.argmax(axis=1)
        taken = gain[every, at]
        to = np.where(gain_second[every, at] > gain_first[every, at], SECOND, FIRST)
        to = np.where(taken > 0, to, choice[every, at])
        left_um = left_um - thickness[to] + thickness[choice[every, at]]
        choice[every, at] = to
        worth[every, at] += taken
        total = total + taken
    return np.where(fits, total, 0)
