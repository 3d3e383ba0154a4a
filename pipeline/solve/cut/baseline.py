"""Simple answers: the planner's usual way, a first-fit plan in strips, and the bound by area.

They are the yardstick of the saving, the warm start of the strong method, and what is left if it finds nothing.
"""

from collections.abc import Sequence
from fractions import Fraction

from pipeline.solve.cut.fill import fill_parent
from pipeline.solve.cut.problem import (
    Cells,
    Pattern,
    Problem,
    Run,
    join_runs,
    pattern_cost,
    piece_counts,
)


def area_bound(problem: Problem) -> Fraction:
    """Proven least cost: pieces' area at the cheapest cost of usable area. Ignores how pieces fit."""
    area = sum(size.width_ticks * size.height_ticks * size.demand for size in problem.sizes)
    dearness = []
    for panel in problem.panels:
        room = panel.stack_ticks if panel.free != "stack" else 1
        room *= panel.strip_ticks if panel.free != "strip" else 1
        dearness.append(Fraction(panel.cost, room))
    return min(dearness) * area if area else Fraction(0)


def single_pattern(problem: Problem, panel: int, size: int, *, turned: bool) -> Pattern:
    """The parent filled with pieces of one size, all the same way round: floor times floor."""
    rooms = problem.panels[panel]
    along_strip, along_stack = problem.footprint(panel, size, turned)
    strip = (Cells(size, turned, rooms.strip_ticks // along_strip),)
    return Pattern(panel, (strip,) * (rooms.stack_ticks // along_stack))


def single_patterns(problem: Problem) -> tuple[Pattern, ...]:
    """Every parent filled with pieces of one size; off a roll, every number of rows."""
    patterns = []
    for panel, rooms in enumerate(problem.panels):
        for size, turned in problem.placements(panel):
            full = single_pattern(problem, panel, size, turned=turned)
            patterns.append(full)
            if rooms.free == "stack":
                patterns += [Pattern(panel, full.strips[:rows]) for rows in range(1, len(full.strips))]
            if rooms.free == "strip":
                most = full.strips[0][0].pieces
                patterns += [
                    Pattern(panel, ((Cells(size, turned, rows),),) * len(full.strips))
                    for rows in range(1, most)
                ]
    return tuple(patterns)


def usual_way(problem: Problem) -> tuple[Run, ...]:
    """One size on a parent, the stock that is cheapest for it: how a planner without a tool works."""
    choices: dict[int, list[tuple[int, Pattern, int]]] = {}
    for pattern in single_patterns(problem):
        cells = pattern.strips[0][0]
        demand = problem.sizes[cells.size].demand
        if demand:
            sheets = -(-demand // (cells.pieces * len(pattern.strips)))
            choices.setdefault(cells.size, []).append(
                (pattern_cost(problem, pattern) * sheets, pattern, sheets)
            )
    cheapest = [min(choices[index]) for index, size in enumerate(problem.sizes) if size.demand]
    return join_runs(problem, [Run(pattern, sheets) for _, pattern, sheets in cheapest])


def first_fit(problem: Problem) -> tuple[Run, ...]:
    """A plan in strips: tallest pieces first, each strip filled with what else fits; the best area per cost next."""
    rest = [size.demand for size in problem.sizes]
    runs = []
    while any(rest):
        best = max(
            (p for p in _fillings(problem, rest)), key=lambda p: (_worth(problem, p), p.panel, p.strips)
        )
        counts = piece_counts(problem, best)
        times = min(left // count for left, count in zip(rest, counts, strict=True) if count)
        rest = [left - count * times for left, count in zip(rest, counts, strict=True)]
        runs.append(Run(best, times))
    return join_runs(problem, runs)


def _worth(problem: Problem, pattern: Pattern) -> Fraction:
    counts = piece_counts(problem, pattern)
    area = sum(s.width_ticks * s.height_ticks * count for s, count in zip(problem.sizes, counts, strict=True))
    return Fraction(area, pattern_cost(problem, pattern))


def _fillings(problem: Problem, rest: Sequence[int]) -> list[Pattern]:
    """For each panel and each size left, a parent whose first strip starts with that size."""
    return [
        fill_parent(problem, panel, rest, first=placement)
        for panel in range(len(problem.panels))
        for placement in problem.placements(panel)
        if rest[placement[0]]
    ]
