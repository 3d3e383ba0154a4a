"""Stage 07 size: what each volume accepts, and the fewest cut sizes that serve all volumes of a paper."""

from functools import partial
from typing import NamedTuple

import polars as pl

from pipeline import units
from pipeline.contracts import TABLES
from pipeline.errors import ContractError, Finding, InventoryRefusedError
from pipeline.frames import Frames, figures
from pipeline.settings import Settings
from pipeline.solve.outcome import Outcome, outcome_rows
from pipeline.solve.size.baseline import own_sizes
from pipeline.solve.size.check import check_solution, paper_taken_mm2
from pipeline.solve.size.costs import taken_paper_mm2
from pipeline.solve.size.model import Limits, quick_limits
from pipeline.solve.size.problem import SizeProblem, SizeSolution, size_problems, solution_tables
from pipeline.solve.size.search import SizeAnswer, solve_sizes
from pipeline.solve.workers import solve_all

STAGE = "size"

WINDOW_READS = (
    "work.interleaves",
    "work.pinned_sizes",
    "clean.volumes",
    "clean.campaign",
    "policy.figures",
)
"""Tables that find_windows reads."""

COVER_READS = (
    "work.size_windows",
    "clean.campaign",
    "clean.papers",
    "clean.stock",
    "policy.figures",
)
"""Tables that cover_sizes reads."""

COVER_WRITES = (
    "work.cut_sizes",
    "work.cut_size_volumes",
    "work.cut_size_bounds",
    "work.cut_sizes_apart",
)
"""Tables that cover_sizes makes."""


class _Row(NamedTuple):
    """What differs between the log's rows of a paper."""

    what: str
    method: str
    objective: int
    bound: int
    seconds: float = 0.0
    limit_hit: str = ""


def find_windows(frames: Frames, settings: Settings) -> Frames:
    """The cut sizes each volume accepts, ticks. One row per volume and paper with sheets.

    Page less the greatest clearance, rounded up, to page less the least, rounded down. Trade model, section 6.
    A volume for which leaves lie ready from an earlier cut takes their size. Reads work.interleaves,
    work.pinned_sizes, clean.volumes, clean.campaign, policy.figures. Raises InventoryRefusedError when the
    policy's clearances leave a volume no whole tick.
    """
    unit = str(frames["clean.campaign"]["length_unit"].item())
    policy = figures(frames)
    needs = (
        frames["work.interleaves"]
        .filter(pl.col("sheets") > 0)
        .group_by("volume_id", "paper_id")
        .agg(pl.col("sheets").sum())
        .join(
            frames["clean.volumes"].select("volume_id", "page_width_mm", "page_height_mm"),
            on="volume_id",
            how="inner",
        )
        .sort("volume_id", "paper_id")
    )
    pinned = _pinned(frames, unit)
    rows = [
        row | (_window(row, policy, unit) | pinned.get((row["volume_id"], row["paper_id"]), {}))
        for row in needs.iter_rows(named=True)
    ]
    _refuse_empty(rows)
    return {"work.size_windows": TABLES["work.size_windows"].frame(rows)}


def _pinned(frames: Frames, unit: str) -> dict[tuple[str, str], dict[str, float]]:
    """The one size that volumes take of whose paper leaves lie ready, by volume and paper, in ticks."""
    pinned: dict[tuple[str, str], dict[str, float]] = {}
    for row in frames["work.pinned_sizes"].iter_rows(named=True):
        width, height = (units.ticks_down(row[f"{side}_mm"], unit) for side in ("width", "height"))
        pinned[row["volume_id"], row["paper_id"]] = {
            "least_width_ticks": width,
            "most_width_ticks": width,
            "least_height_ticks": height,
            "most_height_ticks": height,
        }
    return pinned


def _window(page: dict[str, float], policy: dict[str, float], unit: str) -> dict[str, float]:
    window: dict[str, float] = {}
    for side in ("width", "height"):
        page_mm = page[f"page_{side}_mm"]
        window |= {
            f"ideal_{side}_mm": max(0.0, page_mm - policy["size.ideal_clearance_mm"]),
            f"least_{side}_ticks": max(1, units.ticks_up(page_mm - policy["size.most_clearance_mm"], unit)),
            f"most_{side}_ticks": units.ticks_down(page_mm - policy["size.least_clearance_mm"], unit),
        }
    return window


def _refuse_empty(rows: list[dict[str, float]]) -> None:
    findings = [
        Finding(
            code="no_cut_size",
            level="error",
            sheet="policy",
            volume_id=str(row["volume_id"]),
            message=f"no cut size in whole steps lies between the clearances for volume {row['volume_id']}",
            action="set size.least_clearance_mm and size.most_clearance_mm at least 1 mm apart, below the page's size",
        )
        for row in rows
        if row["least_width_ticks"] > row["most_width_ticks"]
        or row["least_height_ticks"] > row["most_height_ticks"]
    ]
    if findings:
        raise InventoryRefusedError(findings)


def cover_sizes(frames: Frames, settings: Settings) -> Frames:
    """Cut sizes, the volumes they serve, and the least number proven for each paper; a row in the log per search.

    work.cut_sizes_apart holds as many sizes, nearest the ideal, as they would be without the sheet in view; in a
    draft and in a quick plan the plan's own. A draft's searches are not logged.
    Reads work.size_windows, clean.campaign, clean.papers, clean.stock, policy.figures. Raises ContractError when a
    solution breaks a rule of its own check.
    """
    limits = quick_limits(settings.seed) if settings.is_quick else Limits(seed=settings.seed)
    problems = size_problems(frames)
    solutions: list[SizeSolution] = []
    nearest: list[SizeSolution] = []
    outcomes: list[Outcome] = []
    solve_one = partial(solve_sizes, limits=limits, seeks_nearest=not settings.is_quick)
    answers = solve_all(solve_one, problems, weigh=lambda problem: len(problem.windows))
    for problem, answer in zip(problems, answers, strict=True):
        broken = check_solution(problem, answer.solution)
        if broken:
            raise ContractError(f"cut sizes of {problem.paper_id}: {'; '.join(broken)}")
        solutions.append(answer.solution)
        nearest.append(answer.nearest_solution)
        outcomes += [] if settings.is_draft else _outcomes(problem, answer, settings)
    tables = solution_tables(problems, solutions, frames["work.size_windows"])
    near = solution_tables(problems, nearest, frames["work.size_windows"])
    tables["work.cut_sizes_apart"] = near["work.cut_sizes"]
    return tables | {"log.solve": outcome_rows(outcomes)}


def _outcomes(problem: SizeProblem, answer: SizeAnswer, settings: Settings) -> list[Outcome]:
    """Rows of the log for one paper: the planner's usual way, the number of sizes, both placings and their paper.

    Paper is that of layouts of one size on a sheet, before patterns are made; the sheet in view saves the
    difference of the two rows. A quick plan has no placing nearest the ideal.
    """
    cover, nearest, in_view = answer.cover, answer.nearest, answer.in_view
    bound, least_paper = answer.solution.lower_bound, least_paper_taken_mm2(problem)
    paper_near, paper_seen = (
        paper_taken_mm2(problem, found) for found in (answer.nearest_solution, answer.solution)
    )
    seconds = answer.seconds
    rows = [
        _Row("sizes", "a size for each page size", own_sizes(problem.windows), bound),
        _Row("sizes", "clique cover", len(answer.solution.sizes), bound, seconds[0], cover.limit_hit),
        _Row("off ideal, um", "nearest", nearest.cost, nearest.bound, seconds[1], nearest.limit_hit),
        _Row(
            "paper and off ideal, mm2", "in view", in_view.cost, in_view.bound, seconds[2], in_view.limit_hit
        ),
        _Row("paper, mm2", "nearest, one size a sheet", paper_near, least_paper),
        _Row("paper, mm2", "in view, one size a sheet", paper_seen, least_paper),
    ]
    if settings.is_quick:
        rows = [row for row in rows if not row.method.startswith("nearest")]
    return [
        Outcome(
            stage=STAGE,
            part=f"{problem.paper_id}: {row.what}",
            method=row.method,
            status="optimal" if row.objective == row.bound else "feasible",
            objective=row.objective,
            bound=row.bound,
            seconds=row.seconds,
            seed=settings.seed,
            limit_hit=row.limit_hit,
        )
        for row in rows
    ]


def least_paper_taken_mm2(problem: SizeProblem) -> int:
    """Paper if each window had the leaf that takes least of it, mm2, by layouts of one size."""
    paper = taken_paper_mm2(problem)
    return sum(paper.least(number) for number in range(len(problem.windows)))
