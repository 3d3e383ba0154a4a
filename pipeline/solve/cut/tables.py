"""Tables to cutting jobs, and their solutions back to tables. One job is one paper with sheets to cut."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor
from typing import Any, cast

import polars as pl

from pipeline.frames import Frames, figures
from pipeline.solve.cut.layout import Piece, lay_out, remainders
from pipeline.solve.cut.problem import (
    Pattern,
    Problem,
    Run,
    Size,
    free_ticks,
    pattern_cost,
)
from pipeline.solve.cut.supplies import Bench, GrainRule, StockLine, exact, panels_of, reasons_uncuttable
from pipeline.units import FLOOR_GUARD, floor_um, ticks_to_mm, ticks_up


@dataclass(frozen=True, kw_only=True)
class Rules:
    """Campaign and policy figures that bind the cutting of every paper."""

    bench: Bench
    max_sizes: int
    max_lift_mm: float
    turn_saving_frac: float
    least_offcut_sides_ticks: tuple[int, int]


@dataclass(frozen=True, kw_only=True)
class Job:
    """One paper: what to cut, from what, and how thick a sheet is in a pile."""

    paper_id: str
    grain_rule: GrainRule
    sizes: tuple[Size, ...]
    lines: tuple[StockLine, ...]
    thickness_um: float

    def problem(self, rules: Rules, *, turning: bool) -> Problem:
        """The job with all pieces free to turn, or with grain held wherever a piece can be cut so."""
        panels, unit = panels_of(self.lines, rules.bench)
        held = Problem(
            sizes=self.sizes,
            panels=panels,
            max_sizes=rules.max_sizes,
            cost_unit=unit,
            on_hand=tuple((line.stock_id, line.on_hand_parents(rules.bench)) for line in self.lines),
        )
        fitting = {size for panel in range(len(panels)) for size, _ in held.placements(panel)}
        sizes = tuple(
            replace(size, may_turn=turning or (self.grain_rule != "require" and index not in fitting))
            for index, size in enumerate(self.sizes)
        )
        return replace(held, sizes=sizes)


def read_rules(frames: Frames) -> Rules:
    """Rules from clean.campaign and policy.figures."""
    policy, campaign = figures(frames), frames["clean.campaign"].row(0, named=True)
    unit = campaign["length_unit"]
    least = (policy["cut.least_useful_offcut_width_mm"], policy["cut.least_useful_offcut_length_mm"])
    shorter, longer = sorted(ticks_up(side, unit) for side in least)
    return Rules(
        bench=Bench(
            max_cut_mm=campaign["guillotine_max_cut_mm"],
            roll_parent_max_length_mm=policy["cut.roll_parent_max_length_mm"],
            length_unit=unit,
        ),
        max_sizes=campaign["max_sizes_per_sheet"],
        max_lift_mm=campaign["guillotine_max_lift_mm"],
        turn_saving_frac=policy["cut.turn_grain_saving_frac"],
        least_offcut_sides_ticks=(shorter, longer),
    )


def read_jobs(frames: Frames, rules: Rules) -> tuple[Job, ...]:
    """One job per paper of work.demands with leaves to cut, papers and sizes in order of their ids."""
    papers = {row["paper_id"]: row for row in frames["clean.papers"].iter_rows(named=True)}
    thickness = {
        row["paper_id"]: row["effective_thickness_um"]
        for row in frames["work.paper_properties"].iter_rows(named=True)
    }
    wanted: dict[str, list[Size]] = {}
    for row in frames["work.demands"].sort("paper_id", "cut_size_id").iter_rows(named=True):
        if _to_cut(row) > 0:
            wanted.setdefault(row["paper_id"], []).append(_size(row, rules.bench.length_unit))
    stock = frames["clean.stock"]
    return tuple(
        Job(
            paper_id=paper_id,
            grain_rule=cast(GrainRule, papers[paper_id]["grain_rule"]),
            sizes=tuple(sizes),
            lines=stock_lines(stock.filter(pl.col("paper_id") == paper_id)),
            thickness_um=thickness[paper_id],
        )
        for paper_id, sizes in sorted(wanted.items())
    )


def is_uncuttable(job: Job, rules: Rules) -> bool:
    """Whether no stock of the paper gives some size."""
    return any(
        reasons_uncuttable(size, job.lines, bench=rules.bench, rule=job.grain_rule) for size in job.sizes
    )


def _size(row: Mapping[str, Any], unit: str) -> Size:
    return Size(
        cut_size_id=row["cut_size_id"],
        width_ticks=ticks_up(row["width_mm"], unit),
        height_ticks=ticks_up(row["height_mm"], unit),
        demand=_to_cut(row),
    )


def stock_lines(stock: pl.DataFrame) -> tuple[StockLine, ...]:
    """Rows of clean.stock as stock lines, in order of their ids."""
    return tuple(_line(row) for row in stock.sort("stock_id").iter_rows(named=True))


def _to_cut(row: Mapping[str, Any]) -> int:
    """Leaves and spares of a size, less those that lie ready from an earlier cut."""
    return max(0, int(row["sheets"]) + int(row["spares"]) - int(row["ready_leaves_count"] or 0))


def _line(row: Mapping[str, Any]) -> StockLine:
    return StockLine(
        stock_id=row["stock_id"],
        is_roll=row["form"] == "roll",
        width_mm=row["width_mm"],
        length_mm=row["length_mm"],
        is_grain_long=row["grain"] == "long",
        trim_mm=row["trim_mm"],
        price=exact(row["pack_price"]) / row["pack_quantity"],
        on_hand=row["on_hand"],
    )


@dataclass(frozen=True, kw_only=True)
class CutJob:
    """A job with the problem that was solved and the runs that solve it."""

    job: Job
    problem: Problem
    runs: tuple[Run, ...]


Rows = list[dict[str, Any]]


def pattern_rows(cut_jobs: Iterable[CutJob], rules: Rules) -> tuple[Rows, Rows, Rows]:
    """Rows of patterns, pattern pieces and off-cuts; ids run over papers, stocks and sizes in order."""
    listed = [
        (cut.job.paper_id, cut.problem.panels[run.pattern.panel].stock_id, run, cut)
        for cut in sorted(cut_jobs, key=lambda cut: cut.job.paper_id)
        for run in sorted(cut.runs, key=lambda run: _run_key(cut.problem, run))
    ]
    digits = max(2, len(str(len(listed))))
    patterns: Rows = []
    pieces: Rows = []
    offcuts: Rows = []
    for number, (_, _, run, cut) in enumerate(listed, start=1):
        pattern_id = f"P{number:0{digits}d}"
        places = lay_out(cut.problem, run.pattern)
        patterns.append({"pattern_id": pattern_id} | _pattern_row(cut, run, places, rules))
        pieces += _piece_rows(pattern_id, cut.problem, places, rules)
        offcuts += _offcut_rows(pattern_id, cut.problem, run.pattern, rules)
    return patterns, pieces, offcuts


def _run_key(problem: Problem, run: Run) -> tuple[Any, ...]:
    panel = problem.panels[run.pattern.panel]
    sizes = sorted({cells.size for strip in run.pattern.strips for cells in strip})
    return (panel.stock_id, sizes, panel.first_cut, run.pattern)


def _pattern_row(cut: CutJob, run: Run, places: Sequence[Piece], rules: Rules) -> dict[str, Any]:
    panel = cut.problem.panels[run.pattern.panel]
    line = next(line for line in cut.job.lines if line.stock_id == panel.stock_id)
    unit = rules.bench.length_unit
    length_mm = _length_mm(cut.problem, run.pattern, line, unit)
    area = sum(_mm(p.place.along_width, unit) * _mm(p.place.along_length, unit) for p in places)
    return {
        "stock_id": panel.stock_id,
        "sheets": run.sheets,
        "sheet_width_mm": line.width_mm,
        "sheet_length_mm": length_mm,
        "first_cut": panel.first_cut,
        "lifts": lifts(run.sheets, thickness_um=cut.job.thickness_um, max_lift_mm=rules.max_lift_mm),
        "used_pct": 100 * area / (line.width_mm * length_mm),
        "from_offcut_of": None,
    }


def lifts(sheets: int, *, thickness_um: float, max_lift_mm: float) -> int:
    """Piles needed to cut `sheets` parents, as many to a pile as the clamp takes (at least one)."""
    sheets_per_lift = floor(floor_um(max_lift_mm) / thickness_um + FLOOR_GUARD) if thickness_um else sheets
    return ceil(sheets / max(1, sheets_per_lift))


def _length_mm(problem: Problem, pattern: Pattern, line: StockLine, unit: str) -> float:
    return _mm(free_ticks(problem, pattern), unit) if line.is_roll else line.length_mm


def _piece_rows(pattern_id: str, problem: Problem, places: Sequence[Piece], rules: Rules) -> Rows:
    unit = rules.bench.length_unit
    return [
        {
            "pattern_id": pattern_id,
            "piece_no": number,
            "cut_size_id": problem.sizes[size].cut_size_id,
            "x_mm": _mm(place.x, unit),
            "y_mm": _mm(place.y, unit),
            "along_width_mm": _mm(place.along_width, unit),
            "along_length_mm": _mm(place.along_length, unit),
        }
        for number, (size, place) in enumerate(places, start=1)
    ]


def _offcut_rows(pattern_id: str, problem: Problem, pattern: Pattern, rules: Rules) -> Rows:
    unit, (shorter, longer) = rules.bench.length_unit, rules.least_offcut_sides_ticks
    return [
        {
            "pattern_id": pattern_id,
            "x_mm": _mm(place.x, unit),
            "y_mm": _mm(place.y, unit),
            "along_width_mm": _mm(place.along_width, unit),
            "along_length_mm": _mm(place.along_length, unit),
        }
        for place in sorted(remainders(problem, pattern))
        if min(place.along_width, place.along_length) >= shorter
        and max(place.along_width, place.along_length) >= longer
    ]


def currency(problem: Problem, runs: Iterable[Run]) -> float:
    """Cost of all parents in the campaign's currency."""
    return float(sum(pattern_cost(problem, run.pattern) * run.sheets for run in runs) * problem.cost_unit)


def _mm(ticks: int, unit: str) -> float:
    return ticks_to_mm(ticks, unit)
