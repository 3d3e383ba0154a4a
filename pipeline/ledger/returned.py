"""A returned workbook's sheet Returns as rows of cells by field, wherever its headings and rows stand.

Rows may be inserted, left blank or sorted anew; columns may be moved; titles may stand above. What counts is the
heading of a column and the task a row names. Spellings: pipeline/policy/columns.toml.
"""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from pathlib import Path

from pipeline.errors import FileProblemError, Finding
from pipeline.inventory.columns import plain
from pipeline.inventory.parse import CellText
from pipeline.inventory.sheets import Reading, ReadSheet, address

SHEET_NAME = "Returns"
ENTRIES = (
    "progress",
    "done_on",
    "staff_id",
    "minutes_taken",
    "used_sheets_count",
    "spoiled_sheets_count",
    "fore_edge_measured_mm",
    "note",
)
"""Fields that people fill in; all others are there to be read."""
NEEDED = ("task_id", "progress", "done_on", "minutes_taken")
MOST_TITLE_ROWS = 20


@dataclass(frozen=True)
class ReturnedRow:
    """One row with an entry: its cells by field."""

    row_no: int
    cells: dict[str, CellText]


@dataclass(frozen=True)
class ReturnedSheet:
    """The sheet as read: `units` of headings that name one, the place of each field, rows with an entry."""

    name: str
    columns: dict[str, int]
    units: dict[str, str]
    rows: tuple[ReturnedRow, ...] = field(default_factory=tuple)

    def place(self, row_no: int, name: str) -> str:
        """Cell address of a field in a row; of the row's first cell where the column is not there."""
        return address(row_no, self.columns.get(name, 1))


def read_returned(path: Path) -> tuple[ReturnedSheet, list[Finding]]:
    """The sheet Returns of a workbook and what is odd about the file. Raises FileProblemError without one."""
    from pipeline.inventory.workbook import read_workbook  # slow to import

    if path.suffix.lower() == ".csv":
        raise FileProblemError(f"{path} is no workbook; send the work orders back as .xlsx")
    reading = read_workbook(path)
    found = _find_sheet(reading, path)
    sheet, findings = _read_sheet(found)
    kept = [one for one in found.findings if one.code != "hidden_rows"]
    return sheet, [*reading.findings, *kept, *findings]


def _find_sheet(reading: Reading, path: Path) -> ReadSheet:
    sheets = [sheet for sheet in reading.sheets if plain(sheet.name) == plain(SHEET_NAME)]
    if not sheets:
        sheets = [sheet for sheet in reading.sheets if set(NEEDED) <= set(_headings(sheet)[1])]
    if not sheets:
        raise FileProblemError(
            f"{path} has no sheet {SHEET_NAME}; send back the workbook work_orders.xlsx of the plan"
        )
    return sheets[0]


def _read_sheet(sheet: ReadSheet) -> tuple[ReturnedSheet, list[Finding]]:
    header_row_no, columns, units = _headings(sheet)
    missing = [name for name in NEEDED if name not in columns]
    findings = [
        Finding(
            code="column_missing",
            level="error",
            sheet=sheet.name,
            message=f"no column says {_spellings()[name][0]}",
            action=f"head the column {_spellings()[name][0]!r} as in the work orders",
        )
        for name in missing
    ]
    rows = () if missing else tuple(_rows(sheet, header_row_no, columns))
    return ReturnedSheet(sheet.name, columns, units, rows), findings


def _rows(sheet: ReadSheet, header_row_no: int, columns: dict[str, int]) -> Iterator[ReturnedRow]:
    by_column = {number: name for name, number in columns.items()}
    cells: dict[int, dict[str, CellText]] = {}
    for row_no, column_no, kind, text in sheet.cells.iter_rows():
        if row_no > header_row_no and column_no in by_column:
            cells.setdefault(row_no, {})[by_column[column_no]] = (kind, text)
    for row_no in sorted(cells):
        if any(name in cells[row_no] for name in ENTRIES):
            yield ReturnedRow(row_no, cells[row_no])


def _headings(sheet: ReadSheet) -> tuple[int, dict[str, int], dict[str, str]]:
    """Row of the headings, and column number and unit of each known one."""
    best: tuple[int, dict[str, int], dict[str, str]] = (0, {}, {})
    lines = sheet.cells.group_by("row_no", maintain_order=True).agg("column_no", "text").head(MOST_TITLE_ROWS)
    for row_no, column_nos, texts in lines.iter_rows():
        columns: dict[str, int] = {}
        units: dict[str, str] = {}
        for column_no, text in zip(column_nos, texts, strict=True):
            name, unit = match_heading(text)
            if name and name not in columns:
                columns[name] = column_no
                units[name] = unit
        if len(columns) > len(best[1]):
            best = row_no, columns, units
    return best


def match_heading(text: str) -> tuple[str, str]:
    """The field that a heading means and the unit it ends in; blank where it is not known."""
    typed = plain(text).replace("?", "")
    by_plain = {plain(word): name for name, words in _spellings().items() for word in words}
    if typed in by_plain:
        return by_plain[typed], ""
    for ending, unit in _unit_endings():
        if typed.endswith(ending) and typed.removesuffix(ending) in by_plain:
            return by_plain[typed.removesuffix(ending)], unit
    return "", ""


@cache
def _spellings() -> dict[str, list[str]]:
    data = tomllib.loads((files("pipeline.policy") / "columns.toml").read_text(encoding="utf-8"))
    spellings: dict[str, list[str]] = data["returns"]
    return spellings


@cache
def _unit_endings() -> tuple[tuple[str, str], ...]:
    data = tomllib.loads((files("pipeline.policy") / "columns.toml").read_text(encoding="utf-8"))
    endings = [(plain(word), unit) for unit, words in data["unit_endings"].items() for word in words]
    return tuple(sorted(endings, key=lambda pair: (-len(pair[0]), pair[0])))
