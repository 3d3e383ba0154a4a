"""Stage 01: the inventory as typed.

Text and address of every filled cell below a known heading; nothing is judged.
"""

import polars as pl

from pipeline.contracts import TABLES
from pipeline.inventory.findings import finding_rows
from pipeline.inventory.layout import Layout, find_layouts, layout_findings
from pipeline.inventory.read import read_inventory
from pipeline.inventory.sheets import Reading, address, column_letters
from pipeline.inventory.what_if import planned_otherwise
from pipeline.settings import Settings
from pipeline.stages.frames import Frames


def ingest_inventory(_frames: Frames, settings: Settings) -> Frames:
    """raw.sheets, raw.headers, raw.cells and raw.findings of the inventory that `settings` names.

    The file is read once and never written; what is to be planned otherwise takes the place of what is typed.
    Raises FileProblemError when it cannot be read.
    """
    reading = read_inventory(settings.inventory)
    layouts = find_layouts(reading)
    typed = {
        "raw.sheets": _sheet_rows(reading, layouts),
        "raw.headers": _header_rows(layouts),
        "raw.cells": _cell_rows(layouts),
        "raw.findings": finding_rows(layout_findings(reading, layouts)),
    }
    return planned_otherwise(typed, settings)


def _sheet_rows(reading: Reading, layouts: list[Layout]) -> pl.DataFrame:
    by_sheet = {layout.sheet.name: layout for layout in layouts}
    rows = []
    for sheet in reading.sheets:
        layout = by_sheet.get(sheet.name)
        cells = layout.cells() if layout else sheet.cells
        rows.append(
            {
                "sheet": sheet.name,
                "sheet_state": sheet.state,
                "header_row_no": layout.header_row_no if layout else None,
                "row_count": cells["row_no"].n_unique(),
            }
        )
    return TABLES["raw.sheets"].frame(rows)


def _header_rows(layouts: list[Layout]) -> pl.DataFrame:
    rows = [
        {
            "sheet": layout.sheet.name,
            "column_no": heading.column_no,
            "cell": address(layout.header_row_no or 1, heading.column_no),
            "header": heading.header,
            "field": heading.field,
        }
        for layout in layouts
        for heading in layout.headings
    ]
    return TABLES["raw.headers"].frame(rows)


def _cell_rows(layouts: list[Layout]) -> pl.DataFrame:
    table = TABLES["raw.cells"]
    parts = [table.empty()]
    for layout in layouts:
        known = [heading for heading in layout.headings if heading.field]
        columns = pl.DataFrame(
            {
                "column_no": [heading.column_no for heading in known],
                "field": [heading.field for heading in known],
                "letters": [column_letters(heading.column_no) for heading in known],
            },
            schema={"column_no": pl.Int64, "field": pl.String, "letters": pl.String},
        )
        cells = layout.cells().join(columns, on="column_no", how="inner")
        place = pl.col("letters") + pl.col("row_no").cast(pl.String)
        parts.append(
            cells.with_columns(place.alias("cell"), pl.lit(layout.sheet.name).alias("sheet")).select(
                table.column_names
            )
        )
    return pl.concat(parts).sort(table.key)
