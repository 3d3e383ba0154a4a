"""The sheets of a returned workbook as rows of cells by field, wherever their headings and rows stand.

Rows may be inserted, left blank or sorted anew; columns may be moved; titles may stand above. What counts is the
heading of a column and the volume or pattern a row names. Spellings: pipeline/policy/columns.toml.
"""

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path

from pipeline.errors import FileProblemError, Finding
from pipeline.inventory.columns import plain
from pipeline.inventory.parse import CellText
from pipeline.inventory.sheets import Reading, ReadSheet, address

RETURNS, CUTTING = "returns", "cutting_returns"
SHEET_NAMES = {RETURNS: "Returns", CUTTING: "Cutting returns"}
NEEDED = {
    RETURNS: ("volume_id", "progress", "done_on", "minutes_taken"),
    CUTTING: ("pattern_id", "progress", "done_on", "minutes_taken"),
}
TYPED = (
    "progress",
    "done_on",
    "staff_id",
    "minutes_taken",
    "other_minutes",
    "used_sheets_count",
    "spoiled_sheets_count",
    "fore_edge_measured_mm",
    "is_cleared",
    "is_boxed",
    "note",
)
"""Fields that people fill in, besides the leaves used of each paper; all others are there to be read."""
MOST_TITLE_ROWS = 20
_NUMBERED = re.compile(r"(?P<name>paper|planned|used)(?P<number>\d{1,2})")
_TAIL = re.compile(r"\s*\([^()]*\)\s*$")


@dataclass(frozen=True)
class ReturnedRow:
    """One row with an entry: its cells by field. Of each paper the fields are `paper 1`, `used 1` and so on."""

    row_no: int
    cells: dict[str, CellText]

    def numbers(self) -> list[str]:
        """Numbers of the papers that have a cell in this row."""
        return sorted({name.partition(" ")[2] for name in self.cells if " " in name}, key=int)


@dataclass(frozen=True)
class ReturnedSheet:
    """A sheet as read: `kind` returns or cutting_returns, units of headings that name one, places, rows."""

    kind: str
    name: str
    columns: dict[str, int]
    units: dict[str, str]
    rows: tuple[ReturnedRow, ...] = ()

    def place(self, row_no: int, name: str) -> str:
        """Cell address of a field in a row; of the row's first cell where the column is not there."""
        return address(row_no, self.columns.get(name, 1))


def read_returned(path: Path) -> tuple[list[ReturnedSheet], list[Finding]]:
    """The sheets of a workbook that hold returns, and what is odd about the file.

    Raises FileProblemError when it cannot be read or holds no such sheet.
    """
    from pipeline.inventory.workbook import read_workbook  # slow to import

    if path.suffix.lower() == ".csv":
        raise FileProblemError(f"{path} is no workbook; send the work orders back as .xlsx")
    reading = read_workbook(path)
    found = _find_sheets(reading)
    if not found:
        raise FileProblemError(
            f"{path} has no sheet {SHEET_NAMES[RETURNS]} or {SHEET_NAMES[CUTTING]}; "
            "send back the work orders of the plan"
        )
    sheets, findings = [], list(reading.findings)
    for kind, one in found.items():
        sheet, odd = _read_sheet(kind, one)
        sheets.append(sheet)
        # hidden and filtered rows are read like any other, which is what is wanted here
        findings += [*(finding for finding in one.findings if finding.code != "hidden_rows"), *odd]
    return sheets, findings


def _find_sheets(reading: Reading) -> dict[str, ReadSheet]:
    found: dict[str, ReadSheet] = {}
    for kind, name in SHEET_NAMES.items():
        for sheet in reading.sheets:
            if plain(sheet.name) == plain(name):
                found.setdefault(kind, sheet)
    return found


def _read_sheet(kind: str, sheet: ReadSheet) -> tuple[ReturnedSheet, list[Finding]]:
    header_row_no, columns, units = _headings(kind, sheet)
    missing = [name for name in NEEDED[kind] if name not in columns]
    findings = [
        Finding(
            code="column_missing",
            level="error",
            sheet=sheet.name,
            message=f"no column is headed {_spellings(kind)[name][0]!r}",
            action="head the columns as in the work orders",
        )
        for name in missing
    ]
    rows = () if missing else tuple(_rows(sheet, header_row_no, columns))
    return ReturnedSheet(kind, sheet.name, columns, units, rows), findings


def _rows(sheet: ReadSheet, header_row_no: int, columns: dict[str, int]) -> Iterator[ReturnedRow]:
    by_column = {number: name for name, number in columns.items()}
    cells: dict[int, dict[str, CellText]] = {}
    for row_no, column_no, kind, text in sheet.cells.iter_rows():
        if row_no > header_row_no and column_no in by_column:
            cells.setdefault(row_no, {})[by_column[column_no]] = (kind, text)
    for row_no in sorted(cells):
        if any(name in TYPED or name.startswith("used ") for name in cells[row_no]):
            yield ReturnedRow(row_no, cells[row_no])


def _headings(kind: str, sheet: ReadSheet) -> tuple[int, dict[str, int], dict[str, str]]:
    """Row of the headings, and column number and unit of each known one."""
    best: tuple[int, dict[str, int], dict[str, str]] = (0, {}, {})
    lines = sheet.cells.group_by("row_no", maintain_order=True).agg("column_no", "text").head(MOST_TITLE_ROWS)
    for row_no, column_nos, texts in lines.iter_rows():
        columns: dict[str, int] = {}
        units: dict[str, str] = {}
        for column_no, text in zip(column_nos, texts, strict=True):
            name, unit = match_heading(kind, text)
            if name and name not in columns:
                columns[name] = column_no
                units[name] = unit
        if len(columns) > len(best[1]):
            best = row_no, columns, units
    return best


def match_heading(kind: str, text: str) -> tuple[str, str]:
    """The field that a heading means and the unit it ends in; blank where it is not known."""
    typed = plain(text).replace("?", "")
    by_plain = {plain(word): name for name, words in _spellings(kind).items() for word in words}
    if typed in by_plain:
        return by_plain[typed], ""
    if kind == RETURNS and (match := _NUMBERED.fullmatch(typed)):
        return f"{match['name']} {int(match['number'])}", ""
    for ending, unit in _unit_endings():
        if typed.endswith(ending) and typed.removesuffix(ending) in by_plain:
            return by_plain[typed.removesuffix(ending)], unit
    bare = plain(_TAIL.sub("", text)).replace("?", "")
    return by_plain.get(bare, ""), ""


@cache
def _spellings(kind: str) -> dict[str, list[str]]:
    data = tomllib.loads((files("pipeline.policy") / "columns.toml").read_text(encoding="utf-8"))
    spellings: dict[str, list[str]] = data[kind]
    return spellings


@cache
def _unit_endings() -> tuple[tuple[str, str], ...]:
    data = tomllib.loads((files("pipeline.policy") / "columns.toml").read_text(encoding="utf-8"))
    endings = [(plain(word), unit) for unit, words in data["unit_endings"].items() for word in words]
    return tuple(sorted(endings, key=lambda pair: (-len(pair[0]), pair[0])))
