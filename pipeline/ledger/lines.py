"""Rows of a returned sheet as lines of the ledger, or findings with the cell that cannot be understood."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import cast

from pipeline.errors import Finding
from pipeline.inventory.findings import place_problem
from pipeline.inventory.parse import CellText, tidy
from pipeline.inventory.quantities import Problem, read_length_mm
from pipeline.ledger.returned import ReturnedRow, ReturnedSheet
from pipeline.ledger.tasks import Answered, PlannedTask
from pipeline.ledger.words import read_count, read_day, read_known, read_minutes, read_progress
from pipeline.units import exact_mm

MOST_NOTE_CHARACTERS = 2000
Value = str | int | float | date | None
_LEAF_TASKS = ("interleave", "cut")


@dataclass(frozen=True)
class Line:
    """One accepted row: the task it answers, its values by column of the ledger, its place."""

    revision: str
    task: PlannedTask
    sheet: str
    cell: str
    values: dict[str, object]


@dataclass
class _Judge:
    """Gathers the findings of one sheet."""

    sheet: ReturnedSheet
    answered: Answered
    findings: list[Finding] = field(default_factory=list)

    def report(self, row: ReturnedRow, name: str, problem: Problem) -> None:
        """Add a finding at a cell."""
        task = tidy(row.cells["task_id"][1]) if "task_id" in row.cells else "this row"
        place = self.sheet.place(row.row_no, name)
        named = Problem(problem.code, f"{task}: {problem.message}", problem.action, problem.level)
        self.findings.append(place_problem(named, self.sheet.name, place))


def judge_rows(sheet: ReturnedSheet, answered: Answered) -> tuple[list[Line], list[Finding]]:
    """The good lines in the order of the sheet, and the findings of all rows."""
    judge = _Judge(sheet, answered)
    lines: list[Line] = []
    seen: dict[tuple[object, ...], Line] = {}
    for row in sheet.rows:
        line = _judge_row(judge, row)
        if line is None:
            continue
        key = (
            line.revision,
            line.task.task_id,
            *(value for name, value in line.values.items() if name != "row_no"),
        )
        if key in seen:
            message = f"says the same as row {seen[key].values['row_no']} and counts once"
            judge.report(row, "task_id", Problem("row_twice", message, "delete one of them", "warning"))
            continue
        seen[key] = line
        lines.append(line)
    return lines, judge.findings


def _judge_row(judge: _Judge, row: ReturnedRow) -> Line | None:
    revision, task = _find_task(judge, row)
    if task is None:
        return None
    before = len(judge.findings)
    values = _read_cells(judge, row)
    _complete(judge, row, task, values)
    if any(finding.level == "error" for finding in judge.findings[before:]):
        return None
    head: dict[str, object] = {
        "sheet": judge.sheet.name,
        "row_no": row.row_no,
        "revision": revision,
        "task_id": task.task_id,
        "kind": task.kind,
        "volume_id": task.volume_id,
        "pattern_id": task.pattern_id,
        "sheets_planned": task.sheets,
        "minutes_planned": task.minutes,
    }
    cell = judge.sheet.place(row.row_no, "progress")
    return Line(revision, task, judge.sheet.name, cell, head | values)


def _find_task(judge: _Judge, row: ReturnedRow) -> tuple[str, PlannedTask | None]:
    answered, cells = judge.answered, row.cells
    revision = answered.current
    if "task_id" not in cells:
        action = "write the task as the work orders name it; delete what is no return"
        judge.report(row, "task_id", Problem("task_missing", "the row names no task", action))
        return revision, None
    if "revision" in cells:
        found = read_known(cells["revision"], list(answered.tasks), "plan")
        if isinstance(found, Problem):
            judge.report(row, "revision", found)
            return revision, None
        revision = found
    tasks = answered.tasks[revision]
    name = read_known(cells["task_id"], list(tasks), "task")
    if isinstance(name, Problem):
        judge.report(row, "task_id", name)
        return revision, None
    return revision, tasks[name]


def _read_cells(judge: _Judge, row: ReturnedRow) -> dict[str, Value]:
    answered = judge.answered
    unit = judge.sheet.units.get("fore_edge_measured_mm") or answered.length_unit
    readers: dict[str, Callable[[CellText], Value | Problem]] = {
        "progress": read_progress,
        "done_on": read_day,
        "staff_id": lambda cell: read_known(cell, list(answered.staff_ids), "person"),
        "minutes_taken": read_minutes,
        "used_sheets_count": read_count,
        "spoiled_sheets_count": read_count,
        "fore_edge_measured_mm": lambda cell: _length(cell, unit),
        "note": lambda cell: tidy(cell[1])[:MOST_NOTE_CHARACTERS] or None,
    }
    values: dict[str, Value] = {}
    for name, read in readers.items():
        cell = row.cells.get(name)
        value = _unreadable(cell) or read(cell) if cell else None
        if isinstance(value, Problem):
            judge.report(row, name, value)
            value = None
        values[name] = value
    return values


def _unreadable(cell: CellText) -> Problem | None:
    if cell[0] == "error":
        return Problem("error_cell", f"the cell holds the error {cell[1]}", "type the value")
    if cell[0] == "formula":
        return Problem(
            "formula_without_value", "the cell holds a formula without a stored result", "type the value"
        )
    return None


def _length(cell: CellText, unit: str) -> float | Problem:
    if cell[0] == "number":
        return exact_mm(Fraction(cell[1]), unit)
    if cell[0] != "text":
        return Problem("not_a_length", f'"{tidy(cell[1])}" is no length', f"write the fore edge in {unit}")
    return read_length_mm("fore edge", cell[1], unit=unit, has_comma=True)


def _complete(judge: _Judge, row: ReturnedRow, task: PlannedTask, values: dict[str, Value]) -> None:
    """Hold the values of a row against each other and fill in what follows; what does not is a finding."""
    if values["progress"] is None and "progress" not in row.cells:
        if values["done_on"] is None:
            action = "write done, part or not done, or clear the row"
            judge.report(row, "progress", Problem("progress_missing", "how far is it?", action))
            return
        values["progress"] = "done"
        problem = Problem("taken_as_done", "has a day and is taken as done", "write done or part", "warning")
        judge.report(row, "progress", problem)
    if values["progress"] == "not_done":
        return
    _needs_day(judge, row, values)
    if values["minutes_taken"] is None and "minutes_taken" not in row.cells:
        problem = Problem("minutes_missing", "no minutes; nothing is learned from it", "add them", "warning")
        judge.report(row, "minutes_taken", problem)
    if task.kind in _LEAF_TASKS:
        _sheets(judge, row, task, values)
    elif task.kind != "check":
        values["fore_edge_measured_mm"] = None
    is_unmeasured = values["fore_edge_measured_mm"] is None and "fore_edge_measured_mm" not in row.cells
    if task.kind == "check" and values["progress"] == "done" and is_unmeasured:
        message = "no fore edge; the planned one is taken"
        judge.report(
            row, "fore_edge_measured_mm", Problem("fore_edge_missing", message, "measure it", "warning")
        )


def _needs_day(judge: _Judge, row: ReturnedRow, values: dict[str, Value]) -> None:
    day = cast(date | None, values["done_on"])
    if day is None:
        if "done_on" not in row.cells:
            action = "write the day it was done"
            judge.report(
                row, "done_on", Problem("day_missing", f"is {values['progress']} without a day", action)
            )
    elif not judge.answered.start_date <= day <= judge.answered.end_date:
        message = f"{day} lies outside the campaign"
        judge.report(row, "done_on", Problem("day_outside_campaign", message, "check the day and the year"))


def _sheets(judge: _Judge, row: ReturnedRow, task: PlannedTask, values: dict[str, Value]) -> None:
    """Sheets used, and how many of them were spoiled: what was used beyond the plan, where nothing is said."""
    used = cast(int | None, values["used_sheets_count"])
    planned = task.sheets or 0
    if used is None and "used_sheets_count" not in row.cells:
        if values["progress"] == "part":
            action = "write how many sheets are in it now"
            judge.report(
                row,
                "used_sheets_count",
                Problem("sheets_missing", "is part done; with how many sheets?", action),
            )
            return
        used = values["used_sheets_count"] = planned + cast(int, values["spoiled_sheets_count"] or 0)
        problem = Problem(
            "sheets_as_planned", f"no sheets given; {used} are taken as used", "add them", "warning"
        )
        judge.report(row, "used_sheets_count", problem)
    if used is None or task.kind != "interleave":
        return
    if values["spoiled_sheets_count"] is None:
        values["spoiled_sheets_count"] = max(0, used - planned)
    spoiled = cast(int, values["spoiled_sheets_count"])
    if spoiled > used or used - spoiled > planned:
        message = f"{used} used and {spoiled} spoiled, where {planned} were planned"
        action = "sheets used are those laid in and those spoiled; sheets beyond the plan need a new plan"
        judge.report(row, "used_sheets_count", Problem("sheets_do_not_add_up", message, action))
    elif used > planned and spoiled:
        message = f"{used} sheets used, {planned} planned"
        judge.report(row, "used_sheets_count", Problem("more_sheets_used", message, "", "note"))
