"""Findings as table rows and in the order a person reads them: by sheet, row and column."""

import re
from collections.abc import Iterable

import polars as pl

from pipeline.contracts import TABLES
from pipeline.contracts.inventory_columns import SHEETS
from pipeline.errors import Finding
from pipeline.inventory.columns import match_sheet
from pipeline.inventory.quantities import Problem

_PLACE = re.compile(r"(?P<letters>[A-Z]+)(?P<row_no>\d+)")
_SHEET_ORDER = {sheet.name: order for order, sheet in enumerate(SHEETS)}
_LAST = len(SHEETS)
Place = tuple[int, str, int, int, str]


def place_problem(problem: Problem, sheet: str, cell: str = "", volume_id: str = "") -> Finding:
    """A problem as a finding at its place."""
    return Finding(
        code=problem.code,
        level=problem.level,
        sheet=sheet,
        cell=cell,
        volume_id=volume_id,
        message=problem.message,
        action=problem.action,
    )


def finding_rows(findings: Iterable[Finding]) -> pl.DataFrame:
    """Findings as rows of clean.findings (and raw.findings), in the order given."""
    rows = [
        {
            "code": finding.code,
            "level": finding.level,
            "sheet": finding.sheet,
            "cell": finding.cell,
            "volume_id": finding.volume_id,
            "message": finding.message,
            "action": finding.action,
        }
        for finding in findings
    ]
    return TABLES["clean.findings"].frame(rows)


def findings_of(frame: pl.DataFrame) -> list[Finding]:
    """Rows of a findings table as findings, sorted as a person reads the workbook."""
    return in_order(Finding(**row) for row in frame.iter_rows(named=True))


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Findings sorted by sheet (in the order of the inventory's sheets), row, column and code; doubles
    dropped.
    """
    return sorted(dict.fromkeys(findings), key=_place)


def _place(finding: Finding) -> tuple[Place, str, str]:
    order = _SHEET_ORDER.get(match_sheet(finding.sheet), _LAST)
    match = _PLACE.fullmatch(finding.cell)
    row_no, letters = (int(match["row_no"]), match["letters"]) if match else (0, "")
    return (order, finding.sheet, row_no, len(letters), letters), finding.code, finding.message
