"""What would help most: one more paper, or one limit that gives a little, each tried on the whole campaign.

The choice is redone exactly, before any budget, for every volume that could gain. Papers are made up from the
policy's thicknesses; their stiffness follows from thickness and density (trade model, section 4).
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import chain, product

import numpy as np
import polars as pl

from pipeline.contracts import TABLES
from pipeline.solve.fit.judgement import (
    Figures,
    headroom_um,
    may_lie,
    read_asked,
    read_bulk,
    read_figures,
    read_papers,
    read_risk,
    sheet_benefits,
)
from pipeline.solve.fit.many import most_benefit, side_by_side, some_volumes, volume_sums
from pipeline.solve.fit.model import Beyond, solve
from pipeline.solve.fit.problem import NOT_PERMITTED, BoolArray, IntArray, Papers, Problem, Solution
from pipeline.solve.fit.reasons import plural
from pipeline.solve.fit.tables import FitTables
from pipeline.solve.workers import solve_all
from pipeline.units import BENEFIT_TICKS, STANDARD_GRAVITY_M_S2, UM_PER_MM, ceil_um

PAPER, LIMIT = "paper", "limit"
_TOLD = "the choice redone for every volume that could gain, before any budget"
_SURFACES = {"plain": 0, "smooth": 1, "release": 2}
"""How special a surface is."""
_SIDE_BY_SIDE = 8
"""Made-up papers tried in one go."""


@dataclass(frozen=True)
class Candidate:
    """A paper made up for a trial."""

    buffer: str
    surface: str
    is_adsorbent: bool
    thickness_um: float
    bending_length_mm: float

    @property
    def demands(self) -> int:
        """How special the paper is."""
        return _SURFACES[self.surface] + int(self.is_adsorbent)

    @property
    def words(self) -> str:
        """The paper as one would ask a merchant for it."""
        adsorbent = " adsorbent" if self.is_adsorbent else ""
        surface = "" if self.surface == "plain" else f", {self.surface} surface"
        return (
            f"{self.buffer}{adsorbent} paper of {self.thickness_um:g} µm{surface}, "
            "passed PAT, free of sulphur and lignin"
        )


@dataclass(frozen=True)
class Label:
    """What is tried, in words, and how what it adds is known; the paper where it is one."""

    words: str
    basis: str = ""
    candidate: Candidate | None = None


@dataclass(frozen=True)
class Trial:
    """One thing tried: the problem with it."""

    problem: Problem
    label: Label


@dataclass(frozen=True)
class Need:
    """What a trial adds over the campaign."""

    label: Label
    added_ticks: int
    helped_volumes: int
    added_sheets: int


@dataclass(frozen=True)
class _Part:
    """The volumes of a trial that could gain, and how many more there were than are looked at."""

    label: Label
    problem: Problem
    chosen: BoolArray
    left_out: int


def need_rows(
    frames: Mapping[str, pl.DataFrame], tables: FitTables, problem: Problem, *, most_volumes: int
) -> pl.DataFrame:
    """work.paper_needs: what would bring benefit, the greatest first; each tried on so many volumes at most."""
    trials = chain(paper_trials(frames, tables, problem), limit_trials(frames, tables, problem))
    needs = tried(trials, problem, most_volumes=most_volumes)
    rows = [_row(need) | {"need_no": number} for number, need in enumerate(needs, start=1)]
    return TABLES["work.paper_needs"].frame(rows)


def tried(trials: Iterable[Trial], problem: Problem, *, most_volumes: int | None = None) -> list[Need]:
    """What each trial adds to the choice as it is, the greatest benefit first; nothing that adds none.

    At most `most_volumes` volumes a trial are looked at, those with most to gain; what is added is then a lower
    bound and says so.
    """
    solution = solve(problem)
    sheets = volume_sums(problem, solution.sheets.sum(axis=1))
    parts: dict[tuple[int, int, int], list[_Part]] = {}
    kept_alive: list[Papers] = []  # so that no two lists of papers have one id
    for trial in trials:
        asked = trial.problem
        kept_alive.append(asked.papers)
        part = _part(trial, solution.benefit_ticks, most_volumes)
        parts.setdefault((id(asked.papers), asked.floor_ticks, asked.max_papers), []).append(part)
    asked_for = [_asked_for(some, problem, solution) for some in parts.values()]
    answers = solve_all(_solved, asked_for, weigh=lambda pair: pair[0].volumes)
    needs = [
        need
        for some, (one, _), answer in zip(parts.values(), asked_for, answers, strict=True)
        for need in _needs(some, (one, answer), (solution.benefit_ticks, sheets))
    ]
    return _ranked(needs)


def _asked_for(parts: list[_Part], problem: Problem, solution: Solution) -> tuple[Problem, Beyond]:
    """Trials with the same papers as one problem, and that only what beats the choice as it is counts."""
    asked = side_by_side([part.problem for part in parts])
    now = np.concatenate([solution.sheets[part.chosen[problem.group_volume]] for part in parts])
    has_more_papers = len(asked.papers) > len(problem.papers)
    return asked, Beyond(now, len(problem.papers) if has_more_papers else 0)


def _solved(asked_for: tuple[Problem, Beyond]) -> Solution:
    return solve(*asked_for)


def _part(trial: Trial, benefit_ticks: IntArray, most_volumes: int | None) -> _Part:
    gap = most_benefit(trial.problem) - benefit_ticks
    order = np.argsort(-gap, kind="stable")[: int((gap > 0).sum())]
    chosen = np.zeros(trial.problem.volumes, dtype=np.bool_)
    chosen[order[:most_volumes]] = True
    left_out = len(order) - int(chosen.sum())
    return _Part(trial.label, some_volumes(trial.problem, chosen), chosen, left_out)


def paper_trials(frames: Mapping[str, pl.DataFrame], tables: FitTables, problem: Problem) -> Iterator[Trial]:
    """The problem with each made-up paper added; a stock is taken for granted that gives every leaf."""
    figures = read_figures(frames)
    made_up = list(candidates(figures))
    facts = read_papers(_as_rows(made_up), figures)
    asked = replace(
        read_asked(frames, tables.groups, ()), is_reached=np.ones((problem.groups, 1), dtype=np.bool_)
    )
    values = figures.values[None]
    permitted = may_lie(asked, facts, figures, values)[0]
    benefit = sheet_benefits(read_risk(frames, tables.groups, figures), facts, values)[0]
    ticks = np.floor(benefit * BENEFIT_TICKS + 0.5).astype(np.int64)
    ticks = np.where(permitted, ticks, NOT_PERMITTED)
    basis = f"{_TOLD}; a stock that gives every leaf is taken for granted"
    for at in range(0, len(made_up), _SIDE_BY_SIDE):
        some = made_up[at : at + _SIDE_BY_SIDE]
        papers = _with_papers(problem.papers, some)
        for number, candidate in enumerate(some):
            added = np.full((problem.groups, len(some)), NOT_PERMITTED, dtype=np.int64)
            added[:, number] = ticks[:, at + number]
            benefit = np.concatenate([problem.benefit_ticks, added], axis=1)
            with_one = replace(problem, papers=papers, benefit_ticks=benefit)
            yield Trial(with_one, Label(candidate.words, basis, candidate))


def limit_trials(frames: Mapping[str, pl.DataFrame], tables: FitTables, problem: Problem) -> Iterator[Trial]:
    """The problem with each limit giving a little, by the steps of the policy."""
    figures = read_figures(frames)
    bulk = read_bulk(frames, tables.volumes, figures)

    def with_steps(steps: Mapping[str, float]) -> Problem:
        values = figures.values.copy()
        for ending, step in steps.items():
            values[[place for key, place in figures.places.items() if key.endswith(ending)]] += step
        return replace(problem, headroom_um=headroom_um(bulk, values[None])[0])

    wedge, growth, room_mm, papers, kept = (
        float(figures.values[figures.place(f"needs.{name}")])
        for name in (
            "wedge_limit_step_deg",
            "growth_step_frac",
            "room_step_mm",
            "papers_step_count",
            "floor_kept_frac",
        )
    )
    by_angle, by_growth = {"_wedge_limit_deg": wedge}, {".growth_frac": growth}
    wedge_words = f"{wedge:g}° more wedge angle for every binding"
    growth_words = f"{growth:g} of the spine more growth for every binding"
    yield Trial(with_steps(by_angle), Label(wedge_words, _TOLD))
    yield Trial(with_steps(by_growth), Label(growth_words, _TOLD))
    yield Trial(with_steps(by_angle | by_growth), Label(f"{wedge_words} and {growth_words}", _TOLD))
    extended = replace(bulk, extension_mm=bulk.extension_mm + room_mm)
    roomier = headroom_um(extended, figures.values[None])[0]
    words = f"{room_mm:g} mm more room in every volume, as guards, extension or treatment would give"
    yield Trial(replace(problem, headroom_um=roomier), Label(words, _TOLD))
    more = problem.max_papers + int(papers)
    words = f"{plural(more, 'paper')} a volume instead of {problem.max_papers}"
    yield Trial(replace(problem, max_papers=more), Label(words, _TOLD))
    words = f"a benefit floor of {tables.floor_benefit * kept:g} a sheet instead of {tables.floor_benefit:g}"
    yield Trial(replace(problem, floor_ticks=int(problem.floor_ticks * kept)), Label(words, _TOLD))


def candidates(figures: Figures) -> Iterator[Candidate]:
    """Papers that might be missing: every thickness of the policy with each buffer and surface, and adsorbent."""
    density = figures.values[figures.place("needs.density_g_cm3")]
    thicknesses = sorted(
        figures.values[place] for key, place in figures.places.items() if key.startswith("needed_paper.")
    )
    kinds = [*((surface, False) for surface in _SURFACES), ("plain", True)]
    for um, buffer, (surface, is_adsorbent) in product(thicknesses, ("buffered", "unbuffered"), kinds):
        bending_mm = _bending_length_mm(float(um), float(density), figures)
        yield Candidate(buffer, surface, is_adsorbent, float(um), bending_mm)


def _bending_length_mm(um: float, density: float, figures: Figures) -> float:
    """Peirce's bending length of a sheet whose stiffness follows from its density (trade model, section 4)."""
    modulus_gpa = figures.values[figures.place("paper.elastic_modulus_gpa")]
    at_density = figures.values[figures.place("paper.elastic_modulus_density_g_cm3")]
    # GPa x um^3 = 1e-9 N m; g/cm3 x um = g/m2
    stiffness_nm = modulus_gpa * (density / at_density) ** 2 * um**3 / 12 / UM_PER_MM**3
    mass_kg_m2 = density * um / UM_PER_MM
    return float(np.cbrt(stiffness_nm / (STANDARD_GRAVITY_M_S2 * mass_kg_m2)) * UM_PER_MM)


def _as_rows(made_up: list[Candidate]) -> pl.DataFrame:
    """Candidates with the columns that rules look at."""
    rows = [
        {
            "buffer": one.buffer,
            "adsorbent": one.is_adsorbent,
            "pat": "pass",
            "sulphur_free": "yes",
            "lignin_free": True,
            "ph": 14.0,
            "surface": one.surface,
            "glassine": False,
            "bending_stiffness_mnm": None,
            "bending_length_mm": one.bending_length_mm,
        }
        for one in made_up
    ]
    return pl.DataFrame(rows, schema_overrides={"bending_stiffness_mnm": pl.Float64})


def _with_papers(papers: Papers, some: list[Candidate]) -> Papers:
    """The list with candidates at its end, dearer than all others."""
    thickness = np.array([ceil_um(one.thickness_um) for one in some], dtype=np.int64)
    price = np.full(len(some), papers.price_ticks.max(initial=0) + 1, dtype=np.int64)
    return Papers(
        thickness_um=np.append(papers.thickness_um, thickness),
        is_buffered=np.append(papers.is_buffered, [one.buffer == "buffered" for one in some]),
        price_ticks=np.append(papers.price_ticks, price),
    )


def _needs(
    parts: list[_Part], solved: tuple[Problem, Solution], before: tuple[IntArray, IntArray]
) -> Iterator[Need]:
    """What each trial adds to benefit and sheets of its volumes (`before`); all have papers, floor and limit alike.

    `solved`: the parts side by side, and their answer.
    """
    asked, solution = solved
    benefit_ticks, sheets = before
    in_all = volume_sums(asked, solution.sheets.sum(axis=1))
    at = 0
    for part in parts:
        here = slice(at, at + part.problem.volumes)
        at = here.stop
        gain = solution.benefit_ticks[here] - benefit_ticks[part.chosen]
        more = in_all[here] - sheets[part.chosen]
        helped = gain > 0
        label = part.label
        if part.left_out:
            looked_at = plural(part.problem.volumes, "volume")
            basis = f"at least this: tried on {looked_at} with most to gain, {part.left_out} more could gain"
            label = replace(label, basis=f"{basis}; {label.basis}")
        yield Need(label, int(gain[helped].sum()), int(helped.sum()), int(more[helped].sum()))


def _ranked(needs: list[Need]) -> list[Need]:
    """What adds benefit, the greatest first; a paper is left out where a less special one adds as much."""
    helping = [need for need in needs if need.added_ticks > 0 and not any(_replaces(o, need) for o in needs)]
    return sorted(helping, key=_order)


def _order(need: Need) -> tuple[int, float, str]:
    """Greatest benefit first; then limits, then the thinner paper."""
    candidate = need.label.candidate
    return -need.added_ticks, candidate.thickness_um if candidate else 0.0, need.label.words


def _replaces(other: Need, need: Need) -> bool:
    one, two = other.label.candidate, need.label.candidate
    if one is None or two is None or one.buffer != two.buffer or one.thickness_um != two.thickness_um:
        return False
    return one.demands < two.demands and other.added_ticks >= need.added_ticks


def _row(need: Need) -> dict[str, object]:
    candidate = need.label.candidate
    return {
        "need_kind": PAPER if candidate else LIMIT,
        "description": need.label.words,
        "added_benefit": need.added_ticks / BENEFIT_TICKS,
        "helped_volumes_count": need.helped_volumes,
        "added_sheets_count": need.added_sheets,
        "thickness_um": candidate.thickness_um if candidate else None,
        "bending_length_mm": candidate.bending_length_mm if candidate else None,
        "basis": need.label.basis,
    }
