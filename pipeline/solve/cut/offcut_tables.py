"""What the use of off-cuts costs, from tables, and the stock it spares, as rows."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from pipeline.contracts.fields import SKILLS
from pipeline.frames import Frames, figures
from pipeline.solve.cut.offcuts import Handling
from pipeline.solve.cut.supplies import StockLine
from pipeline.solve.cut.tables import CutJob, Job, Rules, sheets_in_a_lift
from pipeline.solve.cut.tidy import stock_taken
from pipeline.units import hours, ticks_down, ticks_to_mm

MANY_SHEETS = 10**6
"""In a lift where sheets have no thickness."""


def read_handling(frames: Frames, rules: Rules) -> Handling | None:
    """Work and limits of using off-cuts; None where the policy uses none.

    Minutes of clean.rates and the policy, at the hourly rate of the dearest person of clean.staff who may cut: what
    is worth it then is worth it whoever cuts.
    """
    policy = figures(frames)
    if not policy["cut.is_offcut_used"]:
        return None
    rates = {row["task"]: row for row in frames["clean.rates"].iter_rows(named=True)}
    least = max(SKILLS.index(rates[task]["skill"]) for task in ("cut_setup", "cut_lift"))
    hourly = [
        row["hourly_rate"] or 0.0
        for row in frames["clean.staff"].iter_rows(named=True)
        if SKILLS.index(row["skill"]) >= least
    ]
    dearest = max(hourly, default=0.0)
    setup, lift, keeping = (
        hours(minutes) * dearest
        for minutes in (
            rates["cut_setup"]["minutes"],
            rates["cut_lift"]["minutes"],
            policy["cut.offcut_keeping_minutes"],
        )
    )
    return Handling(
        setup_cost=setup,
        lift_cost=lift,
        keeping_cost=keeping,
        sheets_a_lift=MANY_SHEETS,
        longest_cut_ticks=ticks_down(rules.bench.max_cut_mm, rules.bench.length_unit),
        least_sides_ticks=rules.least_offcut_sides_ticks,
    )


def handling_of(job: Job, rules: Rules, handling: Handling) -> Handling:
    """The same for a paper as thick as the job's."""
    most = sheets_in_a_lift(thickness_um=job.thickness_um, max_lift_mm=rules.max_lift_mm)
    return replace(handling, sheets_a_lift=most or MANY_SHEETS)


def spared_rows(cut_jobs: Iterable[CutJob], rules: Rules) -> list[dict[str, Any]]:
    """Rows of work.offcut_savings: fresh stock that off-cuts spare, by stock line; rolls by the length."""
    rows = []
    for cut in cut_jobs:
        lines = {line.stock_id: line for line in cut.job.lines}
        for stock_id, taken in stock_taken(cut.problem, cut.spared).items():
            if taken:
                quantity = _quantity(lines[stock_id], taken, rules.bench.length_unit)
                rows.append({"stock_id": stock_id, "spared_quantity": quantity})
    return sorted(rows, key=lambda row: str(row["stock_id"]))


def _quantity(line: StockLine, taken: int, unit: str) -> float:
    """Parent sheets, or rolls as a decimal."""
    return ticks_to_mm(taken, unit) / line.length_mm if line.is_roll else float(taken)
