"""Last touches on a plan: no pieces beyond the demand where that costs no set-up, stock on hand before bought stock."""

from collections.abc import Sequence
from fractions import Fraction

from pipeline.solve.cut.columns import clip
from pipeline.solve.cut.problem import (
    Pattern,
    Problem,
    Run,
    free_ticks,
    join_runs,
    pattern_cost,
    piece_counts,
    stack_height,
    strip_run,
)


def without_surplus(problem: Problem, runs: Sequence[Run]) -> tuple[Run, ...]:
    """The runs without pieces beyond the demand, as far as all parents of a run can do without them."""
    surplus = [-size.demand for size in problem.sizes]
    for run in runs:
        for size, count in enumerate(piece_counts(problem, run.pattern)):
            surplus[size] += count * run.sheets
    lean = []
    for run in sorted(runs, key=lambda run: (-run.sheets, run.pattern)):
        counts = piece_counts(problem, run.pattern)
        cut_away = [
            min(count, max(0, extra) // run.sheets) for count, extra in zip(counts, surplus, strict=True)
        ]
        most = [count - away for count, away in zip(counts, cut_away, strict=True)]
        surplus = [extra - away * run.sheets for extra, away in zip(surplus, cut_away, strict=True)]
        pattern = clip(problem, run.pattern, most)
        if pattern.strips:
            lean.append(Run(pattern, run.sheets))
    return join_runs(problem, lean)


def stock_taken(problem: Problem, runs: Sequence[Run]) -> dict[str, int]:
    """Parents of each stock line; of a roll, ticks of length."""
    taken: dict[str, int] = {panel.stock_id: 0 for panel in problem.panels}
    for run in runs:
        taken[problem.panels[run.pattern.panel].stock_id] += _taken_by(problem, run.pattern) * run.sheets
    return taken


def bought_cost(problem: Problem, runs: Sequence[Run]) -> Fraction:
    """Cost of what the runs take beyond the stock on hand."""
    unit_costs = {panel.stock_id: panel.cost for panel in problem.panels}
    on_hand = dict(problem.on_hand)
    return sum(
        (
            max(Fraction(0), taken - on_hand.get(stock_id, Fraction(0))) * unit_costs[stock_id]
            for stock_id, taken in stock_taken(problem, runs).items()
        ),
        Fraction(0),
    )


def with_stock_on_hand(problem: Problem, runs: Sequence[Run]) -> tuple[Run, ...]:
    """The runs with parents moved to stock on hand where that costs the same."""
    left = {stock_id: amount for stock_id, amount in problem.on_hand}
    for stock_id, taken in stock_taken(problem, runs).items():
        left[stock_id] = left.get(stock_id, Fraction(0)) - taken
    moved: list[Run] = []
    for run in runs:
        sheets = run.sheets
        for twin in _twins(problem, run.pattern):
            own, other = (problem.panels[p.panel].stock_id for p in (run.pattern, twin))
            missing, spare = -left[own], left[other]
            own_each, other_each = _taken_by(problem, run.pattern), _taken_by(problem, twin)
            times = min(sheets, -(-missing // own_each), spare // other_each)
            if times > 0:
                moved.append(Run(twin, int(times)))
                sheets -= int(times)
                left[own] += own_each * int(times)
                left[other] -= other_each * int(times)
        moved.append(Run(run.pattern, sheets))
    return join_runs(problem, moved)


def _twins(problem: Problem, pattern: Pattern) -> list[Pattern]:
    """The same strips on panels of other stock lines, at the same cost."""
    own = problem.panels[pattern.panel]
    twins = []
    for index, panel in enumerate(problem.panels):
        twin = Pattern(index, pattern.strips)
        if (
            panel.stock_id != own.stock_id
            and panel.is_grain_along_strip == own.is_grain_along_strip
            and stack_height(problem, twin) <= panel.stack_ticks
            and all(strip_run(problem, index, strip) <= panel.strip_ticks for strip in twin.strips)
            and pattern_cost(problem, twin) == pattern_cost(problem, pattern)
        ):
            twins.append(twin)
    return twins


def _taken_by(problem: Problem, pattern: Pattern) -> int:
    return 1 if problem.panels[pattern.panel].free == "none" else free_ticks(problem, pattern)
