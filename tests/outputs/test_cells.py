"""Every cell of the made-up plan's workbooks against what it was when last looked at.

`pytest --renew-golden` writes the files anew; look at the pages before keeping them.
"""

from pathlib import Path

import openpyxl
import pytest
from openpyxl.cell.cell import Cell

CELLS = Path(__file__).parent / "cells"
SHEETS = (
    ("work_orders", "This week"),
    ("work_orders", "Cut tickets"),
    ("work_orders", "Bench sheets"),
    ("work_orders", "Box list"),
    ("work_orders", "Not planned"),
    ("work_orders", "Returns"),
    ("work_orders", "Cutting returns"),
    ("material_totals", "Order"),
    ("material_totals", "Papers"),
    ("material_totals", "Enclosures"),
    ("funder_report", "Protection"),
    ("funder_report", "Effort"),
    ("funder_report", "States"),
    ("funder_report", "Months"),
    ("funder_report", "Sources"),
)


def _line(cell: Cell) -> str:
    value = f"{cell.value:.6g}" if isinstance(cell.value, float) else str(cell.value)
    marks = "" if cell.protection.locked else " (open)"
    link = f" -> {cell.hyperlink.location}" if cell.hyperlink else ""
    return f"{cell.coordinate}\t{value!r}{marks}{link}"


@pytest.mark.parametrize(("book", "name"), SHEETS, ids=lambda value: value.replace(" ", "_"))
def test_cells_are_as_they_were(folder: Path, book: str, name: str, request: pytest.FixtureRequest) -> None:
    sheet = openpyxl.load_workbook(folder / f"{book}.xlsx")[name]
    lines = [
        _line(cell)
        for row in sheet.iter_rows()
        for cell in row
        if isinstance(cell, Cell) and (cell.value is not None or not cell.protection.locked)
    ]
    lines += [f"{rule.sqref}\t{rule.type} {rule.formula1}" for rule in sheet.data_validations.dataValidation]
    found = "\n".join(lines) + "\n"
    path = CELLS / f"{book}_{name.replace(' ', '_')}.txt"
    if request.config.getoption("--renew-golden"):
        path.parent.mkdir(exist_ok=True)
        path.write_text(found, encoding="utf-8")
    assert found == path.read_text(encoding="utf-8")
