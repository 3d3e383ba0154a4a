"""How sure states and ranking are: risk and choice redone with judgement figures low, high, and drawn at random.

Every case is one row of figures; cases are chosen for side by side, exactly. States are those of content, paper
and bulk, before any budget.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.contracts import TABLES
from pipeline.policy.load import LAB_BASIS
from pipeline.solve.fit.judgement import (
    Asked,
    Bulk,
    Figures,
    FloatArray,
    PaperFacts,
    Risk,
    headroom_um,
    may_lie,
    read_asked,
    read_bulk,
    read_figures,
    read_papers,
    read_risk,
    sheet_benefits,
)
from pipeline.solve.fit.model import solve
from pipeline.solve.fit.problem import ANY_PAPER, NOT_PERMITTED, BoolArray, IntArray, Mark, Problem
from pipeline.solve.fit.tables import FitTables
from pipeline.units import BENEFIT_TICKS, PCT_OF_WHOLE

JUDGEMENTS = {
    "hazard_rates": r"hazard\..*_per_century|risk\.odour_loss_rate_per_century",
    "severity": r"severity\..*",
    "vulnerability": r"content\..*\.vulnerability_frac",
    "handling": r"use\..*",
    "significance": r"significance\..*",
    "efficacy": r"efficacy\..*",
    "stiffness": r"paper\.(elastic_modulus_gpa|bending_per_width.*)",
    "wedge_limits": r"binding\..*_wedge_limit_deg",
    "growth": r"binding\..*\.growth_frac",
    "floor": r"fit\.benefit_floor_benefit",
}
"""Keys of each group of judgement figures."""
LOW, HIGH, DRAWN, ALL = "low", "high", "drawn", "all"
_STATES = ("on_hold", "nothing_needed", "treat_first", "no_paper", "no_headroom", "prioritised", "covered")
_MOST_SHEETS_AT_ONCE = 4_000_000
"""Groups times papers times cases worked on in one go: bounds the memory."""
_UNSURE = ("judgement", LAB_BASIS)
_AT_MOST_ONE = ("_frac", "_per_century")


@dataclass(frozen=True, kw_only=True)
class Setting:
    """All that a case is computed from but its figures."""

    figures: Figures
    problem: Problem
    risk: Risk
    papers: PaperFacts
    asked: Asked
    bulk: Bulk
    is_on_hold: BoolArray
    is_split: BoolArray


@dataclass(frozen=True)
class Answers:
    """By case and volume: benefit, place in the ranking (1 is the greatest benefit), state."""

    benefit: FloatArray
    rank: IntArray
    state: IntArray


def sensitivity_rows(
    frames: Mapping[str, pl.DataFrame], tables: FitTables, problem: Problem, *, seed: int
) -> pl.DataFrame:
    """work.sensitivity: a campaign row per judgement group and direction, and a row per volume for the draws."""
    setting = read_setting(frames, tables, problem)
    spreads = spread_fracs(frames, setting.figures)
    base = answers(setting, setting.figures.values[None])
    rows = []
    for name, direction, values in one_by_one(setting.figures, spreads):
        found = answers(setting, values[None])
        rows.append(_campaign_row(setting, base, found) | {"judgement": name, "direction": direction})
    figures = setting.figures
    draws = int(figures.values[figures.place("sensitivity.draws_count")])
    found = answers(setting, drawn(figures, spreads, draws=draws, seed=seed))
    whole = {"judgement": ALL, "direction": DRAWN}
    rows.append(_campaign_row(setting, base, found) | whole)
    ids = tables.volumes.sort("volume")["volume_id"].to_list()
    rows += [row | whole for row in _volume_rows(setting, base, found, ids)]
    return TABLES["work.sensitivity"].frame(rows)


def read_setting(frames: Mapping[str, pl.DataFrame], tables: FitTables, problem: Problem) -> Setting:
    """What stays the same in every case."""
    figures = read_figures(frames)
    papers = frames["clean.papers"].join(
        frames["work.paper_properties"].select("paper_id", "bending_length_mm"), on="paper_id"
    )
    volumes = tables.volumes.sort("volume")
    return Setting(
        figures=figures,
        problem=problem,
        risk=read_risk(frames, tables.groups, figures),
        papers=read_papers(papers.sort("paper_id"), figures),
        asked=read_asked(frames, tables.groups, tables.papers["paper_id"].to_list()),
        bulk=read_bulk(frames, tables.volumes, figures),
        is_on_hold=(volumes["hold"].fill_null("") != "").to_numpy(),
        is_split=(volumes["joints"] == "split").to_numpy(),
    )


def spread_fracs(frames: Mapping[str, pl.DataFrame], figures: Figures) -> dict[str, FloatArray]:
    """By judgement group, how far each figure may be off as a share of it.

    0 for figures of other groups and those from a source or common practice; the lab's own count as judgement.
    """
    basis = dict(frames["policy.figures"].select("key", "basis").iter_rows())
    spreads = {}
    for name, pattern in JUDGEMENTS.items():
        spread = figures.values[figures.place(f"sensitivity.{name}_spread_frac")]
        is_meant = [
            bool(re.fullmatch(pattern, key)) and basis[key].startswith(_UNSURE) for key in figures.keys
        ]
        spreads[name] = np.append(np.where(is_meant, spread, 0.0), [0.0, 0.0])
    return spreads


def one_by_one(figures: Figures, spreads: Mapping[str, FloatArray]) -> Iterator[tuple[str, str, FloatArray]]:
    """Each judgement group with all its figures low, then high."""
    for name, spread in spreads.items():
        for direction, sign in ((LOW, -1), (HIGH, 1)):
            yield name, direction, _bounded(figures, figures.values * (1 + sign * spread))


def drawn(figures: Figures, spreads: Mapping[str, FloatArray], *, draws: int, seed: int) -> FloatArray:
    """Sets of figures, each judgement figure drawn on its own, evenly between low and high."""
    rng = np.random.default_rng(seed)
    spread = np.sum(list(spreads.values()), axis=0)
    factor = 1 + spread * rng.uniform(-1, 1, (draws, len(spread)))
    return _bounded(figures, figures.values * factor)


def answers(setting: Setting, values: FloatArray) -> Answers:
    """The choice redone for every row of figures."""
    size = max(1, setting.problem.benefit_ticks.size)
    at_once = max(1, _MOST_SHEETS_AT_ONCE // size)
    parts = [_answer(setting, values[at : at + at_once]) for at in range(0, len(values), at_once)]
    benefit = np.concatenate([benefit for benefit, _ in parts])
    rank = [np.searchsorted(np.sort(-row), -row) + 1 for row in benefit]  # equal benefit, equal place
    return Answers(benefit, np.stack(rank), np.concatenate([state for _, state in parts]))


def _answer(setting: Setting, values: FloatArray) -> tuple[FloatArray, IntArray]:
    problem, cases = setting.problem, len(values)
    permitted = may_lie(setting.asked, setting.papers, setting.figures, values)
    benefit = sheet_benefits(setting.risk, setting.papers, values)
    ticks = np.floor(benefit * BENEFIT_TICKS + 0.5).astype(np.int64)
    floor = values[:, setting.figures.place("fit.benefit_floor_benefit")]
    floor_ticks = np.maximum(np.floor(floor * BENEFIT_TICKS + 0.5), 1)[:, None, None]
    only = problem.only_paper[:, None]
    permitted &= (only == ANY_PAPER) | (np.arange(len(problem.papers)) == only)
    is_must = (problem.mark == Mark.MUST)[:, None]
    allowed: BoolArray = (
        permitted & ((ticks >= floor_ticks) | is_must) & (problem.mark != Mark.NEVER)[:, None]
    )
    asked = _cases(problem, np.where(allowed, ticks, NOT_PERMITTED), headroom_um(setting.bulk, values))
    solution = solve(asked)
    sheets = solution.sheets.sum(axis=1).reshape(cases, problem.groups)
    state = _states(setting, permitted, allowed, sheets)
    return solution.benefit_ticks.reshape(cases, problem.volumes) / BENEFIT_TICKS, state


def _cases(problem: Problem, benefit_ticks: IntArray, room_um: IntArray) -> Problem:
    """The cases side by side; floors and decisions are worked into the benefits."""
    cases = len(room_um)
    offset = np.repeat(np.arange(cases) * problem.volumes, problem.groups)
    return Problem(
        papers=problem.papers,
        headroom_um=room_um.reshape(-1),
        group_volume=np.tile(problem.group_volume, cases) + offset,
        group_count=np.tile(problem.group_count, cases),
        benefit_ticks=benefit_ticks.reshape(cases * problem.groups, len(problem.papers)),
        opening_rank=np.tile(problem.opening_rank, cases),
        mark=np.tile(problem.mark, cases),
        only_paper=np.tile(problem.only_paper, cases),
        floor_ticks=0,
        max_papers=problem.max_papers,
    )


def _states(setting: Setting, permitted: BoolArray, allowed: BoolArray, sheets: IntArray) -> IntArray:
    """Place in _STATES by case and volume: the first that applies (trade model, end of section 5)."""
    problem = setting.problem
    lacks = ~permitted.any(axis=2) & (problem.mark != Mark.NEVER)
    no_paper = _by_volume(problem, lacks * problem.group_count)
    wanted = _by_volume(problem, allowed.any(axis=2) * problem.group_count)
    planned = _by_volume(problem, sheets)
    conditions = (
        np.broadcast_to(setting.is_on_hold, wanted.shape),
        (wanted == 0) & (no_paper == 0),
        np.broadcast_to(setting.is_split, wanted.shape),
        wanted == 0,
        planned == 0,
        planned < wanted,
    )
    return np.select(conditions, np.arange(len(conditions)), len(conditions)).astype(np.int64)


def _by_volume(problem: Problem, of_group: IntArray) -> IntArray:
    sums = np.zeros((problem.volumes, len(of_group)), dtype=np.int64)
    np.add.at(sums, problem.group_volume, of_group.T)
    return sums.T


def _bounded(figures: Figures, values: FloatArray) -> FloatArray:
    """Shares and rates do not pass 1."""
    most = np.array([1.0 if key.endswith(_AT_MOST_ONE) else np.inf for key in figures.keys] + [np.inf] * 2)
    bounded: FloatArray = np.minimum(values, most)
    return bounded


def _campaign_row(setting: Setting, base: Answers, found: Answers) -> dict[str, object]:
    """Over all volumes: share that keep their state, mean move in the ranking, benefit of the campaign."""
    volumes = base.state.shape[1]
    kept = (found.state == base.state).mean() if volumes else 1.0
    moved = np.abs(found.rank - base.rank).mean() if volumes else 0.0
    return {
        "draws_count": len(found.state),
        "kept_pct": float(kept * PCT_OF_WHOLE),
        "moved_ranks_count": float(moved),
        **_spread_of("benefit", found.benefit.sum(axis=1), _range(setting)),
    }


def _volume_rows(
    setting: Setting, base: Answers, found: Answers, volume_ids: list[str]
) -> Iterator[dict[str, object]]:
    kept = (found.state == base.state).mean(axis=0) * PCT_OF_WHOLE
    moved = np.abs(found.rank - base.rank).mean(axis=0)
    share = _range(setting)
    for place, volume_id in enumerate(volume_ids):
        low, high = _ends(found.rank[:, place], share)
        yield {
            "volume_id": volume_id,
            "draws_count": len(found.state),
            "state": _STATES[base.state[0, place]],
            "kept_pct": float(kept[place]),
            "rank_no": int(base.rank[0, place]),
            "low_rank_no": int(low),
            "high_rank_no": int(high),
            "moved_ranks_count": float(moved[place]),
            **_spread_of("benefit", found.benefit[:, place], share),
        }


def _range(setting: Setting) -> float:
    return float(setting.figures.values[setting.figures.place("sensitivity.range_frac")])


def _spread_of(name: str, values: FloatArray, share: float) -> dict[str, object]:
    low, high = _ends(values, share)
    return {name: float(values.mean()), f"low_{name}": float(low), f"high_{name}": float(high)}


def _ends(values: FloatArray | IntArray, share: float) -> tuple[float, float]:
    """Lowest and highest value of the middle `share` of the draws."""
    ordered = np.sort(values)
    cut = int((1 - share) / 2 * len(ordered))
    return float(ordered[cut]), float(ordered[-1 - cut])
