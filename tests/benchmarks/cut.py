"""`python -m tests.benchmarks.cut [SET ...]`: bounds and plans of published and made cutting cases, as a table.

Sets: cintra_two_stage, cintra_two_stage_turned, paper_synthetic, cintra_three_stage (data in tests/outside/data,
sources named there), the path of a file in their layout, low_demand, the trade's usual case, made here from seeds:
5 to 30 leaves of a size, and offcuts: of the same cases what useful off-cuts spare, in a table of its own. Without an
argument all are run, with the thorough effort; some minutes. The listed best plans of cintra_three_stage have three
stages: our two against them show what a third would save.
"""

import sys
import time
from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import ceil

from pipeline.solve.cut.baseline import usual_way
from pipeline.solve.cut.check import broken_rules, cost_of
from pipeline.solve.cut.offcuts import Handling, use_offcuts
from pipeline.solve.cut.problem import Panel, Problem, Run
from pipeline.solve.cut.solver import THOROUGH_EFFORT, solve
from tests.outside.cutting_cases import SETS, Instance, instances
from tests.solve.cut_cases import low_demand, sheet

SMALL_SHEET = (1208, 1816, 60)
"""610 x 914 mm less 3 mm a side, in half millimetres, at 0.60."""
LARGE_SHEET = (1614, 2020, 91)
"""813 x 1016 mm less 3 mm a side, at 0.91."""
HEADINGS = (
    "case",
    "sizes",
    "sizes a sheet",
    "bound",
    "listed bound",
    "cost",
    "listed best",
    "gap %",
    "dearest sheets above the bound",
    "patterns",
    "usual way",
    "its set-ups",
    "seconds",
)


OFFCUT_HEADINGS = (
    "case",
    "sizes",
    "sizes a sheet",
    "sheets",
    "spared without work",
    "cost saved %",
    "seconds",
)
USEFUL_SIDES = (300, 400)
"""150 x 200 mm, in half millimetres."""
NO_WORK = Handling(
    setup_cost=0.0,
    lift_cost=0.0,
    keeping_cost=0.0,
    sheets_a_lift=500,
    longest_cut_ticks=2300,
    least_sides_ticks=USEFUL_SIDES,
)
"""What could be spared if set-ups and keeping cost nothing; a guillotine of 1150 mm."""


def main() -> None:
    """Print one row per case and the mean gap of each set, then what off-cuts spare."""
    names = sys.argv[1:] or [*SETS, "low_demand", "offcuts"]
    if names != ["offcuts"]:
        _head(HEADINGS)
    for name in (name for name in names if name != "offcuts"):
        gaps = [_row(one) for one in (_low_demand() if name == "low_demand" else instances(name))]
        print(f"| mean of {name} | | | | | | | {100 * sum(gaps) / len(gaps):.3f} |" + " |" * 5, flush=True)
    if "offcuts" in names:
        _offcuts()


def _head(headings: Sequence[str]) -> None:
    print("| " + " | ".join(headings) + " |")
    print("| --- |" + " --- |" * (len(headings) - 1))


def _offcuts() -> None:
    """Print what off-cuts spare of the plans of the usual effort, with one, two and three sizes on a sheet."""
    _head(OFFCUT_HEADINGS)
    small, large = _both_ways("A", *SMALL_SHEET), _both_ways("B", *LARGE_SHEET)
    for most in (1, 2, 3):
        saved = [
            _offcut_row(label, low_demand(sizes, sizes, panels, max_sizes=most))
            for label, panels in (("small sheet", small), ("large sheet", large))
            for sizes in (5, 10, 20)
        ]
        mean = 100 * sum(saved) / len(saved)
        print(f"| mean of {most} sizes a sheet | | | | | {mean:.2f} | |", flush=True)


def _offcut_row(label: str, given: Problem) -> float:
    """Print the row of a case; the share of the cost saved. Fails on a plan that breaks a rule."""
    runs = solve(given).runs
    started = time.process_time()
    reuse = use_offcuts(given, runs, NO_WORK)
    seconds = time.process_time() - started
    if reuse and (broken := broken_rules(reuse.problem, reuse.runs)):
        raise SystemExit(f"{label}: {broken}")
    spared = reuse.spared if reuse else ()
    saved = cost_of(given, spared) / cost_of(given, runs)
    sheets, fewer = (sum(run.sheets for run in listed) for listed in (runs, spared))
    cells = (label, len(given.sizes), given.max_sizes, sheets, fewer, f"{100 * saved:.2f}", f"{seconds:.1f}")
    print("| " + " | ".join(str(cell) for cell in cells) + " |", flush=True)
    return saved


def _row(one: Instance) -> float:
    """Print the row of a case; its gap as a share of the bound. Fails on a plan that breaks a rule."""
    started = time.process_time()
    answer = solve(one.problem, effort=THOROUGH_EFFORT)
    seconds = time.process_time() - started
    broken = broken_rules(one.problem, answer.runs)
    if broken:
        raise SystemExit(f"{one.name}: {broken}")
    cost, usual = cost_of(one.problem, answer.runs), usual_way(one.problem)
    gap, dearest = Fraction(cost) / answer.bound - 1, max(panel.cost for panel in one.problem.panels)
    cells = (
        one.name,
        len(one.problem.sizes),
        one.problem.max_sizes or "any",
        ceil(answer.bound),
        _listed(one.listed_bound),
        cost,
        _listed(one.listed_best),
        f"{100 * float(gap):.3f}",
        f"{float((cost - answer.bound) / dearest):.2f}",
        _patterns(answer.runs),
        cost_of(one.problem, usual),
        _patterns(usual),
        f"{seconds:.1f}",
    )
    print("| " + " | ".join(str(cell) for cell in cells) + " |", flush=True)
    return float(gap)


def _listed(value: float | None) -> str:
    return "" if value is None else f"{value:.10g}"


def _patterns(runs: tuple[Run, ...]) -> int:
    return len(runs)


def _low_demand() -> Iterator[Instance]:
    small, large = _both_ways("A", *SMALL_SHEET), _both_ways("B", *LARGE_SHEET)
    for label, panels in (("small sheet", small), ("large sheet", large), ("both sheets", small + large)):
        for sizes in (5, 10, 20, 40):
            for most in (3, None):
                made = low_demand(sizes, sizes, panels, max_sizes=most)
                yield Instance(f"low demand, {label}", made, None, None)


def _both_ways(stock_id: str, width: int, length: int, cost: int) -> tuple[Panel, ...]:
    return (
        sheet(width, length, cost=cost, stock_id=stock_id),
        sheet(length, width, cost=cost, stock_id=stock_id, across_width=False),
    )


if __name__ == "__main__":
    main()
