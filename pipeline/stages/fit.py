"""05 fit: per volume the best sheets its binding can take, its nested options, its state, and why.

One row per volume and option in work.options, per option, group and paper in work.option_sheets, per volume
in work.fit_states, per group in work.fit_groups. People's decisions bind. Proven optimal for every volume
(trade model, section 5).
"""

import time

import numpy as np
import polars as pl

from pipeline.contracts import TABLES
from pipeline.errors import ContractError
from pipeline.frames import Frames, figures
from pipeline.settings import Settings
from pipeline.solve.fit.bare import group_rows
from pipeline.solve.fit.check import broken_rules, must_short
from pipeline.solve.fit.explain import sheet_reasons, state_rows
from pipeline.solve.fit.model import solve
from pipeline.solve.fit.needs import need_rows
from pipeline.solve.fit.options import cheapest_papers, nested_options
from pipeline.solve.fit.problem import Problem, Solution
from pipeline.solve.fit.sensitivity import sensitivity_rows
from pipeline.solve.fit.tables import fit_problem, fit_tables, placed_sheets
from pipeline.solve.outcome import Outcome, outcome_rows
from pipeline.units import BENEFIT_TICKS

FIT_READS = (
    "clean.campaign",
    "clean.volumes",
    "clean.papers",
    "clean.decisions",
    "work.opening_groups",
    "work.group_needs",
    "work.permitted",
    "work.benefits",
    "work.headroom",
    "work.paper_properties",
    "policy.figures",
)
"""Tables that fit_volumes reads."""
NEEDS_READS = (*FIT_READS, "work.hazard_rates", "work.stock_reach")
"""Tables that find_needs and try_judgements read."""
QUICK_NEED_VOLUMES = 250
"""Volumes on which each need is tried in a quick plan, those with most to gain, where the policy allows more."""


def fit_volumes(frames: Frames, settings: Settings) -> Frames:
    """work.options, work.option_sheets, work.fit_states, work.fit_groups and log.solve.

    Raises ContractError when an answer breaks a rule of its own problem.
    """
    policy = figures(frames)
    tables = fit_tables(frames, policy)
    problem = fit_problem(tables)
    solution, outcome = _solved(problem, "best sheets", settings.seed)
    best = placed_sheets(tables, solution)
    one_paper = problem.with_only(cheapest_papers(tables, problem, best))
    cheaper_solution, cheaper_outcome = _solved(one_paper, "cheapest paper alone", settings.seed)
    keeps_word = must_short(problem, cheaper_solution) <= must_short(problem, solution)
    cheaper = placed_sheets(tables, cheaper_solution).filter(
        pl.col("volume").is_in(np.flatnonzero(keeps_word).tolist())
    )
    options = nested_options(tables, best, cheaper, int(policy["choose.option_parts_count"]))
    ids = tables.volumes.select("volume", "volume_id")
    reasons = sheet_reasons(tables, best, options.sheets)
    totals = options.totals.join(ids, on="volume")
    return {
        "work.options": totals.select(TABLES["work.options"].column_names),
        "work.option_sheets": reasons.join(ids, on="volume").select(
            TABLES["work.option_sheets"].column_names
        ),
        "work.fit_states": state_rows(tables, best, frames["work.permitted"]),
        "work.fit_groups": group_rows(tables, best, frames["work.permitted"]),
        "log.solve": outcome_rows([outcome, cheaper_outcome]),
    }


def find_needs(frames: Frames, settings: Settings) -> Frames:
    """work.paper_needs: which paper more, or which limit that gives a little, would add most benefit.

    In a quick plan each is tried on fewer volumes, and says so.
    """
    policy = figures(frames)
    tables, most = fit_tables(frames, policy), int(policy["needs.most_volumes_count"])
    most = min(most, QUICK_NEED_VOLUMES) if settings.is_quick else most
    return {"work.paper_needs": need_rows(frames, tables, fit_problem(tables), most_volumes=most)}


def try_judgements(frames: Frames, settings: Settings) -> Frames:
    """work.sensitivity: how sure states and ranking are; no rows unless the settings ask for it."""
    table = TABLES["work.sensitivity"]
    if not settings.sensitivity:
        return {table.name: table.empty()}
    tables = fit_tables(frames, figures(frames))
    return {table.name: sensitivity_rows(frames, tables, fit_problem(tables), seed=settings.seed)}


def _solved(problem: Problem, part: str, seed: int) -> tuple[Solution, Outcome]:
    started = time.perf_counter()
    solution = solve(problem)
    seconds = time.perf_counter() - started
    broken = broken_rules(problem, solution)
    if broken:
        raise ContractError(f"fit, {part}: {'; '.join(broken)}")
    outcome = Outcome(
        stage="fit",
        part=part,
        method="exact two-paper tables on the core the bound leaves; benefit",
        status="optimal",
        objective=float(np.sum(solution.benefit_ticks, dtype=np.float64)) / BENEFIT_TICKS,
        bound=float(np.sum(solution.bound_ticks, dtype=np.float64)) / BENEFIT_TICKS,
        seconds=seconds,
        seed=seed,
    )
    return solution, outcome
