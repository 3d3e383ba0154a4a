"""08 cut: every paper's cut sizes onto its sheets and rolls, at the least cost, with a proven bound."""

import time
from collections.abc import Sequence
from functools import partial
from typing import NamedTuple

import polars as pl

from pipeline.contracts import TABLES
from pipeline.errors import Finding, InventoryRefusedError
from pipeline.frames import Frames
from pipeline.settings import Settings
from pipeline.solve.cut.offcut_model import SEED as OFFCUT_SEED
from pipeline.solve.cut.offcut_tables import handling_of, read_handling, spared_rows
from pipeline.solve.cut.offcuts import Handling, use_offcuts
from pipeline.solve.cut.problem import Size
from pipeline.solve.cut.solver import EFFORTS, plan_priced
from pipeline.solve.cut.supplies import nearest_stock, reasons_uncuttable, token_cost
from pipeline.solve.cut.tables import (
    CutJob,
    Job,
    Rules,
    currency,
    pattern_rows,
    read_jobs,
    read_rules,
    stock_lines,
)
from pipeline.solve.cut.turning import Planner, choose_turning
from pipeline.solve.outcome import Outcome, outcome_rows
from pipeline.solve.workers import solve_all

CUT_READS = (
    "work.demands",
    "work.cut_size_volumes",
    "clean.papers",
    "clean.stock",
    "clean.campaign",
    "clean.rates",
    "clean.staff",
    "work.paper_properties",
    "policy.figures",
)
"""Tables that cut_sheets reads."""


def cut_sheets(frames: Frames, settings: Settings) -> Frames:
    """Patterns, their pieces and off-cuts, and the proven least cost of each paper with sheets.

    Two-stage cutting within the rules of the trade model, section 7; least cost first. Where useful off-cuts spare
    fresh parents at less than they cost, leaves are cut from those (not in a draft); the proven least is that of fresh
    parents. Raises
    InventoryRefusedError when a size cannot be cut from any stock of its paper, with the reasons.
    """
    rules = read_rules(frames)
    jobs = read_jobs(frames, rules)
    refuse_uncuttable(jobs, rules, frames)
    planned = partial(plan_priced, seed=settings.seed, effort=EFFORTS[settings.effort])
    bench = _Bench(rules, None if settings.is_draft else read_handling(frames, rules))
    cut_one = partial(_cut_paper, bench=bench, planned=planned, seed=settings.seed)
    done = solve_all(cut_one, jobs, weigh=lambda job: len(job.sizes))
    cuts = [cut for cut, _ in done]
    patterns, pieces, offcuts = pattern_rows(cuts, rules)
    bounds = [{"paper_id": cut.job.paper_id, "cost_lower_bound": outcomes[0].bound} for cut, outcomes in done]
    return {
        "work.patterns": TABLES["work.patterns"].frame(patterns),
        "work.pattern_pieces": TABLES["work.pattern_pieces"].frame(pieces),
        "work.offcuts": TABLES["work.offcuts"].frame(offcuts),
        "work.cut_bounds": TABLES["work.cut_bounds"].frame(bounds),
        "work.offcut_savings": TABLES["work.offcut_savings"].frame(spared_rows(cuts, rules)),
        "log.solve": outcome_rows([outcome for _, outcomes in done for outcome in outcomes]),
    }


def refuse_uncuttable(jobs: tuple[Job, ...], rules: Rules, frames: Frames) -> None:
    """Raises InventoryRefusedError naming every size that no stock of its paper can give, why, and what would do."""
    findings = []
    for job in jobs:
        for size in job.sizes:
            reasons = reasons_uncuttable(size, job.lines, bench=rules.bench, rule=job.grain_rule)
            if reasons:
                findings.append(_uncuttable(job, size, reasons, _Around(rules, frames)))
    if findings:
        raise InventoryRefusedError(findings)


class _Around(NamedTuple):
    """What a finding says beyond the size: the volumes served and the stocks of all papers."""

    rules: Rules
    frames: Frames


def _uncuttable(job: Job, size: Size, reasons: Sequence[str], around: _Around) -> Finding:
    served = around.frames["work.cut_size_volumes"].filter(pl.col("cut_size_id") == size.cut_size_id)
    volumes = ", ".join(sorted(served["volume_id"].to_list())) or "no volume"
    lines = stock_lines(around.frames["clean.stock"])
    nearest = nearest_stock(size, lines, bench=around.rules.bench, rule=job.grain_rule)
    would_do = f"the nearest listed is {nearest}" if nearest else "none listed of any paper is large enough"
    return Finding(
        code="size_uncuttable",
        level="error",
        sheet="Stock",
        message=f"cut size {size.cut_size_id} for {volumes} cannot be cut from paper {job.paper_id}: "
        + "; ".join(reasons),
        action=f"list a larger stock of this paper ({would_do}), or relax its grain rule",
    )


class _Bench(NamedTuple):
    """Rules of cutting, and what the use of off-cuts costs; None where the lab uses none."""

    rules: Rules
    handling: Handling | None


def _cut_paper(job: Job, bench: _Bench, planned: Planner, *, seed: int) -> tuple[CutJob, list[Outcome]]:
    """The cutting of a paper, and how its solves ended: that of fresh parents first."""
    started = time.perf_counter()
    problem, solution = choose_turning(job, bench.rules, planned)
    objective = currency(problem, solution.runs)
    bound = max(0.0, float(solution.bound * problem.cost_unit) - token_cost(job.lines, job.sizes))
    outcome = Outcome(
        stage="cut",
        part=job.paper_id,
        method=solution.method,
        status="optimal" if bound >= objective else "feasible",
        objective=objective,
        bound=bound,
        seconds=time.perf_counter() - started,
        seed=seed,
        limit_hit=solution.limit_hit,
    )
    cut, used = _with_offcuts(CutJob(job=job, problem=problem, runs=solution.runs), bench)
    return cut, [outcome, *used]


def _with_offcuts(cut: CutJob, bench: _Bench) -> tuple[CutJob, list[Outcome]]:
    """The cutting with leaves from off-cuts where that saves anything, and how that solve ended."""
    if bench.handling is None:
        return cut, []
    started = time.perf_counter()
    handling = handling_of(cut.job, bench.rules, bench.handling)
    reuse = use_offcuts(cut.problem, cut.runs, handling)
    if reuse is None:
        return cut, []
    before = currency(cut.problem, cut.runs)
    outcome = Outcome(
        stage="cut",
        part=f"{cut.job.paper_id}, off-cuts",
        method=reuse.method,
        status="optimal" if reuse.most_saved <= reuse.saved else "feasible",
        objective=before - reuse.saved,
        bound=before - reuse.most_saved,
        seconds=time.perf_counter() - started,
        seed=OFFCUT_SEED,
        limit_hit=reuse.limit_hit,
    )
    used = CutJob(
        job=cut.job, problem=reuse.problem, runs=reuse.runs, sources=reuse.sources, spared=reuse.spared
    )
    return used, [outcome]
