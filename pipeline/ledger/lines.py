"""Rows of a returned sheet as lines of the ledger, or findings with the cell that cannot be understood."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import cast

from pipeline.errors import Finding, Level
from pipeline.inventory.findings import place_problem
from pipeline.inventory.parse import CellText, tidy
from pipeline.inventory.quantities import Problem, read_length_mm
from pipeline.ledger.returned import RETURNS, TYPED, ReturnedRow, ReturnedSheet
from pipeline.ledger.tasks import Answered
from pipeline.ledger.words import (
    read_count,
    read_day,
    read_is_done,
    read_known,
    read_minutes,
    read_progress,
)
from pipeline.units import exact_mm

MOST_NOTE_CHARACTERS = 2000
STEPS_TOLD = (
    ("is_cleared", "remove", "its old leaves are out"),
    ("is_boxed", "enclose", "it is in a new box"),
)
"""Steps of a part-done volume that nothing else in its row tells of: field, kind of task, words."""
Value = str | int | float | date | None
Values = dict[str, Value]


@dataclass(frozen=True)
class Line:
    """One accepted row: what it is about, its values by column of the ledger, its place."""

    revision: str
    subject: tuple[str, str]
    sheet: str
    cell: str
    values: dict[str, object]


@dataclass(frozen=True)
class _Work:
    """What a revision planned for one volume: sheets by paper, and steps; steps that any revision planned."""

    sheets: dict[str, int]
    steps: frozenset[str]
    ever_planned: frozenset[str]

    @classmethod
    def of(cls, answered: Answered, revision: str, volume_id: str) -> "_Work":
        """The work on a volume that a revision planned."""
        planned = answered.revisions[revision]
        ever = (steps for one in answered.revisions.values() for steps in one.steps.get(volume_id, ()))
        return cls(planned.volumes[volume_id], frozenset(planned.steps[volume_id]), frozenset(ever))


@dataclass
class _Judge:
    """Gathers the findings of one sheet."""

    sheet: ReturnedSheet
    answered: Answered
    findings: list[Finding] = field(default_factory=list)

    def report(self, row: ReturnedRow, name: str, problem: Problem) -> None:
        """Add a finding at a cell."""
        key = "volume_id" if self.sheet.kind == RETURNS else "pattern_id"
        subject = tidy(row.cells[key][1]) if key in row.cells else "this row"
        place = self.sheet.place(row.row_no, name)
        named = Problem(problem.code, f"{subject}: {problem.message}", problem.action, problem.level)
        self.findings.append(place_problem(named, self.sheet.name, place))

    def note(
        self, row: ReturnedRow, name: str, code: str, words: tuple[str, str], level: Level = "error"
    ) -> None:
        """Add a finding from its code, what is wrong and what to do."""
        self.report(row, name, Problem(code, *words, level))


def judge_rows(sheet: ReturnedSheet, answered: Answered) -> tuple[list[Line], list[Finding]]:
    """The good lines in the order of the sheet, and the findings of all rows."""
    judge = _Judge(sheet, answered)
    lines: list[Line] = []
    seen: dict[tuple[object, ...], object] = {}
    for row in sheet.rows:
        line = _judge_row(judge, row)
        if line is None:
            continue
        key = tuple(value for name, value in line.values.items() if name != "row_no")
        if key in seen:
            words = f"says the same as row {seen[key]} and counts once", "delete one of them"
            judge.note(row, "progress", "row_twice", words, "warning")
            continue
        seen[key] = line.values["row_no"]
        lines.append(line)
    return lines, judge.findings


def _judge_row(judge: _Judge, row: ReturnedRow) -> Line | None:
    before = len(judge.findings)
    revision, subject = _find_subject(judge, row)
    if not subject:
        return None
    values = _read_cells(judge, row)
    if judge.sheet.kind == RETURNS:
        work = _Work.of(judge.answered, revision, subject)
        values |= _read_leaves(judge, row, work.sheets)
        _complete(judge, row, values)
        _hold_steps(judge, row, values, work)
        _hold_against_plan(judge, row, values, work)
    else:
        values["used_by_paper"] = ""
        _complete(judge, row, values)
        _complete_cut(judge, row, values, judge.answered.revisions[revision].patterns[subject])
    if any(finding.level == "error" for finding in judge.findings[before:]):
        return None
    is_volume = judge.sheet.kind == RETURNS
    head: dict[str, object] = {
        "sheet": judge.sheet.name,
        "row_no": row.row_no,
        "revision": revision,
        "volume_id": subject if is_volume else None,
        "pattern_id": None if is_volume else subject,
    }
    place = judge.sheet.place(row.row_no, "progress")
    return Line(revision, (judge.sheet.kind, subject), judge.sheet.name, place, head | values)


def _find_subject(judge: _Judge, row: ReturnedRow) -> tuple[str, str]:
    """The revision and the volume or pattern a row is about; blank where that cannot be known."""
    answered, cells, is_volume = judge.answered, row.cells, judge.sheet.kind == RETURNS
    key, what = ("volume_id", "volume") if is_volume else ("pattern_id", "pattern")
    if key not in cells:
        words = f"the row names no {what}", "write it as the work orders do; clear what is no return"
        judge.note(row, key, f"{what}_missing", words)
        return "", ""
    revision: str | Problem = answered.current
    if "revision" in cells:
        revision = read_known(cells["revision"], list(answered.revisions), "plan")
    if isinstance(revision, Problem):
        judge.report(row, "revision", revision)
        return "", ""
    planned = answered.revisions[revision]
    found = read_known(cells[key], list(planned.volumes if is_volume else planned.patterns), what)
    if isinstance(found, Problem):
        judge.report(row, key, found)
        return revision, ""
    return revision, found


def _read_cells(judge: _Judge, row: ReturnedRow) -> Values:
    answered = judge.answered
    unit = judge.sheet.units.get("fore_edge_measured_mm") or answered.length_unit
    readers: dict[str, Callable[[CellText], Value | Problem]] = {
        "progress": read_progress,
        "done_on": read_day,
        "staff_id": lambda cell: read_known(cell, list(answered.staff_ids), "person"),
        "minutes_taken": read_minutes,
        "other_minutes": read_minutes,
        "used_sheets_count": read_count,
        "spoiled_sheets_count": read_count,
        "fore_edge_measured_mm": lambda cell: _length(cell, unit),
        "is_cleared": read_is_done,
        "is_boxed": read_is_done,
        "note": lambda cell: tidy(cell[1])[:MOST_NOTE_CHARACTERS] or None,
    }
    return {name: _read(judge, row, name, readers[name]) for name in TYPED}


def _read(judge: _Judge, row: ReturnedRow, name: str, read: Callable[[CellText], Value | Problem]) -> Value:
    """A cell's value, None when it is empty or a finding was added."""
    cell = row.cells.get(name)
    if cell is None:
        return None
    value = _unreadable(cell) or read(cell)
    if isinstance(value, Problem):
        # other text than a staff id is let through, as the sheet itself does
        level: Level = "warning" if name == "staff_id" else value.level
        judge.report(row, name, Problem(value.code, value.message, value.action, level))
        return None
    return value


def _unreadable(cell: CellText) -> Problem | None:
    if cell[0] == "error":
        return Problem("error_cell", f"the cell holds the error {cell[1]}", "type the value")
    if cell[0] == "formula":
        message = "the cell holds a formula without a stored result"
        return Problem("formula_without_value", message, "type the value")
    return None


def _length(cell: CellText, unit: str) -> float | Problem:
    if cell[0] == "number":
        return exact_mm(Fraction(cell[1]), unit)
    if cell[0] != "text":
        return Problem("not_a_length", f'"{tidy(cell[1])}" is no length', f"write the fore edge in {unit}")
    return read_length_mm("fore edge", cell[1], unit=unit, has_comma=True)


def _read_leaves(judge: _Judge, row: ReturnedRow, planned: dict[str, int]) -> Values:
    """Leaves of each paper that lie in the volume now. A paper's cell that is empty takes the plan's, in its order."""
    known = sorted(paper for paper in planned if paper)
    used: dict[str, int] = {}
    for place, number in enumerate(row.numbers()):
        count = _read(judge, row, f"used {number}", read_count)
        if count is None or (count == 0 and place >= len(known)):
            continue
        cell = row.cells.get(f"paper {number}")
        paper: str | Problem = known[place] if place < len(known) else ""
        if cell is not None:
            paper = read_known(cell, known, "paper")
        if isinstance(paper, Problem) or not paper:
            problem = (
                paper
                if isinstance(paper, Problem)
                else Problem("paper_missing", "of which paper?", "write it")
            )
            judge.report(row, f"paper {number}", problem)
            continue
        used[paper] = used.get(paper, 0) + cast(int, count)
    return {
        "used_by_paper": ", ".join(f"{paper}: {count}" for paper, count in sorted(used.items())),
        "used_sheets_count": sum(used.values()) if used else None,
    }


def _complete(judge: _Judge, row: ReturnedRow, values: Values) -> None:
    """What every row must say: how far it is, and when; minutes are missed but not asked for."""
    if values["progress"] is None and "progress" not in row.cells:
        if values["done_on"] is None:
            words = "how far is it?", "write done, part done or not done, or clear the row"
            judge.note(row, "progress", "progress_missing", words)
            return
        values["progress"] = "done"
        words = "has a day and is taken as done", "write done or part done"
        judge.note(row, "progress", "taken_as_done", words, "warning")
    if values["progress"] == "not_done":
        return
    day = cast(date | None, values["done_on"])
    if day is None and "done_on" not in row.cells:
        judge.note(row, "done_on", "day_missing", (f"is {values['progress']} without a day", "write the day"))
    elif day is not None and not judge.answered.start_date <= day <= judge.answered.end_date:
        words = f"{day} lies outside the campaign", "check the day and the year"
        judge.note(row, "done_on", "day_outside_campaign", words)


def _hold_steps(judge: _Judge, row: ReturnedRow, values: Values, work: _Work) -> None:
    """What a row says of old leaves and box, against how far it says the volume is and what was planned."""
    for name, step, words in STEPS_TOLD:
        is_done, progress = values[name], values["progress"]
        if is_done and progress == "not_done":
            judge.note(row, name, "not_done_and_begun", (f"is not done, yet {words}", "write part done"))
        elif is_done and step not in work.ever_planned:
            told = f"{words}, which is not planned; this counts for nothing", "correct the inventory"
            judge.note(row, name, "step_not_planned", told, "warning")
    if "enclose" in work.steps and values["is_boxed"] is False and values["progress"] == "done":
        told = "is done and not in its new box", "write part done while the box is to come"
        judge.note(row, "is_boxed", "done_without_box", told)
    is_past_clearing = values["progress"] == "done" or ("enclose" in work.steps and values["is_boxed"])
    if "remove" in work.steps and values["is_cleared"] is False and is_past_clearing:
        told = (
            "is done or boxed, and its old leaves are not out",
            "write part done, or yes for the old leaves",
        )
        judge.note(row, "is_cleared", "done_without_clearing", told)


def _hold_against_plan(judge: _Judge, row: ReturnedRow, values: Values, work: _Work) -> None:
    """A volume's row against its plan: sheets that are not given are the planned ones, where it is done or boxed."""
    if values["progress"] == "not_done":
        return
    planned, is_through = work.sheets, "enclose" in work.steps and bool(values["is_boxed"])
    total = sum(planned.values())
    used = cast(int | None, values["used_sheets_count"])
    if used is None and total and not any(f"used {number}" in row.cells for number in row.numbers()):
        if values["progress"] == "part" and not is_through:
            words = "is part done; how many sheets lie in it?", "write the sheets of each paper, 0 for none"
            judge.note(row, "used 1", "sheets_missing", words)
            return
        values["used_by_paper"] = ", ".join(f"{paper}: {n}" for paper, n in sorted(planned.items()) if paper)
        values["used_sheets_count"] = used = total
        words = f"no sheets given; the {total} planned are taken as laid in", "write how many lie in it"
        judge.note(row, "used 1", "sheets_as_planned", words, "warning")
    if used is not None and used > total:
        words = f"{used} sheets lie in it, {total} were planned", "check the figure"
        judge.note(row, "used 1", "more_sheets_used", words, "warning")
    if (values["progress"] == "done" or is_through) and total and "fore_edge_measured_mm" not in row.cells:
        words = "no fore edge; the planned one is taken", "measure it"
        judge.note(row, "fore_edge_measured_mm", "fore_edge_missing", words, "warning")
    if total and values["minutes_taken"] is None and "minutes_taken" not in row.cells:
        judge.note(
            row, "minutes_taken", "minutes_missing", ("no minutes for laying in", "add them"), "warning"
        )


def _complete_cut(judge: _Judge, row: ReturnedRow, values: Values, planned: int) -> None:
    if values["progress"] == "not_done":
        return
    if values["used_sheets_count"] is None and "used_sheets_count" not in row.cells:
        if values["progress"] == "part":
            words = "is part done; how many parent sheets are cut?", "write their number"
            judge.note(row, "used_sheets_count", "sheets_missing", words)
            return
        values["used_sheets_count"] = planned
        words = f"no parent sheets given; the {planned} planned are taken as cut", "write their number"
        judge.note(row, "used_sheets_count", "sheets_as_planned", words, "warning")
    if values["minutes_taken"] is None and "minutes_taken" not in row.cells:
        judge.note(row, "minutes_taken", "minutes_missing", ("no minutes", "add them"), "warning")
