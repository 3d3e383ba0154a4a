"""Every output adds up to the same figures: each list is summed and held against `campaign_totals`."""

import re
from collections.abc import Callable
from pathlib import Path

import docx
import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from pipeline.outputs.funder_facts import SOURCES
from pipeline.outputs.plan import QUERIES, Plan
from pipeline.resources import sql_text
from tests.outputs.fake_plan import fake_store

BOOKS = ("work_orders", "material_totals", "funder_report")
Add = Callable[[Worksheet], float]


@pytest.fixture(scope="module")
def totals() -> dict[str, float]:
    with fake_store() as store:
        return {
            measure: row["value"] for measure, row in Plan(store).totals().items() if row["value"] is not None
        }


@pytest.fixture(scope="module")
def books(folder: Path) -> dict[str, openpyxl.Workbook]:
    return {name: openpyxl.load_workbook(folder / f"{name}.xlsx", data_only=True) for name in BOOKS}


def _places(sheet: Worksheet, heading: str) -> list[int]:
    return [cell.column for cell in sheet[1] if re.fullmatch(heading, str(cell.value))]


def added(heading: str, where: tuple[str, str] | None = None, *, leave_out: str = "") -> Add:
    """Sum of the columns whose heading matches, of the rows where another column says so, without a last line."""

    def add(sheet: Worksheet) -> float:
        places = _places(sheet, heading)
        assert places, f"{sheet.title}: {heading}"
        total = 0.0
        for row in sheet.iter_rows(min_row=2):
            if leave_out and str(row[0].value) == leave_out:
                continue
            if where and row[_places(sheet, where[0])[0] - 1].value != where[1]:
                continue
            total += sum(row[place - 1].value or 0 for place in places)
        return total

    return add


def counted(heading: str, *, leave_out: str = "") -> Add:
    """Rows with an entry under a heading."""

    def count(sheet: Worksheet) -> float:
        place = _places(sheet, heading)[0]
        texts = [row[place - 1].value for row in sheet.iter_rows(min_row=2)]
        return sum(text is not None and text != leave_out for text in texts)

    return count


ALL = "All collections"
SUMS: tuple[tuple[str, str, str, Add], ...] = (
    ("sheets", "work_orders", "Bench list", added("Sheets")),
    ("sheets", "work_orders", "Cut sizes", added("Sheets")),
    ("sheets", "work_orders", "Returns", added(r"Planned \d")),
    ("sheets", "material_totals", "Papers", added("Sheets")),
    ("sheets", "funder_report", "Protection", added("Sheets", leave_out=ALL)),
    ("spares", "material_totals", "Papers", added("Spares")),
    ("cut_sizes", "material_totals", "Papers", added("Cut sizes")),
    ("patterns", "work_orders", "Cut list", counted("Pattern")),
    ("patterns", "work_orders", "Cutting returns", counted("Pattern")),
    ("parents", "work_orders", "Cut list", added("Parent sheets")),
    ("parents", "work_orders", "Cutting returns", added("Parents planned")),
    ("enclosures", "work_orders", "Box list", counted("Volume")),
    ("enclosures", "material_totals", "Enclosures", added("Needed", leave_out="Total")),
    ("enclosures", "funder_report", "Effort", added("New enclosures", leave_out=ALL)),
    ("paper_cost", "material_totals", "Order", added(r"Cost \(EUR\)", leave_out="Total")),
    ("paper_cost", "material_totals", "Order", added(r"Cost \(EUR\)", ("Stock", "Total"))),
    ("paper_cost", "funder_report", "Effort", added(r"Paper \(EUR\)", leave_out=ALL)),
    ("enclosure_cost", "material_totals", "Enclosures", added(r"Cost \(EUR\)", leave_out="Total")),
    ("enclosure_cost", "funder_report", "Effort", added(r"Enclosures \(EUR\)", leave_out=ALL)),
    ("labour_hours", "work_orders", "Hours by week", added("Hours planned")),
    ("labour_hours", "funder_report", "Months", added("Hours of work")),
    ("labour_hours", "funder_report", "Effort", added("Hours of work", leave_out=ALL)),
    ("labour_cost", "funder_report", "Effort", added(r"Labour \(EUR\)", leave_out=ALL)),
    ("shelf_mm_added", "funder_report", "Effort", added(r"Shelf length added \(mm\)", leave_out=ALL)),
    ("openings_at_risk", "funder_report", "Protection", added("Openings at risk", leave_out=ALL)),
    ("openings_protected", "funder_report", "Protection", added("Openings protected", leave_out=ALL)),
    ("benefit_planned", "funder_report", "Protection", added("Page losses avoided", leave_out=ALL)),
    ("volumes", "funder_report", "Protection", added("Volumes", leave_out=ALL)),
    ("volumes", "funder_report", "States", added("(?!Collection).*", leave_out=ALL)),
)


@pytest.mark.parametrize("case", SUMS, ids=lambda case: "-".join(case[:3]))
def test_a_list_adds_up_to_the_plans_total(
    books: dict[str, openpyxl.Workbook], totals: dict[str, float], case: tuple[str, str, str, Add]
) -> None:
    measure, book, sheet, add = case
    assert add(books[book][sheet]) == pytest.approx(totals[measure])


def test_volumes_on_the_bench_and_those_left_out_are_all_volumes(
    books: dict[str, openpyxl.Workbook], totals: dict[str, float]
) -> None:
    found = [counted("Volume")(books["work_orders"][name]) for name in ("Bench list", "Not planned")]
    assert sum(found) == totals["volumes"]


def test_weeks_and_people_hold_every_dated_task(books: dict[str, openpyxl.Workbook]) -> None:
    book = books["work_orders"]
    with fake_store() as store:
        dated = sum(row["start_at"] is not None for row in Plan(store).table("tasks"))
    weeks = [sheet for sheet in book if sheet.title.startswith("Week ")]
    assert sum(counted("Task")(sheet) for sheet in weeks) == dated
    tasks = {
        row[_places(sheet, "Task")[0] - 1].value
        for sheet in book
        if sheet.title.startswith("List ")
        for row in sheet.iter_rows(min_row=2)
    }
    assert len(tasks) == dated


def test_ticked_sheets_of_a_bench_sheet_add_up(
    books: dict[str, openpyxl.Workbook], totals: dict[str, float]
) -> None:
    sheet = books["work_orders"]["Bench sheets"]
    ticked = [row[2].value for row in sheet.iter_rows() if row[0].value == "☐"]
    assert sum(ticked) == totals["sheets"]


def test_the_document_shows_the_workbooks_figures(folder: Path, books: dict[str, openpyxl.Workbook]) -> None:
    """Every cell of the tables by collection, to the digits that the document shows."""
    tables = docx.Document(str(folder / "funder_report.docx")).tables
    for number, name in ((0, "States"), (1, "Protection"), (2, "Effort")):
        sheet = books["funder_report"][name]
        for row, cells in zip(sheet.iter_rows(values_only=True), tables[number].rows, strict=True):
            for value, cell in zip(row, cells.cells, strict=True):
                if isinstance(value, int | float):
                    shown = cell.text.replace(",", "")
                    digits = len(shown.partition(".")[2])
                    assert float(shown) == pytest.approx(value, abs=0.51 * 10**-digits), (name, row[0])


def test_every_source_names_a_sheet_a_table_and_a_query_that_are_there(
    books: dict[str, openpyxl.Workbook],
) -> None:
    from pipeline.contracts import TABLES

    for figure, sheet, tables, query in SOURCES:
        assert sheet in books["funder_report"].sheetnames, figure
        assert all(table.strip() in TABLES for table in tables.split(",")), figure
        folder, stem = query.removeprefix("sql/").removesuffix(".sql").split("/")
        assert sql_text(folder, stem), figure
        assert folder != "outputs" or stem in QUERIES, figure
