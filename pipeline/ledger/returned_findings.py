"""Findings from returned work: fore edges over their limit, sheets beyond the plan, thicker paper, surprises."""

from typing import Any

import polars as pl

from pipeline.frames import Frames, figures
from pipeline.ledger.rates import measured_gains
from pipeline.units import FLOOR_GUARD

Row = dict[str, Any]


def return_findings(frames: Frames) -> list[Row]:
    """Rows of work.return_findings, in the order of the ledger's tasks, papers last."""
    policy = figures(frames)
    volumes = {
        (row["revision"], row["volume_id"]): row for row in frames["work.past_volumes"].iter_rows(named=True)
    }
    places = _places(frames)
    rows: list[Row] = []
    for task in frames["work.task_actuals"].sort("done_on", "revision", "task_id").iter_rows(named=True):
        volume = volumes.get((task["revision"], task["volume_id"]))
        if volume is not None and task["kind"] == "check":
            rows += _edge(task, volume, policy["learn.differs_mm"])
        if volume is not None and task["kind"] == "interleave":
            rows += _sheets(task)
    placed = [row | places.get((row.pop("revision"), row["volume_id"]), _nowhere()) for row in rows]
    return [*placed, *_papers(frames)]


def _nowhere() -> Row:
    return {"sheet": "ledger", "cell": ""}


def _places(frames: Frames) -> dict[tuple[str, str], Row]:
    """Return and row that said it, by revision and volume."""
    return {
        (row["revision"], row["volume_id"]): {
            "sheet": f"return {row['return_no']}",
            "cell": f"row {row['row_no']}",
        }
        for row in frames["work.past_lines"].sort("line_id").iter_rows(named=True)
    }


def _edge(task: Row, volume: Row, differs_mm: float) -> list[Row]:
    measured, limit = task["fore_edge_measured_mm"], volume["fore_edge_limit_mm"]
    if measured is None:
        return []
    rows = []
    if limit is not None and measured > limit + FLOOR_GUARD:
        message = f"{task['volume_id']}: fore edge {measured:.1f} mm measured, its limit is {limit:.1f} mm"
        action = "take out the last sheets laid in, or let a conservator decide"
        rows.append(_row(task, "fore_edge_over_limit", "warning", message, action))
    planned = volume["fore_edge_after_mm"]
    if abs(measured - planned) > differs_mm:
        message = f"{task['volume_id']}: fore edge {measured:.1f} mm measured, {planned:.1f} mm planned"
        action = "measure it again; if it is so, the volume differs from its survey: correct the inventory"
        rows.append(_row(task, "differs_from_survey", "warning", message, action))
    return rows


def _sheets(task: Row) -> list[Row]:
    used, spoiled, planned = (
        task["used_sheets_count"],
        task["spoiled_sheets_count"] or 0,
        task["sheets_planned"],
    )
    if used is None or planned is None:
        return []
    if used + spoiled > planned:
        message = f"{task['volume_id']}: {used} sheets laid in and {spoiled} spoiled, {planned} planned"
        return [_row(task, "more_sheets_used", "note", message, "")]
    if task["is_whole"] and used < planned:
        message = f"{task['volume_id']}: done with {used} sheets, {planned} planned"
        action = "what is bare stays bare; correct the inventory if the survey was wrong"
        return [_row(task, "differs_from_survey", "warning", message, action)]
    return []


def _row(task: Row, code: str, level: str, message: str, action: str) -> Row:
    return {
        "revision": task["revision"],
        "code": code,
        "level": level,
        "volume_id": task["volume_id"],
        "message": message,
        "action": action,
    }


def _papers(frames: Frames) -> list[Row]:
    """Papers whose interval lies above the thickness stated."""
    thick = frames["work.learned_rates"].filter(
        (pl.col("subject") == "thickness") & (pl.col("low_value") > pl.col("starting_value"))
    )
    volumes = len(measured_gains(frames)) if thick.height else 0
    return [
        {
            "code": "paper_thicker_than_stated",
            "level": "warning",
            "sheet": "ledger",
            "cell": "",
            "volume_id": "",
            "message": f"{row['subject_id']}: a leaf takes {row['learned_value']:.0f} um in bound volumes "
            f"({row['low_value']:.0f} to {row['high_value']:.0f}), {row['starting_value']:.0f} um is stated; "
            f"{volumes} volumes measured",
            "action": "check the delivery; what is left is planned with the thickness found",
        }
        for row in thick.sort("subject_id").iter_rows(named=True)
    ]
