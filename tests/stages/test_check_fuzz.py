"""Odd cells of every kind in every place, sheets, rows and columns moved about: only findings come of it.

In the smaller run every table is also held against its contract.
"""

import tempfile
from collections.abc import Callable
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from pipeline.contracts.finding_codes import FINDING_CODES
from pipeline.frames import Frames
from tests import builders
from tests.checking import Tables, check_fast, check_file, full_tables

ODD_TEXTS = (
    "", " ", "0", "-1", "1,234", "3-7", "40", "0-40", "=1+1", "#N/A", "nan", "yes", "no", "left:fastener", "sewn",
    "V-001", "V-002", "P-1", "T-1", "mm", "cm", "in", "furlong", "11 3/8 in", '11"', "2027-01-04", "9999-12-31",
    "Mon-Fri", "\u200b", "\ufeff", "[red]", "x" * 300, "1e400", "99999999999999999999", "print; silk", "GB", "XX",
    "paper", "never", "roll", "50", "2150", "0,5", "100 %", "must",
)  # fmt: skip
ODD_VALUES = st.one_of(
    st.sampled_from(ODD_TEXTS),
    st.sampled_from(
        [None, True, False, 0, -1, 1, 3.7, 1e18, 1e300, -1e300, date(1900, 1, 1), date(9999, 12, 31)]
    ),
    st.sampled_from([datetime(2027, 7, 3, 12, 30), time(12, 30)]),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=8),
)
CHANGES = st.lists(
    st.tuples(st.integers(0, 9), st.integers(0, 3), st.integers(0, 40), ODD_VALUES), max_size=12
)


def changed(changes: list[tuple[int, int, int, object]]) -> Tables:
    """The full inventory with a second row on every sheet and some cells, headings too, replaced."""
    tables = full_tables()
    for lines in tables.values():
        lines.append(list(lines[-1]))
    for sheet, row, column, value in changes:
        lines = list(tables.values())[sheet]
        line = lines[row % len(lines)]
        line[column % len(line)] = value
    return tables


STRUCTURE = st.lists(
    st.tuples(
        st.sampled_from(
            [
                "drop_sheet", "double_sheet", "rename_sheet", "drop_row", "blank_row", "title_row", "drop_column",
                "double_column", "rename_column", "swap_columns", "short_row", "merge", "hide_row", "hide_sheet",
                "totals",
            ]
        ),
        st.integers(0, 9),
        st.integers(0, 3),
        st.integers(0, 30),
    ),
    max_size=4,
)  # fmt: skip
NAMES = ("Volumes", "volume list", "Strata", "x", "Campaign ", "Sheet1", "\u00c4lben")
HEADINGS = (
    "volume_id",
    "page width (cm)",
    "leaves",
    "openings_x",
    "stratum",
    None,
    "=1",
    "hazards",
    "x" * 99,
)


def restructured(tables: Tables, changes: list[tuple[str, int, int, int]]) -> Tables:
    """The tables with sheets, rows and columns dropped, doubled, renamed or moved."""
    for what, number, row, column in changes:
        if not tables:
            return tables
        name = list(tables)[number % len(tables)]
        lines = tables[name]
        if what == "drop_sheet":
            del tables[name]
        elif what == "double_sheet":
            tables[f"{name} "] = [list(line) for line in lines]
        elif what == "rename_sheet":
            tables[NAMES[column % len(NAMES)]] = tables.pop(name)
        elif what in ("blank_row", "title_row", "totals"):
            added = {"blank_row": [], "title_row": ["Our list", None, 2027], "totals": ["Total", None, 40]}[
                what
            ]
            lines.insert(len(lines) if what == "totals" else row % (len(lines) + 1), list(added))
        elif lines:
            _reshape(lines, what, row, column)
    return tables


def _reshape(lines: list[list[Any]], what: str, row: int, column: int) -> None:
    """One sheet's lines with a row or a column changed."""
    if what == "drop_row":
        del lines[row % len(lines)]
        return
    for number, line in enumerate(lines):
        if not line:
            continue
        at = column % len(line)
        if what == "drop_column":
            del line[at]
        elif what == "double_column":
            line.append(line[at])
        elif what == "swap_columns":
            line[0], line[at] = line[at], line[0]
        elif (what, number) == ("rename_column", 0):
            line[at] = HEADINGS[row % len(HEADINGS)]
        elif (what, number) == ("short_row", row):
            del line[at:]


def dressed(path: Path, changes: list[tuple[str, int, int, int]]) -> Path:
    """The workbook with cells merged, rows and sheets hidden."""
    book = load_workbook(path)
    for what, number, row, column in changes:
        sheet = book.worksheets[number % len(book.worksheets)]
        if what == "merge":
            sheet.merge_cells(
                start_row=row + 1, end_row=row + 2, start_column=column + 1, end_column=column + 1 + row
            )
        elif what == "hide_row":
            sheet.row_dimensions[row + 1].hidden = True
        elif what == "hide_sheet" and len(book.worksheets) > 1:
            sheet.sheet_state = "hidden"
    book.save(path)
    return path


def only_findings_come_of_it(
    cells: list[tuple[int, int, int, object]],
    structure: list[tuple[str, int, int, int]],
    check: Callable[[Path], Frames],
) -> None:
    """Write the changed inventory and check it: findings, or a file refused in a sentence; no other exception."""
    tables = restructured(changed(cells), structure)
    if not tables:
        return
    with tempfile.TemporaryDirectory() as folder:
        path = builders.write_tables(Path(folder) / "inventory.xlsx", tables)
        frames = check(dressed(path, structure))
    found = frames["clean.findings"]
    assert found.filter((pl.col("message") == "") | (pl.col("code") == "")).is_empty()
    assert set(found["code"]) <= set(FINDING_CODES)
    if "drop_sheet" in {what for what, *_ in structure} and not {"Campaign", "Volumes"} <= set(tables):
        assert "error" in set(found["level"])


@pytest.mark.slow
@hypothesis_settings(max_examples=12, deadline=None, derandomize=True)
@given(CHANGES, STRUCTURE)
def test_odd_cells_and_structures_give_findings_and_never_an_exception(
    cells: list[tuple[int, int, int, object]], structure: list[tuple[str, int, int, int]]
) -> None:
    only_findings_come_of_it(cells, structure, check_file)


@pytest.mark.minutes
@hypothesis_settings(max_examples=500, deadline=None, derandomize=True)
@given(CHANGES, STRUCTURE)
def test_five_hundred_odd_inventories(
    cells: list[tuple[int, int, int, object]], structure: list[tuple[str, int, int, int]]
) -> None:
    """The size stated in the sample inventory's README: 500 inventories, up to 12 cells and 4 structures changed."""
    only_findings_come_of_it(cells, structure, check_fast)
