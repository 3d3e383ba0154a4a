"""Simple answers: the planner's usual way, a first-fit plan in strips, and the bound by area.

They are the yardstick of the saving, the warm start of the strong method, and what is left if it finds nothing.
"""

from collections.abc import Sequence
from fractions import Fraction

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
                most = full.strips[0][0].count
                patterns += [
                    Pattern(panel, ((Cells(size, turned, rows),),) * len(full.strips))
                    for rows in range(1, most)
                ]
    return tuple(patterns)


def usual_way(problem: Problem) -> tuple[Run, ...]:
    """One size on a parent, the stock that is cheapest for it: how a planner without a tool works."""
    runs = []
    patterns = single_patterns(problem)
    for index, size in enumerate(problem.sizes):
        if size.demand == 0:
            continue
        choices = []
        for pattern in patterns:
            pieces = piece_counts(problem, pattern)[index]
            if pieces:
                sheets = -(-size.demand // pieces)
                choices.append((pattern_cost(problem, pattern) * sheets, pattern, sheets))
        _, pattern, sheets = min(choices)
        runs.append(Run(pattern, sheets))
    return join_runs(problem, runs)


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


def fill_parent(
    problem: Problem, panel: int, rest: Sequence[int], *, first: tuple[int, bool]
) -> Pattern:
    """A parent filled strip by strip from what is left to cut, the first strip led by `first`."""
    left, used, strips = list(rest), {first[0]}, []
    room = problem.panels[panel].stack_ticks
    places = sorted(
        problem.placements(panel), key=lambda p: (-problem.footprint(panel, *p).along_stack, p)
    )
    leaders = [first, *places]
    while leaders:
        size, turned = leaders[0]
        height = problem.footprint(panel, size, turned).along_stack
        if not left[size] or height > room or not _may_join(problem, used, size):
            leaders.pop(0)
            continue
        used.add(size)
        strips.append(_fill_strip(problem, panel, left, used=used, places=[(size, turned), *places], height=height))
        room -= height
    return Pattern(panel, tuple(strips))


def _fill_strip(
    problem: Problem,
    panel: int,
    left: list[int],
    *,
    used: set[int],
    places: Sequence[tuple[int, bool]],
    height: int,
) -> tuple[Cells, ...]:
    room, strip = problem.panels[panel].strip_ticks, []
    for size, turned in places:
        along_strip, along_stack = problem.footprint(panel, size, turned)
        if along_stack > height or not left[size] or not _may_join(problem, used, size):
            continue
        count = min(left[size], room // along_strip)
        if count:
            strip.append(Cells(size, turned, count))
            used.add(size)
            left[size] -= count
            room -= count * along_strip
    return tuple(strip)


def _may_join(problem: Problem, used: set[int], size: int) -> bool:
    return problem.max_sizes is None or size in used or len(used) < problem.max_sizes
