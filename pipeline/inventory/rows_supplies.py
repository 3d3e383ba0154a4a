"""The Papers, Stock and Enclosures sheets."""

from collections.abc import Iterator

import polars as pl

from pipeline.contracts import TABLES
from pipeline.contracts.input_sheet import InputSheet
from pipeline.contracts.inventory_columns import ENCLOSURES, PAPERS, STOCK
from pipeline.frames import Frames
from pipeline.inventory.parse import Words
from pipeline.inventory.quantities import Problem
from pipeline.inventory.raw import RawSheet
from pipeline.inventory.rows import Figures, Row, SheetRows, read_rows
from pipeline.inventory.rows_volumes import first_of_each
from pipeline.inventory.unit_mix import report_unit_mix
from pipeline.units import density_g_cm3


def read_papers(raw: RawSheet, words: Words, figures: Figures) -> SheetRows:
    """Every row of Papers, with findings of single rows."""
    found = read_rows(PAPERS, raw, words, figures)
    for row in found.rows:
        for name, problem in _paper_problems(row, figures):
            found.report(row, name, problem)
    return found


def read_stock(raw: RawSheet, words: Words, figures: Figures) -> SheetRows:
    """Every row of Stock, with findings of single rows."""
    found = read_rows(STOCK, raw, words, figures)
    report_unit_mix(found, ("width",), words, figures)  # lengths of sheets and rolls have no middle in common
    for row in found.rows:
        for name, problem in _stock_problems(row):
            found.report(row, name, problem)
    return found


def read_enclosures(raw: RawSheet, words: Words, figures: Figures) -> SheetRows:
    """Every row of Enclosures, with findings of lengths in another unit."""
    found = read_rows(ENCLOSURES, raw, words, figures)
    report_unit_mix(found, ("inner_width", "inner_height", "inner_depth"), words, figures)
    return found


def supply_frames(papers: SheetRows, stock: SheetRows) -> Frames:
    """clean.papers and clean.stock of the rows without a fault."""
    return {
        "clean.papers": _frame("clean.papers", PAPERS, papers),
        "clean.stock": _frame("clean.stock", STOCK, stock),
    }


def enclosure_frames(found: SheetRows, of_policy: pl.DataFrame) -> Frames:
    """clean.enclosure_stock: the sheet's, or the policy's where there is no such sheet."""
    if not found.raw.is_read:
        return {"clean.enclosure_stock": of_policy.select(TABLES["clean.enclosure_stock"].column_names)}
    return {"clean.enclosure_stock": _frame("clean.enclosure_stock", ENCLOSURES, found)}


def seen_stock(found: SheetRows) -> Frames:
    """work.seen_stock: sizes of every row of Stock, faulty ones too."""
    rows = [
        {
            "sheet": found.raw.name,
            "row_no": row.row_no,
            "paper_id": row.text("paper_id"),
            "form": row.text("form"),
            "width_mm": row.number("width"),
            "length_mm": row.number("length"),
            "trim_mm": row.number("trim"),
        }
        for row in found.rows
    ]
    return {"work.seen_stock": TABLES["work.seen_stock"].frame(rows)}


def _frame(table: str, sheet: InputSheet, found: SheetRows) -> pl.DataFrame:
    return TABLES[table].frame(
        [
            {
                "row_no": row.row_no,
                **{column.clean_name: row.values.get(column.name) for column in sheet.columns},
            }
            for row in first_of_each(found.clean(), sheet.key)
        ]
    )


def _paper_problems(row: Row, figures: Figures) -> Iterator[tuple[str, Problem]]:
    grammage, thickness = row.number("grammage_gsm"), row.number("thickness_um")
    if grammage is not None and thickness is not None:
        density = density_g_cm3(grammage, thickness)
        if not figures["check.least_density_g_cm3"] <= density <= figures["check.most_density_g_cm3"]:
            message = (
                f"{grammage:g} g/m2 in {thickness:g} um make {density:.2g} g/cm3, which no such paper has"
            )
            yield (
                "thickness_um",
                Problem("density_implausible", message, "check both figures and units", "warning"),
            )
    ph = row.number("ph")
    if row.text("buffer") == "buffered" and ph is not None and ph < figures["paper.least_ph"]:
        message = f"the paper is buffered, but its pH is {ph:g}"
        yield "ph", Problem("ph_implausible", message, "check buffer and pH", "warning")


def _stock_problems(row: Row) -> Iterator[tuple[str, Problem]]:
    trim = row.number("trim")
    for name in ("width", "length"):
        side = row.number(name)
        if trim is not None and side is not None and 2 * trim >= side:
            message = f"trim {trim:g} mm on both sides leaves nothing of {name} {side:g} mm"
            yield "trim", Problem("trim_too_large", message, "check the trim; it is taken off each side")
    if row.text("form") == "roll" and row.text("grain") == "short":
        message = "a roll's grain runs along it, but grain is short"
        yield "grain", Problem("roll_grain", message, "write long")
    if row.number("pack_price") == 0:
        yield (
            "pack_price",
            Problem("price_is_zero", "pack_price is 0", "fill it in, unless it is a gift", "warning"),
        )
