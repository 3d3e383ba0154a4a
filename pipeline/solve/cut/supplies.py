"""Stock lines of a paper as panels in whole ticks, and why a size cannot be cut from any of them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from math import lcm
from typing import Literal

from pipeline.solve.cut.problem import FirstCut, Panel, Problem, Size
from pipeline.units import FLOOR_GUARD, length_text, tick_fraction_mm, ticks_down, ticks_up

GrainRule = Literal["require", "prefer", "ignore"]
FIRST_CUTS: tuple[FirstCut, ...] = ("across_width", "across_length")


@dataclass(frozen=True, kw_only=True)
class StockLine:
    """One stock line, as bought. `price` is that of one sheet or one roll."""

    stock_id: str
    is_roll: bool
    width_mm: float
    length_mm: float
    is_grain_long: bool
    trim_mm: float
    price: Fraction
    on_hand: float = 0.0

    def on_hand_parents(self, bench: "Bench") -> Fraction:
        """Parents in the lab; of a roll, ticks of length."""
        if not self.is_roll:
            return exact(self.on_hand)
        return exact(self.on_hand) * exact(self.length_mm) / tick_fraction_mm(bench.length_unit)


@dataclass(frozen=True, kw_only=True)
class Bench:
    """What the guillotine and the bench take. `length_unit` decides the tick."""

    max_cut_mm: float
    roll_parent_max_length_mm: float
    length_unit: str


def exact(value: float) -> Fraction:
    """The decimal number a float was written as."""
    return Fraction(Decimal(repr(float(value))))


def panels_of(lines: Sequence[StockLine], bench: Bench) -> tuple[tuple[Panel, ...], Fraction]:
    """Every way of cutting every stock line, and the currency in one unit of cost.

    Costs are exact whole multiples of that unit. A direction whose first cuts are longer than the guillotine's
    longest cut gives no panel; supplies are rounded down to whole ticks.
    """
    ordered = sorted(lines, key=lambda line: line.stock_id)
    costs = {line.stock_id: _unit_cost(line, bench) for line in ordered}
    scale = lcm(*(cost.denominator for cost in costs.values())) if costs else 1
    panels = []
    for line in ordered:
        for first_cut in FIRST_CUTS:
            panel = _panel(line, bench, first_cut)
            if panel is not None:
                panels.append(replace(panel, cost=int(costs[line.stock_id] * scale)))
    return tuple(panels), Fraction(1, scale)


TOKEN_PRICE = Fraction(1, 10**6)
"""What stock without a price is taken to cost, so that fewer parents are still better than more."""


def _unit_cost(line: StockLine, bench: Bench) -> Fraction:
    price = max(line.price, TOKEN_PRICE)
    if not line.is_roll:
        return price
    return price * tick_fraction_mm(bench.length_unit) / exact(line.length_mm)


def token_cost(lines: Sequence[StockLine], sizes: Sequence[Size]) -> float:
    """Most that the token price of stock without a price can add to the cost of a plan: a parent a leaf."""
    if all(line.price > 0 for line in lines):
        return 0.0
    return float(TOKEN_PRICE * sum(size.demand for size in sizes))


def _panel(line: StockLine, bench: Bench, first_cut: FirstCut) -> Panel | None:
    across_width = first_cut == "across_width"
    unit, trims_mm = bench.length_unit, 2 * line.trim_mm
    length_mm = min(line.length_mm, bench.roll_parent_max_length_mm) if line.is_roll else line.length_mm
    if line.is_roll and not across_width:
        length_mm = min(length_mm, bench.max_cut_mm)
    if (line.width_mm if across_width else length_mm) > bench.max_cut_mm + FLOOR_GUARD:
        return None
    trims = ticks_up(trims_mm, unit) if line.is_roll else 0
    width = ticks_down(line.width_mm - trims_mm, unit)
    length = ticks_down(length_mm, unit) - trims if line.is_roll else ticks_down(length_mm - trims_mm, unit)
    if min(width, length) <= 0:
        return None
    strip, stack = (width, length) if across_width else (length, width)
    return Panel(
        stock_id=line.stock_id,
        first_cut=first_cut,
        is_grain_along_strip=line.is_grain_long != across_width,
        strip_ticks=strip,
        stack_ticks=stack,
        cost=1,
        free="none" if not line.is_roll else "stack" if across_width else "strip",
        trims_ticks=trims,
    )


def reasons_uncuttable(
    size: Size, lines: Sequence[StockLine], *, bench: Bench, rule: GrainRule
) -> tuple[str, ...]:
    """Why no stock line gives a piece of the size, one reason per line; empty when one does.

    Reasons tell apart: larger than the usable parent, grain, longest cut of the guillotine.
    """
    if not lines:
        return ("the paper has no stock",)
    may_turn = rule != "require"
    reasons = []
    for line in sorted(lines, key=lambda line: line.stock_id):
        reason = _reason(size, line, bench, may_turn)
        if not reason:
            return ()
        reasons.append(f"{line.stock_id}: {reason}")
    return tuple(reasons)


def nearest_stock(size: Size, lines: Sequence[StockLine], *, bench: Bench, rule: GrainRule) -> str:
    """The smallest stock line that gives a piece of the size; blank when none does."""
    fitting = [line for line in lines if _fits(size, line, bench, rule != "require")]
    smallest = min(fitting, key=lambda line: (line.width_mm * line.length_mm, line.stock_id), default=None)
    return smallest.stock_id if smallest else ""


def _reason(size: Size, line: StockLine, bench: Bench, may_turn: bool) -> str:
    if _fits(size, line, bench, may_turn):
        return ""
    any_length = replace(bench, max_cut_mm=max(line.width_mm, line.length_mm))
    if _fits(size, line, any_length, may_turn):
        return f"the cut is longer than the guillotine's {length_text(bench.max_cut_mm, bench.length_unit)}"
    if _fits(size, line, bench, True):
        return "it fits only with the grain across the spine"
    return "it is larger than the usable parent"


def _fits(size: Size, line: StockLine, bench: Bench, may_turn: bool) -> bool:
    panels, _ = panels_of([line], bench)
    problem = Problem(sizes=(replace(size, may_turn=may_turn),), panels=panels, max_sizes=None)
    return any(problem.placements(panel) for panel in range(len(panels)))
