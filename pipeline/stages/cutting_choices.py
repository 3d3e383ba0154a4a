"""11 publish: the plan's cutting set beside other ways, so that the lab lead sees what each choice buys.

Greatest clearance against number of sizes, parents and cost; few or many sizes on a parent; and what a planner's
usual way, or sizes chosen without the sheet in view, would take. All are cut with the quick effort, each figure with
its own proven bound: they compare with each other, the plan itself was searched for longer. A quick plan is compared
with the usual way alone.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from math import ceil, floor
from typing import Any

import polars as pl

from pipeline.contracts import TABLES
from pipeline.frames import Frames, figures
from pipeline.settings import Settings
from pipeline.solve.cut.baseline import usual_way
from pipeline.solve.cut.problem import Problem, Run
from pipeline.solve.cut.solver import QUICK_EFFORT, plan_priced
from pipeline.solve.cut.supplies import token_cost
from pipeline.solve.cut.tables import Job, Rules, currency, is_uncuttable, read_jobs, read_rules
from pipeline.solve.cut.turning import turn_by_bounds
from pipeline.solve.size.model import quick_limits
from pipeline.solve.size.problem import (
    CutSize,
    SizeProblem,
    SizeSolution,
    ideal_leaf,
    size_problems,
    solution_tables,
)
from pipeline.solve.size.search import sizes_in_view
from pipeline.solve.workers import solve_all
from pipeline.stages.size import find_windows
from pipeline.units import FLOOR_GUARD, PCT_OF_WHOLE

CHOICE_READS = (
    "work.pinned_sizes",
    "work.interleaves",
    "work.size_windows",
    "work.cut_sizes",
    "work.cut_sizes_apart",
    "work.cut_size_bounds",
    "work.paper_properties",
    "clean.volumes",
    "clean.papers",
    "clean.stock",
    "clean.campaign",
    "policy.figures",
)
"""Tables that compare_cutting reads."""
FEW_SIZES = (1, 2, 3)
ANY_NUMBER = 10_000
"""More sizes than any parent holds: no limit."""
MOST_CLEARANCE = "size.most_clearance_mm"
STEPS_MM = {"usual": 2, "thorough": 1}
"""Steps of the greatest clearance, by effort; a quick plan compares none."""
LEAST_STEP_MM = 1.0
"""Limits of clearance nearer than this to the least clearance may leave a page no whole step."""


TABLE_NAMES = ("work.clearance_choices", "work.sizes_per_sheet_choices", "work.cutting_ways")
NO_STOCK = "at this limit some leaf fits no stock of its paper"
Rows = list[dict[str, Any]]


@dataclass(frozen=True, kw_only=True)
class _Sizes:
    """Sizes of all papers: how many, the proven least, and the frames with them as work.demands."""

    counts: dict[str, int]
    least: dict[str, int]
    frames: Frames


@dataclass(frozen=True, kw_only=True)
class _Cutting:
    """What the cutting of one paper takes. No bound: a way that is not searched for the least."""

    paper_id: str
    parents: int
    patterns: int
    cost: float
    bound: float | None


def compare_cutting(frames: Frames, settings: Settings) -> Frames:
    """work.clearance_choices, work.sizes_per_sheet_choices and work.cutting_ways.

    Reads what CHOICE_READS names. Empty tables when nothing is cut; in a quick plan the usual way alone.
    """
    if frames["work.size_windows"].is_empty():
        return _tables([], [], [])
    problems, policy = size_problems(frames), figures(frames)
    own = _solved_sizes(frames, problems, [own_solution(problem) for problem in problems])
    usual_ways = _way_rows("usual", own, _cut_usually(own.frames))
    if settings.is_quick:
        return _tables([], [], usual_ways)
    bounds = frames["work.cut_size_bounds"]
    in_view = _sizes_of(frames, frames["work.cut_sizes"], bounds)
    apart = _sizes_of(frames, frames["work.cut_sizes_apart"], bounds)
    tried = tried_clearances_mm(policy, step_mm=STEPS_MM[settings.effort])
    others = [limit_mm for limit_mm in tried if limit_mm != policy[MOST_CLEARANCE]]
    within = dict(zip(others, _sizes_within(frames, others, settings), strict=True))
    numbers = [most for most in _sizes_a_sheet(frames) if most != _own_sizes_a_sheet(frames)]
    cases = [in_view.frames, apart.frames, *(within[limit_mm].frames for limit_mm in others)]
    planned, cut_apart, *cut = _cut_each([*cases, *(_limited(in_view.frames, most) for most in numbers)])
    by_limit = dict(zip(others, cut, strict=False)) | {policy[MOST_CLEARANCE]: planned}
    by_number = dict(zip(numbers, cut[len(others) :], strict=True)) | {_own_sizes_a_sheet(frames): planned}
    clearances = [
        _clearance_row(limit_mm, within.get(limit_mm, in_view), by_limit[limit_mm])
        | {"is_planned": limit_mm not in within}
        for limit_mm in tried
    ]
    ways = [
        *usual_ways,
        *_way_rows("sizes_apart", apart, cut_apart),
        *_way_rows("sizes_in_view", in_view, planned),
    ]
    return _tables(clearances, _sizes_per_sheet_rows(frames, by_number), ways)


def _tables(clearances: Rows, sizes_per_sheet: Rows, ways: Rows) -> Frames:
    found = (clearances, sizes_per_sheet, ways)
    return {name: TABLES[name].frame(rows) for name, rows in zip(TABLE_NAMES, found, strict=True)}


def tried_clearances_mm(policy: dict[str, float], *, step_mm: int = 1) -> list[float]:
    """Greatest clearances to compare: steps from the policy's least to its most tried, and the plan's own."""
    first, last = policy["size.least_tried_clearance_mm"], policy["size.most_tried_clearance_mm"]
    tried = {first + step for step in range(0, floor(last - first + FLOOR_GUARD) + 1, step_mm)}
    least = policy["size.least_clearance_mm"] + LEAST_STEP_MM
    return sorted({limit for limit in tried if limit >= least} | {policy[MOST_CLEARANCE]})


def own_solution(problem: SizeProblem) -> SizeSolution:
    """A planner's usual way: a leaf for each page size, at the ideal clearance where the stock allows it."""
    leaves = [ideal_leaf(window, problem.length_unit) for window in problem.windows]
    sizes = tuple(CutSize(leaf=leaf, windows=(number,)) for number, leaf in enumerate(leaves))
    return SizeSolution(paper_id=problem.paper_id, sizes=sizes, lower_bound=len(sizes), strangers=())


def _sizes_within(frames: Frames, limits_mm: Sequence[float], settings: Settings) -> list[_Sizes]:
    """Sizes with the sheet in view at other greatest clearances; the papers of all of them side by side."""
    changed = [_with_clearance(frames, limit_mm, settings) for limit_mm in limits_mm]
    problems = [size_problems(case) for case in changed]
    solve_one = partial(sizes_in_view, limits=quick_limits(settings.seed))
    every = [problem for case in problems for problem in case]
    solved = iter(solve_all(solve_one, every, weigh=lambda problem: len(problem.windows)))
    return [
        _solved_sizes(case, of_case, [next(solved) for _ in of_case])
        for case, of_case in zip(changed, problems, strict=True)
    ]


def _with_clearance(frames: Frames, most_clearance_mm: float, settings: Settings) -> Frames:
    """The tables with another greatest clearance, and the windows that follow from it."""
    entries = frames["policy.figures"].with_columns(
        value=pl.when(pl.col("key") == MOST_CLEARANCE).then(most_clearance_mm).otherwise(pl.col("value"))
    )
    changed = frames | {"policy.figures": entries}
    return changed | find_windows(changed, settings)


def _solved_sizes(
    frames: Frames, problems: Sequence[SizeProblem], solutions: Sequence[SizeSolution]
) -> _Sizes:
    tables = solution_tables(problems, solutions, frames["work.size_windows"])
    return _sizes_of(frames, tables["work.cut_sizes"], tables["work.cut_size_bounds"])


def _sizes_of(frames: Frames, sizes: pl.DataFrame, bounds: pl.DataFrame) -> _Sizes:
    spares = spare_sheets(frames)
    demands = [row | {"spares": spares(row["sheets"])} for row in sizes.iter_rows(named=True)]
    return _Sizes(
        counts=dict(bounds.select("paper_id", "cut_sizes").iter_rows()),
        least=dict(bounds.select("paper_id", "lower_bound").iter_rows()),
        frames=frames | {"work.demands": TABLES["work.demands"].frame(demands)},
    )


def spare_sheets(frames: Frames) -> Callable[[int], int]:
    """Spares by planned sheets: the campaign's share, rounded up, and at least the policy's number."""
    pct = frames["clean.campaign"]["spares_pct"].item()
    least = ceil(figures(frames)["cut.least_spares_per_size_sheets"] - FLOOR_GUARD)
    return lambda sheets: max(ceil(sheets * pct / PCT_OF_WHOLE - FLOOR_GUARD), least)


def _cut_each(cases: Sequence[Frames]) -> list[list[_Cutting]]:
    """The cutting of every paper of every case with the quick effort, side by side.

    None for a case in which some leaf fits no stock.
    """
    rules = [read_rules(frames) for frames in cases]
    jobs = [list(read_jobs(frames, rule)) for frames, rule in zip(cases, rules, strict=True)]
    for of_case, rule in zip(jobs, rules, strict=True):
        if any(is_uncuttable(job, rule) for job in of_case):
            of_case.clear()
    pairs = [(job, rule) for of_case, rule in zip(jobs, rules, strict=True) for job in of_case]
    done = iter(solve_all(_cut_quickly, pairs, weigh=lambda pair: len(pair[0].sizes)))
    return [[next(done) for _ in of_case] for of_case in jobs]


def _cut_quickly(pair: tuple[Job, Rules]) -> _Cutting:
    job, rules = pair
    priced = turn_by_bounds(job, rules)
    answer = plan_priced(priced, effort=QUICK_EFFORT)
    bound = max(0.0, float(answer.bound * priced.problem.cost_unit) - token_cost(job.lines, job.sizes))
    return _cutting(job, priced.problem, answer.runs, bound)


def _cut_usually(frames: Frames) -> list[_Cutting]:
    """One size on a parent, pieces all one way round, each size from the stock that is cheapest for it."""
    rules = read_rules(frames)
    found = []
    for job in read_jobs(frames, rules):
        problem = job.problem(rules, turning=job.grain_rule == "ignore")
        found.append(_cutting(job, problem, usual_way(problem), None))
    return found


def _cutting(job: Job, problem: Problem, runs: Sequence[Run], bound: float | None) -> _Cutting:
    return _Cutting(
        paper_id=job.paper_id,
        parents=sum(run.sheets for run in runs),
        patterns=len(runs),
        cost=currency(problem, runs),
        bound=bound,
    )


def _clearance_row(limit_mm: float, sizes: _Sizes, cuttings: Sequence[_Cutting]) -> dict[str, Any]:
    row = {
        "most_clearance_mm": limit_mm,
        "cut_sizes": sum(sizes.counts.values()),
        "lower_bound": sum(sizes.least.values()),
        "reason": "" if cuttings else NO_STOCK,
    }
    return row | (_totals(cuttings) if cuttings else {})


def _own_sizes_a_sheet(frames: Frames) -> int:
    return int(frames["clean.campaign"]["max_sizes_per_sheet"].item())


def _sizes_a_sheet(frames: Frames) -> list[int | None]:
    """One, two, three sizes on a parent, the campaign's number, and any number."""
    return [*sorted({*FEW_SIZES, _own_sizes_a_sheet(frames)}), None]


def _limited(frames: Frames, most: int | None) -> Frames:
    """The tables with another number of sizes on a parent."""
    number = pl.lit(most or ANY_NUMBER, dtype=pl.Int64)
    return frames | {"clean.campaign": frames["clean.campaign"].with_columns(max_sizes_per_sheet=number)}


def _sizes_per_sheet_rows(frames: Frames, cuttings: Mapping[int | None, Sequence[_Cutting]]) -> Rows:
    own = _own_sizes_a_sheet(frames)
    return [
        {"choice_no": number, "max_sizes_per_sheet": most, "is_planned": most == own}
        | _totals(cuttings[most])
        for number, most in enumerate(_sizes_a_sheet(frames), start=1)
    ]


def _totals(cuttings: Sequence[_Cutting]) -> dict[str, float]:
    return {
        "parents_count": sum(cutting.parents for cutting in cuttings),
        "patterns_count": sum(cutting.patterns for cutting in cuttings),
        "cost_needed": sum(cutting.cost for cutting in cuttings),
        "cost_lower_bound": sum(cutting.bound or 0.0 for cutting in cuttings),
    }


def _way_rows(way: str, sizes: _Sizes, cuttings: Sequence[_Cutting]) -> Rows:
    return [
        {
            "way": way,
            "paper_id": cutting.paper_id,
            "cut_sizes": sizes.counts[cutting.paper_id],
            "parents_count": cutting.parents,
            "patterns_count": cutting.patterns,
            "cost_needed": cutting.cost,
            "cost_lower_bound": cutting.bound,
        }
        for cutting in cuttings
    ]
