"""An independent program opens, recalculates and saves every workbook: no error, every formula as stored."""

import shutil
import subprocess
from datetime import datetime
from pathlib import Path

import openpyxl
import polars as pl
import pytest
import xlsxwriter

from pipeline.ledger.returned import read_returned
from pipeline.outputs.plan import Plan
from pipeline.outputs.write import write_outputs
from tests.outputs.fake_plan import fake_frames, fake_store

SOFFICE = shutil.which("soffice")
WORKBOOKS = ("work_orders.xlsx", "material_totals.xlsx", "funder_report.xlsx")
ALWAYS_RECALCULATE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"
 xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">
<value>0</value></prop></item>
</oor:items>
"""
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(
        SOFFICE is None, reason="LibreOffice (soffice) is not installed: nothing recalculates the workbooks"
    ),
]


@pytest.fixture(scope="module")
def profile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A profile that recalculates every formula on loading; the default one trusts what is stored."""
    path = tmp_path_factory.mktemp("profile")
    (path / "user").mkdir()
    (path / "user" / "registrymodifications.xcu").write_text(ALWAYS_RECALCULATE, encoding="utf-8")
    return path


def _recalculated(source: Path, out: Path, profile: Path, kind: str = "xlsx:Calc MS Excel 2007 XML") -> Path:
    call = [str(SOFFICE), f"-env:UserInstallation=file://{profile}", "--headless", "--norestore"]
    call += ["--convert-to", kind, "--outdir", str(out), str(source)]
    subprocess.run(call, check=True, capture_output=True, timeout=120)
    made = out / f"{source.stem}.{kind.partition(':')[0]}"
    assert made.exists(), f"{source.name} was not converted"
    return made


def _differences(stored: Path, again: Path) -> list[str]:
    """Cells whose recalculated value is an error, missing, or not the stored one."""
    formulas = openpyxl.load_workbook(stored)
    before, after = (openpyxl.load_workbook(path, data_only=True) for path in (stored, again))
    found = []
    for sheet in formulas:
        for row in sheet.iter_rows():
            for cell in row:
                new = after[sheet.title][cell.coordinate]
                old = before[sheet.title][cell.coordinate].value
                is_formula = cell.data_type == "f"
                if new.data_type == "e" or (is_formula and new.value != pytest.approx(old, abs=1e-6)):
                    found.append(f"{sheet.title}!{cell.coordinate}: {old} became {new.value}")
    return found


def test_a_wrong_stored_value_is_caught(tmp_path: Path, profile: Path) -> None:
    path = tmp_path / "wrong.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet("one")
        sheet.write_number("A1", 2)
        sheet.write_formula("A2", "=A1*2", None, 99)
        sheet.write_formula("A3", "=1/0", None, 5)
    found = _differences(path, _recalculated(path, tmp_path / "re", profile))
    assert [text.partition(":")[0] for text in found] == ["one!A2", "one!A3"]


@pytest.mark.parametrize("name", WORKBOOKS)
def test_recalculation_changes_nothing(folder: Path, tmp_path: Path, profile: Path, name: str) -> None:
    assert _differences(folder / name, _recalculated(folder / name, tmp_path, profile)) == []


def test_the_document_opens(folder: Path, tmp_path: Path, profile: Path) -> None:
    made = _recalculated(folder / "funder_report.docx", tmp_path, profile, "pdf")
    assert made.stat().st_size > 10_000


def test_totals_are_the_plans_after_recalculation(folder: Path, tmp_path: Path, profile: Path) -> None:
    with fake_store() as store:
        totals = Plan(store).totals()
    again = openpyxl.load_workbook(
        _recalculated(folder / "material_totals.xlsx", tmp_path, profile), data_only=True
    )
    for name, measure in (("Order", "paper_cost"), ("Enclosures", "enclosure_cost")):
        sheet = again[name]
        heads = [str(cell.value) for cell in sheet[1]]
        last = next(row for row in sheet.iter_rows(values_only=True) if row[0] == "Total")
        assert last[heads.index("Cost (EUR)")] == pytest.approx(totals[measure]["value"]), name


def test_an_edited_price_moves_the_total(folder: Path, tmp_path: Path, profile: Path) -> None:
    """A buyer doubles every pack price: cost and total double."""
    book = openpyxl.load_workbook(folder / "material_totals.xlsx")
    sheet = book["Order"]
    heads = [str(cell.value) for cell in sheet[1]]
    price, cost = heads.index("Pack price (EUR)"), heads.index("Cost (EUR)")
    before = openpyxl.load_workbook(folder / "material_totals.xlsx", data_only=True)["Order"]
    for row in sheet.iter_rows(min_row=2):
        if row[price].data_type == "n" and row[price].value is not None:
            row[price].value *= 2
    edited = tmp_path / "edited.xlsx"
    book.save(edited)
    after = openpyxl.load_workbook(_recalculated(edited, tmp_path / "re", profile), data_only=True)["Order"]
    pairs = zip(before.iter_rows(min_row=2), after.iter_rows(min_row=2), strict=False)
    found = [(old[cost].value, new[cost].value) for old, new in pairs if old[cost].value is not None]
    assert len(found) > 2
    assert all(new == pytest.approx(2 * old) for old, new in found)


def test_returns_filled_in_and_saved_by_it_are_read_as_typed(
    folder: Path, tmp_path: Path, profile: Path
) -> None:
    book = openpyxl.load_workbook(folder / "work_orders.xlsx")
    sheet = book["Returns"]
    heads = [str(cell.value) for cell in sheet[1]]
    for heading, value in (
        ("Status", "part done"),
        ("Date", datetime(2027, 3, 3)),
        ("Minutes laying in", 12.5),
    ):
        sheet.cell(2, heads.index(heading) + 1).value = value
    filled = tmp_path / "filled.xlsx"
    book.save(filled)
    saved = _recalculated(filled, tmp_path / "re", profile)
    both = [read_returned(path) for path in (filled, saved)]
    assert both[0][0] == both[1][0]
    assert both[0][1] == both[1][1] == []
    assert [row.cells["minutes_taken"][1] for row in both[1][0][0].rows] == ["12.5"]


def test_a_part_of_a_large_plan_opens(tmp_path: Path, profile: Path) -> None:
    limit = pl.col("key") == "bench.forms_in_a_workbook_count"
    policy = fake_frames()["published.policy"].with_columns(
        pl.when(limit).then(pl.lit(8.0)).otherwise(pl.col("value")).alias("value")
    )
    with fake_store({"published.policy": policy}) as store:
        write_outputs(store, tmp_path)
    for path in sorted(tmp_path.glob("work_orders*.xlsx")):
        assert _differences(path, _recalculated(path, tmp_path / "re", profile)) == [], path.name
