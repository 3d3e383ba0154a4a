"""Recomputes from a problem and runs alone whether every cutting rule holds, and what the plan costs.

Imports no solver and none of the helpers that make plans: sums are done again here.
"""

from collections.abc import Sequence

from pipeline.solve.cut.problem import Panel, Pattern, Problem, Run


def broken_rules(problem: Problem, runs: Sequence[Run]) -> tuple[str, ...]:
    """What is wrong with a plan, one line per broken rule; empty when it is sound."""
    broken: list[str] = []
    made = [0] * len(problem.sizes)
    for number, run in enumerate(runs, start=1):
        broken += [f"pattern {number}: {fault}" for fault in _pattern_faults(problem, run)]
        for size, count in _pieces(run.pattern):
            if 0 <= size < len(made):
                made[size] += count * run.sheets
    for wanted, pieces in zip(problem.sizes, made, strict=True):
        if pieces < wanted.demand:
            broken.append(f"{wanted.cut_size_id}: {pieces} pieces for a demand of {wanted.demand}")
    return tuple(broken)


def cost_of(problem: Problem, runs: Sequence[Run]) -> int:
    """Cost of all parents, in units of cost."""
    total = 0
    for pattern, sheets in runs:
        panel = problem.panels[pattern.panel]
        if panel.free == "none":
            total += panel.cost * sheets
        else:
            strips, stack = _rooms_taken(problem, pattern)
            length = strips if panel.free == "strip" else stack
            total += panel.cost * (length + panel.trims_ticks) * sheets
    return total


def _pattern_faults(problem: Problem, run: Run) -> list[str]:
    pattern, faults = run.pattern, []
    if run.sheets < 1:
        faults.append(f"cut {run.sheets} times")
    if not 0 <= pattern.panel < len(problem.panels):
        return [*faults, "no such panel"]
    pieces = _pieces(pattern)
    if not pieces:
        return [*faults, "no pieces"]
    if any(not 0 <= size < len(problem.sizes) for size, _ in pieces):
        return [*faults, "no such size"]
    if any(count < 1 for _, count in pieces):
        faults.append("a cell without a piece")
    faults += _turn_faults(problem, pattern)
    kinds = len({size for size, _ in pieces})
    if problem.max_sizes is not None and kinds > problem.max_sizes:
        faults.append(f"{kinds} sizes on a parent, at most {problem.max_sizes}")
    return faults + _room_faults(problem, pattern, problem.panels[pattern.panel])


def _turn_faults(problem: Problem, pattern: Pattern) -> list[str]:
    turned = {cells.size for strip in pattern.strips for cells in strip if cells.turned}
    return [
        f"{problem.sizes[size].cut_size_id} turned against the grain"
        for size in sorted(turned)
        if not problem.sizes[size].may_turn
    ]


def _room_faults(problem: Problem, pattern: Pattern, panel: Panel) -> list[str]:
    strips, stack = _rooms_taken(problem, pattern)
    faults = []
    if strips > panel.strip_ticks:
        faults.append(f"a strip takes {strips} of {panel.strip_ticks} ticks")
    if stack > panel.stack_ticks:
        faults.append(f"the strips take {stack} of {panel.stack_ticks} ticks")
    return faults


def _rooms_taken(problem: Problem, pattern: Pattern) -> tuple[int, int]:
    """Longest strip, and all strips' heights together."""
    grain_along_strip = problem.panels[pattern.panel].is_grain_along_strip
    longest = stack = 0
    for strip in pattern.strips:
        length = height = 0
        for cells in strip:
            size = problem.sizes[cells.size]
            sides = (size.width_ticks, size.height_ticks)
            along, across = reversed(sides) if grain_along_strip != cells.turned else sides
            length += along * cells.pieces
            height = max(height, across)
        longest = max(longest, length)
        stack += height
    return longest, stack


def _pieces(pattern: Pattern) -> list[tuple[int, int]]:
    return [(cells.size, cells.pieces) for strip in pattern.strips for cells in strip]
