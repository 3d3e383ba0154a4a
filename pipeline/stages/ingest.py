"""Stage 01: the inventory as typed.

Text and address of every filled cell below a known heading; nothing is judged. A column file says how a lab's own
sheets, headings and words are read.
"""

import polars as pl

from pipeline.contracts import TABLES
from pipeline.frames import Frames
from pipeline.inventory.column_file import load_column_file
from pipeline.inventory.findings import finding_rows
from pipeline.inventory.known_cells import known_cells, with_campaign
from pipeline.inventory.layout import Layout, find_layouts, layout_findings
from pipeline.inventory.read import read_inventory
from pipeline.inventory.sheets import MOST_COLUMN_NO, Reading, address
from pipeline.inventory.what_if import planned_otherwise
from pipeline.settings import Settings


def ingest_inventory(_frames: Frames, settings: Settings) -> Frames:
    """raw.sheets, raw.headers, raw.cells and raw.findings of the inventory that `settings` names.

    The file is read once and never written; what is to be planned otherwise takes the place of what is typed.
    Raises FileProblemError when it cannot be read, InventoryRefusedError when the column file is faulty.
    """
    columns = load_column_file(settings.columns)
    reading = with_campaign(read_inventory(settings.inventory), columns)
    layouts = find_layouts(reading, columns)
    typed = {
        "raw.sheets": _sheet_rows(reading, layouts),
        "raw.headers": _header_rows(layouts),
        "raw.cells": _cell_rows(layouts),
        "raw.findings": finding_rows(layout_findings(reading, layouts, columns)),
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
                "known_as": layout.name if layout else "",
                "header_row_no": layout.header_row_no if layout else None,
                "row_count": cells["row_no"].n_unique(),
            }
        )
    return TABLES["raw.sheets"].frame(rows)


def _header_rows(layouts: list[Layout]) -> pl.DataFrame:
    rows = []
    for layout in layouts:
        head = {"sheet": layout.sheet.name}
        for heading in layout.headings:
            cell = address(layout.header_row_no or 1, heading.column_no)
            named = {"column_no": heading.column_no, "cell": cell, "header": heading.header}
            rows.append(head | named | {"field": heading.field, "unit": heading.unit})
        for order, field in enumerate(sorted(layout.constants()), start=1):
            constant = {"column_no": MOST_COLUMN_NO + order, "cell": "", "header": "", "field": field}
            rows.append(head | constant | {"unit": layout.source.columns[field].unit})
    return TABLES["raw.headers"].frame(rows)


def _cell_rows(layouts: list[Layout]) -> pl.DataFrame:
    table = TABLES["raw.cells"]
    parts = [known_cells(layout) for layout in layouts]
    return pl.concat([table.empty(), *parts]).sort(table.key)
