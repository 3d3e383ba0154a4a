"""Rows of a sheet that add up the others, told from rows that say something of their own, and left out."""

import re
from collections.abc import Iterator

from pipeline.contracts.input_sheet import InputSheet
from pipeline.errors import Finding
from pipeline.inventory.columns import is_totals_word
from pipeline.inventory.findings import place_problem
from pipeline.inventory.parse import CellText
from pipeline.inventory.quantities import Problem, Quantity, read_quantity
from pipeline.inventory.raw import RawColumn, RawSheet

_ADDS_UP = re.compile(r"\s*[=+]\s*(SUM|SUBTOTAL|AGGREGATE|AVERAGE|COUNT|COUNTA)\s*\(", re.IGNORECASE)
_NEAR = 1e-9


def without_totals(sheet: InputSheet, raw: RawSheet) -> tuple[RawSheet, list[Finding]]:
    """The sheet without its rows of totals, and a warning for each.

    One is a row where a cell says so (Total, Sum) and a required one is empty; or where the key is empty and every
    filled cell is a number or a formula, one of them the sum of its column.
    """
    required = [column.name for column in sheet.columns if column.required and column.name in raw.columns]
    if not required or not sheet.key:
        return raw, []
    found: dict[int, str] = {}
    for row_no in raw.row_nos():
        cells = {name: column.cells[row_no] for name, column in raw.columns.items() if row_no in column.cells}
        if all(name in cells for name in required):
            continue
        label = next((name for name, cell in cells.items() if is_totals_word(cell[1])), "")
        if label or (sheet.key not in cells and _adds_up(raw, row_no, cells)):
            found[row_no] = label or next(iter(cells))
    findings = [_finding(sheet, raw, row_no, name) for row_no, name in found.items()]
    return (_without(raw, set(found)), findings) if found else (raw, [])


def _adds_up(raw: RawSheet, row_no: int, cells: dict[str, CellText]) -> bool:
    numbers = {name: _number(cell) for name, cell in cells.items()}
    if any(number is None and cells[name][0] != "formula" for name, number in numbers.items()):
        return False
    if any(kind == "formula" and _ADDS_UP.match(text) for kind, text in cells.values()):
        return True
    return any(
        number and _is_sum(number, list(_above(raw.columns[name], row_no)))
        for name, number in numbers.items()
    )


def _is_sum(number: float, above: list[float]) -> bool:
    return len(above) > 1 and abs(number - sum(above)) <= _NEAR * abs(number)


def _above(column: RawColumn, row_no: int) -> Iterator[float]:
    for other_no, cell in column.cells.items():
        if other_no < row_no and (number := _number(cell)) is not None:
            yield number


def _number(cell: CellText) -> float | None:
    if cell[0] not in ("number", "text"):
        return None
    read = read_quantity("", cell[1], has_comma=True)
    return float(read.number) if isinstance(read, Quantity) else None


def _without(raw: RawSheet, rows: set[int]) -> RawSheet:
    columns = {
        name: RawColumn(
            column.letters,
            column.heading_cell,
            column.unit,
            {row_no: cell for row_no, cell in column.cells.items() if row_no not in rows},
        )
        for name, column in raw.columns.items()
    }
    return RawSheet(raw.name, raw.is_read, columns)


def _finding(sheet: InputSheet, raw: RawSheet, row_no: int, name: str) -> Finding:
    message = f"this row adds up the others and is not {sheet.row_is}; it is left out"
    problem = Problem("totals_row", message, "delete the row, or fill in what is missing", "warning")
    return place_problem(problem, raw.name, raw.address(row_no, name))
