"""Cutting one paper: sizes wanted, ways of cutting its stocks, patterns. Whole ticks and whole units of cost.

Two stages: strips edge to edge, then cross-cuts; a trim within a strip is allowed, so each cell of the grid
holds one piece (trade model, section 7). A panel is a stock line with a direction of the first cuts. Along it
strips have `strip_ticks` of room for pieces side by side, and `stack_ticks` is the room for strips one upon
another. Of a roll one of the two is free: the length cut off is what the pattern needs.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Literal, NamedTuple

FirstCut = Literal["across_width", "across_length"]
FreeSide = Literal["none", "strip", "stack"]


@dataclass(frozen=True, kw_only=True)
class Size:
    """One cut size and how many leaves of it are wanted, spares included."""

    cut_size_id: str
    width_ticks: int
    height_ticks: int
    demand: int
    may_turn: bool = False


@dataclass(frozen=True, kw_only=True)
class Panel:
    """One way of cutting one stock line. Rooms are usable ones, squaring trim taken off.

    `cost` is that of a parent sheet or, where a side is free, of one tick of length off the roll.
    `trims_ticks` are both end trims of a length off a roll.
    """

    stock_id: str
    first_cut: FirstCut
    is_grain_along_strip: bool
    strip_ticks: int
    stack_ticks: int
    cost: int
    free: FreeSide = "none"
    trims_ticks: int = 0


class Cells(NamedTuple):
    """Like pieces beside each other in a strip. `size` is the index of the size in the problem."""

    size: int
    turned: bool
    pieces: int


Strip = tuple[Cells, ...]


class Pattern(NamedTuple):
    """A way to cut one parent: index of the panel, and its strips."""

    panel: int
    strips: tuple[Strip, ...]


class Run(NamedTuple):
    """A pattern and the number of parents cut by it."""

    pattern: Pattern
    sheets: int


class Footprint(NamedTuple):
    """Room a piece takes in a panel."""

    along_strip: int
    along_stack: int


@dataclass(frozen=True, kw_only=True)
class Problem:
    """Sizes to cut from panels; at most `max_sizes` different sizes on a parent (None: any number).

    `cost_unit` is the campaign currency in one unit of cost. `on_hand` is what lies in the lab of each stock
    line: parents, or ticks of length of a roll.
    """

    sizes: tuple[Size, ...]
    panels: tuple[Panel, ...]
    max_sizes: int | None
    cost_unit: Fraction = Fraction(1)
    on_hand: tuple[tuple[str, Fraction], ...] = ()

    def footprint(self, panel: int, size: int, turned: bool) -> Footprint:
        """Room a piece takes: page height along the grain unless the piece is turned."""
        across_strip, along_strip = self._footprints
        is_height_along_strip = self.panels[panel].is_grain_along_strip != turned
        return along_strip[size] if is_height_along_strip else across_strip[size]

    @cached_property
    def _footprints(self) -> tuple[tuple[Footprint, ...], tuple[Footprint, ...]]:
        """Room each size takes with its page height across the strip, and along it."""
        return (
            tuple(Footprint(size.width_ticks, size.height_ticks) for size in self.sizes),
            tuple(Footprint(size.height_ticks, size.width_ticks) for size in self.sizes),
        )

    def placements(self, panel: int) -> tuple[tuple[int, bool], ...]:
        """(size, turned) of every piece that fits the panel alone, by the grain rule."""
        rooms = self.panels[panel]
        found = []
        for index, size in enumerate(self.sizes):
            is_square = size.width_ticks == size.height_ticks
            for turned in (False, True) if size.may_turn and not is_square else (False,):
                along_strip, along_stack = self.footprint(panel, index, turned)
                if along_strip <= rooms.strip_ticks and along_stack <= rooms.stack_ticks:
                    found.append((index, turned))
        return tuple(found)


@dataclass(frozen=True, kw_only=True)
class Solution:
    """Runs that serve the demand, and the proven least cost (in units of cost)."""

    runs: tuple[Run, ...]
    bound: Fraction
    method: str
    limit_hit: str = ""


def strip_run(problem: Problem, panel: int, strip: Strip) -> int:
    """Length of a strip that its pieces take."""
    return sum(problem.footprint(panel, c.size, c.turned).along_strip * c.pieces for c in strip)


def strip_height(problem: Problem, panel: int, strip: Strip) -> int:
    """Height of a strip: that of its tallest piece."""
    return max(problem.footprint(panel, c.size, c.turned).along_stack for c in strip)


def stack_height(problem: Problem, pattern: Pattern) -> int:
    """Heights of all strips of a pattern together."""
    return sum(strip_height(problem, pattern.panel, strip) for strip in pattern.strips)


def free_ticks(problem: Problem, pattern: Pattern) -> int:
    """Length cut off a roll for a pattern, trims included."""
    panel = problem.panels[pattern.panel]
    if panel.free == "stack":
        return stack_height(problem, pattern) + panel.trims_ticks
    return max(strip_run(problem, pattern.panel, strip) for strip in pattern.strips) + panel.trims_ticks


def used_rooms(problem: Problem, pattern: Pattern) -> tuple[int, int]:
    """Usable room along the strips and along the stack; of a roll, of the length cut off."""
    panel = problem.panels[pattern.panel]
    if panel.free == "strip":
        return free_ticks(problem, pattern) - panel.trims_ticks, panel.stack_ticks
    if panel.free == "stack":
        return panel.strip_ticks, free_ticks(problem, pattern) - panel.trims_ticks
    return panel.strip_ticks, panel.stack_ticks


def pattern_cost(problem: Problem, pattern: Pattern) -> int:
    """Cost of one parent of a pattern, in units of cost."""
    panel = problem.panels[pattern.panel]
    return panel.cost if panel.free == "none" else panel.cost * free_ticks(problem, pattern)


def piece_counts(problem: Problem, pattern: Pattern) -> tuple[int, ...]:
    """Pieces of each size that one parent of a pattern gives."""
    counts = [0] * len(problem.sizes)
    for strip in pattern.strips:
        for cells in strip:
            counts[cells.size] += cells.pieces
    return tuple(counts)


def total_cost(problem: Problem, runs: Iterable[Run]) -> int:
    """Cost of all parents, in units of cost."""
    return sum(pattern_cost(problem, run.pattern) * run.sheets for run in runs)


def tidy_pattern(problem: Problem, pattern: Pattern) -> Pattern:
    """The same pattern with like cells joined, tall cells and tall strips first: one form for one content."""
    strips = []
    for strip in pattern.strips:
        counts: dict[tuple[int, bool], int] = {}
        for cells in strip:
            counts[cells.size, cells.turned] = counts.get((cells.size, cells.turned), 0) + cells.pieces
        joined = [Cells(size, turned, count) for (size, turned), count in counts.items() if count > 0]
        if joined:
            strips.append(tuple(sorted(joined, key=lambda c: _cell_key(problem, pattern.panel, c))))
    strips.sort(key=lambda s: (-strip_height(problem, pattern.panel, s), s))
    return Pattern(pattern.panel, tuple(strips))


def _cell_key(problem: Problem, panel: int, cells: Cells) -> tuple[int, int, bool]:
    return (-problem.footprint(panel, cells.size, cells.turned).along_stack, cells.size, cells.turned)


def join_runs(problem: Problem, runs: Iterable[Run]) -> tuple[Run, ...]:
    """Runs with tidy patterns, equal ones added up, in a fixed order."""
    sheets: dict[Pattern, int] = {}
    for run in runs:
        if run.sheets > 0:
            pattern = tidy_pattern(problem, run.pattern)
            sheets[pattern] = sheets.get(pattern, 0) + run.sheets
    return tuple(Run(pattern, sheets[pattern]) for pattern in sorted(sheets))
