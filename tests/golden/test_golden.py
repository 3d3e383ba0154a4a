"""The sample's plan against what it was when last looked at. `pytest --renew-golden` writes the files anew.

Figures are kept to six significant digits, so that another processor's last digits do not count.
"""

from pathlib import Path

import polars as pl
import pytest
from openpyxl import load_workbook

from pipeline.store import Store

pytestmark = pytest.mark.slow

HERE = Path(__file__).parent
QUERIES = {
    "volumes": "select volume_id, state, sheets, added_um, benefit_planned from published.volumes order by 1",
    "cut_sizes": "select cut_size_id, width_mm, height_mm, sheets, spares from published.cut_sizes order by 1",
    "patterns": "select pattern_id, stock_id, sheets, first_cut, lifts, used_pct from published.patterns order by 1",
    "materials": "select stock_id, needed, to_buy, packs, cost, order_by from published.material_totals order by 1",
    "totals": "select collection, measure, basis, value, text from published.campaign_totals order by all",
}


def rounded(frame: pl.DataFrame) -> str:
    floats = [name for name, kind in frame.schema.items() if kind == pl.Float64]
    return frame.with_columns(pl.col(floats).round_sig_figs(6)).write_csv()


def compare(name: str, found: str, request: pytest.FixtureRequest) -> None:
    path = HERE / f"{name}.csv"
    if request.config.getoption("--renew-golden"):
        path.write_text(found, encoding="utf-8")
    assert found == path.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", QUERIES)
def test_published_tables(name: str, sample_plan: Path, request: pytest.FixtureRequest) -> None:
    with Store(sample_plan / "plan.duckdb", read_only=True) as store:
        found = rounded(store.query(QUERIES[name]))
    compare(name, found, request)


def test_sheets_of_the_workbooks(sample_plan: Path, request: pytest.FixtureRequest) -> None:
    lines = ["workbook,sheet,rows,columns"]
    for workbook in ("work_orders", "material_totals", "funder_report"):
        book = load_workbook(sample_plan / f"{workbook}.xlsx")
        lines += [f"{workbook},{sheet.title},{sheet.max_row},{sheet.max_column}" for sheet in book]
    compare("workbooks", "\n".join(lines) + "\n", request)


def test_cells_of_the_order_sheet(sample_plan: Path, request: pytest.FixtureRequest) -> None:
    book = load_workbook(sample_plan / "material_totals.xlsx")
    sheet = book.worksheets[1]
    lines = [
        f"{cell.coordinate},{str(cell.value).replace(',', ';')}"
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    ]
    compare("order_sheet", "\n".join(lines) + "\n", request)
